package ui

import "context"

// errand is work done in the background, of which only the last begun counts.
type errand struct {
	w      *Window
	run    int
	cancel context.CancelFunc // nil: none is on its way
}

// begin gives up what is on its way and begins anew. work runs beside the window;
// what it returns is run on the window's goroutine, unless it was given up before.
func (e *errand) begin(work func(ctx context.Context) (done func())) {
	e.stop()
	ctx, cancel := context.WithCancel(context.Background())
	run := e.run
	e.cancel = cancel
	go func() {
		defer cancel()
		done := work(ctx)
		e.w.post(func() {
			if e.run == run {
				e.cancel = nil
				done()
			}
		})
	}()
}

// stop gives up what is on its way.
func (e *errand) stop() {
	e.run++
	if e.cancel != nil {
		e.cancel()
		e.cancel = nil
	}
}

// running says whether work is on its way.
func (e *errand) running() bool { return e.cancel != nil }
