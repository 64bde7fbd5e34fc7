// Package tone sounds the short tones that say whether a reading fits, for whoever
// types with the eyes on the rule. It needs no C: on Linux it speaks to the sound
// server of the desktop, on Windows it has the system's own sounds played.
package tone

import "sync/atomic"

// Kind is what a tone says.
type Kind int

const (
	Good       Kind = iota // one short high tone: the reading fits
	Suspicious             // two low ones: look again
)

// Speaker plays tones on the sound of the desktop. The zero value is ready.
type Speaker struct{ sounding atomic.Bool }

// Check says why no tone can be heard here; nil: it can. It may take some seconds
// where a sound server does not answer.
func (*Speaker) Check() error { return check() }

// Play sounds a tone and returns at once. While one sounds another is passed over;
// where there is no sound nothing happens.
func (s *Speaker) Play(k Kind) {
	if !s.sounding.CompareAndSwap(false, true) {
		return
	}
	go func() {
		defer s.sounding.Store(false)
		_ = sound(k) // Check tells; typing is not held up for it
	}()
}
