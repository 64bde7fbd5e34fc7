package fit

import "gonum.org/v1/gonum/spatial/r2"

// normal are the summed readings about the chain at hand, at scale one.
type normal struct {
	g     *arrow // Σ w·row·rowᵀ
	b     []float64
	c     float64 // Σ w·rhs²
	used  float64 // readings, by their pull
	said  *normal // widths, centre marks and breaks: their sds are their own, whatever the marks scatter by
	turns int
	size  int
}

// sum makes the normal equations about the chain at hand, for processes that
// forget over no less than reach.
func (f *arcFit) sum(reach float64) (*normal, error) {
	if err := f.shake(); err != nil {
		return nil, err
	}
	np, nm, nb := f.planeSize(), f.form.size(), f.bumps()
	n := turns(f.chain.length(), reach)
	s := &normal{turns: n, size: np + nm + nb + f.waveCount(n)}
	s.g, s.b = newArrow(s.size, s.size-1, 0), make([]float64, s.size)
	s.said = &normal{g: newArrow(s.size, s.size-1, 0), b: make([]float64, s.size), size: s.size}
	row := make([]float64, s.size)
	for _, h := range f.heaps() {
		f.row(row, h.mark)
		s.add(row, h.miss, h.w)
		s.c += h.scatter
		s.used += h.pull
	}
	for _, pos := range f.form.breaksOf(f.chain) { // the edge does not stray at a break
		const held = 1e6 // 1/mm²
		clear(row)
		f.deviation(row[np+nm:], pos)
		s.said.add(row, 0, held)
	}
	for _, e := range f.extra {
		f.extraRow(row, e)
		s.said.add(row, e.rhs, e.w)
	}
	return s, nil
}

// extraRow fills row with the linear form of a width or a centre mark.
func (f *arcFit) extraRow(row []float64, e extra) {
	clear(row)
	if e.gain != 0 {
		f.outward(row, e.at, e.foot)
		for k := range row {
			row[k] *= e.gain
		}
	}
	copy(row, e.plane[:f.planeSize()])
}

// row fills row with the linear form of a mark's miss.
func (f *arcFit) row(row []float64, mark int) {
	if f.plane != nil {
		for k, v := range f.plane.mark(mark) {
			row[k] = -r2.Dot(f.feet[mark].out, v)
		}
	}
	f.outward(row, f.p[mark], f.feet[mark])
}

// heap is marks so close together that their linear forms are alike: one of
// them, and what they say together.
type heap struct {
	mark                   int
	miss, w, scatter, pull float64
}

// heaps gathers the marks in use: each by itself where they are few, else in
// heaps of stretches of the edge, so that time and memory do not grow with
// their number.
func (f *arcFit) heaps() []heap {
	const (
		few       = 400
		stretches = 800
	)
	var out []heap
	in := map[int]int{}
	for i := range f.p {
		w := f.w[i] * f.pull[i]
		if f.off[i] || w == 0 {
			continue
		}
		h := heap{mark: i, miss: f.feet[i].miss, w: w, pull: f.pull[i]}
		if len(f.p) > few {
			at := int(f.feet[i].pos/f.chain.length()*stretches)*2*f.form.corners + f.feet[i].part
			if k, ok := in[at]; ok {
				o := &out[k]
				d := h.miss - o.miss
				o.scatter += o.w * w / (o.w + w) * d * d
				o.miss += w / (o.w + w) * d
				o.w, o.pull = o.w+w, o.pull+h.pull
				continue
			}
			in[at] = len(out)
		}
		out = append(out, h)
	}
	return out
}

// add sums up one reading.
func (s *normal) add(row []float64, rhs, w float64) {
	if w == 0 {
		return
	}
	for i, v := range row {
		if v == 0 {
			continue
		}
		t := w * v
		s.b[i] += t * rhs
		g := s.g.band[i*s.size+s.size-1-i : (i+1)*s.size]
		for j, u := range row[:i+1] {
			g[j] += t * u
		}
	}
	s.c += w * rhs * rhs
}
