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

// carFlags are what the flags say of the pane's place in the car.
type carFlags struct {
	wanted, glass bool // -frame car, -frame glass
	points        int  // -car-point
}

// packFlags declares what the hand-over pack may hold beside the usual files.
func (s *settings) packFlags(fs *flag.FlagSet) {
	for _, f := range []struct {
		name, help string
		of         func(*board.BodyFiles) *float64
	}{
		{"glue", "faces.step gets a face at the glue line, so many `mm` off the inner face", func(b *board.BodyFiles) *float64 { return &b.Glue }},
		{"extend", "faces.step gets the outer face continued so many `mm` past its edge, at most 50", func(b *board.BodyFiles) *float64 { return &b.Extend }},
		{"flange", "faces.step gets a strip along the edge, so many `mm` wide, of the face at the glue line or the inner face", func(b *board.BodyFiles) *float64 { return &b.Flange }},
		{"panel-gap", "faces.step gets the aperture line of the body, so many `mm` off the edge", func(b *board.BodyFiles) *float64 { return &b.PanelGap }},
		{"sections", "faces.step gets sections across and down every so many `mm`", func(b *board.BodyFiles) *float64 { return &b.Sections }},
	} {
		s.length(fs, f.name, f.help+"; 0: none", false, func(j *board.Job, v float64) { *f.of(&j.Pack.Body) = v })
	}
	s.onOff(fs, "inch", "twins of the model's files in inches: glass-inch.step …", func(j *board.Job, on bool) { j.Pack.Body.Inch = on })
	fs.Func("scale", "twins of the model's files to scale, as `1:4`: glass-1to4.step …; never of the pocket; 1:1: none", func(text string) error {
		n, err := strconv.Atoi(strings.TrimPrefix(text, "1:"))
		if err != nil || !strings.HasPrefix(text, "1:") || n < 1 {
			return errors.New("want 1:N")
		}
		s.change = append(s.change, func(j *board.Job) { j.Pack.Body.Scale = n })
		return nil
	})
	s.word(fs, "scale-thickness", "thickness of a model to scale: `scaled or true` [scaled]", "true scaled", func(j *board.Job, v string) {
		j.Pack.Body.TrueThickness = v == "true"
	})
	s.word(fs, "shop", "tiles, and the whole pocket, in the machine's own frame too, in the folder shop, from the lower left corner of the stock: on its `top or bottom`, or none [none]", "none top bottom", func(j *board.Job, v string) {
		j.Pack.Shop, _ = board.ParseShopOrigin(v)
	})
	s.carFlags(fs)
	s.paperFlags(fs)
}

// carFlags declares the frames of the twins, and where the pane stands in the car.
func (s *settings) carFlags(fs *flag.FlagSet) {
	fs.Func("frame", "twins of the model's files in another frame: `board or car`; may be given twice. The glass frame is always written; glass: it alone", s.frame)
	s.word(fs, "facing", "car frame: side of the car that the pane faces, `front, rear, left or right` [front]", "front rear left right", func(j *board.Job, v string) {
		j.Pack.Body.Car.Facing, _ = board.ParseFacing(v)
	})
	s.length(fs, "rake", "car frame: `degrees` that the pane's Y leans from upright, away from the side it faces", false, func(j *board.Job, v float64) {
		j.Pack.Body.Car.Rake, j.Pack.Body.Car.By = v, board.ByRake
	})
	fs.Func("at", "car frame: where the origin of the glass frame is in the car, `X,Y,Z` mm (X to the rear, Y to the driver's right, Z up)", func(text string) error {
		p, err := place(text)
		s.change = append(s.change, func(j *board.Job) { j.Pack.Body.Car.At, j.Pack.Body.Car.By = p, board.ByRake })
		return err
	})
	fs.Func("car-point", "car frame by three stations or marks: `ID=X,Y,Z` mm, given three times, in place of -facing, -rake and -at", func(text string) error {
		id, at, ok := strings.Cut(text, "=")
		if !ok || id == "" {
			return errors.New("want ID=X,Y,Z")
		}
		p, err := place(at)
		i := s.car.points
		s.car.points++
		if i >= len(board.Car{}.Points) {
			return errors.New("three are enough")
		}
		s.change = append(s.change, func(j *board.Job) {
			j.Pack.Body.Car.Points[i], j.Pack.Body.Car.By = board.CarPoint{ID: id, At: p}, board.ByPoints
		})
		return err
	})
}

// frame reads the name of a frame.
func (s *settings) frame(text string) error {
	switch text {
	case "glass":
		s.change = append(s.change, func(j *board.Job) { j.Pack.Body.OnBoard = false })
		s.car.glass = true
	case "board":
		s.change = append(s.change, func(j *board.Job) { j.Pack.Body.OnBoard = true })
	case "car":
		s.car.wanted = true
	default:
		return errors.New("want glass, board or car")
	}
	return nil
}

// checkFlags refuses flags that do not go together.
func (s *settings) checkFlags(fs *flag.FlagSet) error {
	s.given = map[string]bool{}
	fs.Visit(func(f *flag.Flag) { s.given[f.Name] = true })
	c := &s.car
	raked, at := s.given["rake"], s.given["at"]
	placed := raked || at
	switch {
	case !c.wanted && (placed || c.points > 0):
		return errors.New("-rake, -at and -car-point place the pane in the car: give -frame car too")
	case raked != at || c.points > 0 && c.points < len(board.Car{}.Points):
		return errors.New("-frame car needs -rake and -at, or three -car-point")
	case placed && c.points > 0:
		return errors.New("the car frame is told by -rake and -at, or by three -car-point, not by both")
	case c.wanted && c.glass:
		return errors.New("-frame glass is the glass frame alone: it does not go with -frame car")
	}
	if c.glass {
		s.change = append(s.change, func(j *board.Job) { j.Pack.Body.Car.By = board.NoCar })
	}
	return nil
}

// checkPack refuses what the job and the flags together ask of the pack.
func (s *settings) checkPack(j *board.Job) error {
	switch b := &j.Pack.Body; {
	case s.car.wanted && b.Car.By == board.NoCar:
		return errors.New("the job does not say where the pane stands in the car: -frame car needs -rake and -at, or three -car-point")
	case b.TrueThickness && b.Scale <= 1 && s.given["scale-thickness"]:
		return errors.New("-scale-thickness goes with -scale")
	}
	return j.Pack.Check()
}

// onOff declares a flag that switches something on, or off.
func (s *settings) onOff(fs *flag.FlagSet, name, help string, set func(*board.Job, bool)) {
	fs.BoolFunc(name, help, func(v string) error {
		on, err := strconv.ParseBool(v)
		s.change = append(s.change, func(j *board.Job) { set(j, on) })
		return err
	})
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
	o := handover.Options{Force: r.force}
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
