package board

import (
	"math"
	"strconv"
	"strings"
)

// OtherHandName is the name of the job of the other-hand pane.
func OtherHandName(name string) string { return name + ", other hand" }

// OtherHand is the job of the pane for the other side of the car, as if the
// mirror image of this one had lain on the board: every place across the board
// changes its sign, the measured half its side, a typed centre line its way,
// and the pane its side of the car.
// The lay stays, so a dome stays a dome and the outer face the outer one; so do
// heights, tapes and the names of the stations. Readings keep the way that they
// were typed in where that can be told of the mirror image too, else they become
// plain millimetres.
//
// It is a job of its own and the first cut of it: cuts of this pane, their gaps
// and what was put right in them are not carried over.
func OtherHand(j *Job) *Job {
	m := j.Clone()
	m.Name = OtherHandName(j.Name)
	m.Notes = strings.TrimSpace("Mirror image of " + j.Name + ". " + j.Notes)
	if len(m.Notes) > maxNote {
		m.Notes = "Mirror image of another job."
	}
	m.Cut, m.Cuts, m.Gaps, m.Distances = 1, nil, nil, nil
	m.Photo = Photo{} // it shows this pane
	m.Grid.ColFirst, m.Grid.ColLast = -j.Grid.ColLast, -j.Grid.ColFirst
	m.Checks.Grid.Rising, m.Checks.Grid.Falling = j.Checks.Grid.Falling, j.Checks.Grid.Rising
	switch j.Mirror {
	case MirrorLeft:
		m.Mirror = MirrorRight
	case MirrorRight:
		m.Mirror = MirrorLeft
	}
	for i := range m.Readings {
		m.Readings[i].X.negate(AxisX, m.Grid)
	}
	for i := range m.Checks.Zero.Points {
		m.Checks.Zero.Points[i].X.negate(AxisX, m.Grid)
	}
	if m.Plane != nil {
		m.Plane.Offset.negate(AxisLength, m.Grid)
		m.Plane.Skew.negate(AxisAngle, m.Grid)
		m.Plane.Roll.negate(AxisAngle, m.Grid)
	}
	m.Pack.Body.Car = j.Pack.Body.Car.otherSide()
	m.Evaluate()
	return m
}

// negate changes the sign of what a cell means. A text that is not understood
// stays as it is.
func (c *Cell) negate(a Axis, g Grid) {
	want := -c.MM
	if !c.Set || want == 0 {
		return
	}
	const rounding = 1e-9 // mm
	for _, text := range opposites(c.Text) {
		other := *c
		other.Text = text
		if other.evaluate(a, anyValue, g); other.Set && math.Abs(other.MM-want) <= rounding {
			*c = other
			return
		}
	}
	*c = Cell{Text: strconv.FormatFloat(want, 'f', -1, 64)}
	c.evaluate(a, anyValue, g)
}

// opposites are texts that may mean the opposite of a text: with the other sign,
// or the opposite line with the opposite offset.
func opposites(text string) []string {
	out := []string{flip(tidy(text))}
	if line, off, sign := cutOffset(tidy(text)); sign > 0 && !strings.HasPrefix(off, "-") {
		out = append(out, flip(line)+" less "+off)
	} else if sign != 0 {
		out = append(out, flip(line)+"+"+strings.TrimSpace(strings.TrimPrefix(off, "-")))
	}
	return out
}

// flip gives a text the other sign.
func flip(s string) string {
	negative, rest := cutSign(s)
	if negative {
		return rest
	}
	return "-" + rest
}
