package board_test

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
	"panewright/testdata/demo"
)

// leaning is the windscreen of demo B, 5 mm thick, dome or bowl up, laid on the
// board with a fore-and-aft lean and read without error.
func leaning(bowl bool, lean float64) *board.Job {
	truth := demo.B().Truth
	sign := 1.0
	j := board.NewJob("leaning")
	j.Pane.Thickness = j.Typed("5")
	j.Mirror = board.MirrorBoth // the pane of demo B is a little lopsided
	j.Sigma = 0.3               // what that leaves
	if bowl {
		sign, j.Pane.Lay = -1, board.Bowl
	}
	c, s := math.Cos(lean), math.Sin(lean)
	lay := geom.Frame{R: [3][3]float64{{1, 0, 0}, {0, c, -s}, {0, s, c}}, T: r3.Vec{X: 10, Y: 200, Z: 100}}
	face := func(x, y float64) (p, n r3.Vec) {
		h := truth.Face.Eval(x, y)
		h.Z, h.Zx, h.Zy = sign*h.Z, sign*h.Zx, sign*h.Zy
		return lay.Apply(r3.Vec{X: x, Y: y, Z: h.Z}), lay.Rotate(h.Normal())
	}
	read := func(k board.Kind, id string, x, y, z float64) {
		t := func(v float64) board.Cell { return j.Typed(fmt.Sprintf("%.4f", v)) }
		j.Readings = append(j.Readings, board.Reading{Kind: k, ID: id, X: t(x), Y: t(y), Z: t(z)})
	}
	const n = 160
	upper, normal := make([]r3.Vec, n), make([]r3.Vec, n)
	for i := range n {
		p, _ := truth.Outline.At(truth.Outline.Length() * float64(i) / n)
		upper[i], normal[i] = face(p.X, p.Y)
	}
	for i := range n {
		a, b := upper[(i+n-1)%n], upper[(i+1)%n]
		along := r2.Unit(r2.Vec{X: b.X - a.X, Y: b.Y - a.Y})
		sil := geom.Silhouette(upper[i], r2.Vec{X: along.Y, Y: -along.X}, normal[i], 5, geom.SquareEdge)
		read(board.Edge, fmt.Sprint(i+1), sil.X, sil.Y, upper[i].Z)
	}
	for i := range 45 {
		p, _ := face(-600+150*float64(i%9), 130+130*float64(i/9))
		read(board.Face, fmt.Sprintf("F%d", i+1), p.X, p.Y, p.Z)
	}
	j.Evaluate()
	return j
}

// TestAPaneIsTheSameHoweverItLies: the same pane read lying level and leaning
// gives the same finished pane, dome and bowl up, because the glass frame is
// levelled and the silhouette is made anew there. Taking silhouette and arris
// as one, or the board's outline for the pane's, would be off by millimetres.
func TestAPaneIsTheSameHoweverItLies(t *testing.T) {
	for _, bowl := range []bool{false, true} {
		level := solve(t, leaning(bowl, 0))
		require.NotNil(t, level.Pane, level.Why)
		for _, degrees := range []float64{10} {
			m := solve(t, leaning(bowl, degrees*math.Pi/180))
			require.NotNil(t, m.Pane, m.Why)
			const tol = 0.05 // mm
			require.InDelta(t, level.Figures.Width, m.Figures.Width, tol, "bowl %v, %v°", bowl, degrees)
			require.InDelta(t, level.Figures.Length, m.Figures.Length, tol, "bowl %v, %v°", bowl, degrees)
			require.InDelta(t, level.Figures.Girth, m.Figures.Girth, 2*tol, "bowl %v, %v°", bowl, degrees)
			require.InDelta(t, level.Pane.Volume(), m.Pane.Volume(), 1e-4*level.Pane.Volume())
			require.Empty(t, m.Findings)
		}
	}
}
