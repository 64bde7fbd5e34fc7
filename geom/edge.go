package geom

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Profile is the form of the ground edge between the two faces.
//
//	SquareEdge: the edge band            RoundEdge: a half circle of radius t/2
//	stands square to the face            about c, the middle of the edge
//
//	-------------. upper arris           -----------. upper arris
//	             |                                   \
//	             | t                               c  ) widest place
//	             |                                   /
//	-------------' lower arris           -----------' lower arris
type Profile int

// The profiles.
const (
	SquareEdge Profile = iota
	RoundEdge
)

// String returns "square" or "round".
func (p Profile) String() string {
	switch p {
	case SquareEdge:
		return "square"
	case RoundEdge:
		return "round"
	}
	return fmt.Sprintf("Profile(%d)", int(p))
}

// steepest is the greatest slope of the upper face at the edge: beyond it the
// silhouette no longer tells where the arrises are.
const steepest = 60 * math.Pi / 180

// SteepError tells where the upper face is steeper than 60° at the edge.
type SteepError struct {
	At    r2.Vec  // plan of the upper arris, mm
	Slope float64 // rad from level
}

// Error names the place and the slope.
func (e *SteepError) Error() string {
	return fmt.Sprintf("geom: the edge is steeper than 60° at x %.1f, y %.1f mm: %.1f°",
		e.At.X, e.At.Y, e.Slope*180/math.Pi)
}

// Arrises returns where the two arrises lie in plan, from the silhouette (what
// a square or a plumb line touches), the outward unit normal ν of the
// silhouette in plan, the unit upward normal n of the upper face at the upper
// arris, the thickness t in millimetres and the profile.
//
// A square edge band runs from the upper arris U to the lower one L = U - t·n.
// Which of them is touched depends on whether n leans out or in there:
//
//	dome lay, n·ν ≥ 0        bowl lay, n·ν < 0          tilted plane
//	--__        n                    n    U              U--__      n
//	    --__   /                      \_-- \            /     --__ /
//	        --U <- silhouette       _--     \   silh.-> L--__      --__
//	--__     /                   _--         L <- silh.      --__      U <- silh.
//	    --__/                           _--                      --__ /
//	        L                        _--                             L
//
// so on a tilted plane the downhill side is touched at the upper arris and the
// uphill side at the lower one, and
//
//	square, n·ν ≥ 0:  U = silhouette            L = U - t·n
//	square, n·ν < 0:  L = silhouette            U = L + t·n
//	round:            c = silhouette - (t/2)·ν  U = c + (t/2)·n,  L = c - (t/2)·n
//
// with n's plan part for n. Both arrises have their full plan displacement,
// not only its part along ν (which is t·n·ν between them, and for a round edge
// silhouette - U = (t/2)(1 - n·ν)·ν, silhouette - L = (t/2)(1 + n·ν)·ν): the part
// along the edge slides the point along the same arris, and with it L = U - t·n
// holds in space exactly. Silhouette is the inverse.
func Arrises(silhouette, outward r2.Vec, n r3.Vec, t float64, p Profile) (upper, lower r2.Vec) {
	across := r2.Scale(t, planOf(n))
	switch {
	case p == RoundEdge:
		c := r2.Sub(silhouette, r2.Scale(t/2, outward))
		upper = r2.Add(c, r2.Scale(0.5, across))
	case r2.Dot(across, outward) < 0:
		return r2.Add(silhouette, across), silhouette
	default:
		upper = silhouette
	}
	return upper, r2.Sub(upper, across)
}

// Silhouette returns the plan point of the silhouette that belongs to a point
// of the upper arris, with the same arguments as Arrises, whose inverse it is.
func Silhouette(upper r3.Vec, outward r2.Vec, n r3.Vec, t float64, p Profile) r2.Vec {
	u, across := planOf(upper), r2.Scale(t, planOf(n))
	switch {
	case p == RoundEdge:
		return r2.Add(r2.Sub(u, r2.Scale(0.5, across)), r2.Scale(t/2, outward))
	case r2.Dot(across, outward) < 0:
		return r2.Sub(u, across)
	default:
		return u
	}
}

// EdgeOn returns the two arrises in space that belong to a point of the
// silhouette over the upper face s, with the outward plan normal there (any
// length), the thickness t >= 0 in millimetres and the profile. The slope is
// taken at the upper arris, which is found by iteration to 1e-12 mm; the upper
// arris lies on s, the lower one at the distance t square to it.
//
// Where the silhouette passes from one arris to the other both answers can be
// true to themselves; the upper arris is then taken. It fails with a
// *SteepError where s is steeper than 60°, and where it is not defined.
func EdgeOn(s Surface, silhouette, outward r2.Vec, t float64, p Profile) (upper, lower r3.Vec, err error) {
	const (
		rounds = 100
		close  = 1e-12 // mm
	)
	length := r2.Norm(outward)
	if !(length > 0) || !(t >= 0) || !allFinite(length, t, silhouette.X, silhouette.Y) {
		return r3.Vec{}, r3.Vec{}, errors.New("geom: edge point: a value is not a number, or a direction or thickness is missing")
	}
	outward = r2.Scale(1/length, outward)
	at := silhouette
	var h Height
	for k := range rounds {
		if h = s.Eval(at.X, at.Y); !h.finite() {
			return r3.Vec{}, r3.Vec{}, fmt.Errorf("geom: the face is not defined at x %.3f, y %.3f", at.X, at.Y)
		}
		n := h.Normal()
		next, _ := Arrises(silhouette, outward, n, t, p)
		if k > 0 && p == SquareEdge { // the first look has settled which arris it is
			next = r2.Add(silhouette, r2.Scale(t, planOf(n)))
		}
		step := r2.Norm(r2.Sub(next, at))
		at = next
		if step <= close+1e-15*r2.Norm(at) {
			break
		}
	}
	h = s.Eval(at.X, at.Y)
	if slope := h.Slope(); !(slope <= steepest) {
		return r3.Vec{}, r3.Vec{}, &SteepError{At: at, Slope: slope}
	}
	upper = r3.Vec{X: at.X, Y: at.Y, Z: h.Z}
	return upper, r3.Sub(upper, r3.Scale(t, h.Normal())), nil
}

// planOf returns the plan part of v.
func planOf(v r3.Vec) r2.Vec { return r2.Vec{X: v.X, Y: v.Y} }
