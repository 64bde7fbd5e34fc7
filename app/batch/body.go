package batch

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
)

// bodyFlags declares what a body designer may want beside the usual files.
func (r *run) bodyFlags(fs *flag.FlagSet) {
	b := &r.body
	for _, f := range []struct {
		name, help string
		to         *float64
	}{
		{"glue", "faces.step gets a face at the glue line, so many `mm` off the inner face", &b.Glue},
		{"extend", "faces.step gets the outer face continued so many `mm` past its edge, at most 50", &b.Extend},
		{"flange", "faces.step gets a strip along the edge, so many `mm` wide, of the face at the glue line or the inner face", &b.Flange},
		{"panel-gap", "faces.step gets the aperture line of the body, so many `mm` off the edge", &b.PanelGap},
		{"sections", "faces.step gets sections across and down every so many `mm`", &b.Sections},
	} {
		fs.Func(f.name, f.help, func(text string) (err error) {
			*f.to, err = finite(text)
			if err == nil && *f.to <= 0 {
				err = errors.New("must be above 0")
			}
			return err
		})
	}
	fs.BoolVar(&b.Inch, "inch", false, "twins of the model's files in inches: glass-inch.step …")
	fs.Func("scale", "twins of the model's files to scale, as `1:4`: glass-1to4.step …; never of the pocket", func(text string) error {
		n, err := strconv.Atoi(strings.TrimPrefix(text, "1:"))
		if err != nil || !strings.HasPrefix(text, "1:") || n < 1 {
			return errors.New("want 1:N")
		}
		b.Scale = n
		return nil
	})
	fs.Func("scale-thickness", "thickness of a model to scale: `scaled or true` [scaled]", func(text string) error {
		if text != "true" && text != "scaled" {
			return errors.New("want scaled or true")
		}
		b.TrueThickness = text == "true"
		return nil
	})
	fs.Func("frame", "twins of the model's files in another frame: `board or car`; may be given twice. The glass frame is always written", r.frame)
	fs.Func("facing", "car frame: side of the car that the pane faces, `front, rear, left or right` [front]", func(text string) error {
		f, ok := handover.ParseFacing(text)
		if !ok {
			return errors.New("want front, rear, left or right")
		}
		r.car.Facing = f
		return nil
	})
	fs.Func("rake", "car frame: `degrees` that the pane's Y leans from upright, away from the side it faces", func(text string) (err error) {
		r.car.Rake, err = finite(text)
		r.raked = true
		return err
	})
	fs.Func("at", "car frame: where the origin of the glass frame is in the car, `X,Y,Z` mm (X to the rear, Y to the driver's right, Z up)", func(text string) (err error) {
		r.car.At, err = place(text)
		r.placed = true
		return err
	})
	fs.Func("car-point", "car frame by three stations or marks: `ID=X,Y,Z` mm, given three times, in place of -facing, -rake and -at", func(text string) error {
		id, at, ok := strings.Cut(text, "=")
		if !ok || id == "" {
			return errors.New("want ID=X,Y,Z")
		}
		p, err := place(at)
		r.car.Points = append(r.car.Points, handover.CarPoint{ID: id, At: p})
		return err
	})
	fs.BoolVar(&r.otherHand, "other-hand", false, "the files of the mirrored pane too, as for the other side of the car, in the folder other-hand")
}

// frame reads the name of a frame.
func (r *run) frame(text string) error {
	switch text {
	case "glass":
	case "board":
		r.body.OnBoard = true
	case "car":
		r.body.Car = &r.car
	default:
		return errors.New("want glass, board or car")
	}
	return nil
}

// checkBody refuses flags that do not go together.
func (r *run) checkBody() error {
	told := len(r.car.Points) > 0 || r.raked || r.placed
	switch {
	case r.body.Car == nil && told:
		return errors.New("-rake, -at and -car-point place the pane in the car: give -frame car too")
	case r.body.Car != nil && len(r.car.Points) == 0 && !(r.raked && r.placed):
		return errors.New("-frame car needs -rake and -at, or three -car-point")
	case len(r.car.Points) > 0 && (r.raked || r.placed):
		return errors.New("the car frame is told by -rake and -at, or by three -car-point, not by both")
	case r.body.TrueThickness && r.body.Scale <= 1:
		return errors.New("-scale-thickness goes with -scale")
	}
	return r.body.Check()
}

// finite reads a number.
func finite(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e5 {
		return 0, fmt.Errorf("%q is not a number, or out of range", text)
	}
	return v, nil
}

// place reads three lengths.
func place(text string) (p r3.Vec, err error) {
	part := strings.Split(text, ",")
	if len(part) != 3 {
		return p, errors.New("want X,Y,Z")
	}
	for i, to := range []*float64{&p.X, &p.Y, &p.Z} {
		if *to, err = finite(part[i]); err != nil {
			return r3.Vec{}, err
		}
	}
	return p, nil
}

// options say how to export a model. The other-hand pane is solved for it.
func (r *run) options(m *board.Model) (handover.Options, error) {
	o := handover.Options{Force: r.force, Paper: r.paper, Body: r.body}
	if !r.otherHand || m.Pane == nil {
		return o, nil
	}
	twin, err := board.Solve(r.ctx, board.OtherHand(m.Job), nil)
	if err == nil && twin.Pane == nil {
		err = fmt.Errorf("the other-hand pane: %s", twin.Why)
	}
	o.OtherHand = twin
	return o, err
}
