package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
)

// windowKey is a key without a modifier that the whole window takes.
type windowKey struct {
	key   fyne.KeyName
	words string
	do    func()
}

// windowKeys are the keys that the whole window takes.
func (w *Window) windowKeys() []windowKey {
	return []windowKey{
		{fyne.KeyF1, lang.L("Help on this step"), w.help},
		{fyne.KeyF3, lang.L("Where the job stands"), w.showOverview},
		{fyne.KeyF6, lang.L("Go to the panel, or back from it"), w.turnPanel},
		{fyne.KeyF8, lang.L("Next suspect"), w.nextSuspect},
		{fyne.KeyF11, lang.L("Bench view: one cell, large"), w.turnBench},
	}
}

// key takes the keys that belong to the whole window.
func (w *Window) key(ev *fyne.KeyEvent) bool {
	for _, k := range w.windowKeys() {
		if k.key == ev.Name {
			k.do()
			return true
		}
	}
	return false
}

// keyGap stands in a menu between a command and a key without a modifier, which
// Fyne's menus do not show themselves.
const keyGap = "   "

// plain is the command of a key without a modifier: the window takes the key itself,
// and the words name it.
func (m *menu) plain(key fyne.KeyName) *fyne.MenuItem {
	for _, k := range m.w.windowKeys() {
		if k.key == key {
			return fyne.NewMenuItem(k.words+keyGap+string(key), k.do)
		}
	}
	return nil
}

// keyRow is a key and what it does.
type keyRow struct{ key, words string }

// keyGroup are the keys of a menu, or of a view.
type keyGroup struct {
	name string
	rows []keyRow
}

// keymap are all keys: those of every command, as the menus have them, and those
// that type and move.
func (w *Window) keymap() []keyGroup {
	groups := typingKeys()
	for _, m := range w.menu.main.Items {
		if rows := menuKeys(m.Items); len(rows) > 0 {
			groups = append(groups, keyGroup{m.Label, rows})
		}
	}
	return groups
}

// menuKeys are the keys of a menu's commands.
func menuKeys(items []*fyne.MenuItem) (rows []keyRow) {
	for _, i := range items {
		words, key, plain := strings.Cut(i.Label, keyGap)
		switch i.Shortcut.(type) {
		case *fyne.ShortcutUndo, *fyne.ShortcutRedo: // without the name of the edit
			words, _, _ = strings.Cut(words, ": ")
		}
		switch s, ok := i.Shortcut.(fyne.KeyboardShortcut); {
		case ok:
			rows = append(rows, keyRow{shortcutWord(s), words})
		case plain:
			rows = append(rows, keyRow{key, words})
		case i.ChildMenu != nil:
			rows = append(rows, menuKeys(i.ChildMenu.Items)...)
		}
	}
	return rows
}

// shortcutWord is a shortcut as it stands on the keys: "Ctrl+Shift+S".
func shortcutWord(s fyne.KeyboardShortcut) string {
	var b strings.Builder
	for _, m := range []struct {
		of   fyne.KeyModifier
		word string
	}{{fyne.KeyModifierControl, lang.L("Ctrl")}, {fyne.KeyModifierSuper, lang.L("Cmd")}, {fyne.KeyModifierAlt, lang.L("Alt")}, {fyne.KeyModifierShift, lang.L("Shift")}} {
		if s.Mod()&m.of != 0 {
			b.WriteString(m.word + "+")
		}
	}
	return b.String() + keyWord(s.Key())
}

// keyWord is a key as it stands on it.
func keyWord(k fyne.KeyName) string {
	switch k {
	case fyne.KeyLeft:
		return "←"
	case fyne.KeyRight:
		return "→"
	case fyne.KeyUp:
		return "↑"
	case fyne.KeyDown:
		return "↓"
	case fyne.KeyPageUp:
		return lang.L("Page Up")
	case fyne.KeyPageDown:
		return lang.L("Page Down")
	case fyne.KeyReturn, fyne.KeyEnter:
		return lang.L("Enter")
	case fyne.KeyDelete:
		return lang.L("Delete")
	case fyne.KeyEqual:
		return "="
	}
	return string(k)
}

// typingKeys are the keys that are no command of a menu.
func typingKeys() []keyGroup {
	return []keyGroup{
		{lang.L("In a table"), []keyRow{
			{lang.L("Enter, Tab"), lang.L("the next of x, y, z, then the next row")},
			{"F2", lang.L("edit the cell; Esc gives it up")},
			{lang.L("arrows"), lang.L("the next cell; with Shift cells are selected")},
			{"Ctrl+C, X, V", lang.L("copy, cut and paste cells")},
			{lang.L("Delete"), lang.L("empty the cells that are selected")},
			{lang.L("a click on a head"), lang.L("the unit that the column is typed in")},
			{lang.L("Ctrl+Home, Ctrl+End"), lang.L("the first row, the last row")},
		}},
		{lang.L("In the bench view"), []keyRow{
			{"∗", lang.L("take back the cell typed last")},
		}},
		{lang.L("In the picture"), []keyRow{
			{lang.L("arrows"), lang.L("move the board, or turn the solid; move the stations where several are selected")},
			{lang.L("Shift and a click, a drag"), lang.L("select one more or one less; all in a frame")},
			{"Ctrl+A", lang.L("select all of the list")},
			{lang.L("Delete"), lang.L("strike what is selected")},
			{"+, −", lang.L("zoom; the wheel too")},
			{"F", lang.L("show all of it")},
			{lang.L("figures"), lang.L("the height of the reading just placed; Enter ends it")},
			{"Esc", lang.L("let go of what is dragged, typed or selected")},
		}},
		solidKeys(),
		{lang.L("In a panel or a dialog"), []keyRow{
			{"Tab, Shift+Tab", lang.L("the next field, the one before")},
			{lang.L("Enter"), lang.L("take over what was typed; press the first button")},
			{"Esc", lang.L("give up what is typed; close the dialog")},
			{lang.L("Space"), lang.L("tick, or open a list of choices")},
		}},
	}
}
