package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// whereToRead says what would find the centre line where nothing does: five
// check stations on the half that was not read, three on its side and one each at
// top and bottom, in words of the board; or four widths, from stations on the side
// that was read. The places are those of the measured half, mirrored about the
// guess, so they are right to a few centimetres.
func (s *solve) whereToRead(guess geom.Plane) {
	side, far, name := 1.0, "left", "right"
	if s.leftShare(guess) > 0.5 {
		side, far, name = -1, name, far
	}
	l := edgeLoop{t: s.thick(), profile: s.job.Pane.Profile, side: side}
	l.nodes = s.freeNodes(l)
	half, ok := l.cut(guess, side)
	if !ok {
		return
	}
	var lay []string
	for _, n := range checkPlaces(half, guess, side) {
		image := n.mirrored(guess, l.t, l.profile)
		text := s.job.Grid.Describe(roundly(image.sil, s.job.Unit), s.job.Unit)
		lay = append(lay, text)
		if s.job.Plane == nil {
			s.m.Next = append(s.m.Next, Advice{Kind: Edge, At: r3.Vec{X: image.sil.X, Y: image.sil.Y, Z: image.arris.Z},
				Text: "check station on the " + far + " half, near " + text})
		}
	}
	text := fmt.Sprintf(" Read five check stations on the %s half: three on its side (near %s), one at the top (near %s) and one at the bottom (near %s).",
		far, strings.Join(lay[:3], "; "), lay[3], lay[4])
	if ids := s.tapePlaces(half, guess, side); len(ids) > 1 {
		text += fmt.Sprintf(" Or tape %s full widths, less sure, from stations %s.", numberWord(len(ids)), andList(ids))
	}
	why, _, _ := strings.Cut(s.m.WhyNotFound, ": ")
	s.m.WhyNotFound = strings.TrimSuffix(why, ".") + "." + text
}

// roundly is a place to 10 mm or half an inch.
func roundly(p r2.Vec, u Unit) r2.Vec {
	grain := 10.0
	if u == Inch {
		grain = 12.7
	}
	return r2.Vec{X: grain * math.Round(p.X/grain), Y: grain * math.Round(p.Y/grain)}
}

// checkPlaces are the places of the half whose twins tell the most: three on the
// side, at the quarters, from the lower to the upper, then one at the top and one
// at the bottom, half-way out.
func checkPlaces(half []edgeNode, plane geom.Plane, side float64) (out []edgeNode) {
	n := flat(plane.Normal)
	up := r2.Vec{X: -n.Y, Y: n.X}
	reach, low, high := 0.0, math.Inf(1), math.Inf(-1)
	for i := range half {
		reach = max(reach, side*plane.Dist(half[i].arris))
		v := r2.Dot(up, half[i].sil)
		low, high = min(low, v), max(high, v)
	}
	nearest := func(far func(i int) float64) edgeNode {
		best := 0
		for i := range half {
			if far(i) < far(best) {
				best = i
			}
		}
		return half[best]
	}
	for _, f := range []float64{0.25, 0.5, 0.75} {
		out = append(out, nearest(func(i int) float64 {
			return math.Abs(r2.Dot(up, half[i].sil)-low-f*(high-low)) + turned(math.Abs(r2.Dot(n, half[i].out)))
		}))
	}
	for _, sense := range []float64{1, -1} {
		out = append(out, nearest(func(i int) float64 {
			return math.Abs(side*plane.Dist(half[i].arris)-reach/2) + turned(sense*r2.Dot(up, half[i].out))
		}))
	}
	return out
}

// turned is a way in mm that keeps a search off edges that run the wrong way:
// along is how far the edge's normal goes the right one.
func turned(along float64) float64 {
	if along > 0.7 {
		return 0
	}
	return 1e4 * (0.7 - along)
}

// tapePlaces are up to four stations on the side from which to tape, evenly
// spread: where the edge runs fore and aft, so that a twin found a little off
// does no harm.
func (s *solve) tapePlaces(half []edgeNode, plane geom.Plane, side float64) (ids []string) {
	const steep = 0.95
	type place struct {
		id string
		y  float64
	}
	var all []place
	for k, i := range s.edge {
		d := side * plane.Dist(s.arris[k])
		if s.kept(k) && d > overlap && math.Abs(s.outward[k].X) > steep {
			all = append(all, place{s.job.Readings[i].ID, s.arris[k].Y})
		}
	}
	if len(all) == 0 {
		return nil
	}
	slices.SortStableFunc(all, func(a, b place) int { return cmp.Compare(a.y, b.y) })
	const widths = 4
	for n := range widths {
		y := all[0].y + (all[len(all)-1].y-all[0].y)*float64(n)/(widths-1)
		best := 0
		for i := range all {
			if math.Abs(all[i].y-y) < math.Abs(all[best].y-y) {
				best = i
			}
		}
		if !slices.Contains(ids, all[best].id) {
			ids = append(ids, all[best].id)
		}
	}
	return ids
}

// numberWord is a small number in words.
func numberWord(n int) string {
	return [...]string{"no", "one", "two", "three", "four"}[n]
}

// listed is names in a row: "4, 7 and 9".
func andList(ids []string) string {
	if len(ids) < 2 {
		return strings.Join(ids, "")
	}
	return strings.Join(ids[:len(ids)-1], ", ") + " and " + ids[len(ids)-1]
}
