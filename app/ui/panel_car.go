package ui

import (
	"errors"
	"strings"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
)

// carRows say where the pane stands in the car.
func (p *packBox) carRows() {
	f := p.car
	car := func(j *board.Job) *board.Car { return &j.Pack.Body.Car }
	f.choice(lang.L("Told by"), p.edit(), []string{lang.L("not told"), lang.L("rake and place"), lang.L("three points")},
		func(j *board.Job) int { return int(car(j).By) },
		func(j *board.Job, i int) { car(j).By = board.CarBy(i) })
	told := func(list *[]*row) { *list = append(*list, f.lastRow()) }
	f.choice(lang.L("The pane faces"), p.edit(), []string{lang.L("the front"), lang.L("the rear"), lang.L("the driver's left"), lang.L("the driver's right")},
		func(j *board.Job) int { return int(car(j).Facing) },
		func(j *board.Job, i int) { car(j).Facing = board.Facing(i) })
	told(&p.rake)
	p.text(f, lang.L("Rake from upright"), lang.L("degrees"), func(j *board.Job) string {
		return typedNumber(j, car(j).Rake, 3)
	}, func(j *board.Job, s string) (err error) {
		car(j).Rake, err = typedIn(j, s, board.AxisAngle)
		return err
	})
	told(&p.rake)
	p.place(f, lang.L("Glass origin at"), func(j *board.Job) *r3.Vec { return &car(j).At })
	told(&p.rake)
	for i := range (board.Car{}).Points {
		at := func(j *board.Job) *board.CarPoint { return &car(j).Points[i] }
		p.point(f, lang.L("Point {{.N}}", map[string]any{"N": i + 1}), at)
		told(&p.three)
		p.place(f, lang.L("is at"), func(j *board.Job) *r3.Vec { return &at(j).At })
		told(&p.three)
	}
}

// point adds a field for a station or mark. Until all three are named the car frame
// is not complete; that is said at the export, not while it is typed.
func (p *packBox) point(f *form, name string, of func(*board.Job) *board.CarPoint) {
	e := f.text(name, true, p.edit(),
		func(j *board.Job) (string, string) { return of(j).ID, "" },
		func(j *board.Job, s string) error { of(j).ID = strings.TrimSpace(s); return nil })
	e.SetPlaceHolder(lang.L("station or mark"))
}

// place adds a field for three lengths, parted by semicolons.
func (p *packBox) place(f *form, name string, of func(*board.Job) *r3.Vec) {
	e := f.text(name, true, p.edit(), func(j *board.Job) (string, string) {
		v := of(j)
		return sizeText(j, v.X) + "; " + sizeText(j, v.Y) + "; " + sizeText(j, v.Z), ""
	}, func(j *board.Job, s string) error {
		part := strings.Split(s, ";")
		if len(part) != 3 {
			return errors.New(lang.L("type to the rear; to the driver's right; up: three lengths with ; between them"))
		}
		v := of(j)
		for i, to := range []*float64{&v.X, &v.Y, &v.Z} {
			var err error
			if *to, err = typedIn(j, strings.TrimSpace(part[i]), board.AxisLength); err != nil {
				return err
			}
		}
		return nil
	})
	e.SetPlaceHolder(lang.L("rear; right; up"))
}

// typedIn reads a number as it is typed on an axis; nothing typed is 0.
func typedIn(j *board.Job, s string, a board.Axis) (float64, error) {
	if s == "" {
		return 0, nil
	}
	v, _, err := board.Parse(s, a, j.Unit, j.Comma, j.Grid)
	return v, err
}
