package tone

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// TestPlayNeverWaits: without a sound server too, and while a tone sounds.
func TestPlayNeverWaits(t *testing.T) {
	t.Setenv("PULSE_SERVER", t.TempDir()+"/none")
	var s Speaker
	s.sounding.Store(true)
	s.Play(Good)
	assert.True(t, s.sounding.Load(), "a tone that sounds is not cut off")
	s.sounding.Store(false)
	s.Play(Suspicious)
	assert.Eventually(t, func() bool { return !s.sounding.Load() }, 10*time.Second, time.Millisecond, "and the next may sound")
}
