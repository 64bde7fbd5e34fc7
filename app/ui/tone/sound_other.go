//go:build !linux && !windows

package tone

import "errors"

// errNowhere is why there is no sound.
var errNowhere = errors.New("tone: no sound is played on this system")

func check() error { return errNowhere }

func sound(Kind) error { return errNowhere }
