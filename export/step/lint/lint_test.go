package lint

import (
	"bytes"
	"math"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"
)

// The reader is proved on whole files, good and damaged, beside the writer; here
// are its own parts.

// halfCircle is a half circle of radius r about the origin, from -y to +y by
// way of +x.
func halfCircle(r float64) *curve {
	return &curve{
		degree: 3, knots: []float64{0, 0, 0, 0, 1, 1, 1, 1},
		ctrl:   []r3.Vec{{Y: -r}, {X: 2 * r, Y: -r}, {X: 2 * r, Y: r}, {Y: r}},
		weight: []float64{1, 1. / 3, 1. / 3, 1},
	}
}

// swept is the half circle drawn out along z by h, in uneven spans.
func swept(r, h float64) *surface {
	c := halfCircle(r)
	s := &surface{du: 3, dv: 2, u: c.knots, v: []float64{0, 0, 0, 0.3, 1, 1, 1}}
	for i, p := range c.ctrl {
		var row []r3.Vec
		var w []float64
		for _, v := range []float64{0, 0.15, 0.65, 1} { // Greville abscissae: z = h·v
			row, w = append(row, r3.Vec{X: p.X, Y: p.Y, Z: h * v}), append(w, c.weight[i])
		}
		s.ctrl, s.weight = append(s.ctrl, row), append(s.weight, w)
	}
	return s
}

// TestCurve: a rational curve in closed form, and its derivative by differences.
func TestCurve(t *testing.T) {
	const r, h = 40., 1e-6
	c := halfCircle(r)
	for i := range 101 {
		x := float64(i) / 100
		p, d := c.at(x)
		assert.InDelta(t, r, r3.Norm(p), 1e-12*r, "at %g", x)
		a, _ := c.at(max(x-h, 0))
		b, _ := c.at(min(x+h, 1))
		fd := r3.Scale(1/(min(x+h, 1)-max(x-h, 0)), r3.Sub(b, a))
		assert.InDelta(t, 0, r3.Norm(r3.Sub(d, fd)), 2e-6*r3.Norm(d)+1e-5, "derivative at %g", x)
	}
}

// TestSurface: a half cylinder in closed form: places, slopes, the foot of a
// point off it, area and volume, either way round.
func TestSurface(t *testing.T) {
	const r, h = 40., 90.
	s := swept(r, h)
	for _, u := range []float64{0, 0.2, 0.5, 0.9, 1} {
		for _, v := range []float64{0, 0.3, 0.31, 1} {
			p, pu, pv := s.at(u, v)
			assert.InDelta(t, r, math.Hypot(p.X, p.Y), 1e-12*r)
			assert.InDelta(t, h*v, p.Z, 1e-12*h)
			assert.InDelta(t, 0, r3.Dot(pu, pv), 1e-9)
			assert.InDelta(t, h, pv.Z, 1e-9)
			out := r3.Scale(1/r, r3.Vec{X: p.X, Y: p.Y})
			q := r3.Add(p, r3.Scale(0.25, out))
			at, d := s.nearest(q, s.start(q))
			assert.InDelta(t, 0.25, d, 1e-9)
			assert.InDelta(t, u, at.u, 1e-6)
			assert.InDelta(t, v, at.v, 1e-6)
		}
	}
	// Below u = 1 at one v: an arc's length, times dz/dv.
	area, _ := s.below(place{1, 0.5})
	assert.InEpsilon(t, math.Pi*r*h, area, 1e-9)
	turned := s.turned()
	p, pu, pv := s.at(0.4, 0.7)
	q, qu, qv := turned.at(0.7, 0.4)
	for _, d := range []r3.Vec{r3.Sub(p, q), r3.Sub(pu, qv), r3.Sub(pv, qu)} {
		assert.InDelta(t, 0, r3.Norm(d), 1e-11)
	}
}

// TestBSplines: the B-splines that act sum to one, their slopes to nought, and
// with control points at the Greville abscissae the curve is its parameter.
func TestBSplines(t *testing.T) {
	distinct := []float64{-3, -1, 0.5, 0.75, 4, 10}
	for degree := 1; degree <= 3; degree++ {
		var knots []float64
		for range degree {
			knots = append(knots, distinct[0])
		}
		knots = append(knots, distinct...)
		for range degree {
			knots = append(knots, distinct[len(distinct)-1])
		}
		for x := -3.; x <= 10; x += 0.25 {
			first, b, db := acting(knots, degree, x)
			sum, slope, at, rise := 0., 0., 0., 0.
			for k := range degree + 1 {
				greville := 0.
				for _, u := range knots[first+k+1 : first+k+1+degree] {
					greville += u / float64(degree)
				}
				sum, slope = sum+b[k], slope+db[k]
				at, rise = at+b[k]*greville, rise+db[k]*greville
			}
			assert.InDeltaSlice(t, []float64{1, 0, x, 1}, []float64{sum, slope, at, rise}, 1e-12, "degree %d at %g", degree, x)
		}
	}
}

func golden(t testing.TB) []byte {
	t.Helper()
	data, err := os.ReadFile("../testdata/small.step")
	require.NoError(t, err)
	return data
}

// TestReport reads the golden file.
func TestReport(t *testing.T) {
	r, err := Lint(bytes.NewReader(golden(t)))
	require.NoError(t, err)
	assert.Equal(t, "Muster ü", r.Name)
	assert.Equal(t, "mm", r.Unit)
	assert.Equal(t, 0.002, r.Uncertainty)
	require.Len(t, r.Sheets, 1)
	assert.Equal(t, 4, r.Sheets[0].Edges)
	assert.Greater(t, r.Sheets[0].Area, 3600.)
	assert.Equal(t, []Curve{
		{Name: "centre line", Degree: 1, Ctrl: []r3.Vec{{X: 30}, {X: 30, Y: 60}}},
		{Name: "rail", Degree: 3, Knots: []float64{0, 0, 0, 0, 60, 60, 60, 60}, Ctrl: []r3.Vec{{}, {X: 20.5}, {X: 40, Z: 1}, {X: 60}}},
	}, r.Curves)
	assert.Equal(t, []Point{{"E1'", r3.Vec{X: 30, Z: -0.25}}}, r.Points)
	assert.Equal(t, []Layer{{"faces", []string{"upper face"}}, {"lines", []string{"centre line", "rail"}}, {"stations", []string{"E1'"}}}, r.Layers)
}

// TestEveryByte: the golden file cut anywhere is refused.
func TestEveryByte(t *testing.T) {
	data := golden(t)
	for n := range data {
		_, err := Lint(bytes.NewReader(data[:n]))
		require.Error(t, err, "%d bytes", n)
	}
}

// FuzzLint: any bytes are read without a panic, and what passes holds
// something.
func FuzzLint(f *testing.F) {
	good := string(golden(f))
	for _, s := range []string{
		good, "", "ISO-10303-21;\nHEADER;\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n",
		strings.ReplaceAll(good, "#11", "#13"),
		strings.Replace(good, "(4,4)", "(4,1,4)", 1),
		strings.Replace(good, "0.002", "2.E-3", 1),
		strings.ReplaceAll(good, ",60.,", ",60.5,"),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := Lint(bytes.NewReader(data))
		if err == nil && len(r.Solids)+len(r.Sheets)+len(r.Curves)+len(r.Points) == 0 {
			t.Fatal("nothing in a good file")
		}
	})
}
