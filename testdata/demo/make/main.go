// Command make writes the demo jobs into assets/jobs, from where the program
// embeds them. Run it at the top of the module: go run ./testdata/demo/make
package main

import (
	"fmt"
	"os"
	"path/filepath"

	"panewright/board"
	"panewright/testdata/demo"
)

func main() {
	for _, d := range demo.All() {
		data, err := board.Encode(d.Job)
		if err == nil {
			err = os.WriteFile(filepath.Join("assets", "jobs", d.File), data, 0o644)
		}
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
	}
}
