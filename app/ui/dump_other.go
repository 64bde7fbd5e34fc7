//go:build !unix

package ui

// dumpOnSignal does nothing where there is no such signal.
func (w *Window) dumpOnSignal(string) {}
