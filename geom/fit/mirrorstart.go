package fit

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// begin prepares the fit: the plane's rough place, where both halves were read,
// then curve and face at that place.
func (f *mirrorFit) begin(ctx context.Context) error {
	in := f.in
	kept := f.kept(in.Edge)
	p, w := planOf(kept)
	r := newRing(p, typicalSD(kept))
	f.reordered = r.reordered
	if f.evidence().outline && !in.Fixed {
		free, err := r.loopFit(p, w, toldOf(kept))
		if err != nil {
			return err
		}
		if err := free.run(ctx, 2, roughly); err != nil {
			return outlineError(err)
		}
		f.m = foldOnto(free.curve, f.m)
	}
	return f.restart()
}

// kept are those of the edge marks, in the given order, that do not start as
// slips.
func (f *mirrorFit) kept(marks []Mark) []Mark {
	return pick(marks, func(i int) bool { return f.in.Aside == nil || !f.in.Aside[i] })
}

// restart makes the first face and the first curve at the motion at hand.
func (f *mirrorFit) restart() error {
	f.loop, f.sheet, f.arcs = nil, nil, nil
	f.carry()
	if err := f.startSheet(); err != nil {
		return err
	}
	f.carry() // marks without a height are on the face now
	return f.startLoop()
}

// startSheet fits the first even face, if there are heights for one: no more
// than a quadratic, because the plane may still be wrong and evenness with it.
func (f *mirrorFit) startSheet() error {
	with, index := heights(slices.Concat(f.in.Edge, f.in.Face))
	if f.in.Aside != nil { // a wrong place falsifies the height too
		sound := func(k int) bool { return index[k] >= len(f.in.Edge) || !f.in.Aside[index[k]] }
		with, index = pick(with, sound), pick(index, sound)
	}
	if p, _ := planOf(with); len(with) < 3 || thin(p) < 4*typicalSD(with) {
		return nil
	}
	f.height = index
	frame := f.m.frame()
	moved := slices.Clone(with)
	box := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i, k := range with {
		moved[i].P = frame.Apply(k.P)
		box = widen(box, moved[i].plan())
	}
	for i, q := range f.q {
		if f.in.Aside == nil || !f.in.Aside[i] {
			box = widen(box, r2.Vec{X: q.X, Y: q.Y})
		}
	}
	margin := r2.Vec{X: boxMargin, Y: boxMargin}
	box.Min, box.Max = r2.Sub(box.Min, margin), r2.Add(box.Max, margin)
	if f.in.Box.Max.X > f.in.Box.Min.X && f.in.Box.Max.Y > f.in.Box.Min.Y {
		box = widen(widen(box, f.in.Box.Min), f.in.Box.Max)
	}
	s := newSheetFit(newSheet(box, facePitch, true), moved)
	if len(with) < leastHeights {
		s.order = 2
	}
	s.startRobust(false)
	s.log = stiffest
	if err := s.solve(false); err != nil {
		return faceError(err, nil)
	}
	f.sheet = s
	f.pull = make([]float64, len(with))
	for i := range f.pull {
		f.pull[i] = 1
	}
	return nil
}

// pick are the elements of v at the indices that count.
func pick[T any](v []T, counts func(int) bool) []T {
	var out []T
	for i, x := range v {
		if counts(i) {
			out = append(out, x)
		}
	}
	return out
}

// widen is the least box that holds b and p.
func widen(b r2.Box, p r2.Vec) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)},
		Max: r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)},
	}
}

// startLoop lays the symmetric curve along the better read half and fits it
// once to all marks.
func (f *mirrorFit) startLoop() error {
	p := make([]r2.Vec, len(f.q))
	for i, q := range f.q {
		p[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	sound := pick(p, func(i int) bool { return f.in.Aside == nil || !f.in.Aside[i] })
	way, err := halfWay(newRing(sound, typicalSD(f.in.Edge)))
	if err != nil {
		return err
	}
	pos := make([]float64, len(way))
	for i := range way[1:] {
		pos[i+1] = pos[i] + r2.Norm(r2.Sub(way[i+1], way[i]))
	}
	spans := max(6, int(math.Ceil(knotsPerCorner*float64(len(way)))))
	half := spreadKnots(pos, spans)
	top := half[spans]
	knots := slices.Clone(half)
	for i := spans - 1; i >= 0; i-- {
		knots = append(knots, 2*top-half[i])
	}
	c, err := newChart(knots, true)
	if err != nil {
		return outlineError(err)
	}
	_, w := planOf(f.in.Edge)
	foot := make([]float64, len(p))
	for i, q := range p {
		foot[i] = along(way, pos, r2.Vec{X: math.Abs(q.X), Y: q.Y})
		if q.X < 0 {
			foot[i] = 2*top - foot[i]
		}
	}
	off := make([]bool, len(p))
	copy(off, f.in.Aside)
	f.loop = newLoopFit(c, p, w, foot, off, toldOf(f.in.Edge))
	if err := f.loop.start(); err != nil {
		return outlineError(err)
	}
	return nil
}

// halfWay is the open way along the half with more corners, folded to x > 0,
// from a point on the line at the bottom to one at the top.
func halfWay(r *ring) ([]r2.Vec, error) {
	var at []r2.Vec
	var side int
	for _, i := range r.live() {
		at = append(at, r.at[i])
		if r.at[i].X > 0 {
			side++
		} else {
			side--
		}
	}
	if side < 0 { // the left half: fold it over, which turns the sense round
		for i := range at {
			at[i].X = -at[i].X
		}
		slices.Reverse(at)
	}
	n := len(at)
	const onLine = 1.0 // mm: nearer corners say nothing about the way
	from, most := 0, 0
	for i := range n {
		run := 0
		for run < n && at[(i+run)%n].X > onLine {
			run++
		}
		if run > most {
			from, most = i, run
		}
	}
	if most < 4 {
		return nil, &MarkError{Reason: "neither half holds enough edge marks on one side of the centre line"}
	}
	way := []r2.Vec{{Y: at[from].Y}}
	for k := range most {
		way = append(way, at[(from+k)%n])
	}
	return append(way, r2.Vec{Y: way[most].Y}), nil
}

// along is the position on a way of its point nearest to q.
func along(way []r2.Vec, pos []float64, q r2.Vec) float64 {
	best, least := 0.0, math.Inf(1)
	for i := range way[1:] {
		d := r2.Sub(way[i+1], way[i])
		t := r2.Dot(r2.Sub(q, way[i]), d) / r2.Norm2(d)
		t = max(0, min(1, t))
		if e := r2.Norm(r2.Sub(q, r2.Add(way[i], r2.Scale(t, d)))); e < least {
			least, best = e, pos[i]+t*(pos[i+1]-pos[i])
		}
	}
	return best
}
