package ui

import (
	"strconv"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/solidview"
)

// openSolid shows the solid view with the keys on it.
func (w *Window) openSolid() {
	w.setSolid(true)
	w.win.Canvas().Focus(w.solid)
}

// solidView is the submenu of what the solid view can show, with the keys that do
// the same while the keys are on it.
func (m *menu) solidView() *fyne.MenuItem {
	w := m.w
	do := func(words, key string, f func()) *fyne.MenuItem {
		if key != "" {
			words += keyGap + key
		}
		return fyne.NewMenuItem(words, func() {
			w.openSolid()
			f()
		})
	}
	typed := func(words, key string) *fyne.MenuItem {
		return do(words, key, func() { w.solid.TypedRune([]rune(key)[0]) })
	}
	list := func(words, key string, of []string, choose func(int)) *fyne.MenuItem {
		i := fyne.NewMenuItem(words+keyGap+key, nil)
		i.ChildMenu = fyne.NewMenu("")
		for n, word := range of {
			i.ChildMenu.Items = append(i.ChildMenu.Items, do(word, "", func() { choose(n) }))
		}
		return i
	}
	from := fyne.NewMenuItem(lang.L("Look from"), nil)
	from.ChildMenu = fyne.NewMenu("")
	for n, word := range directionWords() {
		from.ChildMenu.Items = append(from.ChildMenu.Items, do(word, strconv.Itoa(n+1), func() {
			w.solid.Look(solidview.Direction(n))
			w.solidChanged()
		}))
	}
	s := fyne.NewMenuItem(lang.L("In the solid view"), nil)
	s.ChildMenu = fyne.NewMenu("", from,
		list(lang.L("Face coloured by"), "M", mapWords(), func(n int) { w.setMap(solidview.Map(n)) }),
		list(lang.L("Section"), "C", cutWords(), func(n int) { w.setCut(solidview.Cut(n)) }),
		typed(lang.L("Stripes of reflected light"), "R"),
		typed(lang.L("The pocket"), "P"),
		typed(lang.L("Lift the pane"), "U"), typed(lang.L("Lower the pane"), "D"),
		typed(lang.L("Stretch the heights"), "S"), typed(lang.L("Show all"), "F"))
	return s
}

// solidKeys are the keys of the solid view that are no command of a menu.
func solidKeys() keyGroup {
	return keyGroup{lang.L("In the solid view"), []keyRow{
		{lang.L("Shift and arrows"), lang.L("move the pane; dragging turns it, with the second button moves it")},
		{lang.L("Shift+M"), lang.L("the map before")},
		{lang.L("comma, full stop"), lang.L("turn the stripes")},
		{"W, N", lang.L("stripes wider, more of them; with Shift narrower, fewer")},
		{lang.L("Page Up, Page Down"), lang.L("move the section, with Shift finely; it can be dragged too")},
	}}
}
