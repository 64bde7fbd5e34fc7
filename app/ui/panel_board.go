package ui

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom"
)

// boardPanel is what is set up once: the board, the pane and how it was read.
type boardPanel struct {
	w      *Window
	head   *widget.Label
	say    *widget.Label
	name   *field
	job    *form
	main   *form
	more   *form
	seldom *folding // holds more
	checks *checksBox
	sigma  *field
	date   *field
	photo  *widget.Label
	notes  *widget.Label
	box    fyne.CanvasObject
}

func newBoardPanel(w *Window) *boardPanel {
	p := &boardPanel{w: w, head: headline(), say: wrapped(""), job: newForm(w), main: newForm(w), more: newForm(w), photo: wrapped(""), notes: wrapped("")}
	p.mainRows()
	p.moreRows()
	p.seldom = fold(lang.L("More settings"), p.more.box)
	p.checks = newChecksBox(w)
	photo := newButton(lang.L("Photo behind the grid…"), w.askPhoto)
	photo.onKey = w.key
	p.box = column(p.head, p.say, p.job.box, p.main.box, p.seldom.box, p.checks.box, widget.NewSeparator(), photo, p.photo, p.notes)
	return p
}

func (p *boardPanel) content() fyne.CanvasObject { return p.box }

// mainRows are the settings that every job needs.
func (p *boardPanel) mainRows() {
	p.name = p.job.text(lang.L("Job"), false, lang.L("Name the job"),
		func(j *board.Job) (string, string) { return j.Name, "" },
		func(j *board.Job, s string) error { j.Name = strings.TrimSpace(s); return nil })
	f := p.main
	f.choice(lang.L("Numbers in"), lang.L("Change the unit"),
		[]string{lang.L("millimetres"), lang.L("inches")},
		func(j *board.Job) int { return int(j.Unit) },
		func(j *board.Job, i int) { j.Unit = board.Unit(i) })
	f.cell(lang.L("Grid pitch"), lang.L("Change the grid"), board.AxisLength,
		func(j *board.Job) *board.Cell { return &j.Grid.PitchX })
	f.cell(lang.L("Thickness"), lang.L("Change the thickness"), board.AxisLength,
		func(j *board.Job) *board.Cell { return &j.Pane.Thickness })
	f.choice(lang.L("The pane lies"), lang.L("Change the lay"),
		[]string{lang.L("dome up"), lang.L("bowl up")},
		func(j *board.Job) int { return int(j.Pane.Lay) },
		func(j *board.Job, i int) { j.Pane.Lay = board.Lay(i) })
	f.choice(lang.L("Halves read"), lang.L("Change the mirror"),
		[]string{lang.L("see from the readings"), lang.L("both halves"), lang.L("left, mirror it"), lang.L("right, mirror it"), lang.L("no mirror")},
		func(j *board.Job) int { return int(j.Mirror) },
		func(j *board.Job, i int) { j.Mirror = board.Mirror(i) })
}

// moreRows are the settings that are seldom changed.
func (p *boardPanel) moreRows() {
	f := p.more
	f.choice(lang.L("Heights read on"), lang.L("Change the face read"),
		[]string{lang.L("upper face"), lang.L("lower face")},
		func(j *board.Job) int { return oneIf(j.Pane.ReadLower) },
		func(j *board.Job, i int) { j.Pane.ReadLower = i == 1 })
	f.choice(lang.L("Edge"), lang.L("Change the edge"),
		[]string{lang.L("square"), lang.L("ground round")},
		func(j *board.Job) int { return int(j.Pane.Profile) },
		func(j *board.Job, i int) { j.Pane.Profile = geom.Profile(i) })
	p.sigma = f.size(lang.L("Readings good to ±"), lang.L("Change the uncertainty"), func(j *board.Job) *float64 { return &j.Sigma })
	f.size(lang.L("Heights good to ±"), lang.L("Change the uncertainty of heights"), func(j *board.Job) *float64 {
		return &j.SigmaZ
	})
	f.cell(lang.L("Pencil offset"), lang.L("Change the pencil offset"), board.AxisLength,
		func(j *board.Job) *board.Cell { return &j.Pencil })
	f.cell(lang.L("Pitch up the board"), lang.L("Change the grid"), board.AxisLength,
		func(j *board.Job) *board.Cell { return &j.Grid.PitchY })
	whole(f, lang.L("First line across"), func(j *board.Job) *int { return &j.Grid.ColFirst })
	whole(f, lang.L("Last line across"), func(j *board.Job) *int { return &j.Grid.ColLast })
	whole(f, lang.L("Lettered lines"), func(j *board.Job) *int { return &j.Grid.Rows })
	whole(f, lang.L("Line A, in pitches up"), func(j *board.Job) *int { return &j.Grid.RowA })
	f.choice(lang.L("Decimal mark"), lang.L("Change the decimal mark"),
		[]string{lang.L("point: 1.5"), lang.L("comma: 1,5")},
		func(j *board.Job) int { return oneIf(j.Comma) },
		func(j *board.Job, i int) { j.SetComma(i == 1) })
	p.date = f.text(lang.L("Date"), false, lang.L("Date the job"),
		func(j *board.Job) (string, string) { return j.Date, "" },
		func(j *board.Job, s string) error {
			if s = strings.TrimSpace(s); s != "" && !board.IsDate(s) {
				return errors.New(lang.L("this is no date: type it as 2031-05-20"))
			}
			j.Date = s
			return nil
		})
}

// whole adds a field over a whole number of the grid.
func whole(f *form, name string, of func(*board.Job) *int) {
	f.text(name, true, lang.L("Change the grid"),
		func(j *board.Job) (string, string) { return strconv.Itoa(*of(j)), "" },
		func(j *board.Job, s string) error {
			n, err := strconv.Atoi(strings.TrimSpace(s))
			if err != nil {
				return fmt.Errorf("%s", lang.L("type a whole number"))
			}
			*of(j) = n
			return nil
		})
}

func oneIf(on bool) int {
	if on {
		return 1
	}
	return 0
}

// show says how the pane lies, and what is missing.
func (p *boardPanel) show(s desk.State) {
	j := s.Job
	lay := lang.L("dome up")
	if j.Pane.Lay == board.Bowl {
		lay = lang.L("bowl up")
	}
	if t := j.Pane.Thickness; t.Set {
		setLabel(p.head, lang.L("{{.T}} glass, {{.Lay}}", map[string]any{"T": asTyped(t, j.Unit), "Lay": lay}), widget.MediumImportance)
	} else {
		setLabel(p.head, lang.L("Thickness not known"), widget.WarningImportance)
	}
	setText(p.say, p.remark(s))
	p.job.update(j)
	p.main.update(j)
	p.more.update(j)
	p.checks.show(s)
	text, wrong := p.w.photo.say(s)
	importance := widget.MediumImportance
	if wrong {
		importance = widget.WarningImportance
	}
	setLabel(p.photo, text, importance)
	setVisible(p.photo, text != "")
	setText(p.notes, strings.Join(s.Notes, "\n"))
	setVisible(p.notes, len(s.Notes) > 0)
}

// gotoField brings the setting that a finding speaks of into view, the keys on it.
func (p *boardPanel) gotoField(name string) {
	switch {
	case name == "sigma":
		p.seldom.open(true)
		p.w.win.Canvas().Focus(p.sigma)
	case name == "date":
		p.seldom.open(true)
		p.w.win.Canvas().Focus(p.date)
	default:
		p.checks.gotoField(name)
	}
}

// remark says what comes next.
func (p *boardPanel) remark(s desk.State) string {
	for _, f := range s.Findings {
		if f.List == "job" && isBoardField(f.Field) {
			return capital(f.Text)
		}
	}
	return lang.L("Numbers may be typed as they are spoken: 12 3/8, 314 mm, 7+3/8 for line 7 plus 3/8.")
}
