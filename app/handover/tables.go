package handover

import (
	"bytes"
	"encoding/csv"
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/geom"
)

// fixed writes a number with four decimals and never as minus nought.
func fixed(v float64) string {
	s := strconv.FormatFloat(v, 'f', 4, 64)
	if s == "-0.0000" {
		return s[1:]
	}
	return s
}

// stateOf is the word of the files for what became of a reading, with the
// reason: kept, suspect or struck. A reading that is carried or held back for a
// check is kept, with its reason. An offer stands behind it as a question.
func stateOf(r board.Result) (state, reason string) {
	switch {
	case r.State == board.StruckOut:
		return "struck", r.Reason
	case r.State == board.Suspect || r.BadHeight:
		return "suspect", reasonOf(r.Reason, r.Offer)
	default:
		return "kept", reasonOf(r.Reason, r.Offer)
	}
}

// missOf is the miss that belongs to a reading's kind: off the outline for a
// station, in height for a face reading or where only the height is suspect.
func missOf(r board.Reading, res board.Result) float64 {
	if r.Kind == board.Edge && (!res.BadHeight || res.State == board.Suspect) {
		return res.Miss
	}
	return res.HeightMiss
}

// readings writes readings.csv: every reading as typed and as understood, board
// frame, with what became of it.
func (p *pack) readings(buf *bytes.Buffer) error {
	w := csv.NewWriter(buf)
	w.Write([]string{"kind", "id", "typed_x", "typed_y", "typed_z", "x_mm", "y_mm", "z_mm", "state", "reason", "miss_mm"})
	value := func(c board.Cell, at float64, placed bool) string {
		switch {
		case !c.Set:
			return ""
		case !placed: // one of x and y is missing, or in a laying that is not joined
			return fixed(c.MM)
		}
		return fixed(at)
	}
	for i, r := range p.m.Job.Readings {
		res := p.m.Results[i]
		state, reason := stateOf(res)
		miss := ""
		if r.Kind == board.Edge && res.HasMiss || r.Kind == board.Face && res.HasHeight {
			miss = fixed(missOf(r, res))
		}
		w.Write([]string{r.Kind.String(), r.ID, r.X.Text, r.Y.Text, r.Z.Text,
			value(r.X, res.At.X, res.Placed), value(r.Y, res.At.Y, res.Placed), value(r.Z, res.At.Z, res.Placed), state, reason, miss})
	}
	w.Flush()
	return w.Error()
}

// outlineTable writes outline.csv: the silhouette every 2 mm or closer with
// both arrises beside it and the outline's standard deviation.
func (p *pack) outlineTable(buf *bytes.Buffer) error {
	w := csv.NewWriter(buf)
	w.Write([]string{"s", "x", "y", "upper_x", "upper_y", "upper_z", "lower_x", "lower_y", "lower_z", "sd"})
	c := p.m.Pane.Outline
	upper, err := p.m.Pane.UpperEdge.Plan()
	if err != nil {
		return err
	}
	length := c.Length()
	n := int(math.Ceil(length / 2))
	for i := range n {
		s := length * float64(i) / float64(n)
		q := c.At(c.ParamAt(s))
		u, _ := upper.Nearest(q)
		a, b := p.m.Pane.UpperEdge.At(u), p.m.Pane.LowerEdge.At(u)
		row := make([]string, 0, 10)
		for _, v := range []float64{s, q.X, q.Y, a.X, a.Y, a.Z, b.X, b.Y, b.Z, p.m.OutlineSD(q)} {
			row = append(row, fixed(v))
		}
		w.Write(row)
	}
	w.Flush()
	return w.Error()
}

// faceTable writes face.csv: both faces on a 20 mm lattice inside the outline,
// with the upper face's standard deviation. A field is empty where that face
// has ended.
func (p *pack) faceTable(buf *bytes.Buffer) error {
	w := csv.NewWriter(buf)
	w.Write([]string{"x", "y", "upper_z", "lower_z", "sd"})
	pane := p.m.Pane
	shape, upper, lower := loop(pane.Outline), loopPlan(pane.UpperEdge), loopPlan(pane.LowerEdge)
	b := pane.Outline.Bounds()
	const pitch = 20
	for j := math.Ceil(b.Min.Y / pitch); j*pitch <= b.Max.Y; j++ {
		for i := math.Ceil(b.Min.X / pitch); i*pitch <= b.Max.X; i++ {
			q := r2.Vec{X: i * pitch, Y: j * pitch}
			if !shape.Contains(q) {
				continue
			}
			up, low := "", ""
			if upper.Contains(q) {
				up = fixed(pane.Upper.At(q.X, q.Y))
			}
			if lower.Contains(q) {
				low = fixed(pane.Lower.At(q.X, q.Y))
			}
			w.Write([]string{fixed(q.X), fixed(q.Y), up, low, fixed(p.m.FaceSD(q))})
		}
	}
	w.Flush()
	return w.Error()
}

// loop is a curve as a polygon whose chords stay within 0.005 mm.
func loop(c *geom.Curve) geom.Polygon {
	var out geom.Polygon
	for _, u := range c.Flatten(0.005) {
		out = append(out, c.At(u))
	}
	return out
}

// loopPlan is the plan of a space curve as a polygon.
func loopPlan(c *geom.SpaceCurve) geom.Polygon {
	flat, err := c.Plan()
	if err != nil {
		return nil
	}
	return loop(flat)
}
