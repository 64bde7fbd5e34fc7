package ui

import (
	"errors"
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// otherHand makes a job of the pane for the other side of the car, as if the mirror
// image of this one had lain on the board: it asks where that is to be saved, and
// lays it on the desk. The job that lay there stays as it was saved.
func (w *Window) otherHand() {
	w.leaving(func() {
		j := board.OtherHand(w.state.Job)
		start := w.startDir() + fileName(j.Name) + jobExt
		w.choosePath("other hand", lang.L("Save the job of the other-hand pane as"), lang.L("Make the job"), start, true, func(path string) error {
			if !strings.EqualFold(filepath.Ext(path), jobExt) {
				path += jobExt
			}
			if _, err := os.Stat(path); err == nil {
				return errors.New(lang.L("there is a file of this name: choose another"))
			}
			if err := board.Save(path, j); err != nil {
				return err
			}
			if err := w.open(path); err != nil {
				return err
			}
			w.say(lang.L("The mirror image of the readings, as a job of its own. What was put right after cuts is not carried over."), sheet.Plain)
			return nil
		})
	})
}
