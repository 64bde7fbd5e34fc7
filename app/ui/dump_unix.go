//go:build unix

package ui

import (
	"os"
	"os/signal"
	"syscall"
)

// dumpOnSignal writes the visible state to a file at every SIGUSR1.
func (w *Window) dumpOnSignal(path string) {
	c := make(chan os.Signal, 1)
	signal.Notify(c, syscall.SIGUSR1)
	go func() {
		for range c {
			w.post(func() { w.writeDump(path) })
		}
	}()
}
