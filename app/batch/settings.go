package batch

import (
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"

	"panewright/board"
	"panewright/geom"
	"panewright/geom/fixture"
)

// settings are the flags that override a job.
type settings struct {
	change  []func(*board.Job) // in the order they were given
	tapes   string
	gaps    string
	cutWall *float64 // clearance that the gaps were noted in, mm; nil: as planned
	workers int

	car   carFlags
	given map[string]bool // names of the flags given
}

// declare names the flags. Each given one becomes a change to the job.
func (s *settings) declare(fs *flag.FlagSet) {
	d := fixture.DefaultSpec()
	s.word(fs, "units", "unit of a table of readings, and of what is shown: mm or in [mm]", "mm in", func(j *board.Job, v string) {
		j.Unit = unit(v)
	})
	s.length(fs, "sigma", "standard uncertainty of an edge reading per axis, `mm` [0.5]", true, func(j *board.Job, v float64) { j.Sigma = v })
	s.length(fs, "sigma-z", "the same of a height, `mm` [as sigma]", true, func(j *board.Job, v float64) { j.SigmaZ = v })
	s.length(fs, "thickness", "thickness of the glass, `mm` [4]", true, func(j *board.Job, v float64) { j.Pane.Thickness = millimetres(v) })
	s.word(fs, "lay", "how the pane lies: dome or bowl [dome]", "dome bowl", func(j *board.Job, v string) {
		j.Pane.Lay = map[string]board.Lay{"dome": board.Dome, "bowl": board.Bowl}[v]
	})
	s.word(fs, "face", "face that heights were read on: upper or lower [upper]", "upper lower", func(j *board.Job, v string) {
		j.Pane.ReadLower = v == "lower"
	})
	s.word(fs, "edge", "edge of the glass: square or round [square]", "square round", func(j *board.Job, v string) {
		j.Pane.Profile = map[string]geom.Profile{"square": geom.SquareEdge, "round": geom.RoundEdge}[v]
	})
	s.word(fs, "mirror", "halves that were measured: auto, both, left, right or none [auto]", "auto both left right none", func(j *board.Job, v string) {
		j.Mirror, _ = board.ParseMirror(v)
	})
	plane := func(set func(*board.TypedPlane, board.Cell)) func(*board.Job, float64) {
		return func(j *board.Job, v float64) {
			if j.Plane == nil {
				j.Plane = &board.TypedPlane{Offset: millimetres(0), Skew: degrees(0), Roll: degrees(0)}
			}
			set(j.Plane, millimetres(v))
		}
	}
	s.length(fs, "centre-offset", "typed centre plane: its x at the mean edge point, `mm`", false, plane(func(p *board.TypedPlane, c board.Cell) { p.Offset = c }))
	s.length(fs, "centre-skew", "typed centre plane: turned counter-clockwise, `degrees`", false, plane(func(p *board.TypedPlane, c board.Cell) { p.Skew = c }))
	s.length(fs, "centre-roll", "typed centre plane: its normal leaning up, `degrees`", false, plane(func(p *board.TypedPlane, c board.Cell) { p.Roll = c }))
	fs.StringVar(&s.tapes, "tapes", "", "`file` of taped widths")
	fs.StringVar(&s.gaps, "gaps", "", "`file` of the gaps noted in the last cut; the next one is made of them")
	fs.Func("cut-wall", "clearance that the gaps were noted in, `mm` [as wall]", func(text string) error {
		v, err := lengthOf(text, false)
		s.cutWall = &v
		return err
	})
	fs.Func("bed", "size of the machine's bed, `WxH` mm: a larger pocket is cut into tiles [one piece]", s.bed)
	s.onOff(fs, "trial", "of the tiles only those that test the made half", func(j *board.Job, on bool) { j.Tiles.Trial = on })
	s.length(fs, "wall", mm("wall clearance", d.Wall), false, func(j *board.Job, v float64) { j.Pocket.Wall = v })
	s.length(fs, "seat", mm("seat width", d.Seat), false, func(j *board.Job, v float64) { j.Pocket.Seat = v })
	s.length(fs, "rim", mm("rim width", d.Rim), false, func(j *board.Job, v float64) { j.Pocket.Rim = v })
	s.length(fs, "base", mm("base thickness", d.Base), false, func(j *board.Job, v float64) { j.Pocket.Base = v })
	s.length(fs, "felt", mm("ledge cut low for felt", d.Felt), false, func(j *board.Job, v float64) { j.Pocket.Felt = v })
	s.length(fs, "cutter", mm("diameter of the ball-nosed finishing cutter", d.Cutter), false, func(j *board.Job, v float64) { j.Pocket.Cutter = v })
	s.word(fs, "top", "top of the rim: follow or flat [follow]", "follow flat", func(j *board.Job, v string) {
		j.Pocket.Top = map[string]fixture.Top{"follow": fixture.Follow, "flat": fixture.Flat}[v]
	})
	fs.Func("notches", fmt.Sprintf("`number` of finger notches [%d]", d.Notches), func(v string) error {
		n, err := strconv.Atoi(v)
		s.change = append(s.change, func(j *board.Job) { j.Pocket.Notches = n })
		return err
	})
	fs.Func("date", "`date` written into the files, as 2031-05-20 [from the job]", func(v string) error {
		_, err := time.Parse(time.DateOnly, v)
		s.change = append(s.change, func(j *board.Job) { j.Date = v })
		return err
	})
	s.packFlags(fs)
	fs.IntVar(&s.workers, "workers", 0, "`number` of processors to use [all]")
}

func mm(what string, usual float64) string { return fmt.Sprintf("%s, `mm` [%g]", what, usual) }

func unit(v string) board.Unit {
	if v == "in" {
		return board.Inch
	}
	return board.MM
}

// millimetres is a length in mm as a typed cell.
func millimetres(v float64) board.Cell {
	return board.Cell{Text: strconv.FormatFloat(v, 'f', -1, 64), Unit: board.MM}
}

// degrees is an angle as a typed cell.
func degrees(v float64) board.Cell { return millimetres(v) }

// word declares a flag that takes one of a few words.
func (s *settings) word(fs *flag.FlagSet, name, help, words string, set func(*board.Job, string)) {
	fs.Func(name, help, func(v string) error {
		for _, w := range strings.Fields(words) {
			if v == w {
				s.change = append(s.change, func(j *board.Job) { set(j, v) })
				return nil
			}
		}
		return fmt.Errorf("want one of %s", words)
	})
}

// length declares a flag that takes a finite number, above nought where
// positive.
func (s *settings) length(fs *flag.FlagSet, name, help string, positive bool, set func(*board.Job, float64)) {
	fs.Func(name, help, func(text string) error {
		v, err := lengthOf(text, positive)
		s.change = append(s.change, func(j *board.Job) { set(j, v) })
		return err
	})
}

// lengthOf reads a finite number, above nought where positive.
func lengthOf(text string, positive bool) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil:
		return 0, fmt.Errorf("not a number")
	case math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e5:
		return 0, fmt.Errorf("out of range")
	case positive && v <= 0:
		return 0, fmt.Errorf("must be above 0")
	}
	return v, nil
}

// bed reads the size of a machine's bed.
func (s *settings) bed(text string) error {
	w, h, ok := strings.Cut(strings.ToLower(text), "x")
	if !ok {
		return fmt.Errorf("want a width and a height in mm, as 620x920")
	}
	var b fixture.Bed
	for _, side := range []struct {
		text string
		v    *float64
	}{{w, &b.W}, {h, &b.H}} {
		v, err := lengthOf(strings.TrimSpace(side.text), true)
		if err != nil {
			return err
		}
		*side.v = v
	}
	s.change = append(s.change, func(j *board.Job) { j.Tiles.Bed = b })
	return nil
}

// load reads a job or a table of readings and applies the flags.
func (s *settings) load(path string) (j *board.Job, notes []string, err error) {
	if strings.EqualFold(filepath.Ext(path), ".csv") {
		j, err = s.table(path)
	} else {
		j, notes, err = board.Load(path)
	}
	if err != nil {
		return nil, nil, err
	}
	j = j.Clone()
	s.apply(j)
	if s.tapes != "" {
		f, err := os.Open(s.tapes)
		if err != nil {
			return nil, nil, err
		}
		defer f.Close()
		if j.Tapes, err = board.ReadTapes(f, s.tapes, j); err != nil {
			return nil, nil, err
		}
	}
	j.Evaluate()
	err = j.Validate()
	if err == nil {
		err = s.checkPack(j)
	}
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", path, err)
	}
	return j, notes, nil
}

// table makes a job of a table of readings.
func (s *settings) table(path string) (*board.Job, error) {
	j := board.NewJob(stem(path))
	s.apply(j) // the unit, before the cells are read
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	j.Readings, err = board.ReadReadings(f, path, j)
	return j, err
}

func (s *settings) apply(j *board.Job) {
	for _, c := range s.change {
		c(j)
	}
	j.Evaluate()
}
