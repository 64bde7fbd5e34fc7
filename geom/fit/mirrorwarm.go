package fit

import (
	"context"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// warm starts from a fit to much the same marks that lay in another frame. It
// is false where that one was no model of sides and corners or does not carry
// over.
func (f *mirrorFit) warm(ctx context.Context) (bool, error) {
	like := f.in.Like
	if like == nil || like.Outline == nil || like.Face == nil {
		return false, nil
	}
	was, ok := like.Outline.model.(*arcFit)
	if !ok {
		return false, nil
	}
	f.carry()
	if err := f.startSheet(); err != nil || f.sheet == nil {
		return false, err
	}
	f.sheet.log, f.sheet.grain = like.Face.fit.log, like.Face.fit.grain
	f.carry()
	p := make([]r2.Vec, len(f.q))
	for i, q := range f.q {
		p[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	_, w := planOf(f.in.Edge)
	off := make([]bool, len(p))
	copy(off, f.in.Aside)
	f.loop = newLoopFit(nil, p, w, make([]float64, len(p)), off, toldOf(f.in.Edge))
	x := append([]float64(nil), was.chain.x...)
	for i := range was.form.corners {
		at := r3.Vec{X: x[perCorner*i], Y: x[perCorner*i+1]}
		at.Z = like.Face.Face.At(at.X, at.Y)
		at = f.in.LikeTo.Apply(at)
		x[perCorner*i], x[perCorner*i+1] = at.X, at.Y
	}
	fm := *was.form
	a, err := newArcFit(&fm, x, p, w, f.loop.told)
	if err != nil {
		return false, nil
	}
	a.hyper, a.strayed = was.hyper, was.strayed
	a.theta = make([]float64, a.bumps()+a.waveCount(0))
	copy(a.off, off)
	a.misses()
	f.arcs = a
	if err := f.arcRounds(ctx, 6, 1.5); err != nil {
		return false, ctx.Err()
	}
	if !f.in.KeepAll {
		if err := a.screen(ctx, f.arcRounds); err != nil {
			return false, ctx.Err()
		}
	}
	return true, nil
}
