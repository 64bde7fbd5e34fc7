package ui

import (
	"errors"
	"os"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/look"
	"panewright/board"
)

// themeWords and typeWords are the choices of the look, in the order of their values.
func themeWords() []string {
	return []string{lang.L("as the desktop"), lang.L("light"), lang.L("dark")}
}

func typeWords() []string {
	return []string{lang.L("small"), lang.L("normal"), lang.L("large"), lang.L("very large")}
}

// settingsBox is what a person sets once. Every change holds at once.
type settingsBox struct {
	w                        *Window
	rows                     *fyne.Container
	unit, comma, theme, size *choice
	contrast, tones          *tick
	noSound                  *widget.Label // why no tone is heard
	jobs, packs              *field
	modal                    *modal
}

// showSettings lays the settings over the window.
func (w *Window) showSettings() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	set := readSettings(w.app.Preferences())
	b := &settingsBox{w: w, rows: container.New(&formLayout{gap: formGap})}
	b.unit = b.choice(lang.L("Numbers of a new job in"), []string{lang.L("millimetres"), lang.L("inches")}, int(set.Unit),
		func(s *settings, i int) { s.Unit = board.Unit(i) })
	comma := 0
	if set.Comma {
		comma = 1
	}
	b.comma = b.choice(lang.L("Decimal sign of a new job"), []string{lang.L("point: 314.5"), lang.L("comma: 314,5")}, comma,
		func(s *settings, i int) { s.Comma = i == 1 })
	b.theme = b.choice(lang.L("Theme"), themeWords(), int(set.Mode), func(s *settings, i int) { s.Mode = look.Mode(i) })
	b.size = b.choice(lang.L("Type"), typeWords(), int(set.Type-look.TypeSmall), func(s *settings, i int) { s.Type = look.Type(i) + look.TypeSmall })
	b.contrast = newTick(lang.L("high contrast"), func(on bool) { b.change(func(s *settings) { s.Contrast = on }) })
	b.contrast.Checked = set.Contrast
	b.row("", b.contrast)
	b.tones = newTick(tonesWord(), func(on bool) { w.setTones(on, b.heard) })
	b.tones.Checked = set.Tones
	b.noSound = wrapped("")
	b.noSound.Hide()
	b.row(lang.L("Readings that are typed"), container.NewVBox(b.tones, b.noSound))
	b.jobs = b.folder(lang.L("Folder for jobs"), set.Jobs, func(s *settings, path string) { s.Jobs = path })
	b.packs = b.folder(lang.L("Folder for hand-over files"), set.Packs, func(s *settings, path string) { s.Packs = path })
	b.modal = w.ask("preferences", lang.L("Preferences"), container.NewVBox(b.rows,
		dim(lang.L("An open job keeps its own unit and decimal sign; they are set under Board. A folder left empty is the one used last."))),
		nil, answer{closeWord(), b.commit})
	for _, f := range []*field{b.jobs, b.packs} {
		f.onEnter, f.onEsc = b.modal.escape, b.modal.close
	}
	b.fit()
	w.win.Canvas().Focus(b.unit)
}

// heard says under the switch why no tone is heard; "": it is.
func (b *settingsBox) heard(trouble string) {
	b.noSound.SetText(trouble)
	setVisible(b.noSound, trouble != "")
	b.modal.pop.Refresh()
	b.fit()
}

// fit gives the dialog the room that its type asks for.
func (b *settingsBox) fit() { b.modal.resize(fyne.NewSize(640*look.Scale(), 0)) }

func (b *settingsBox) row(name string, o fyne.CanvasObject) {
	b.rows.Add(widget.NewLabel(name))
	b.rows.Add(o)
}

// change changes the settings, and the dialog with them.
func (b *settingsBox) change(f func(*settings)) {
	b.w.change(f)
	b.modal.pop.Refresh()
	b.fit()
}

// choice is a list of words of which one is chosen.
func (b *settingsBox) choice(name string, words []string, at int, set func(*settings, int)) *choice {
	c := newChoice(words, func(i int) { b.change(func(s *settings) { set(s, i) }) })
	c.show(at)
	b.row(name, c)
	return c
}

// folder is a folder that is typed or browsed to.
func (b *settingsBox) folder(name, path string, set func(*settings, string)) *field {
	f := newField(true, func(text string) error {
		path := cleanPath(text)
		if st, err := os.Stat(path); path != "" && (err != nil || !st.IsDir()) {
			return errors.New(lang.L("there is no such folder"))
		}
		b.change(func(s *settings) { set(s, path) })
		return nil
	}, b.w.key)
	f.SetText(path)
	f.shown = path
	browse := newButton(lang.L("Browse…"), func() { b.w.browse(true, f) })
	b.row(name, container.NewVBox(container.NewBorder(nil, nil, nil, browse, f), f.fault))
	return f
}

// commit takes over what was typed; a folder that is not there keeps the dialog open.
func (b *settingsBox) commit() bool { return b.jobs.commit() && b.packs.commit() }
