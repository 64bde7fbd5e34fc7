package pdf_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
	"panewright/export/pdf/lint"
	"panewright/geom"
)

func v(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

func written(t *testing.T, d *pdf.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, d.Write(&b))
	return b.Bytes()
}

// oval is a closed spline about 120 x 80 mm.
func oval(t testing.TB) *geom.Curve {
	var pts []r2.Vec
	var params []float64
	for i := range 24 {
		a := 2 * math.Pi * float64(i) / 24
		params = append(params, float64(i))
		pts = append(pts, v(60*math.Cos(a)+7*math.Cos(3*a), 40*math.Sin(a)))
	}
	c, err := geom.InterpolateClosed(append(params, 24), pts)
	require.NoError(t, err)
	return c
}

// TestPiecesAreTheCurve: the pieces are the spline itself, span for span, also
// where they begin and end within spans and run over the first knot.
func TestPiecesAreTheCurve(t *testing.T) {
	c := oval(t)
	const tolerance = 1e-10 // mm
	lo, hi := c.Period()
	require.Len(t, pdf.Closed(c), c.N())
	for _, part := range []struct{ from, to float64 }{{lo, hi}, {lo + 0.3, lo + 0.6}, {lo + 5.5, hi}, {hi - 2.25, hi + 3.5}, {lo - 4, lo - 0.5}} {
		pieces := pdf.Between(c, part.from, part.to)
		require.Equal(t, c.At(part.from), pieces[0][0])
		u := part.from
		for i, b := range pieces {
			next := math.Min(math.Floor(u+1e-9)+1, part.to) // its knots are whole numbers
			for _, f := range []float64{0, 0.2, 0.5, 0.9, 1} {
				require.Less(t, r2.Norm(r2.Sub(b.At(f), c.At(u+f*(next-u)))), tolerance)
			}
			if i > 0 {
				require.Less(t, r2.Norm(r2.Sub(b[0], pieces[i-1][3])), tolerance)
			}
			u = next
		}
		require.InDelta(t, part.to, u, 1e-9)
	}
	require.Empty(t, pdf.Between(c, 3, 3))
	require.Empty(t, pdf.Between(c, 3, 2))
}

// TestThroughFollowsAPath: a circle in 32 pieces is within a micron.
func TestThroughFollowsAPath(t *testing.T) {
	circle := func(a float64) r2.Vec { return v(100*math.Cos(a), 100*math.Sin(a)) }
	for _, b := range pdf.Through(circle, 0, 2*math.Pi, 32) {
		for _, f := range []float64{0, 0.25, 0.5, 0.75, 1} {
			require.InDelta(t, 100, r2.Norm(b.At(f)), 0.001)
		}
	}
}

func TestViewThereAndBack(t *testing.T) {
	for _, view := range []pdf.View{
		{At: v(10, 20), Scale: v(1, 1)},
		{At: v(-3, 7), Scale: v(0.5, 0.25)},
		{At: v(10, 20), Scale: v(2, 3), Turned: true},
	} {
		for _, p := range []r2.Vec{v(0, 0), v(1, 0), v(-4, 9)} {
			require.Less(t, r2.Norm(r2.Sub(p, view.Back(view.On(p)))), 1e-12)
		}
	}
	turned := pdf.View{Scale: v(1, 1), Turned: true}
	require.Equal(t, v(0, 1), turned.On(v(1, 0)), "x runs up the page")
	require.Equal(t, v(-1, 0), turned.On(v(0, 1)), "y runs to the left")
	fit := pdf.Fit(r2.Box{Min: v(0, 0), Max: v(200, 100)}, r2.Box{Min: v(10, 10), Max: v(110, 210)})
	require.Equal(t, v(0.5, 0.5), fit.Scale)
	require.Equal(t, v(10, 85), fit.On(v(0, 0)), "in the middle")
}

func TestSheets(t *testing.T) {
	for _, s := range pdf.Sheets() {
		got, ok := pdf.SheetNamed(strings.ToUpper(s.Name))
		require.True(t, ok)
		require.Equal(t, s, got)
		d := pdf.New("sheet", "", "")
		d.Page(s)
		pages := lint.Inspect(t, written(t, d)).Pages
		require.Len(t, pages, 1)
		const tolerance = 0.005 // mm: sizes are written to 0.01 points
		require.InDelta(t, s.Width, pages[0].Width, tolerance)
		require.InDelta(t, s.Height, pages[0].Height, tolerance)
	}
	_, ok := pdf.SheetNamed("quarto")
	require.False(t, ok)
}

// drawing is a page with a bit of everything.
func drawing(t testing.TB, date string) *pdf.Document {
	d := pdf.New("Rear screen – job 7", "test", date)
	p := d.Page(pdf.A4)
	p.Rect(pdf.Pen{Width: 0.2}, r2.Box{Min: v(40, 60), Max: v(140, 160)})
	p.Window(r2.Box{Min: v(20, 200), Max: v(100, 280)}, pdf.View{At: v(60, 240), Scale: v(1, 1)}, func(a *pdf.Area) {
		a.Curve(pdf.Pen{Width: 0.3, Colour: pdf.Colour{R: 31, G: 58, B: 95}}, pdf.Closed(oval(t)))
		a.Inside(pdf.Closed(oval(t)), func() { a.Lines(pdf.Pen{Width: 0.1}, []r2.Vec{v(-99, 0), v(99, 0)}) })
	})
	p.Circle(pdf.Pen{Width: 0.2}, true, v(150, 250), 2)
	p.Cross(pdf.Pen{Width: 0.2}, v(150, 240), 3)
	p.Fill(pdf.Black, v(160, 240), v(165, 240), v(160, 245))
	p.Text(pdf.Letters{Size: 4}, v(20, 40), pdf.Left, 0, "± 0.5 µm, 12°, E12', 3–4, 12 3/8 in, Größe, (a\\b)")
	p.Text(pdf.Letters{Size: 4, Mono: true}, v(190, 30), pdf.Right, 0, "Ωмера")
	p.Text(pdf.Letters{Size: 4, Bold: true}, v(15, 100), pdf.Middle, 90, "upwards")
	return d
}

func TestSameCallsSameBytes(t *testing.T) {
	for _, date := range []string{"", "2031-03-08"} {
		first := written(t, drawing(t, date))
		for range 5 {
			require.True(t, bytes.Equal(first, written(t, drawing(t, date))))
		}
		info := lint.Inspect(t, first)
		require.Equal(t, date != "", info.Dated)
		require.Equal(t, "Rear screen – job 7", info.Title)
		lint.Check(t, first)
		require.Less(t, len(first), 60_000, "letters that are not used are left out")
	}
}

// TestTextIsRead has another reader take the text off the page.
func TestTextIsRead(t *testing.T) {
	text := lint.Text(t, written(t, drawing(t, "")), 1)
	for _, want := range []string{"± 0.5 µm, 12°, E12', 3–4, 12 3/8 in, Größe, (a\\b)", "Ωмера", "upwards"} {
		require.Contains(t, text, want)
	}
}

// TestTrueSize measures a square of 100 mm on the page as another program draws
// it.
func TestTrueSize(t *testing.T) {
	pic := lint.Draw(t, written(t, drawing(t, "")), 1, 30, 50, 120, 120, 600)
	const tolerance = 0.03 // mm: half a dot is 0.02
	x := pic.Across(110)
	require.Len(t, x, 2)
	require.InDelta(t, 40, x[0], tolerance)
	require.InDelta(t, 140, x[1], tolerance)
	y := pic.Up(90)
	require.Len(t, y, 2)
	require.InDelta(t, 60, y[0], tolerance)
	require.InDelta(t, 160, y[1], tolerance)
}

// TestWindowBounds: a curve wider than its window is not drawn outside it.
func TestWindowBounds(t *testing.T) {
	data := written(t, drawing(t, ""))
	pic := lint.Draw(t, data, 1, 0, 200, 140, 80, 150)
	require.True(t, pic.Blank(101, 201, 20, 78))
	require.False(t, pic.Blank(60, 201, 40, 78))
}

func TestFaultsAreKept(t *testing.T) {
	var b bytes.Buffer
	require.ErrorContains(t, pdf.New("none", "", "").Write(&b), "no page")
	d := pdf.New("date", "", "8 March")
	d.Page(pdf.A4)
	require.Error(t, d.Write(&b))
	d = pdf.New("place", "", "")
	d.Page(pdf.A4).Line(pdf.Pen{Width: 1}, v(math.NaN(), 0), v(1, 1))
	require.ErrorContains(t, d.Write(&b), "not a number")
	require.Zero(t, b.Len(), "nothing half-written")
}

func TestOddTextIsSet(t *testing.T) {
	d := pdf.New("\xff\x00", "\U0001F600", "")
	p := d.Page(pdf.A4)
	for i, s := range []string{"\xff\xfe", "a\nb\tc", "\U0001F600 smile", "\uffff", "漢字", "", "((\\", "\r"} {
		p.Text(pdf.Letters{Size: 4}, v(20, 200-10*float64(i)), pdf.Left, 0, s)
	}
	lint.Check(t, written(t, d))
}

func FuzzText(f *testing.F) {
	for _, s := range []string{"12 3/8", "±µ°", "\xff", "(\\)", "\U0010ffff\uffff"} {
		f.Add(s, 40.0)
	}
	f.Fuzz(func(t *testing.T, s string, width float64) {
		d := pdf.New(s, s, "")
		flow := d.Flow(pdf.A4, s, s)
		flow.Heading(s, width)
		for _, line := range d.Wrap(pdf.Body, width, s) {
			flow.Text(pdf.Body, line)
		}
		flow.End()
		var b bytes.Buffer
		require.NoError(t, d.Write(&b))
	})
}
