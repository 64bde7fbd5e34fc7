package board

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// doubt is what the uncertainty of the finished pane is taken from: the fit
// that found the plane along with the shape, where there is one.
type doubt struct {
	outline *fit.Outline
	face    *fit.Face
	from    geom.Frame // from the glass frame to that of the fit
}

// setDoubt chooses it. It needs the finished pane's frame.
func (s *solve) setDoubt() {
	d := &doubt{outline: s.outline, face: s.faceFit, from: s.m.BoardToGlass.Inverse().Then(s.toGlass)}
	if s.found != nil && s.found.Face != nil {
		d = &doubt{outline: s.found.Outline, face: s.found.Face, from: s.m.BoardToGlass.Inverse().Then(s.toFound)}
	}
	s.m.doubt = d
}

// inFit is a point of the pane's upper face, by its plan in the glass frame, in
// the plan of the fit.
func (m *Model) inFit(p r2.Vec) r2.Vec {
	q := m.doubt.from.Apply(r3.Vec{X: p.X, Y: p.Y, Z: m.Pane.Upper.At(p.X, p.Y)})
	return r2.Vec{X: q.X, Y: q.Y}
}

// param is where on the fit's outline a plan point of the glass frame lies.
func (m *Model) param(p r2.Vec) float64 {
	u, _ := m.doubt.outline.Curve.Nearest(m.inFit(p))
	return u
}

// OutlineSD is the standard uncertainty of the outline, square to it, at the
// glass-frame plan point p, mm; 0 without a pane.
func (m *Model) OutlineSD(p r2.Vec) float64 {
	if m.doubt == nil || m.Pane == nil {
		return 0
	}
	return m.doubt.outline.SD(m.param(p))
}

// FaceSD is the standard uncertainty of the upper face's height at the
// glass-frame plan point p, mm; 0 without a pane.
func (m *Model) FaceSD(p r2.Vec) float64 {
	if m.doubt == nil || m.Pane == nil {
		return 0
	}
	q := m.inFit(p)
	return m.doubt.face.SD(q.X, q.Y)
}

// sagU is the standard uncertainty of a sag: of the face at the place farthest
// from the chord against its ends.
func (m *Model) sagU(b bow) float64 {
	if b.sag == 0 {
		return 0
	}
	return m.doubt.face.Spread([]r2.Vec{m.inFit(b.at), m.inFit(b.from), m.inFit(b.to)}, []float64{1, b.share - 1, -b.share})
}

// outlineU works out the standard uncertainties of the outline's figures, to
// first order: a width changes with both its ends, an area with every mm of
// edge, a girth with every mm by the curvature there.
func (m *Model) outlineU() {
	f, c, o := &m.Figures, m.Pane.Outline, m.doubt.outline
	const n = 240
	length := c.Length()
	u, along, bent := make([]float64, n), make([]float64, n), make([]float64, n)
	var ends [4]int // right, left, top, bottom
	var at [n]r2.Vec
	for i := range n {
		v := c.ParamAt(length * float64(i) / n)
		at[i] = c.At(v)
		u[i] = m.param(at[i])
		along[i] = length / n
		bent[i] = c.Curvature(v) * length / n
		for k, reach := range []func(r2.Vec) float64{
			func(p r2.Vec) float64 { return p.X }, func(p r2.Vec) float64 { return -p.X },
			func(p r2.Vec) float64 { return p.Y }, func(p r2.Vec) float64 { return -p.Y },
		} {
			if reach(at[i]) > reach(at[ends[k]]) {
				ends[k] = i
			}
		}
	}
	across := func(a, b int) float64 { return o.Spread([]float64{u[a], u[b]}, []float64{1, 1}) }
	f.AreaU, f.GirthU = o.Spread(u, along), o.Spread(u, bent)
	f.WidthU, f.LengthU = across(ends[0], ends[1]), across(ends[2], ends[3])
	best := math.Inf(1)
	for _, c := range o.Corners {
		if d := math.Abs(math.Abs(c.Radius) - f.LeastRadius); d < best {
			best, f.LeastRadiusU = d, c.RadiusSD
		}
	}
}

// places is how many places to measure next are named.
const places = 5

// advise finds where to measure next. Where a plane was found its own fit is
// asked, since a reading on the other half tells of the plane too.
func (s *solve) advise() {
	o, f, back := s.outline, s.faceFit, s.toGlass.Inverse()
	if s.found != nil && s.m.Used == s.m.Found && s.m.Used != nil {
		o, f, back = s.found.Outline, s.found.Face, s.toFound.Inverse()
	}
	if o == nil || f == nil {
		return
	}
	sxy, sz := s.job.sigmas()
	for _, a := range fit.Next(o, f, sxy, sz, places) {
		at := back.Apply(r3.Vec{X: a.At.X, Y: a.At.Y, Z: f.Face.At(a.At.X, a.At.Y)})
		kind := Face
		where := "height near "
		if a.Edge {
			kind = Edge
			where = s.between(at) + ", near "
		}
		plan := r2.Vec{X: at.X, Y: at.Y}
		s.m.Next = append(s.m.Next, Advice{Kind: kind, At: at,
			Text: where + s.job.Grid.Describe(plan, s.job.Unit), Gain: 1 - math.Sqrt(a.After/a.Before)})
	}
}

// between names the two stations that a place on the edge lies between.
func (s *solve) between(p r3.Vec) string {
	c := s.m.Free.Curve
	length := c.Length()
	u, _ := c.Nearest(r2.Vec{X: p.X, Y: p.Y})
	at := c.LengthTo(u)
	before, after := "", ""
	back, ahead := math.Inf(1), math.Inf(1)
	for k, i := range s.edge {
		if !s.kept(k) {
			continue
		}
		q := s.marks[k].P
		u, _ := c.Nearest(r2.Vec{X: q.X, Y: q.Y})
		d := math.Mod(c.LengthTo(u)-at+2*length, length)
		if d < ahead {
			ahead, after = d, s.job.Readings[i].ID
		}
		if length-d < back {
			back, before = length-d, s.job.Readings[i].ID
		}
	}
	return fmt.Sprintf("edge between stations %s and %s", before, after)
}

// steepFace is the slope beyond which heights off a board tell little, though a
// pane can still be made: 50 degrees (our own figure).
const steepFace = 50 * math.Pi / 180

// doubts are the findings about how far the model can be trusted.
func (s *solve) doubts(add func(list string, row int, field, code, text string)) {
	if s.outline == nil || s.m.Pane == nil {
		return
	}
	if len(s.outline.Breaks) == 0 {
		for _, i := range s.edge {
			if r := s.job.Readings[i]; r.Break && s.m.Results[i].State == Kept {
				add("edge", s.job.Place(i).Row, "", "break-not-used", fmt.Sprintf("No true break could be made at station %s: the edge does not turn there. It was fitted smooth.", r.ID))
			}
		}
	}
	for _, c := range s.outline.Corners {
		if c.Marks < 3 && math.Abs(c.Radius) > 2 {
			p := s.toGlass.Inverse().Apply(r3.Vec{X: c.At.X, Y: c.At.Y, Z: s.faceFit.Face.At(c.At.X, c.At.Y)})
			add("edge", 0, "", "corner-assumed", fmt.Sprintf("The corner near %s was read at %s: its radius of %s is assumed (give or take %s). Read four stations round it, six where it is tight.",
				s.job.Grid.Describe(r2.Vec{X: p.X, Y: p.Y}, s.job.Unit), count(c.Marks, "station"), s.job.length(math.Abs(c.Radius)), s.job.length(c.RadiusSD)))
		}
	}
	remark := func(field, code, text string) {
		s.m.Findings = append(s.m.Findings, Finding{List: "job", Field: field, Code: code, Text: text, Remark: true})
	}
	const exact = 0.15 // of what was expected: such readings were worked out, not read
	if f := s.m.Figures; s.job.Sigma > 0 && f.SigmaFound > exact*s.job.Sigma && f.SigmaFound < s.job.Sigma/2 {
		remark("sigma", "sigma-small", fmt.Sprintf("The stations agree to %s where %s was expected: the expected figure may be lowered, and all uncertainties with it.", s.job.length(f.SigmaFound), s.job.length(s.job.Sigma)))
	}
	if s.m.Lopsided > 0 {
		remark("mirror", "lopsided", fmt.Sprintf("The pane is really not symmetric: its outline lies up to %s off its own mirror image, more than the readings can explain. Both halves were left as read; choose both to have it made symmetric all the same.", s.job.length(s.m.LopsidedMost)))
	}
	if s.job.Mirror == MirrorAuto && s.m.Mirror == MirrorNone && s.m.WhyNotFound != "" {
		remark("mirror", "no-mirror", s.m.WhyNotFound+" It is fitted as it is, without a mirror.")
	}
	s.rollOpen(add)
	if slope, at := steepest(s.m.Pane); slope > steepFace {
		p := s.m.BoardToGlass.Inverse().Apply(at)
		add("face", 0, "", "steep", fmt.Sprintf("Near %s the face stands at %.0f°: there a small error across is a large one in height. Lay the pane turned, so that this wing lies flatter, and read it again.",
			s.job.Grid.Describe(r2.Vec{X: p.X, Y: p.Y}, s.job.Unit), slope*180/math.Pi))
	}
}

// count is a number of things in words.
func count(n int, thing string) string {
	switch n {
	case 0:
		return "no " + thing
	case 1:
		return "one " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// steepest is the greatest slope of the upper face along its edge.
func steepest(p *geom.Pane) (slope float64, at r3.Vec) {
	const n = 240
	lo, hi := p.UpperEdge.Period()
	for i := range n {
		q := p.UpperEdge.At(lo + (hi-lo)*float64(i)/n)
		if t := p.Upper.Eval(q.X, q.Y).Slope(); t > slope {
			slope, at = t, q
		}
	}
	return slope, at
}
