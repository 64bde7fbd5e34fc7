package geom

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Lattice holds values over a box in plan, at points Step mm apart from Min on:
// NX along x by NY along y, row after row, x innermost. At least two by two.
type Lattice struct {
	Min    r2.Vec // mm
	Step   float64
	NX, NY int
	Z      []float64
}

// mostLattice is the most points that a lattice may have.
const mostLattice = 1 << 22

// NewLattice returns a lattice of noughts over a box, with the given number of
// steps along its longer side. It refuses a box without a size.
func NewLattice(box r2.Box, steps int) (*Lattice, error) {
	w, h := box.Max.X-box.Min.X, box.Max.Y-box.Min.Y
	if !(w > 0 && h > 0) || math.IsInf(w+h, 0) || steps < 1 {
		return nil, fmt.Errorf("geom: a lattice of %d steps over %v", steps, box)
	}
	l := &Lattice{Min: box.Min, Step: math.Max(w, h) / float64(steps)}
	l.NX, l.NY = 1+int(math.Ceil(w/l.Step-1e-9)), 1+int(math.Ceil(h/l.Step-1e-9))
	if l.NX*l.NY > mostLattice {
		return nil, fmt.Errorf("geom: a lattice of %d by %d points", l.NX, l.NY)
	}
	l.NX, l.NY = max(l.NX, 2), max(l.NY, 2)
	l.Z = make([]float64, l.NX*l.NY)
	return l, nil
}

// Point returns the plan point of column i and row j.
func (l *Lattice) Point(i, j int) r2.Vec {
	return r2.Vec{X: l.Min.X + float64(i)*l.Step, Y: l.Min.Y + float64(j)*l.Step}
}

// LevelLines returns the lines along which the values pass a level, in pieces a
// cell long, by rows of cells: values between the points are taken as straight.
// In a saddle the lines part on the side of the mean. The error against a smooth
// function with second derivatives up to c and a slope of g is c·Step²/(8g), in
// mm across the line.
func (l *Lattice) LevelLines(level float64) (lines [][2]r2.Vec) {
	for j := range l.NY - 1 {
		for i := range l.NX - 1 {
			corner := [4][2]int{{i, j}, {i + 1, j}, {i + 1, j + 1}, {i, j + 1}}
			var h [4]float64
			for c, ij := range corner {
				h[c] = l.Z[ij[1]*l.NX+ij[0]] - level
			}
			if below := h[0] < 0; (h[1] < 0) == below && (h[2] < 0) == below && (h[3] < 0) == below {
				continue
			}
			var cross [4]r2.Vec
			n := 0
			for c := range corner {
				d := (c + 1) % 4
				if (h[c] < 0) == (h[d] < 0) {
					continue
				}
				p, q := l.Point(corner[c][0], corner[c][1]), l.Point(corner[d][0], corner[d][1])
				cross[n] = r2.Add(p, r2.Scale(h[c]/(h[c]-h[d]), r2.Sub(q, p)))
				n++
			}
			switch {
			case n == 2:
				lines = append(lines, [2]r2.Vec{cross[0], cross[1]})
			case (h[0] < 0) == (h[0]+h[1]+h[2]+h[3] < 0):
				lines = append(lines, [2]r2.Vec{cross[0], cross[1]}, [2]r2.Vec{cross[2], cross[3]})
			default:
				lines = append(lines, [2]r2.Vec{cross[3], cross[0]}, [2]r2.Vec{cross[1], cross[2]})
			}
		}
	}
	return lines
}
