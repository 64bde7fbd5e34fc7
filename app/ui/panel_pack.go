package ui

import (
	"errors"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/handover"
	"panewright/board"
)

// packBox is what the hand-over pack holds beside the usual files.
type packBox struct {
	w     *Window
	main  *form
	thick *row // of a model to scale
	shape *form
	car   *form
	rake  []*row // told by an angle and a place
	three []*row // told by three points
	print *form
	box   *fyne.Container

	scale                 *field
	shapes, inCar, untrue *folding
}

// row is a named setting of a form that comes and goes.
type row struct{ name, value fyne.CanvasObject }

func (r *row) show(on bool) {
	setVisible(r.name, on)
	setVisible(r.value, on)
}

// lastRow is the row that was added last.
func (f *form) lastRow() *row {
	n := len(f.box.Objects)
	return &row{f.box.Objects[n-2], f.box.Objects[n-1]}
}

func newPackBox(w *Window) *packBox {
	p := &packBox{w: w, main: newForm(w), shape: newForm(w), car: newForm(w), print: newForm(w)}
	p.mainRows()
	p.shapeRows()
	p.carRows()
	p.printRows()
	p.shapes = fold(lang.L("Shapes for the body"), container.NewVBox(
		dim(lang.L("They go into faces.step. An empty field leaves one out.")), p.shape.box))
	p.inCar = fold(lang.L("Car's frame too"), container.NewVBox(
		dim(lang.L("Places are typed rear; right; up: lengths to the rear, to the driver's right and up.")), p.car.box))
	p.untrue = fold(lang.L("If the printer is not true"), container.NewVBox(
		dim(lang.L("Print templates.pdf once with these fields empty, measure the long bars on its first page, and type what they measured: the next print comes out true.")), p.print.box))
	p.box = container.NewVBox(title(lang.L("Also in the pack")), p.main.box, p.shapes.box, p.inCar.box, p.untrue.box)
	return p
}

// edit is the name of every edit of these settings.
func (*packBox) edit() string { return lang.L("Change what the pack holds") }

// choice adds a list of words.
func (p *packBox) choice(f *form, name string, words []string, get func(*board.PackSettings) int, set func(*board.PackSettings, int)) {
	f.choice(name, p.edit(), words,
		func(j *board.Job) int { return get(&j.Pack) },
		func(j *board.Job, i int) { set(&j.Pack, i) })
}

// text adds a field; what is set is refused where nobody can mean it.
func (p *packBox) text(f *form, name, hint string, get func(*board.Job) string, set func(*board.Job, string) error) *field {
	e := f.text(name, true, p.edit(),
		func(j *board.Job) (string, string) { return get(j), "" },
		func(j *board.Job, s string) error {
			if err := set(j, strings.TrimSpace(s)); err != nil {
				return err
			}
			pack := j.Pack
			if pack.Body.Car.By == board.ByPoints { // named one after the other
				pack.Body.Car = board.Car{}
			}
			return pack.Check()
		})
	e.SetPlaceHolder(hint)
	return e
}

// length adds a field over a length; 0 is shown empty.
func (p *packBox) length(f *form, name, hint string, of func(*board.PackSettings) *float64) *field {
	e := p.text(f, name, hint, func(j *board.Job) string {
		if v := *of(&j.Pack); v != 0 {
			return sizeText(j, v)
		}
		return ""
	}, func(j *board.Job, s string) (err error) {
		*of(&j.Pack), err = typedIn(j, s, board.AxisLength)
		return err
	})
	e.echo = func(s string) { p.w.say(echo(p.w.state.Job, s, board.AxisLength)) }
	return e
}

// mainRows are the five settings that are looked at most.
func (p *packBox) mainRows() {
	f := p.main
	sheets := append([]string{lang.L("usual")}, board.SheetNames...)
	p.choice(f, lang.L("Paper"), sheets, func(s *board.PackSettings) int {
		for i, n := range board.SheetNames {
			if strings.EqualFold(n, s.Paper.Sheet) {
				return i + 1
			}
		}
		return 0
	}, func(s *board.PackSettings, i int) { s.Paper.Sheet = append([]string{""}, board.SheetNames...)[i] })
	yes := []string{lang.L("no"), lang.L("yes")}
	p.choice(f, lang.L("Inches too"), yes,
		func(s *board.PackSettings) int { return oneIf(s.Body.Inch) },
		func(s *board.PackSettings, i int) { s.Body.Inch = i == 1 })
	p.choice(f, lang.L("Board's frame too"), yes,
		func(s *board.PackSettings) int { return oneIf(s.Body.OnBoard) },
		func(s *board.PackSettings, i int) { s.Body.OnBoard = i == 1 })
	p.choice(f, lang.L("Machine's frame too"), []string{lang.L("no"), lang.L("z 0 on top"), lang.L("z 0 below")},
		func(s *board.PackSettings) int { return int(s.Shop) },
		func(s *board.PackSettings, i int) { s.Shop = board.ShopOrigin(i) })
	p.scale = p.text(f, lang.L("Model to scale"), lang.L("none, or 1:4"), func(j *board.Job) string {
		if n := j.Pack.Body.Scale; n > 1 {
			return "1:" + strconv.Itoa(n)
		}
		return ""
	}, func(j *board.Job, s string) error {
		j.Pack.Body.Scale = 0
		if s == "" {
			return nil
		}
		n, err := strconv.Atoi(strings.TrimSpace(strings.TrimPrefix(s, "1:")))
		if err != nil || n < 1 {
			return errors.New(lang.L("type a scale as 1:4"))
		}
		j.Pack.Body.Scale = n
		return nil
	})
	p.choice(f, lang.L("Its glass is"), []string{lang.L("to scale too"), lang.L("as thick as it is")},
		func(s *board.PackSettings) int { return oneIf(s.Body.TrueThickness) },
		func(s *board.PackSettings, i int) { s.Body.TrueThickness = i == 1 })
	p.thick = f.lastRow()
}

// shapeRows are the shapes in faces.step.
func (p *packBox) shapeRows() {
	for _, r := range []struct {
		name, hint string
		of         func(*board.BodyFiles) *float64
	}{
		{lang.L("Glue line"), lang.L("off the inner face"), func(b *board.BodyFiles) *float64 { return &b.Glue }},
		{lang.L("Extended face"), lang.L("past the edge"), func(b *board.BodyFiles) *float64 { return &b.Extend }},
		{lang.L("Flange"), lang.L("so wide"), func(b *board.BodyFiles) *float64 { return &b.Flange }},
		{lang.L("Panel gap"), lang.L("off the edge"), func(b *board.BodyFiles) *float64 { return &b.PanelGap }},
		{lang.L("Sections every"), lang.L("across and down"), func(b *board.BodyFiles) *float64 { return &b.Sections }},
	} {
		p.length(p.shape, r.name, r.hint, func(s *board.PackSettings) *float64 { return r.of(&s.Body) })
	}
}

// printRows are what the bars of a print measured.
func (p *packBox) printRows() {
	for _, r := range []struct {
		name string
		of   func(*board.Paper) *float64
		bar  func(*board.Job) float64
	}{
		{lang.L("Bar across measures"), func(q *board.Paper) *float64 { return &q.Across }, func(j *board.Job) float64 { across, _ := handover.LongBars(j); return across }},
		{lang.L("Bar up measures"), func(q *board.Paper) *float64 { return &q.Up }, func(j *board.Job) float64 { _, up := handover.LongBars(j); return up }},
	} {
		e := p.text(p.print, r.name, "", func(j *board.Job) string {
			if v := *r.of(&j.Pack.Paper); v != 0 {
				return sizeText(j, v*r.bar(j))
			}
			return ""
		}, func(j *board.Job, s string) error {
			mm, err := typedIn(j, s, board.AxisLength)
			*r.of(&j.Pack.Paper) = mm / r.bar(j)
			return err
		})
		p.print.show = append(p.print.show, func(j *board.Job) {
			setHint(e, lang.L("the bar of {{.L}}", map[string]any{"L": length(j, r.bar(j))}))
		})
	}
}

// show brings the settings up to a state.
func (p *packBox) show(s desk.State) {
	for _, f := range []*form{p.main, p.shape, p.car, p.print} {
		f.update(s.Job)
	}
	b := &s.Job.Pack.Body
	p.thick.show(b.Scale > 1)
	for _, r := range p.rake {
		r.show(b.Car.By == board.ByRake)
	}
	for _, r := range p.three {
		r.show(b.Car.By == board.ByPoints)
	}
}
