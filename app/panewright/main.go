// Command panewright is the window program: it turns readings taken by hand off
// a pane of curved glass on a gridded board into a shape, a proved centre line
// and the files that a body designer and a cutting shop work from.
package main

import (
	"flag"
	"fmt"
	"os"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"panewright/app/ui"
)

// id names the program's settings.
const id = "panewright"

func main() {
	demo := flag.Bool("demo", false, "open the first demo job")
	ready := flag.String("ready", "", "write this `file` once the window takes keys (for tests)")
	flag.Usage = func() {
		fmt.Fprintln(flag.CommandLine.Output(), "usage: panewright [flags] [job.pane | readings.csv]")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() > 1 {
		flag.Usage()
		os.Exit(2)
	}
	app.SetMetadata(fyne.AppMetadata{ID: id, Name: id, Migrations: map[string]bool{"fyneDo": true}})
	err := ui.Run(app.NewWithID(id), ui.Options{Demo: *demo, Path: flag.Arg(0), Ready: *ready, Post: fyne.Do})
	if err != nil {
		fmt.Fprintln(os.Stderr, "panewright:", err)
		os.Exit(1)
	}
}
