package board

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Correction is what was found to correct in all readings of a job.
type Correction struct {
	Name    string  // pitch_x, pitch_y, squareness, zero_map, gauge, gauge_face, drift_x, drift_y, drift_z, drift_face, scale
	Switch  string  // the name that Job.Correct takes to switch it
	Text    string  // what was found and done, in the job's unit
	Value   float64 // in Unit
	U       float64 // its standard uncertainty; 0 where that is not known
	Unit    string  // mm, mm/m or deg
	Known   bool    // there is something to go by; otherwise Value is 0
	On      bool    // switched on
	Applied bool    // the readings were corrected by it
}

// fixes are the corrections of a job's readings.
type fixes struct {
	grid   gridFix
	zero   zeroFix
	gauge  [len(kindNames)]float64 // taken off the heights of a kind
	drift  map[driftKey]*driftFix
	scale  float64 // by which places are stretched once more; 1: not
	useMap bool    // the zero map is in force
	cut    *CutFix // what the gaps of a cut showed; nil: none
}

// correct finds the corrections and lists them in the model.
func (s *solve) correct(ctx context.Context) {
	s.fix.scale = 1
	s.fixGrid()
	s.fixZero(ctx)
	s.fixGauge()
	s.fixDrift()
}

// list keeps a correction for the person.
func (s *solve) list(c Correction) { s.m.Corrections = append(s.m.Corrections, c) }

// plan is where a place as read lies on the board.
func (f *fixes) plan(p r2.Vec) r2.Vec {
	q := r2.Scale(f.scale, f.grid.plan(p))
	if f.cut != nil {
		q = f.cut.plan(q)
	}
	return q
}

// lift is what is taken off a height of kind k read at the place p as read,
// drift apart.
func (f *fixes) lift(k Kind, p r2.Vec) float64 {
	off := f.gauge[k]
	if f.useMap {
		off += f.zero.at(p)
	}
	return off
}

// at is where reading i stands on the board; z is 0 where no height was read.
func (f *fixes) at(i int, r *Reading) r3.Vec {
	off := f.drift[driftKey{r.Kind, r.Set}].at(i)
	p := r2.Vec{X: r.X.MM - off[0], Y: r.Y.MM - off[1]}
	q := f.plan(p)
	z := 0.0
	if r.Z.Set {
		z = r.Z.MM - off[2] - f.lift(r.Kind, p)
	}
	return r3.Vec{X: q.X, Y: q.Y, Z: z}
}

// perMetre is a share in mm on a metre.
const perMetre = 1000

// fixGrid corrects the grid as it was drawn.
func (s *solve) fixGrid() {
	g, ok, err := fitGrid(&s.job.Checks.Grid)
	if err != nil || !ok {
		return
	}
	on := s.job.Corrects(CorrectGrid)
	if on {
		s.fix.grid = g
	}
	add := func(name, text string, value, u, factor float64, unit string) {
		if u > 0 {
			s.list(Correction{Name: name, Switch: CorrectGrid, Text: text, Value: value * factor, U: u * factor, Unit: unit, Known: true, On: on, Applied: on})
		}
	}
	c := &s.job.Checks.Grid
	add("pitch_x", fmt.Sprintf("The base line, drawn to %s, is really %s: distances across are %s.", s.job.length(c.Base.Drawn.MM), s.job.length(c.Base.Drawn.MM*(1+g.a)), longer(g.a)), g.a, g.ua, perMetre, "mm/m")
	add("pitch_y", fmt.Sprintf("The side, drawn to %s, is really %s: distances up the board are %s.", s.job.length(c.Side.Drawn.MM), s.job.length(c.Side.Drawn.MM*(1+g.b)), longer(g.b)), g.b, g.ub, perMetre, "mm/m")
	word := "right"
	if g.shear < 0 {
		word = "left"
	}
	add("squareness", fmt.Sprintf("The side leans %s to the %s at its upper end, by the diagonals.", s.job.length(math.Abs(c.Side.Drawn.MM*math.Sin(g.shear))), word), g.shear, g.uShear, 180/math.Pi, "deg")
}

// longer says a stretch in words.
func longer(a float64) string {
	if a < 0 {
		return fmt.Sprintf("%.2f mm on a metre shorter than read", -a*perMetre)
	}
	return fmt.Sprintf("%.2f mm on a metre longer than read", a*perMetre)
}

// fixZero takes the empty board off the heights.
func (s *solve) fixZero(ctx context.Context) {
	z := &s.job.Checks.Zero
	f := fitZero(ctx, z)
	if !f.surface {
		return
	}
	on := s.job.Corrects(CorrectZero)
	s.fix.zero, s.fix.useMap = f, on
	most, sum, n := 0.0, 0.0, 0.0
	for i := range s.job.Readings {
		r := &s.job.Readings[i]
		if r.Struck || !r.located() || !r.Z.Set {
			continue
		}
		p := r2.Vec{X: r.X.MM, Y: r.Y.MM}
		if v := f.at(p); math.Abs(v) > math.Abs(most) {
			most = v
		}
		sd := f.sd(p)
		sum, n = sum+sd*sd, n+1
	}
	points := 0
	for i := range z.Points {
		if z.Points[i].set() {
			points++
		}
	}
	s.list(Correction{Name: "zero_map", Switch: CorrectZero, Value: most, U: math.Sqrt(sum / max(n, 1)), Unit: "mm", Known: true, On: on, Applied: on,
		Text: fmt.Sprintf("The empty board was read at %d places and %s laid through them: at most %s comes off a height.", points, f.how, s.job.length(most))})
}

// fixGauge takes the gauge's height off the heights.
func (s *solve) fixGauge() {
	g := &s.job.Checks.Gauge
	on := s.job.Corrects(CorrectGauge)
	add := func(name, what string, c Cell) {
		s.list(Correction{Name: name, Switch: CorrectGauge, Value: c.MM, Unit: "mm", Known: true, On: on, Applied: on,
			Text: fmt.Sprintf("%s come off %s.", s.job.length(c.MM), what)})
	}
	face := g.Height
	if g.Face.Set {
		face = g.Face
	}
	if on {
		s.fix.gauge = [len(kindNames)]float64{Edge: g.Height.MM, Face: face.MM, Centre: g.Height.MM, Mark: g.Height.MM}
	}
	if g.Height.Set {
		add("gauge", "every height", g.Height)
	}
	if g.Face.Set {
		add("gauge_face", "every height on the face", g.Face)
	}
}

// fixDrift takes the drift off.
func (s *solve) fixDrift() {
	keys, found := fitDrift(s.job)
	s.fix.drift = found
	on := s.job.Corrects(CorrectDrift)
	for _, key := range keys {
		d := found[key]
		for k, name := range [3]string{"drift_x", "drift_y", "drift_z"} {
			if d.u[k] == 0 {
				continue
			}
			if key.kind == Face {
				name = "drift_face"
			}
			where := "stations"
			if key.kind == Face {
				where = "face readings"
			}
			if key.set != "" {
				where += " of laying " + key.set
			}
			verdict := "within what the readings repeat to"
			switch {
			case d.apply[k]:
				verdict = "taken off evenly in their order"
			case math.Abs(d.whole[k]) > 2*d.u[k]:
				verdict = "more than they repeat to: something moved, or the tool slipped"
			}
			s.list(Correction{Name: name, Switch: CorrectDrift, Value: d.whole[k], U: d.u[k], Unit: "mm", Known: true, On: on, Applied: d.apply[k],
				Text: fmt.Sprintf("From the first to the last of the %s %c wandered by %s (%d read again), %s.", where, "xyz"[k], s.job.length(d.whole[k]), d.repeats, verdict)})
		}
	}
}
