// Command panewright-batch checks, solves and exports jobs without a window.
package main

import (
	"context"
	"os"
	"os/signal"

	"panewright/app/batch"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(batch.Run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}
