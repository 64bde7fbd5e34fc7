package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	usualTapeU  = 0.5  // mm, standard uncertainty of a length taped on the glass (common practice)
	scaleSlip   = 4.0  // standard uncertainties by which a taped length may differ from the others
	widthReach  = 60.0 // mm, how near the far end of a taped width a station must have been read
	leastTape   = 100  // mm
	greatestFor = 150  // mm, how far from its station a greatest width is looked for
)

// taped is one length taped on the glass against the readings.
type taped struct {
	row         int
	ratio, u    float64 // plan distance by the tape over that by the readings
	tape, plans float64 // mm
}

// secondLook sets right what only a first outline and face can show: the scale
// by the tapes, and the joins of further layings; the outline and the face are
// then fitted again.
func (s *solve) secondLook() error {
	again := s.checkScale()
	if len(s.joined) > 0 {
		again = true
	}
	if !again {
		return nil
	}
	s.locate()
	s.join()
	s.gather()
	if err := s.freeOutline(); err != nil {
		return err
	}
	return s.freeFace()
}

// checkScale holds the lengths taped on the glass against the readings and says
// whether the readings were stretched.
func (s *solve) checkScale() bool {
	var list []taped
	for row := range s.job.Tapes {
		if t, ok := s.tapedRatio(row); ok {
			list = append(list, t)
		}
	}
	on := s.job.Corrects(CorrectScale)
	c := Correction{Name: "scale", Switch: CorrectScale, Unit: "mm/m", On: on}
	if len(list) == 0 {
		c.Text = "A wrong pitch of the grid cannot be seen in the readings: tape one long distance on the glass."
		if !s.job.Checks.blindToPitch() {
			c.Text = "No length was taped on the glass; the scale rests on the base line and side of the grid as measured."
		}
		s.list(c)
		return false
	}
	ratio, u, list := meanRatio(list)
	c.Value, c.U, c.Known = (ratio-1)*perMetre, u*perMetre, true
	far := math.Abs(ratio-1) > 2*u
	c.Applied = on && far
	verdict := "which they cannot tell from none"
	switch {
	case c.Applied:
		verdict = "and the readings were stretched by that"
	case far:
		verdict = "more than they can be wrong by: look at the grid's pitch"
	}
	word := "longer"
	if ratio < 1 {
		word = "shorter"
	}
	c.Text = fmt.Sprintf("%s on the glass: %.2f mm on a metre %s than read (give or take %.2f), %s.", lengths(len(list)), math.Abs(c.Value), word, c.U, verdict)
	s.list(c)
	s.scaleOff = math.Abs(ratio-1) > 3*u && !c.Applied
	if c.Applied {
		s.fix.scale = ratio
	}
	return c.Applied
}

// lengths counts taped lengths in words.
func lengths(n int) string {
	if n == 1 {
		return "One length taped"
	}
	return fmt.Sprintf("%d lengths taped", n)
}

// meanRatio is the weighted mean; with three or more, those far from the others
// are left out one by one.
func meanRatio(list []taped) (ratio, u float64, kept []taped) {
	for {
		sum, weight := 0.0, 0.0
		for _, t := range list {
			sum, weight = sum+t.ratio/(t.u*t.u), weight+1/(t.u*t.u)
		}
		ratio, u = sum/weight, 1/math.Sqrt(weight)
		worst, far, chi := -1, scaleSlip, 0.0
		for n, t := range list {
			// against the mean of the others
			w := 1 / (t.u * t.u)
			z := math.Abs(t.ratio-ratio) / t.u
			chi += z * z
			if rest := weight - w; len(list) > 2 && rest > 0 {
				z = math.Abs(t.ratio-(sum-w*t.ratio)/rest) / math.Sqrt(t.u*t.u+1/rest)
			} else {
				z = 0
			}
			if z > far {
				worst, far = n, z
			}
		}
		if worst < 0 {
			if len(list) > 1 {
				u *= max(1, math.Sqrt(chi/float64(len(list)-1)))
			}
			return ratio, u, list
		}
		list = append(list[:worst:worst], list[worst+1:]...)
	}
}

// tapedRatio is what one tape says; ok is false where it cannot be held against
// the readings.
func (s *solve) tapedRatio(row int) (out taped, ok bool) {
	t := &s.job.Tapes[row]
	if t.Struck || !t.Length.Set {
		return out, false
	}
	sxy, _ := s.job.sigmas()
	a := s.keptStation(t.From)
	if a < 0 {
		return out, false
	}
	p := s.onEdge(a)
	drop, plans, u := 0.0, 0.0, math.Sqrt(usualTapeU*usualTapeU+2*sxy*sxy)
	switch t.How {
	case Straight:
		b := s.keptStation(t.To)
		if b < 0 {
			return out, false
		}
		q := s.onEdge(b)
		drop, plans = q.Z-p.Z, math.Hypot(q.X-p.X, q.Y-p.Y)
	case Twin, Greatest:
		var along float64
		if plans, along, ok = s.acrossFrom(a, t.How); !ok {
			return out, false
		}
		u = math.Hypot(u, twinSlip*along)
	}
	flat := t.Length.MM*t.Length.MM - drop*drop
	if plans < leastTape || !(flat > 0) {
		return out, false
	}
	const mostPitch = 0.05 // a grid farther off than that is seen; the tape runs somewhere else
	if math.Abs(math.Sqrt(flat)/plans-1) > mostPitch {
		return out, false
	}
	return taped{row: row, ratio: math.Sqrt(flat) / plans, u: u / plans, tape: t.Length.MM, plans: plans}, true
}

// keptStation is the position in s.edge of a kept station; -1 where there is none.
func (s *solve) keptStation(id string) int {
	for k, i := range s.edge {
		if s.job.Readings[i].ID == id && s.kept(k) {
			return k
		}
	}
	return -1
}

// acrossFrom is the width of the free outline straight across from the k-th
// station, or the greatest near it, and how much it changes per mm of slip along
// the edge; ok is false where no station was read near its other end.
func (s *solve) acrossFrom(k int, how How) (width, along float64, ok bool) {
	c := s.m.Free.Curve
	var loop []r2.Vec
	for _, u := range c.Flatten(0.02) {
		loop = append(loop, c.At(u))
	}
	p := s.marks[k].P
	if how == Twin {
		other, ok := s.farSide(loop, p.X, p.Y)
		u, _ := c.Nearest(other)
		return math.Abs(other.X - p.X), math.Abs(c.Tangent(u).X), ok
	}
	for d := -float64(greatestFor); d <= greatestFor; d += 5 {
		lo, hi, crossed := chord(loop, func(q r2.Vec) (float64, float64) { return q.X, q.Y }, p.Y+d)
		if !crossed || hi-lo <= width {
			continue
		}
		if s.readNear(r2.Vec{X: lo, Y: p.Y + d}) && s.readNear(r2.Vec{X: hi, Y: p.Y + d}) {
			width, ok = hi-lo, true
		}
	}
	return width, 0, ok
}

// farSide is where the level y leaves the loop on the side away from x.
func (s *solve) farSide(loop []r2.Vec, x, y float64) (r2.Vec, bool) {
	lo, hi, ok := chord(loop, func(q r2.Vec) (float64, float64) { return q.X, q.Y }, y)
	if !ok {
		return r2.Vec{}, false
	}
	at := r2.Vec{X: lo, Y: y}
	if math.Abs(hi-x) > math.Abs(lo-x) {
		at.X = hi
	}
	return at, s.readNear(at)
}

// readNear says whether a kept station lies near a place.
func (s *solve) readNear(p r2.Vec) bool {
	for k := range s.edge {
		if q := s.marks[k].P; s.kept(k) && math.Hypot(q.X-p.X, q.Y-p.Y) < widthReach {
			return true
		}
	}
	return false
}

// scaleFinding tells tapes that contradict the readings.
func (s *solve) scaleFinding(add func(list string, row int, field, code, text string)) {
	if !s.scaleOff {
		return
	}
	for _, c := range s.m.Corrections {
		if c.Name == "scale" {
			add("tapes", 1, "length", "scale", c.Text+" Measure the base line and the side of the grid, or let the readings be stretched to the tape.")
		}
	}
}
