package ui

import (
	"context"
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
)

// distancesBox is the check distances of the last cut's tiles as they were taped,
// and what they say of how the tiles were put together: it is said before the
// pane is blamed for the gaps.
type distancesBox struct {
	w       *Window
	say     *notes
	form    *fyne.Container
	rows    []*distanceRow
	asked   *widget.Label
	inside  *folding
	box     *fyne.Container
	of      *board.CutShape // that the list was begun for
	checks  []fixture.Check
	err     error // why there are none
	listing errand

	taped    string // what the assembly was reckoned from
	assembly *board.Assembly
	judging  errand
}

// distanceRow is one check distance.
type distanceRow struct {
	name  string
	plan  float64
	label *widget.Label
	entry *field
}

func newDistancesBox(w *Window) *distancesBox {
	b := &distancesBox{w: w, say: newNotes(widget.MediumImportance), asked: dim(""), listing: errand{w: w}, judging: errand{w: w}}
	b.form = container.New(&formLayout{gap: formGap})
	b.inside = fold(lang.L("Check distances of the tiles"), container.NewVBox(b.asked, b.form))
	b.box = container.NewVBox(b.say.box, b.inside.box)
	return b
}

// show brings the box up to the last cut.
func (b *distancesBox) show(s desk.State) {
	last := s.Job.LastCut()
	tiled := last != nil && last.Tiles.Bed != fixture.Bed{}
	setVisible(b.box, tiled)
	if !tiled {
		b.of, b.checks, b.taped, b.assembly = nil, nil, "", nil
		b.listing.stop()
		b.judging.stop()
		return
	}
	if b.of != last.Shape {
		b.list(last)
	}
	switch {
	case b.err != nil:
		setText(b.asked, inUnit(s.Job, refusal(b.err)))
	case b.listing.running():
		setText(b.asked, lang.L("Working out the distances…"))
	default:
		setText(b.asked, lang.L("Tape them on the assembled tiles, from mark to mark: a fixture that is out of square looks like a pane that is."))
	}
	b.showRows(s.Job, last.Number)
	b.judge(s.Job, last.Number)
	b.speak()
}

// list has the distances worked out.
func (b *distancesBox) list(cut *board.Cut) {
	b.of, b.checks, b.err = cut.Shape, nil, nil
	b.listing.begin(func(ctx context.Context) func() {
		checks, err := cut.CheckDistances(ctx)
		return func() {
			b.checks, b.err = checks, err
			b.w.refresh()
		}
	})
}

// taping is what was typed of a distance.
func taping(j *board.Job, cut int, name string) board.Cell {
	for _, d := range j.Distances {
		if d.Cut == cut && d.Name == name {
			return d.Length
		}
	}
	return board.Cell{}
}

func (b *distancesBox) showRows(j *board.Job, cut int) {
	for len(b.rows) < len(b.checks) {
		b.rows = append(b.rows, b.newRow())
	}
	for i, r := range b.rows {
		on := i < len(b.checks)
		setVisible(r.label, on)
		setVisible(b.form.Objects[2*i+1], on)
		if !on {
			continue
		}
		r.name, r.plan = b.checks[i].Name, b.checks[i].Length
		setText(r.label, lang.L("{{.Name}}, planned {{.L}}", map[string]any{"Name": r.name, "L": length(j, r.plan)}))
		c := taping(j, cut, r.name)
		r.entry.show(typed(c, j.Unit), capital(c.Fault))
	}
}

func (b *distancesBox) newRow() *distanceRow {
	r := &distanceRow{label: widget.NewLabel("")}
	r.label.SizeName = theme.SizeNameCaptionText
	r.entry = newField(true, func(s string) error {
		last := b.w.state.Job.LastCut()
		return b.w.Edit(lang.L("Tape {{.Name}}", map[string]any{"Name": r.name}), func(j *board.Job) error {
			return j.SetDistance(last.Number, r.name, s)
		})
	}, b.w.key)
	r.entry.echo = func(s string) { b.w.say(echo(b.w.state.Job, s, board.AxisLength)) }
	r.entry.onEnter = func() { b.next(r) }
	b.form.Add(r.label)
	b.form.Add(container.NewVBox(r.entry, r.entry.fault))
	return r
}

// next puts the keys on the distance after one.
func (b *distancesBox) next(r *distanceRow) {
	if i := slices.Index(b.rows, r) + 1; i < len(b.checks) {
		b.w.win.Canvas().Focus(b.rows[i].entry)
	}
}

// judge has the assembly reckoned anew where another distance was typed.
func (b *distancesBox) judge(j *board.Job, cut int) {
	key := ""
	for _, d := range j.Distances {
		if d.Cut == cut && d.Length.Set {
			key += d.Name + "=" + number(j, d.Length.MM, 3) + " "
		}
	}
	if key == b.taped {
		return
	}
	b.taped, b.assembly = key, nil
	if key == "" {
		b.judging.stop()
		return
	}
	b.judging.begin(func(ctx context.Context) func() {
		a, err := j.Assembly(ctx)
		return func() {
			b.assembly = a
			b.w.report(err)
			b.w.refresh()
		}
	})
}

// speak says what the distances say.
func (b *distancesBox) speak() {
	var texts []string
	switch a := b.assembly; {
	case b.taped == "":
	case a == nil:
		texts = []string{lang.L("Reckoning how the tiles were put together…")}
	case a.Why != "":
		texts = []string{said(a.Why)}
	default:
		for _, t := range a.Texts {
			texts = append(texts, said(t))
		}
	}
	b.say.show(texts)
}
