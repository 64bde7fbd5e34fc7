package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
)

// walk visits an object and what our containers hold within it; widgets are visited
// as wholes.
func walk(o fyne.CanvasObject, visit func(fyne.CanvasObject)) {
	visit(o)
	switch c := o.(type) {
	case *fyne.Container:
		for _, i := range c.Objects {
			walk(i, visit)
		}
	case *container.Scroll:
		walk(c.Content, visit)
	}
}

// giveKeys has every widget within an object that takes no care of a key itself hand
// it on, so that none is lost where the focus is.
func giveKeys(o fyne.CanvasObject, key func(*fyne.KeyEvent), escape func()) {
	walk(o, func(o fyne.CanvasObject) {
		switch x := o.(type) {
		case *choice:
			if x.onKey == nil {
				x.onKey = key
			}
		case *tick:
			if x.onKey == nil {
				x.onKey = key
			}
		case *button:
			x.give(key, escape)
		case *field:
			if x.onEsc == nil {
				x.onEsc = escape
			}
		}
	})
}
