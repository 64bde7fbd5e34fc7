package ui

import (
	"strconv"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"

	"panewright/board"
)

// benchWindow is a window on demo B, solved.
func benchWindow(b *testing.B) (*Window, *queue) {
	b.Helper()
	q := &queue{}
	w := newWindow(test.NewTempApp(b), q.post)
	w.win.Resize(fyne.NewSize(1280, 800))
	w.win.Show()
	if err := w.openDemo("b"); err != nil {
		b.Fatal(err)
	}
	w.desk.Wait()
	q.run()
	return w, q
}

// BenchmarkTypedCell is what one typed cell of a demo job costs the window's
// goroutine: the edit, and showing it.
func BenchmarkTypedCell(b *testing.B) {
	w, _ := benchWindow(b)
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

// BenchmarkLongestBlock types cells of a demo job with the solve running beside and
// reports the longest that the window's goroutine is kept at a time: by a key, or by
// what the solve has to say. The painting of the board is not in it (see boardview).
func BenchmarkLongestBlock(b *testing.B) {
	w, q := benchWindow(b)
	w.lists.focus()
	longest := time.Duration(0)
	held := func(f func()) {
		from := time.Now()
		f()
		longest = max(longest, time.Since(from))
	}
	for n := 0; b.Loop(); n++ {
		for _, r := range strconv.Itoa(100 + n%400) {
			held(func() { w.win.Canvas().Focused().TypedRune(r) })
		}
		held(func() { w.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn}) })
		if n%8 == 7 { // a pause: the solve catches up
			w.desk.Wait()
		}
		for q.next(held) {
		}
	}
	b.ReportMetric(float64(longest.Microseconds())/1000, "longest-ms")
	if err := w.desk.Close(); err != nil {
		b.Fatal(err)
	}
}

// next does the first thing that was posted; false where there is none.
func (q *queue) next(held func(func())) bool {
	q.mu.Lock()
	if len(q.funcs) == 0 {
		q.mu.Unlock()
		return false
	}
	f := q.funcs[0]
	q.funcs = q.funcs[1:]
	q.mu.Unlock()
	held(f)
	return true
}
