package ui

import (
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/benchview"
	"panewright/app/ui/boardview"
	"panewright/app/ui/look"
	"panewright/app/ui/sheet"
	"panewright/app/ui/solidview"
)

// menu is the main menu. It carries every command of the window.
type menu struct {
	w          *Window
	main       *fyne.MainMenu
	undo, redo *fyne.MenuItem
	solid      *fyne.MenuItem
	board      *fyne.MenuItem
	fold       *fyne.MenuItem
	bench      *fyne.MenuItem
	comb       *fyne.MenuItem
	heights    *fyne.MenuItem
	band       *fyne.MenuItem
	places     *fyne.MenuItem
	halves     *fyne.MenuItem
	tones      *fyne.MenuItem
	themes     [3]*fyne.MenuItem
	contrast   *fyne.MenuItem
	recent     *fyne.MenuItem
	stale      bool // the menu on screen has to be built again
	waiting    bool // and will be
}

const (
	ctrl  = fyne.KeyModifierShortcutDefault
	shift = fyne.KeyModifierShift
)

// item is a command with its shortcut; key "" has none.
func item(words string, key fyne.KeyName, mod fyne.KeyModifier, do func()) *fyne.MenuItem {
	i := fyne.NewMenuItem(words, do)
	if key != "" {
		i.Shortcut = &desktop.CustomShortcut{KeyName: key, Modifier: mod}
	}
	return i
}

func separator() *fyne.MenuItem { return fyne.NewMenuItemSeparator() }

func newMenu(w *Window) *menu {
	m := &menu{w: w}
	m.main = fyne.NewMainMenu(m.file(), m.edit(), m.readings(), m.centre(), m.cuts(), m.view(), m.help())
	return m
}

func (m *menu) file() *fyne.Menu {
	w := m.w
	quit := item(lang.L("Quit"), fyne.KeyQ, ctrl, w.quit)
	quit.IsQuit = true
	m.recent = fyne.NewMenuItem(lang.L("Recent jobs"), nil)
	m.recent.ChildMenu = fyne.NewMenu("")
	demo := fyne.NewMenuItem(lang.L("Demo jobs"), nil)
	demo.ChildMenu = fyne.NewMenu("",
		fyne.NewMenuItem(lang.L("A: rear screen, inches, half measured"), func() { w.demo("a") }),
		fyne.NewMenuItem(lang.L("B: windscreen, millimetres, all round"), func() { w.demo("b") }),
		fyne.NewMenuItem(lang.L("C: quarter window, no mirror"), func() { w.demo("c") }))
	return fyne.NewMenu(lang.L("File"),
		item(lang.L("New job"), fyne.KeyN, ctrl, w.newJob),
		item(lang.L("Open…"), fyne.KeyO, ctrl, w.askOpen),
		item(lang.L("Open the job before this one"), fyne.KeyO, ctrl|shift, w.reopen),
		m.recent, demo, separator(),
		item(lang.L("Save"), fyne.KeyS, ctrl, w.save),
		item(lang.L("Save as…"), fyne.KeyS, ctrl|shift, w.saveAs),
		item(lang.L("Export hand-over files…"), fyne.KeyE, ctrl, w.export),
		fyne.NewMenuItem(lang.L("Job of the other-hand pane…"), w.otherHand),
		separator(), quit)
}

func (m *menu) edit() *fyne.Menu {
	w := m.w
	m.undo = fyne.NewMenuItem(lang.L("Undo"), w.undo)
	m.undo.Shortcut = &fyne.ShortcutUndo{}
	m.redo = fyne.NewMenuItem(lang.L("Redo"), w.redo)
	m.redo.Shortcut = &fyne.ShortcutRedo{}
	again := item(lang.L("Redo, the other way"), fyne.KeyZ, ctrl|shift, w.redo)
	return fyne.NewMenu(lang.L("Edit"), m.undo, m.redo, again,
		item(lang.L("Go back to…"), fyne.KeyY, ctrl|shift, w.showHistory), separator(),
		item(lang.L("Paste columns, with a look first…"), fyne.KeyV, ctrl|shift, w.pasteColumns),
		fyne.NewMenuItem(lang.L("Readings from a table…"), w.askColumns),
		separator(),
		item(lang.L("Go to the readings"), fyne.KeyL, ctrl, w.focusList),
		m.plain(fyne.KeyF6), separator(),
		item(lang.L("Preferences…"), fyne.KeyComma, ctrl, w.showSettings))
}

func (m *menu) readings() *fyne.Menu {
	w := m.w
	list := func(words string, key fyne.KeyName, i int) *fyne.MenuItem {
		return item(words, key, fyne.KeyModifierAlt, func() { w.openList(i) })
	}
	return fyne.NewMenu(lang.L("Readings"),
		m.plain(fyne.KeyF8),
		m.useCorrection(),
		item(lang.L("It is right, or take that back"), fyne.KeyR, ctrl, w.vouchSelected),
		item(lang.L("Strike, or use again"), fyne.KeyK, ctrl, w.strikeSelected),
		fyne.NewMenuItem(lang.L("True break here, or none"), w.breakSelected),
		separator(),
		fyne.NewMenuItem(lang.L("The pane was moved: new laying…"), w.askLaying),
		item(lang.L("Read this place again"), fyne.KeyD, ctrl, w.readAgain),
		item(lang.L("Insert a row"), fyne.KeyI, ctrl, w.insertRow),
		item(lang.L("Delete rows"), fyne.KeyDelete, ctrl, w.deleteSelected),
		item(lang.L("Move rows up"), fyne.KeyPageUp, ctrl, func() { w.moveRows(-1) }),
		item(lang.L("Move rows down"), fyne.KeyPageDown, ctrl, func() { w.moveRows(1) }),
		fyne.NewMenuItem(lang.L("Sort the stations round the edge"), w.sortEdge),
		item(lang.L("Find a reading…"), fyne.KeyF, ctrl, w.askFind),
		separator(),
		fyne.NewMenuItem(lang.L("Select and move on the board"), func() { w.setTool(0) }),
		item(lang.L("Place stations"), fyne.KeyP, ctrl, func() { w.setTool(1) }),
		item(lang.L("Place face points"), fyne.KeyP, ctrl|shift, func() { w.setTool(2) }),
		separator(),
		list(lang.L("Edge"), fyne.Key1, listEdge), list(lang.L("Face"), fyne.Key2, listFace),
		list(lang.L("Others"), fyne.Key3, listOthers), list(lang.L("Tapes"), fyne.Key4, listTapes), list(lang.L("Zeros of the empty board"), fyne.Key5, listZero),
		list(lang.L("Gaps of the last cut"), fyne.Key6, listGaps))
}

// mainEnter is Ctrl with the main Enter key, which the menu calls Enter as all of
// the window does, not Return.
type mainEnter struct{ desktop.CustomShortcut }

// Key implements fyne.KeyboardShortcut: it is what the menu writes.
func (mainEnter) Key() fyne.KeyName { return fyne.KeyEnter }

func (m *menu) useCorrection() *fyne.MenuItem {
	i := fyne.NewMenuItem(lang.L("Use the correction"), m.w.useFirst)
	i.Shortcut = &mainEnter{desktop.CustomShortcut{KeyName: fyne.KeyReturn, Modifier: ctrl}}
	return i
}

func (m *menu) centre() *fyne.Menu {
	w := m.w
	const alt = fyne.KeyModifierAlt
	nudge := func(words string, key fyne.KeyName, mod fyne.KeyModifier, steps, turn, lean float64) *fyne.MenuItem {
		return item(words, key, mod, func() { w.nudge(steps*w.nudgeStep(), turn, lean) })
	}
	return fyne.NewMenu(lang.L("Centre line"),
		item(lang.L("Use what was found"), fyne.KeyU, ctrl, w.useFound),
		item(lang.L("Hold it where it is"), fyne.KeyH, ctrl, w.holdCentre),
		separator(),
		nudge(lang.L("A step to the left"), fyne.KeyLeft, alt, -1, 0, 0),
		nudge(lang.L("A step to the right"), fyne.KeyRight, alt, 1, 0, 0),
		nudge(lang.L("Ten steps to the left"), fyne.KeyLeft, alt|shift, -10, 0, 0),
		nudge(lang.L("Ten steps to the right"), fyne.KeyRight, alt|shift, 10, 0, 0),
		nudge(lang.L("0.01° anticlockwise"), fyne.KeyUp, alt, 0, 0.01, 0),
		nudge(lang.L("0.01° clockwise"), fyne.KeyDown, alt, 0, -0.01, 0),
		nudge(lang.L("0.1° anticlockwise"), fyne.KeyUp, alt|shift, 0, 0.1, 0),
		nudge(lang.L("0.1° clockwise"), fyne.KeyDown, alt|shift, 0, -0.1, 0),
		nudge(lang.L("Lean 0.01° up"), fyne.KeyPageUp, alt, 0, 0, 0.01),
		nudge(lang.L("Lean 0.01° down"), fyne.KeyPageDown, alt, 0, 0, -0.01))
}

// mostCauses is how many causes of the gaps have a key.
const mostCauses = 9

// cuts is the menu of the fit check: its parts, and what is done about gaps.
func (m *menu) cuts() *fyne.Menu {
	w := m.w
	cause := fyne.NewMenuItem(lang.L("Put a cause right, or leave it"), nil)
	cause.ChildMenu = fyne.NewMenu("")
	for i := range mostCauses {
		cause.ChildMenu.Items = append(cause.ChildMenu.Items,
			item(lang.L("Cause {{.N}}", map[string]any{"N": i + 1}), fyne.KeyName(rune('1'+i)), ctrl|shift, func() { w.putNthRight(i) }))
	}
	return fyne.NewMenu(lang.L("Fit check"),
		fyne.NewMenuItem(lang.L("Prediction"), func() { w.openFitPart(partPrediction) }),
		fyne.NewMenuItem(lang.L("Pocket and tiles"), func() { w.openFitPart(partPocket) }),
		item(lang.L("Cuts and their gaps"), fyne.KeyG, ctrl, w.openCuts),
		separator(),
		item(lang.L("Record the next cut…"), fyne.KeyG, ctrl|shift, w.recordCut),
		fyne.NewMenuItem(lang.L("The glass rocked, or not"), w.turnRocks),
		item(lang.L("Put right what was found, or nothing"), fyne.KeyA, ctrl|shift, w.putFoundRight),
		cause, separator(),
		fyne.NewMenuItem(lang.L("Delete the last cut"), w.deleteCut))
}

func (m *menu) view() *fyne.Menu {
	w := m.w
	m.board = item(lang.L("Board picture"), fyne.KeyB, ctrl, func() { w.setSolid(false) })
	m.solid = item(lang.L("Solid view"), fyne.KeyB, ctrl|shift, w.openSolid)
	m.fold = item(lang.L("Fold the lists away"), fyne.KeyT, ctrl, func() { w.setFolded(w.lists.content.Visible()) })
	m.bench = m.plain(fyne.KeyF11)
	m.tones = fyne.NewMenuItem(tonesWord(), func() { w.setTones(!w.tonesOn(), nil) })
	whiskers := fyne.NewMenuItem(lang.L("Misses drawn"), nil)
	whiskers.ChildMenu = fyne.NewMenu("")
	for i, word := range []string{lang.L("true size"), "10 ×", "20 ×", "50 ×", "100 ×"} {
		whiskers.ChildMenu.Items = append(whiskers.ChildMenu.Items, fyne.NewMenuItem(word, func() { w.setMagnify(i) }))
	}
	m.comb = fyne.NewMenuItem(lang.L("Curvature comb"), nil)
	m.comb.ChildMenu = fyne.NewMenu("")
	for i, word := range combWords() {
		m.comb.ChildMenu.Items = append(m.comb.ChildMenu.Items, fyne.NewMenuItem(word, func() { w.setComb(i) }))
	}
	m.heights = fyne.NewMenuItem(lang.L("Heights of the face on the board"), func() { w.setHeights(!w.heightsDrawn()) })
	m.band = fyne.NewMenuItem(lang.L("How sure the outline is"), func() { w.setDrawn(prefBand, !w.drawn(prefBand)) })
	m.places = fyne.NewMenuItem(lang.L("Where to measure next"), func() { w.setDrawn(prefPlaces, !w.drawn(prefPlaces)) })
	m.halves = item(lang.L("Fold the halves over"), fyne.KeyF, ctrl|shift, func() { w.setFold(!w.foldShown) })
	differences := fyne.NewMenuItem(lang.L("Differences of the halves drawn"), nil)
	differences.ChildMenu = fyne.NewMenu("")
	for i, word := range foldScaleWords() {
		differences.ChildMenu.Items = append(differences.ChildMenu.Items, fyne.NewMenuItem(word, func() { w.setFoldScale(i) }))
	}
	photo := item(lang.L("Photo behind the grid…"), fyne.KeyI, ctrl|shift, w.askPhoto)
	away := fyne.NewMenuItem(lang.L("Take the photo away"), w.takePhotoAway)
	items := []*fyne.MenuItem{}
	for i, b := range w.steps.buttons {
		items = append(items, item(b.Text, fyne.KeyName(rune('1'+i)), ctrl, func() { w.pressStep(i) }))
	}
	items = append(items, separator(), m.board, m.solid, m.solidView(), separator(),
		item(lang.L("Zoom in"), fyne.KeyEqual, ctrl, func() { w.zoom(1.25) }),
		item(lang.L("Zoom out"), fyne.KeyMinus, ctrl, func() { w.zoom(1 / 1.25) }),
		item(lang.L("Show the whole board"), fyne.Key0, ctrl, w.fitPicture),
		separator(), whiskers, m.comb, m.heights, m.band, m.places, separator(), m.halves, differences, separator(), photo, away, separator(), m.bench, m.fold, m.theme(), m.tones)
	return fyne.NewMenu(lang.L("View"), items...)
}

// theme is the submenu of themes.
func (m *menu) theme() *fyne.MenuItem {
	w := m.w
	for i, word := range themeWords() {
		m.themes[i] = fyne.NewMenuItem(word, func() {
			w.change(func(s *settings) { s.Mode = look.Mode(i) })
		})
	}
	m.contrast = fyne.NewMenuItem(lang.L("high contrast"), func() {
		w.change(func(s *settings) { s.Contrast = !s.Contrast })
	})
	t := fyne.NewMenuItem(lang.L("Theme"), nil)
	t.ChildMenu = fyne.NewMenu("", m.themes[look.System], m.themes[look.Light], m.themes[look.Dark], separator(), m.contrast)
	return t
}

func (m *menu) help() *fyne.Menu {
	w := m.w
	return fyne.NewMenu(lang.L("Help"),
		m.plain(fyne.KeyF1), m.plain(fyne.KeyF3),
		fyne.NewMenuItem(lang.L("Keys"), func() { w.showHelp(stepCount) }),
		fyne.NewMenuItem(lang.L("Cautions"), w.cautions),
		fyne.NewMenuItem(lang.L("About panewright"), w.about))
}

// showRecent lists the jobs that were open before; those that are gone are grey and
// say so. gone is nil while that is not known.
func (m *menu) showRecent(paths []string, gone []bool) {
	m.recent.ChildMenu.Items = nil
	for k, path := range paths {
		missing := gone != nil && gone[k]
		word := filepath.Base(path) + "  –  " + filepath.Dir(path)
		if missing {
			word = lang.L("{{.File}}  –  not there any more, in {{.Dir}}", map[string]any{"File": filepath.Base(path), "Dir": filepath.Dir(path)})
		}
		i := fyne.NewMenuItem(word, func() { m.w.openRecent(path) })
		i.Disabled = missing
		m.recent.ChildMenu.Items = append(m.recent.ChildMenu.Items, i)
	}
	m.recent.Disabled = len(paths) == 0
	m.stale = true
	m.wait()
}

// show names the edits that undo and redo would take back, and ticks what is on.
// The menu on screen is built again a little later, so that typing never waits.
func (m *menu) show(s desk.State) {
	named := func(i *fyne.MenuItem, word, name string) {
		label := word
		if name != "" {
			label += ": " + name
		}
		if i.Label != label || i.Disabled != (name == "") {
			i.Label, i.Disabled = label, name == ""
			m.stale = true
		}
	}
	named(m.undo, lang.L("Undo"), s.Undo)
	named(m.redo, lang.L("Redo"), s.Redo)
	set := readSettings(m.w.app.Preferences())
	ticked := func(i *fyne.MenuItem, on bool) {
		if i.Checked != on {
			i.Checked = on
			m.stale = true
		}
	}
	ticked(m.solid, m.w.solidShown)
	ticked(m.board, !m.w.solidShown)
	ticked(m.fold, !m.w.lists.content.Visible())
	ticked(m.bench, m.w.bench.view.Visible())
	for i, c := range m.comb.ChildMenu.Items {
		ticked(c, i == m.w.comb)
	}
	ticked(m.heights, m.w.heightsDrawn())
	ticked(m.band, m.w.drawn(prefBand))
	ticked(m.places, m.w.drawn(prefPlaces))
	ticked(m.halves, m.w.foldShown)
	for i, t := range m.themes {
		ticked(t, int(set.Mode) == i)
	}
	ticked(m.contrast, set.Contrast)
	ticked(m.tones, set.Tones)
	if m.stale {
		m.wait()
	}
}

// wait has the menu built again a little later.
func (m *menu) wait() {
	if m.waiting {
		return
	}
	m.waiting = true
	m.w.later(func() {
		m.waiting = false
		m.rebuild()
	})
}

// rebuild builds the menu on screen again, once no menu is open: an open one
// would close under the pointer.
func (m *menu) rebuild() {
	switch m.w.win.Canvas().Focused().(type) {
	case nil, *sheet.Sheet, *field, *button, *tick, *choice, *keyRoot, *widget.Button, *widget.Check, *widget.Slider, *boardview.View, *solidview.View, *benchview.View:
	default:
		m.wait()
		return
	}
	if m.stale {
		m.stale = false
		m.main.Refresh()
	}
}
