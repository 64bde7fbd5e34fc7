package ui

import (
	"errors"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
)

// pocketPart is the pocket's sizes, whether it can be made, and its tiles.
type pocketPart struct {
	w     *Window
	head  *widget.Label
	say   *widget.Label
	main  *form
	more  *form
	notes *notes
	facts *figures
	tiles *tilesBox
	trial *trial
	box   fyne.CanvasObject
}

func newPocketPart(w *Window) *pocketPart {
	p := &pocketPart{w: w, head: headline(), say: wrapped(""), main: newForm(w), more: newForm(w), notes: newNotes(widget.WarningImportance), tiles: newTilesBox(w)}
	u := fixture.DefaultSpec()
	p.size(p.main, lang.L("Wall clearance"), u.Wall, func(s *fixture.Spec) *float64 { return &s.Wall })
	p.size(p.main, lang.L("Seat width"), u.Seat, func(s *fixture.Spec) *float64 { return &s.Seat })
	p.size(p.main, lang.L("Rim width"), u.Rim, func(s *fixture.Spec) *float64 { return &s.Rim })
	p.size(p.main, lang.L("Base thickness"), u.Base, func(s *fixture.Spec) *float64 { return &s.Base })
	p.size(p.main, lang.L("Cutter diameter"), u.Cutter, func(s *fixture.Spec) *float64 { return &s.Cutter })
	p.size(p.more, lang.L("Cut low for felt"), u.Felt, func(s *fixture.Spec) *float64 { return &s.Felt })
	p.more.choice(lang.L("Rim top"), lang.L("Change the pocket"),
		[]string{lang.L("follows the edge"), lang.L("flat")},
		func(j *board.Job) int { return int(j.Pocket.Top) },
		func(j *board.Job, i int) { j.Pocket.Top = fixture.Top(i) })
	p.more.text(lang.L("Finger notches"), true, lang.L("Change the pocket"),
		func(j *board.Job) (string, string) { return strconv.Itoa(j.Pocket.Notches), "" },
		func(j *board.Job, s string) error {
			n, err := strconv.Atoi(strings.TrimSpace(s))
			if err != nil || n < 0 {
				return errors.New(lang.L("type a whole number, 0 or more"))
			}
			j.Pocket.Notches = n
			return nil
		})
	p.facts = newFigures(lang.L("Stock"), lang.L("Height of the stock"), lang.L("Least bearing width"))
	p.box = column(p.head, p.say, p.notes.box, p.main.box, fold(lang.L("More settings"), p.more.box).box, p.facts.box,
		widget.NewSeparator(), p.tiles.box)
	return p
}

// size adds a size of the pocket with its usual value.
func (p *pocketPart) size(f *form, name string, usual float64, of func(*fixture.Spec) *float64) {
	e := f.size(name, lang.L("Change the pocket"), func(j *board.Job) *float64 { return of(&j.Pocket) })
	hint := widget.NewLabel("")
	hint.Importance, hint.SizeName = widget.LowImportance, theme.SizeNameCaptionText
	last := len(f.box.Objects) - 1
	f.box.Objects[last] = container.NewVBox(container.NewGridWithColumns(2, e, hint), e.fault)
	f.show = append(f.show, func(j *board.Job) {
		setText(hint, lang.L("usual {{.V}}", map[string]any{"V": length(j, usual)}))
	})
}

func (p *pocketPart) content() fyne.CanvasObject { return p.box }

func (p *pocketPart) headline() string { return p.head.Text }

// show says whether a pocket can be made of the shape as it stands.
func (p *pocketPart) show(s desk.State) {
	p.main.update(s.Job)
	p.more.update(s.Job)
	word, weight, say := p.trial.word(s)
	setLabel(p.head, word, weight)
	setText(p.say, say)
	setVisible(p.say, say != "")
	pocket := p.trial.made(s)
	var warnings []string
	if pocket == nil {
		p.facts.show("", "", "")
	} else {
		st := pocket.Stock
		p.facts.show(length(s.Job, st.Max.X-st.Min.X)+" × "+length(s.Job, st.Max.Y-st.Min.Y),
			length(s.Job, pocket.Top-pocket.Bottom), length(s.Job, pocket.Bearing))
		for _, w := range pocket.Warnings {
			warnings = append(warnings, capital(inUnit(s.Job, w.Text)))
		}
	}
	p.notes.show(warnings)
	p.tiles.show(s, pocket)
}

// made is the pocket of the current model; nil where there is none, or not yet.
func (t *trial) made(s desk.State) *fixture.Pocket {
	if t.running || t.of != s.Model {
		return nil
	}
	return t.pocket
}

// notes are sentences under one another, as many as there are.
type notes struct {
	box    *fyne.Container
	weight widget.Importance
	small  bool
}

func newNotes(weight widget.Importance) *notes {
	return &notes{box: container.NewVBox(), weight: weight}
}

// show lists sentences.
func (n *notes) show(texts []string) {
	for len(n.box.Objects) < len(texts) {
		l := wrapped("")
		if n.small {
			l = caption("")
		}
		l.Importance = n.weight
		n.box.Add(l)
	}
	for i, o := range n.box.Objects {
		if i < len(texts) {
			setText(o.(*widget.Label), texts[i])
		}
		setVisible(o, i < len(texts))
	}
	setVisible(n.box, len(texts) > 0)
}
