package firstcut

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// dish is a surface of second degree about a point of it.
type dish struct {
	at               r3.Vec
	x, y, xx, xy, yy float64 // its terms
}

// over is its height and slopes over q.
func (d dish) over(q r2.Vec) geom.Height {
	x, y := q.X-d.at.X, q.Y-d.at.Y
	return geom.Height{
		Z:  d.at.Z + x*(d.x+d.xx*x+d.xy*y) + y*(d.y+d.yy*y),
		Zx: d.x + 2*d.xx*x + d.xy*y,
		Zy: d.y + d.xy*x + 2*d.yy*y,
	}
}

// dishes are, at each corner of the facets, the surface of second degree through
// the corners round about. A facet tells less of the slope: it may lie 0.02 mm
// off over a few millimetres, and a pane slides on a slope of less.
func dishes(corners []r3.Vec) []dish {
	const reach = 25.0 // mm
	near := newCells(reach)
	for i, c := range corners {
		near.add(i, planOf(c))
	}
	out := make([]dish, len(corners))
	for i, c := range corners {
		var m [6][7]float64
		at := near.of(planOf(c))
		for x := at[0] - 1; x <= at[0]+1; x++ {
			for y := at[1] - 1; y <= at[1]+1; y++ {
				for _, k := range near.in[[2]int{x, y}] {
					d := r3.Scale(1/reach, r3.Sub(corners[k], c))
					if weight := 1 - d.X*d.X - d.Y*d.Y; weight > 0 {
						addTo(&m, [6]float64{d.X, d.Y, 1, d.X * d.X, d.X * d.Y, d.Y * d.Y}, d.Z, weight)
					}
				}
			}
		}
		for k := range m { // what the corners cannot tell is taken as nought
			m[k][k] += 1e-6
		}
		v := solve6(m)
		out[i] = dish{c, v[0], v[1], v[3] / reach, v[4] / reach, v[5] / reach}
	}
	return out
}

// addTo adds an equation to the normal equations m, the right side last.
func addTo(m *[6][7]float64, row [6]float64, right, weight float64) {
	for j := range row {
		for k := range row {
			m[j][k] += weight * row[j] * row[k]
		}
		m[j][6] += weight * row[j] * right
	}
}

// solve6 solves six equations by elimination.
func solve6(m [6][7]float64) (v [6]float64) {
	for i := range m {
		p := i
		for r := i + 1; r < 6; r++ {
			if math.Abs(m[r][i]) > math.Abs(m[p][i]) {
				p = r
			}
		}
		m[i], m[p] = m[p], m[i]
		for r := i + 1; r < 6; r++ {
			f := m[r][i] / m[i][i]
			for c := i; c < 7; c++ {
				m[r][c] -= f * m[i][c]
			}
		}
	}
	for i := 5; i >= 0; i-- {
		v[i] = m[i][6]
		for c := i + 1; c < 6; c++ {
			v[i] -= m[i][c] * v[c]
		}
		v[i] /= m[i][i]
	}
	return v
}
