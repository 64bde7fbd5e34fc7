package ui

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"panewright/board"
)

// BenchmarkTypedCell is what one typed cell of a demo job costs the window's
// goroutine: the edit, and showing it.
func BenchmarkTypedCell(b *testing.B) {
	a := test.NewTempApp(b)
	q := &queue{}
	w := newWindow(a, q.post)
	w.win.Resize(fyne.NewSize(1280, 800))
	w.win.Show()
	if err := w.openDemo("b"); err != nil {
		b.Fatal(err)
	}
	w.desk.Wait()
	q.run()
	n := 0
	for b.Loop() {
		n++
		if err := w.Edit("x", func(j *board.Job) error { return j.SetCell(0, "x", typedNumber(j, float64(n), 0)) }); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.desk.Close(); err != nil {
		b.Fatal(err)
	}
}
