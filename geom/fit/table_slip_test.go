package fit_test

import (
	"context"
	"math"
	"math/rand/v2"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
	"panewright/geom/fit"
)

const (
	slipsEach = 3   // a pane
	plainly   = 3.0 // mm off the truth from which a slip should be found
)

// slip spoils one typed number as people do: two digits swapped, a grid line
// too far, a sign, one wrong digit.
func slip(rng *rand.Rand, v float64) float64 {
	text := []byte(strconv.FormatFloat(math.Abs(v), 'f', 1, 64))
	switch kind := rng.Float64(); {
	case kind < 0.35: // two neighbours of the whole number
		whole := len(text) - 2
		if whole < 2 {
			return v + 10
		}
		k := rng.IntN(whole - 1)
		text[k], text[k+1] = text[k+1], text[k]
	case kind < 0.55:
		return v + math.Copysign(10, rng.Float64()-0.5)
	case kind < 0.80:
		return v + math.Copysign(100, rng.Float64()-0.5)
	case kind < 0.88:
		return -v
	default:
		k := rng.IntN(len(text) - 2)
		text[k] = '0' + byte(rng.IntN(10))
	}
	spoiled, err := strconv.ParseFloat(string(text), 64)
	if err != nil {
		return v
	}
	return math.Copysign(spoiled, v)
}

// hunt counts what the fits make of slips.
type hunt struct {
	err                         error
	slips, found, clean, alarms int
	rms                         float64 // mm, of the outline or the face
}

func (h *hunt) count(spoiled bool, off float64, flagged bool) {
	switch {
	case !spoiled:
		h.clean++
		if flagged {
			h.alarms++
		}
	case off > plainly:
		h.slips++
		if flagged {
			h.found++
		}
	}
}

// pick draws k of n.
func pick(rng *rand.Rand, n, k int) map[int]bool {
	out := map[int]bool{}
	for _, i := range rng.Perm(n)[:k] {
		out[i] = true
	}
	return out
}

// edgeSlips spoils x, y or their order at three of m edge marks.
func edgeSlips(i, m int) (h hunt) {
	p := plain.specimen(i, true)
	rng := source("edge slips "+strconv.Itoa(m), i)
	marks := marksOf(p.edgeMarks(rng, m))
	bad := pick(rng, m, slipsEach)
	for k := range marks { // in order: the draws must not depend on a map
		at := &marks[k].P
		switch {
		case !bad[k]:
		case rng.Float64() < 0.1:
			at.X, at.Y = at.Y, at.X
		case rng.Float64() < 0.5:
			at.X = slip(rng, at.X)
		default:
			at.Y = slip(rng, at.Y)
		}
	}
	o, err := fit.FitOutline(context.Background(), marks, fit.OutlineOptions{})
	if err != nil {
		h.err = err
		return h
	}
	var rim geom.Polygon = p.edgeIn(p.board, 1)
	for k, s := range o.Suspect {
		off := 0.0
		if bad[k] {
			off = math.Abs(rim.Distance(r2.Vec{X: marks[k].P.X, Y: marks[k].P.Y}))
		}
		h.count(bad[k], off, s)
	}
	d, _ := misses(o, p.edgeIn(p.board, everyEdge))
	h.rms = rms(d)
	return h
}

// heightSlips spoils three heights out of those of m edge marks and 40 within.
func heightSlips(i, m int) (h hunt) {
	p := plain.specimen(i, true)
	rng := source("height slips "+strconv.Itoa(m), i)
	in := p.allRound(rng, m)
	all := append(in.edge, in.face...)
	marks := marksOf(all)
	bad := pick(rng, len(marks), slipsEach)
	for k := range marks {
		if bad[k] {
			marks[k].P.Z = slip(rng, marks[k].P.Z)
		}
	}
	f, err := fit.FitFace(context.Background(), marks, boxOf(marks), fit.FaceOptions{})
	if err != nil {
		h.err = err
		return h
	}
	for k, s := range f.Suspect {
		h.count(bad[k], math.Abs(marks[k].P.Z-p.board.Apply(p.lift(all[k].own)).Z), s)
	}
	d, _ := rises(f, p.faceIn(p.board))
	h.rms = rms(d)
	return h
}
