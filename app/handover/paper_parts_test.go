package handover

import (
	"bytes"
	"context"
	"io"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/pdf"
	"panewright/geom"
	"panewright/testdata/demo"
)

// packs are the work spaces of the three demo jobs, solved once for all tests.
var packs = sync.OnceValue(func() (out []*pack) {
	for _, d := range demo.All() {
		m, err := board.Solve(context.Background(), d.Job, nil)
		if err != nil || m.Pane == nil {
			panic("a demo is not solved")
		}
		out = append(out, &pack{ctx: context.Background(), m: m})
	}
	return out
})

// TestSectionsStandOnTheBoard: the curves of a card, carried back into the glass
// frame, lie on the two faces, and end at the edge.
func TestSectionsStandOnTheBoard(t *testing.T) {
	for _, p := range packs() {
		cards := p.cards()
		require.Len(t, cards, 4)
		for _, c := range cards {
			s := c.section
			for i := range 21 {
				f := float64(i) / 20
				for _, face := range []struct {
					of  *geom.Face
					at  r2.Vec
					low float64
				}{{p.m.Pane.Upper, s.upper(s.low + f*(s.high-s.low)), 0}, {p.m.Pane.Lower, s.lower(s.lowLow + f*(s.lowH-s.lowLow)), 0}} {
					plan := r2.Add(s.from, r2.Scale(face.at.X, s.dir))
					g := p.m.BoardToGlass.Apply(r3.Vec{X: plan.X, Y: plan.Y, Z: face.at.Y})
					require.InDelta(t, face.of.At(g.X, g.Y), g.Z, 1e-6) // mm
				}
			}
			for _, end := range []float64{s.low, s.high} {
				plan := r2.Add(s.from, r2.Scale(end, s.dir))
				g := p.m.BoardToGlass.Apply(r3.Vec{X: plan.X, Y: plan.Y, Z: s.upper(end).Y})
				upper, err := p.m.Pane.UpperEdge.Plan()
				require.NoError(t, err)
				_, off := upper.Nearest(r2.Vec{X: g.X, Y: g.Y})
				require.InDelta(t, 0, off, 0.01) // mm
			}
			least, most := s.span()
			require.Greater(t, least-c.base, 5.0, "a card has a foot, mm")
			require.Less(t, least-c.base, 30.0)
			require.InDelta(t, most-c.base, c.most, 1e-9)
		}
	}
}

func TestBaseIsTheBoardOrWholePackers(t *testing.T) {
	for _, c := range []struct {
		least float64
		unit  board.Unit
		want  float64
	}{{20, board.MM, 0}, {12, board.MM, 0}, {44, board.MM, 30}, {3, board.MM, -10}, {-8, board.MM, -20}, {100, board.Inch, 6 * 12.7}} {
		require.InDelta(t, c.want, base(c.least, c.unit), 1e-9, "%v", c)
	}
}

// TestHalvesMeetOnTheCentreLine: the two halves of an outline begin and end on
// the centre line and share their ends; a shape off the line has none.
func TestHalvesMeetOnTheCentreLine(t *testing.T) {
	p := packs()[0]
	c := p.m.Pane.Outline
	period := func() float64 { lo, hi := c.Period(); return hi - lo }()
	from, to, ok := halves(c, false)
	require.True(t, ok)
	from2, to2, ok := halves(c, true)
	require.True(t, ok)
	for _, u := range []float64{from, to, from2, to2} {
		require.InDelta(t, 0, c.At(u).X, 1e-6) // mm
	}
	require.Positive(t, c.At((from+to)/2).X)
	require.Negative(t, c.At((from2+to2)/2).X)
	require.InDelta(t, period, to-from+to2-from2, 1e-9)
	aside, err := c.Transform(func(q r2.Vec) r2.Vec { return r2.Vec{X: q.X + 5000, Y: q.Y} })
	require.NoError(t, err)
	_, _, ok = halves(aside, false)
	require.False(t, ok)

	half := p.half()
	require.NotNil(t, half)
	require.Zero(t, half.box.Min.X)
	for _, s := range half.stations {
		require.GreaterOrEqual(t, s.at.X, -0.5)
	}
	require.Less(t, len(half.stations), len(p.whole().stations), "check stations stay on the other half")
	require.Nil(t, packs()[2].half(), "not mirrored")
}

// TestCornersAreFound: four on a screen, three on the quarter window, each where
// the outline is tightest round about.
func TestCornersAreFound(t *testing.T) {
	for i, want := range []int{4, 4, 3} {
		p := packs()[i]
		c := p.m.Pane.Outline
		found := cornerParams(c)
		require.Len(t, found, want)
		for _, u := range found {
			require.Greater(t, c.Curvature(u), 1/200.0)
		}
	}
	round, err := geom.FitClosed(func(u float64) r2.Vec {
		return r2.Vec{X: 600 * math.Cos(2*math.Pi*u), Y: 600 * math.Sin(2*math.Pi*u)}
	}, []float64{0, 0.25, 0.5, 0.75, 1}, 0.01)
	require.NoError(t, err)
	require.Empty(t, cornerParams(round), "a large circle has no corner")
}

// TestWhatIsTooLargeIsSaid: a pane for hundreds of sheets stops nothing.
func TestWhatIsTooLargeIsSaid(t *testing.T) {
	p := packs()[2]
	s := &templateSet{p: p, doc: p.newPaper("templates"), sheet: pdf.A4, scale: printScale(board.Paper{})}
	shape := p.whole()
	shape.box.Max = r2.Vec{X: 1e5, Y: 1e5}
	s.tiled("Outline", "", shape)
	require.Empty(t, s.parts)
	require.Equal(t, []string{"Outline is not printed: it is too large for these sheets."}, s.notes)
	s.key(s.doc.Page(s.sheet))
	require.NoError(t, s.doc.Write(io.Discard))
}

func TestNumberedKeepsEveryParagraph(t *testing.T) {
	text := readmeText[strings.Index(readmeText, "BEFORE YOU START")+len("BEFORE YOU START"):]
	list := numbered(text)
	require.Len(t, list, 10)
	require.True(t, strings.HasPrefix(list[0], "Handling."))
	require.True(t, strings.HasSuffix(list[9], "cut a foam trial first."))
}

func TestMagnified(t *testing.T) {
	for _, c := range []struct{ largest, room, want float64 }{{1, 50, 50}, {1, 49, 20}, {0, 10, 200}, {100, 10, 1}} {
		require.Equal(t, c.want, magnified(c.largest, c.room))
	}
}

func TestAnglesHaveNoMinusNought(t *testing.T) {
	require.Equal(t, "0.000°", angle(-0.0002))
	require.Equal(t, "-0.141°", angle(-0.1411))
	require.Equal(t, "0.00", packs()[1].fine(-0.001))
}

func TestTrimmedNote(t *testing.T) {
	require.Equal(t, "struck", trimmedNote("struck: "))
	require.Equal(t, "struck: chip", trimmedNote("struck: chip; "))
	require.Empty(t, trimmedNote("; "))
}

func BenchmarkPrinted(b *testing.B) {
	m := packs()[1].m
	sum, err := Summarise(m, nil, nil)
	if err != nil {
		b.Fatal(err)
	}
	p := &pack{ctx: context.Background(), m: m, sum: sum}
	for _, s := range p.printed() {
		b.Run(s.name, func(b *testing.B) {
			for b.Loop() {
				if err := s.write(new(bytes.Buffer)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestHang: a text behind what it is about, no line wider than a page of 79 letters.
func TestHang(t *testing.T) {
	long := strings.Repeat("words that go on ", 12)
	got := hang("outline.dxf", long)
	for i, line := range strings.Split(got, "\n") {
		require.LessOrEqual(t, len(line), 79)
		require.Equal(t, i > 0, strings.HasPrefix(line, strings.Repeat(" ", 20)+" "))
	}
	require.Equal(t, strings.Fields("outline.dxf "+long), strings.Fields(got))
	require.Equal(t, "outline.dxf          short", hang("outline.dxf", "short"))
	require.Equal(t, "- a", hang("-", "a"))
	require.Equal(t, "outline-r12-1to4-inch.dxf a", hang("outline-r12-1to4-inch.dxf", "a"))
}

// TestLongBars: whole 50 mm or whole inches, as long as the sheet has room for.
func TestLongBars(t *testing.T) {
	j := board.NewJob("a")
	across, up := LongBars(j)
	require.Equal(t, []float64{150, 200}, []float64{across, up})
	j.Unit = board.Inch
	across, up = LongBars(j)
	require.InDeltaSlice(t, []float64{6 * 25.4, 8 * 25.4}, []float64{across, up}, 1e-9, "Letter")
	j.Pack.Paper.Sheet = "A3"
	across, up = LongBars(j)
	require.InDeltaSlice(t, []float64{9 * 25.4, 14 * 25.4}, []float64{across, up}, 1e-9)
}
