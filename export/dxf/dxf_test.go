package dxf_test

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf"
	"panewright/export/dxf/lint"
)

var update = flag.Bool("update", false, "rewrite the golden files")

const rounding = 1e-6 // mm: what six decimals leave of a point, in space

// versions are the two ways to write a drawing, at a chord tolerance for R12.
var versions = []struct {
	name  string
	write func(w io.Writer, d *dxf.Drawing) error
}{
	{lint.R12, func(w io.Writer, d *dxf.Drawing) error { return dxf.WriteR12(w, d, 0.5) }},
	{lint.R2000, dxf.WriteR2000},
}

// read writes a drawing and reads it back strictly.
func read(t testing.TB, d *dxf.Drawing, write func(io.Writer, *dxf.Drawing) error) *lint.Report {
	t.Helper()
	var file bytes.Buffer
	require.NoError(t, write(&file, d))
	report, err := lint.Lint(&file)
	require.NoError(t, err)
	return report
}

// TestGolden compares the bytes with the stored files, which the tests of
// package lint read too. The demo's coordinates are exact in binary; points on
// its curves differ by far less than the last decimal between machines.
func TestGolden(t *testing.T) {
	for _, v := range versions {
		t.Run(v.name, func(t *testing.T) {
			path := filepath.Join("lint", "testdata", v.name+".dxf")
			var got bytes.Buffer
			require.NoError(t, v.write(&got, demo()))
			if *update {
				require.NoError(t, os.WriteFile(path, got.Bytes(), 0o644))
			}
			want, err := os.ReadFile(path)
			require.NoError(t, err)
			assert.True(t, bytes.Equal(want, got.Bytes()), "differs from %s; see -update", path)
		})
	}
}

func TestSameBytes(t *testing.T) {
	d := demo()
	for _, v := range versions {
		var a, b, c bytes.Buffer
		require.NoError(t, v.write(&a, d))
		require.NoError(t, v.write(&b, d))
		require.NoError(t, v.write(&c, demo()))
		assert.Equal(t, a.String(), b.String(), "%s: same drawing twice", v.name)
		assert.Equal(t, a.String(), c.String(), "%s: drawn again", v.name)
	}
}

func TestHead(t *testing.T) {
	for _, v := range versions {
		t.Run(v.name, func(t *testing.T) {
			r := read(t, demo(), v.write)
			assert.Equal(t, v.name, r.Version)
			assert.Equal(t, []string{"Rear window, demo – Höhe in mm"}, r.Comments)
			assert.Contains(t, r.Layers, lint.Layer{Name: "centre-line", Colour: 1, Linetype: "CENTER"})
			assert.Contains(t, r.Layers, lint.Layer{Name: "check-bar", Colour: 6, Linetype: "DASHED"})
			assert.Contains(t, r.Layers, lint.Layer{Name: "outline", Colour: 7, Linetype: "CONTINUOUS"})
			// Line 10 of ISO 128-20 in line widths of 1 mm, from memory.
			assert.Contains(t, r.Linetypes, lint.Linetype{Name: "CENTER", Pattern: []float64{24, -3, 0.5, -3}})
			assert.Equal(t, r3.Vec{X: -604, Y: -420, Z: -175}, r.ExtMin)
			assert.Equal(t, r3.Vec{X: 600, Y: 400, Z: 12}, r.ExtMax)
		})
	}
	r := read(t, demo(), dxf.WriteR2000)
	assert.Equal(t, []int{4, 1}, []int{r.Units, r.Measurement}, "mm, said twice")
}

// TestEntities compares what both versions write alike.
func TestEntities(t *testing.T) {
	for _, v := range versions {
		t.Run(v.name, func(t *testing.T) {
			r := read(t, demo(), v.write)
			require.Len(t, r.Entities, 10)
			stations := r.On("stations")
			require.Len(t, stations, 3)
			assert.Equal(t, []string{"POINT", "TEXT", "CIRCLE"}, []string{stations[0].Type, stations[1].Type, stations[2].Type})
			assert.Equal(t, []r3.Vec{{X: 600, Y: 0.5}}, stations[0].Points)
			assert.Equal(t, stations[0].Points, stations[1].Points)
			assert.Equal(t, "E1'", stations[1].Text)
			assert.Equal(t, 5.0, stations[1].Height)
			assert.Equal(t, 4.0, stations[2].Radius)
			assert.Equal(t, "Scheibe: Maße in mm (1:1)", r.On("labels")[0].Text)
			assert.Equal(t, []r3.Vec{{Y: -400}, {Y: 400}}, r.On("centre-line")[0].Points)
			bars := r.On("check-bar")
			require.Len(t, bars, 3)
			assert.Equal(t, []r3.Vec{{Y: -410}, {X: 100, Y: -410}, {X: 100, Y: -405}}, bars[0].Points)
			assert.Equal(t, []bool{true, false}, []bool{bars[0].Closed, bars[0].InSpace})
			assert.Equal(t, []r3.Vec{{Z: 12}, {X: 100, Z: 12}}, bars[1].Points, "plane, at a height")
			assert.Equal(t, []bool{false, false}, []bool{bars[1].Closed, bars[1].InSpace})
			assert.Equal(t, []r3.Vec{{Z: 12}, {X: 100, Z: 12}, {X: 100, Z: -10}}, bars[2].Points)
			assert.Equal(t, []bool{false, true}, []bool{bars[2].Closed, bars[2].InSpace})
		})
	}
}

func TestSplineKept(t *testing.T) {
	knots, ctrl := clamped(40), ring(40, 700, 380, 60)
	d := dxf.New()
	d.Layer("edge-lower", dxf.Green, dxf.Continuous)
	d.Spline("edge-lower", knots, ctrl, true, false)
	e := read(t, d, dxf.WriteR2000).On("edge-lower")[0]
	assert.Equal(t, "SPLINE", e.Type)
	assert.Equal(t, 3, e.Degree)
	assert.Equal(t, []bool{true, false}, []bool{e.Closed, e.Planar})
	assert.InDeltaSlice(t, knots, e.Knots, 1e-12)
	require.Len(t, e.Ctrl, len(ctrl))
	for i, p := range ctrl {
		assert.InDelta(t, 0, r3.Norm(r3.Sub(p, e.Ctrl[i])), rounding, "control point %d", i)
	}
}

// TestChord checks the promise of WriteR12: vertices on the curve, and no
// point of the curve farther than the tolerance from the polyline. The curve
// is that of the R2000 file, evaluated by the linter.
func TestChord(t *testing.T) {
	shapes := []struct {
		name   string
		ctrl   []r3.Vec
		closed bool
	}{
		{"flat oval", ring(24, 700, 380, 0), true},
		{"oval in space", ring(24, 700, 380, 60), true},
		{"few control points", ring(5, 700, 380, 0), true},
		{"tight corners", tightCorners(), true},
		{"open", ring(24, 700, 380, 60)[:15], false},
	}
	for _, s := range shapes {
		for _, chord := range []float64{1, 0.02, 0.001} {
			d := dxf.New()
			d.Layer("wall", dxf.White, dxf.Continuous)
			d.Spline("wall", clamped(len(s.ctrl)), s.ctrl, s.closed, false)
			curve := read(t, d, dxf.WriteR2000).Entities[0]
			line := read(t, d, func(w io.Writer, d *dxf.Drawing) error { return dxf.WriteR12(w, d, chord) }).Entities[0]
			require.Equal(t, s.closed, line.Closed)
			worst := farthest(curve.Sample(200), line)
			assert.LessOrEqual(t, worst, chord+rounding, "%s, chord %v: curve off the polyline", s.name, chord)
			assert.Greater(t, worst, chord/20, "%s, chord %v: far more points than needed", s.name, chord)
			for _, p := range line.Points {
				require.Less(t, distanceToCurve(p, curve), 3*rounding, "%s: vertex %v off the curve", s.name, p)
			}
		}
	}
}

// tightCorners is a square whose corners have radii of a few mm.
func tightCorners() []r3.Vec {
	var pts []r3.Vec
	for i := range 4 {
		s, c := math.Sincos(float64(i) * math.Pi / 2)
		for _, q := range []r2.Vec{{X: 400, Y: 100}, {X: 400, Y: 394}, {X: 400, Y: 400}, {X: 394, Y: 400}, {X: 100, Y: 400}} {
			pts = append(pts, r3.Vec{X: c*q.X - s*q.Y, Y: s*q.X + c*q.Y})
		}
	}
	return append(pts, pts[0])
}

// farthest returns the greatest distance of a point of pts from the polyline.
// The points run along it, so the search begins where the last one ended.
func farthest(pts []r3.Vec, line lint.Entity) float64 {
	v := line.Points
	if line.Closed {
		v = append(append([]r3.Vec(nil), v...), v[0])
	}
	worst, seg := 0.0, 0
	for _, p := range pts {
		best := math.Inf(1)
		for i := seg; i < min(seg+50, len(v)-1); i++ {
			if dist := distanceToSegment(p, v[i], v[i+1]); dist < best {
				best, seg = dist, i
			}
		}
		worst = max(worst, best)
	}
	return worst
}

func distanceToSegment(p, a, b r3.Vec) float64 {
	d := r3.Sub(b, a)
	t := r3.Dot(r3.Sub(p, a), d) / r3.Norm2(d)
	return r3.Norm(r3.Sub(p, r3.Add(a, r3.Scale(min(max(t, 0), 1), d))))
}

// distanceToCurve searches the nearest sample and then, by thirds, the
// parameter next to it.
func distanceToCurve(p r3.Vec, e lint.Entity) float64 {
	lo, hi := e.Knots[0], e.Knots[len(e.Knots)-1]
	at := func(u float64) float64 {
		if e.Closed && u < lo {
			u += hi - lo
		} else if e.Closed && u > hi {
			u -= hi - lo
		}
		return r3.Norm(r3.Sub(p, e.At(min(max(u, lo), hi))))
	}
	const n = 400
	best, step := lo, (hi-lo)/n
	for i := range n + 1 {
		if u := lo + float64(i)*step; at(u) < at(best) {
			best = u
		}
	}
	a, b := best-step, best+step
	if !e.Closed {
		a, b = max(a, lo), min(b, hi)
	}
	for b-a > 1e-9 {
		if m, n := a+(b-a)/3, b-(b-a)/3; at(m) < at(n) {
			b = n
		} else {
			a = m
		}
	}
	return at((a + b) / 2)
}

func TestNumbers(t *testing.T) {
	d := dxf.New()
	d.Point("0", r3.Vec{X: -1e-9, Y: math.Copysign(0, -1), Z: -1234.567891})
	for _, v := range versions {
		var file bytes.Buffer
		require.NoError(t, v.write(&file, d))
		const want = " 10\r\n0.000000\r\n 20\r\n0.000000\r\n 30\r\n-1234.567891\r\n  0\r\nENDSEC\r\n"
		assert.True(t, strings.Contains(file.String(), want), v.name)
	}
}

func TestText(t *testing.T) {
	for in, want := range map[string]string{
		"E12'":                "E12'",
		"Größe 3 × 4 mm, 5 °": "Größe 3 × 4 mm, 5 °",
		"a^Jb ^ c^":           "a^Jb ^ c^",
		`100%%d \U+00FC \M+1`: `100%%d \U+00FC \M+1`,
		"two\nlines\tand tab": "two lines and tab",
		"鏡 and 🚗":             "鏡 and ?",
	} {
		d := dxf.New()
		d.Text("0", r3.Vec{}, 5, in)
		for _, v := range versions {
			assert.Equal(t, want, read(t, d, v.write).Entities[0].Text, "%s: %q", v.name, in)
		}
	}
	d := dxf.New()
	d.Text("0", r3.Vec{}, 5, "ü %%d")
	var file bytes.Buffer
	require.NoError(t, dxf.WriteR12(&file, d, 0.1))
	assert.Contains(t, file.String(), "\r\n\\U+00FC \\U+0025%d\r\n")
}

func TestEmptyDrawing(t *testing.T) {
	for _, v := range versions {
		r := read(t, dxf.New(), v.write)
		assert.Empty(t, r.Entities)
		assert.Equal(t, []lint.Layer{{Name: "0", Colour: 7, Linetype: "CONTINUOUS"}}, r.Layers)
	}
}

// TestRefused lists what a drawing does not take. Nothing is written then.
func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	oval, knots := ring(8, 10, 5, 1), clamped(8)
	with := func(i int, u float64) []float64 {
		k := append([]float64(nil), knots...)
		k[i] = u
		return k
	}
	cases := map[string]func(d *dxf.Drawing){
		"layer not declared":     func(d *dxf.Drawing) { d.Point("wall", r3.Vec{}) },
		"layer twice":            func(d *dxf.Drawing) { d.Layer("Wall", 1, dxf.Dashed); d.Layer("wall", 2, dxf.Dashed) },
		"layer 0 again":          func(d *dxf.Drawing) { d.Layer("0", 1, dxf.Dashed) },
		"layer without name":     func(d *dxf.Drawing) { d.Layer("", 1, dxf.Dashed) },
		"layer name with blank":  func(d *dxf.Drawing) { d.Layer("centre line", 1, dxf.Dashed) },
		"layer name not ASCII":   func(d *dxf.Drawing) { d.Layer("hülle", 1, dxf.Dashed) },
		"layer name too long":    func(d *dxf.Drawing) { d.Layer(strings.Repeat("a", 32), 1, dxf.Dashed) },
		"colour 0":               func(d *dxf.Drawing) { d.Layer("a", 0, dxf.Dashed) },
		"colour 256":             func(d *dxf.Drawing) { d.Layer("a", 256, dxf.Dashed) },
		"unknown line type":      func(d *dxf.Drawing) { d.Layer("a", 1, "WAVY") },
		"point not finite":       func(d *dxf.Drawing) { d.Point("0", r3.Vec{Z: nan}) },
		"point too far":          func(d *dxf.Drawing) { d.Point("0", r3.Vec{X: 2e9}) },
		"line without length":    func(d *dxf.Drawing) { d.Line("0", r3.Vec{X: 1}, r3.Vec{X: 1 + 1e-9}) },
		"line not finite":        func(d *dxf.Drawing) { d.Line("0", r3.Vec{X: 1}, r3.Vec{X: inf}) },
		"circle radius 0":        func(d *dxf.Drawing) { d.Circle("0", r3.Vec{}, 0) },
		"circle radius NaN":      func(d *dxf.Drawing) { d.Circle("0", r3.Vec{}, nan) },
		"circle radius infinite": func(d *dxf.Drawing) { d.Circle("0", r3.Vec{}, inf) },
		"text empty":             func(d *dxf.Drawing) { d.Text("0", r3.Vec{}, 5, " \n") },
		"text height":            func(d *dxf.Drawing) { d.Text("0", r3.Vec{}, nan, "a") },
		"text too long":          func(d *dxf.Drawing) { d.Text("0", r3.Vec{}, 5, strings.Repeat("ü", 40)) },
		"text not UTF-8":         func(d *dxf.Drawing) { d.Text("0", r3.Vec{}, 5, "\xff") },
		"comment too long":       func(d *dxf.Drawing) { d.Comment(strings.Repeat("a", 300)) },
		"polyline of none":       func(d *dxf.Drawing) { d.Polyline("0", nil, false) },
		"polyline of one":        func(d *dxf.Drawing) { d.Polyline("0", oval[:1], false) },
		"closed polyline of two": func(d *dxf.Drawing) { d.Polyline("0", oval[:2], true) },
		"polyline repeats first": func(d *dxf.Drawing) { d.Polyline("0", oval, true) },
		"polyline repeats a point": func(d *dxf.Drawing) {
			d.Polyline("0", []r3.Vec{{}, {X: 1}, {X: 1}}, false)
		},
		"polyline not finite":    func(d *dxf.Drawing) { d.Polyline("0", []r3.Vec{{}, {X: nan}}, false) },
		"spline knots missing":   func(d *dxf.Drawing) { d.Spline("0", knots[1:], oval, true, false) },
		"spline of three":        func(d *dxf.Drawing) { d.Spline("0", knots[:7], oval[:3], false, false) },
		"spline knot falls":      func(d *dxf.Drawing) { d.Spline("0", with(5, 1), oval, true, false) },
		"spline knot repeated":   func(d *dxf.Drawing) { d.Spline("0", with(5, knots[4]), oval, true, false) },
		"spline knot NaN":        func(d *dxf.Drawing) { d.Spline("0", with(5, nan), oval, true, false) },
		"spline not clamped":     func(d *dxf.Drawing) { d.Spline("0", with(0, -1), oval, true, false) },
		"spline end not clamped": func(d *dxf.Drawing) { d.Spline("0", with(11, 1e4), oval, true, false) },
		"closed spline open":     func(d *dxf.Drawing) { d.Spline("0", clamped(7), oval[:7], true, false) },
		"open polyline closed":   func(d *dxf.Drawing) { d.Polyline("0", oval, false) },
		"open spline closed":     func(d *dxf.Drawing) { d.Spline("0", knots, oval, false, false) },
		"planar spline in space": func(d *dxf.Drawing) { d.Spline("0", knots, oval, true, true) },
		"spline point not finite": func(d *dxf.Drawing) {
			d.Spline("0", clamped(7), []r3.Vec{{}, {X: 1}, {X: nan}, {}, {}, {}, {}}, false, false)
		},
		"first fault is kept": func(d *dxf.Drawing) { d.Circle("0", r3.Vec{}, 0); d.Point("0", r3.Vec{}) },
	}
	for name, fill := range cases {
		t.Run(name, func(t *testing.T) {
			d := dxf.New()
			fill(d)
			require.Error(t, d.Err())
			assert.True(t, strings.HasPrefix(d.Err().Error(), "dxf: "), "%v", d.Err())
			for _, v := range versions {
				var file bytes.Buffer
				assert.Equal(t, d.Err(), v.write(&file, d))
				assert.Zero(t, file.Len())
			}
		})
	}
}

func TestChordRefused(t *testing.T) {
	d := demo()
	point := dxf.New()
	same := make([]r3.Vec, 8)
	point.Spline("0", clamped(8), same, true, true)
	require.NoError(t, point.Err())
	assert.Error(t, dxf.WriteR12(io.Discard, point, 0.1), "a curve shrunk to a point is no polyline")
	for _, chord := range []float64{0, -1, 1e-6, math.NaN(), math.Inf(1)} {
		assert.Error(t, dxf.WriteR12(io.Discard, d, chord), "chord %v", chord)
	}
	huge := dxf.New()
	huge.Spline("0", clamped(8), ring(8, 9e8, 9e8, 0), true, true)
	assert.Error(t, dxf.WriteR12(io.Discard, huge, 1e-4), "too many points")
}

// full is a disk with room for so many bytes.
type full struct{ room int }

var errFull = errors.New("disk full")

func (f *full) Write(p []byte) (int, error) {
	if f.room -= len(p); f.room < 0 {
		return max(0, len(p)+f.room), errFull
	}
	return len(p), nil
}

func TestDiskFull(t *testing.T) {
	for _, v := range versions {
		for _, room := range []int{0, 100, 1000} {
			assert.ErrorIs(t, v.write(&full{room}, demo()), errFull, "%s after %d bytes", v.name, room)
		}
	}
}
