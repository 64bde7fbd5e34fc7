package geom

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	lowerTolerance = 2.5e-6  // mm, of the lower face along x and along y; 1e-5 are promised
	lowerPromise   = 1e-5    // mm
	lowerMargin    = 5.0     // mm, least reach of the lower face beyond its edge
	lowerMost      = 1 << 18 // control points
)

// lowerFace returns the face parallel to the pane's upper face at its
// thickness, good inside the outline.
//
// The upper face's third derivatives jump along the lines of its knots, and
// the parallel face's along the curves where those lines arrive, which run
// nearly straight and move little: so the knots are moved there, on average.
// Then spans are halved where the face strays. Along a line through Greville
// abscissae of one direction the interpolant is the plain one of the other, so
// each direction's error shows by itself.
func lowerFace(p *Pane) (*Face, error) {
	l := lower{Offset: Offset{Of: p.Upper, D: -p.Thickness}}
	for _, u := range p.Outline.Flatten(edgeSag) {
		l.inside = append(l.inside, p.Outline.At(u))
	}
	box := reachOf(p.UpperEdge, p.LowerEdge)
	x, y := l.arriving(p.Upper, box)
	tol := lowerTolerance
	for len(x)*len(y) < lowerMost {
		f, err := faceThrough(l, clampedVector(x), clampedVector(y))
		if err != nil {
			return nil, fmt.Errorf("geom: the lower face: the glass is bent more sharply than its thickness allows: %w", err)
		}
		missX, missY := l.misses(f, x, y)
		splitX, doneX := spansToSplit(x, missX, tol)
		splitY, doneY := spansToSplit(y, missY, tol)
		if doneX && doneY {
			err := p.checkLower(f)
			if err == nil {
				return f, nil
			}
			if tol < lowerTolerance/10 {
				return nil, err
			}
			tol /= 2 // both directions together strayed too far
			continue
		}
		x, y = halved(x, splitX), halved(y, splitY)
	}
	return nil, errors.New("geom: the lower face: the upper face is not smooth enough to be offset by the thickness")
}

// lower is the exact lower face and the plan in which it matters.
type lower struct {
	Offset
	inside Polygon
}

// arriving returns the breaks of the upper face's knots moved to where their
// lines arrive on the lower face, on average over the box, with the ends
// reaching beyond the box.
func (l lower) arriving(f *Face, box r2.Box) (x, y []float64) {
	bx, by := breaksOf(f.kx), breaksOf(f.ky)
	shift := func(at, from, to float64, part func(at, along float64) float64) float64 {
		const places = 9
		sum := 0.0
		for k := range places {
			sum += part(at, from+(to-from)*(float64(k)+0.5)/places)
		}
		return l.D * sum / places
	}
	x = moved(bx, box.Min.X-lowerMargin, box.Max.X+lowerMargin, func(at float64) float64 {
		return shift(at, box.Min.Y, box.Max.Y, func(x, y float64) float64 { return f.Eval(x, y).Normal().X })
	})
	y = moved(by, box.Min.Y-lowerMargin, box.Max.Y+lowerMargin, func(at float64) float64 {
		return shift(at, box.Min.X, box.Max.X, func(y, x float64) float64 { return f.Eval(x, y).Normal().Y })
	})
	return x, y
}

// moved returns the breaks, the inner ones moved by shift (by no more than a
// third of a span), the outer ones moved out to reach lo and hi.
func moved(breaks []float64, lo, hi float64, shift func(float64) float64) []float64 {
	b := append([]float64(nil), breaks...)
	last := len(b) - 1
	for i := 1; i < last; i++ {
		room := min(breaks[i]-breaks[i-1], breaks[i+1]-breaks[i]) / 3
		b[i] += min(max(shift(breaks[i]), -room), room)
	}
	b[0], b[last] = min(b[0], lo), max(b[last], hi)
	return b
}

// misses returns how far f strays from the exact lower face in each span of x,
// over the Greville abscissae of y, and the other way round.
func (l lower) misses(f *Face, x, y []float64) (missX, missY []float64) {
	miss := func(x, y float64) float64 { return math.Abs(f.At(x, y) - l.Eval(x, y).Z) }
	turned := make(Polygon, len(l.inside)) // x and y exchanged
	for i, q := range l.inside {
		turned[i] = r2.Vec{X: q.Y, Y: q.X}
	}
	missX = missAlong(x, Greville(f.ky), l.inside, miss)
	missY = missAlong(y, Greville(f.kx), turned, func(y, x float64) float64 { return miss(x, y) })
	return missX, missY
}

// missAlong returns the greatest miss in each span along x, at three places in
// it, over all the levels y, inside the polygon.
func missAlong(breaks, levels []float64, inside Polygon, miss func(x, y float64) float64) []float64 {
	worst := make([]float64, len(breaks)-1)
	for _, y := range levels {
		cut := inside.crossings(y)
		for i := range worst {
			for _, s := range [3]float64{0.2, 0.5, 0.8} {
				x := breaks[i] + s*(breaks[i+1]-breaks[i])
				if before := sort.SearchFloat64s(cut, x); before%2 == 1 {
					worst[i] = max(worst[i], miss(x, y))
				}
			}
		}
	}
	return worst
}

// halved returns the breaks with the marked spans halved.
func halved(breaks []float64, split []bool) []float64 {
	return splitSpans(breaks, func(i int) int {
		if split[i] {
			return 2
		}
		return 1
	})
}

// reachOf returns the plan box of the two arrises.
func reachOf(a, b *SpaceCurve) r2.Box {
	box := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for _, c := range []*SpaceCurve{a, b} {
		for _, p := range c.ctrl { // the curve lies within their hull
			box.Min.X, box.Min.Y = min(box.Min.X, p.X), min(box.Min.Y, p.Y)
			box.Max.X, box.Max.Y = max(box.Max.X, p.X), max(box.Max.Y, p.Y)
		}
	}
	return box
}

// checkLower makes sure of the promise where it is used most: f passes through
// the lower arris.
func (p *Pane) checkLower(f *Face) error {
	b := band{face: p.Upper, plan: p.plan, t: p.Thickness, profile: p.Profile}
	knots := p.LowerEdge.u
	for i := range knots[1:] {
		q, _ := b.at((knots[i] + knots[i+1]) / 2).down(b.t)
		if d := math.Abs(f.At(q.X, q.Y) - q.Z); !(d <= lowerPromise) {
			return fmt.Errorf("geom: the lower face strays by %g mm at x %.1f, y %.1f", d, q.X, q.Y)
		}
	}
	return nil
}
