package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// prediction is how the real pane is expected to fit, before anything is cut.
type prediction struct {
	w        *Window
	of       *board.Model // that is shown
	say      *widget.Label
	why      *widget.Label
	found    *button // use the centre line that was found
	wall     *button // set the clearance that would do
	enough   float64 // that clearance, mm
	places   [mostPlaces + 1]*lineRow
	at       [mostPlaces + 1]string
	facts    *figures
	contacts *widget.Label
	list     *gapTable
	box      *fyne.Container
}

func newPrediction(w *Window) *prediction {
	p := &prediction{w: w, say: wrapped(""), why: wrapped(""), contacts: dim(lang.L("Triangles on the picture: where a rigid pane would rest. A thin one gives, and rests on more.")), list: newGapTable(w)}
	p.why.Importance = widget.WarningImportance
	p.found = newButton(lang.L("Use what was found"), w.useFound)
	p.wall = newButton("", p.setWall)
	p.found.onKey, p.wall.onKey = w.key, w.key
	p.found.Importance = widget.HighImportance
	places := container.NewVBox()
	for i := range p.places {
		p.places[i] = newLineRow(func() { w.showStation(p.at[i]) })
		places.Add(p.places[i].box)
	}
	p.facts = newFigures(lang.L("Least wall gap"), lang.L("Largest wall gap"), lang.L("Largest ledge gap"),
		lang.L("Rock under a corner"), lang.L("Clearance to be snug"))
	note := dim(lang.L("5 of 100 panes come closer, stand off farther or rock more; with that clearance 95 of 100 are snug."))
	p.box = container.NewVBox(p.say, p.why, p.found, places, p.wall, p.facts.box, note, p.contacts, p.list.box)
	return p
}

// show brings the prediction up to a state; head is the panel's first line.
func (p *prediction) show(s desk.State, head *widget.Label) {
	m := s.Model
	on := m != nil && m.Fit != nil
	setVisible(p.box, on)
	if !on {
		p.of = nil
		return
	}
	word, weight := fitWord(s.Job, m.Fit)
	if !s.Current() {
		weight = widget.MediumImportance
	}
	setLabel(head, word, weight)
	if p.of == m {
		return
	}
	p.of = m
	f, j := m.Fit, s.Job
	setText(p.say, chancesWord(f))
	cause := p.w.fitCause(s)
	setText(p.why, cause)
	setVisible(p.why, cause != "")
	setVisible(p.found, cause != "")
	p.showWall(j, f)
	p.showPlaces(gapPlaces(j, f))
	if f.DropsIn == 0 { // none was let down
		p.facts.show(fine(j, f.LeastGap), fine(j, f.LargestGap), "", "", fine(j, f.Enough))
	} else {
		p.facts.show(fine(j, f.LeastGap), fine(j, f.LargestGap), fine(j, f.LedgeGap), fine(j, f.Rock), fine(j, f.Enough))
	}
	setVisible(p.contacts, len(f.Contacts) > 0)
	p.list.show(j, f)
}

// showWall offers the clearance that would do, where the one set does not.
func (p *prediction) showWall(j *board.Job, f *board.FitCheck) {
	mm, ok := enoughWall(j, f)
	p.enough = mm
	setVisible(p.wall, ok && f.Snug < nearlyAll && mm > f.Wall)
	setWord(p.wall, lang.L("Set the clearance to {{.C}}", map[string]any{"C": sizeText(j, mm) + " " + j.Unit.String()}))
}

func (p *prediction) setWall() {
	mm := p.enough
	p.w.report(p.w.Edit(lang.L("Change the pocket"), func(j *board.Job) error {
		j.Pocket.Wall = mm
		return nil
	}))
}

func (p *prediction) showPlaces(places []gapPlace) {
	for i, row := range p.places {
		if i < len(places) {
			p.at[i] = places[i].id
			setText(&row.text.Label, places[i].text)
		}
		setVisible(row.box, i < len(places))
	}
}

// showStation shows a station of the fit check on the board, and its reading
// where it is one.
func (w *Window) showStation(id string) {
	w.setSolid(false)
	for _, i := range w.state.Job.Indices(board.Edge) {
		if r := w.state.Job.Readings[i]; r.ID == id && !r.Struck {
			w.lists.gotoReading(i, fieldX)
			break
		}
	}
	w.board.ShowStation(id)
}

// gapTable lists the wall gap of every station; a click on a line goes there.
type gapTable struct {
	w    *Window
	text *tapText
	ids  []string
	box  *fyne.Container
}

func newGapTable(w *Window) *gapTable {
	t := &gapTable{w: w}
	t.text = newTapText(func(line int) {
		if line >= 1 && line <= len(t.ids) { // under the head
			w.showStation(t.ids[line-1])
		}
	})
	note := dim(lang.L("Wall gap at 5, 50 and 95 of 100 panes. ✕ may bind, = may be loose. A click shows the place."))
	t.box = fold(lang.L("Wall gaps by station"), container.NewVBox(note, t.text)).box
	return t
}

func (t *gapTable) show(j *board.Job, f *board.FitCheck) {
	t.ids = t.ids[:0]
	for _, g := range f.Stations {
		t.ids = append(t.ids, g.ID)
	}
	setText(&t.text.Label, columnsText(gapRows(j, f)))
}

// tapText is text in a monospaced face of which a line can be clicked.
type tapText struct {
	widget.Label
	tapped func(line int)
}

var _ fyne.Tappable = (*tapText)(nil)

func newTapText(tapped func(line int)) *tapText {
	t := &tapText{tapped: tapped}
	t.TextStyle.Monospace = true
	t.SizeName = theme.SizeNameCaptionText
	t.ExtendBaseWidget(t)
	return t
}

// Tapped implements fyne.Tappable.
func (t *tapText) Tapped(e *fyne.PointEvent) {
	lines := strings.Count(t.Text, "\n") + 1
	pad := theme.InnerPadding()
	if high := (t.MinSize().Height - 2*pad) / float32(lines); high > 0 && e.Position.Y >= pad {
		t.tapped(int((e.Position.Y - pad) / high))
	}
}
