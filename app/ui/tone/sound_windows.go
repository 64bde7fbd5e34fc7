package tone

import (
	"fmt"
	"syscall"
)

var messageBeep = syscall.NewLazyDLL("user32.dll").NewProc("MessageBeep")

// systemSounds are the sounds of the system as MessageBeep names them: that of a
// plain message, and that of a warning.
var systemSounds = map[Kind]uintptr{Good: 0x00, Suspicious: 0x30}

func check() error {
	if err := messageBeep.Find(); err != nil {
		return fmt.Errorf("tone: %w", err)
	}
	return nil
}

func sound(k Kind) error {
	if err := check(); err != nil {
		return err
	}
	if ok, _, err := messageBeep.Call(systemSounds[k]); ok == 0 {
		return fmt.Errorf("tone: %w", err)
	}
	return nil
}
