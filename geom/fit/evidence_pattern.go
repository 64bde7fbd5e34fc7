package fit

import "math"

// Shear is by how much the grid seems out of square, in radians: the readings
// look as if x had grown by so much of y. It is the part of what the edge marks
// miss a mirrored pane by that goes as the shear of a pane does, odd from half
// to half; sd is its standard uncertainty, +Inf where no plane was found. A pane
// that is not symmetric can look alike, so only the grid's own diagonals prove
// it. The shear that a half turn of the plane explains is not in it.
func (s *Symmetric) Shear() (shear, sd float64) {
	return s.pattern(0, func(t *testimony) float64 {
		if t.kind != EdgePlace {
			return 0
		}
		return (t.out.X*t.at.Y + t.out.Y*t.at.X) / 2
	})
}

// Twist is by how much the heights rise in opposite corners, mm at the corners
// of a box of the given half sizes about the origin of the corrected frame: the
// board or the pane was twisted, or the pane is not symmetric. sd is its
// standard uncertainty, +Inf where no plane or no face was found.
func (s *Symmetric) Twist(halfWidth, halfLength float64) (rise, sd float64) {
	return s.pattern(1, func(t *testimony) float64 { return t.at.X * t.at.Y / (halfWidth * halfLength) })
}

// pattern is what an unknown would come out as that adds its gain times itself
// to the readings of one of the two models, were it fitted with all others.
func (s *Symmetric) pattern(model int, gain func(*testimony) float64) (value, sd float64) {
	f := s.held
	if f == nil || !s.Determined {
		return 0, math.Inf(1)
	}
	models := f.models()
	if model >= len(models) {
		return 0, math.Inf(1)
	}
	m := models[model]
	p := newPattern(m.root)
	m.each(func(t *testimony) { p.add(t.row, gain(t), t.left, t.w) })
	return p.solve()
}

// Step is by how many mm the heights of the marks apart stand above the face
// that the others make, with its standard uncertainty; +Inf where the others
// make none. It is meant for a face of FitFace; apart has one value a mark.
// Heights set aside are passed over.
func (f *Face) Step(apart []bool) (rise, sd float64) {
	g := f.fit
	p := newPattern(g.root)
	k := -1
	for i, miss := range f.Miss {
		if miss != miss {
			continue
		}
		k++
		if g.off[k] {
			continue
		}
		gain := 0.0
		if i < len(apart) && apart[i] {
			gain = 1
		}
		row := make([]float64, g.root.size())
		r := g.at(g.p[k].X, g.p[k].Y)
		for q, j := range r.idx {
			row[j] += r.val[q]
		}
		p.add(row, gain, miss, 1/g.variance[k])
	}
	rise, sd = p.solve()
	return rise, sd * g.unit
}

// pattern finds one unknown more beside those of a solved linear model: with
// its column c, γ = cᵀWe/(cᵀWc − bᵀA⁻¹b), b = JᵀWc, e what the model leaves.
type pattern struct {
	root   *arrow
	b      []float64
	cc, ce float64
}

func newPattern(root *arrow) *pattern {
	return &pattern{root: root, b: make([]float64, root.size())}
}

func (p *pattern) add(row []float64, gain, left, w float64) {
	if gain == 0 {
		return
	}
	for i, v := range row {
		p.b[i] += w * gain * v
	}
	p.cc += w * gain * gain
	p.ce += w * gain * left
}

// solve is the unknown and its sd, where the model's unknowns have the
// covariance A⁻¹.
func (p *pattern) solve() (value, sd float64) {
	p.root.whiten(p.b)
	info := p.cc - dot(p.b, p.b)
	if !(info > 1e-6*p.cc) {
		return 0, math.Inf(1)
	}
	return p.ce / info, 1 / math.Sqrt(info)
}
