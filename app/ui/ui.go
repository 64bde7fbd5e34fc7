// Package ui is the window of the program, and every line of it that knows
// Fyne: the menu, the strip of steps, the lists that readings are typed into,
// the picture of the board, the panel of the open step, and the dialogs.
//
// State flows one way. The desk owns the job; a view is shown each new
// desk.State and changes the job only through Window.Edit. Views do not call
// one another: what concerns two of them goes through the Window.
package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/assets"
)

// Options are what the command line asks for.
type Options struct {
	Demo  bool         // open the first demo job
	Path  string       // a job file to open or to begin, or a CSV of readings; may be empty
	Ready string       // a file to write once the window takes keys; for tests
	Post  func(func()) // runs a function on the window's goroutine, in order
}

// Run shows the window and returns when it has been closed.
func Run(a fyne.App, o Options) error {
	if err := lang.AddTranslationsFS(assets.Translations(), assets.TranslationsDir); err != nil {
		return fmt.Errorf("ui: translations: %w", err)
	}
	icon := fyne.NewStaticResource("icon.png", assets.Icon())
	a.SetIcon(icon)
	w := newWindow(a, o.Post)
	w.win.SetIcon(icon)
	if dir, err := os.UserConfigDir(); err == nil {
		w.desk.KeepDrafts(filepath.Join(dir, "panewright", "drafts"))
	}
	w.begin(o)
	a.Lifecycle().SetOnStarted(func() {
		if o.Ready == "" {
			return
		}
		w.dumpOnSignal(o.Ready + ".json")
		go func() {
			time.Sleep(200 * time.Millisecond) // the first frame
			o.Post(func() {
				if err := os.WriteFile(o.Ready, []byte("ready\n"), 0o644); err != nil {
					fyne.LogError("ready file", err)
				}
			})
		}()
	})
	w.win.ShowAndRun()
	return w.desk.Close()
}
