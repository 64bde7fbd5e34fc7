package handover_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/handover"
	"panewright/board"
	"panewright/export/pdf"
	"panewright/export/pdf/lint"
	"panewright/testdata/demo"
)

var printed = []string{"templates.pdf", "report.pdf", "reading-sheet.pdf", "gap-sheet.pdf"}

// on exports a model to be printed so, and reads the files back.
func on(t *testing.T, m *board.Model, paper board.Paper) map[string][]byte {
	t.Helper()
	dir := t.TempDir()
	sum, err := handover.Export(context.Background(), wanting(m, board.PackSettings{Paper: paper}), dir, handover.Options{})
	require.NoError(t, err)
	pack := map[string][]byte{}
	for _, name := range sum.Files {
		pack[name], err = os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
	}
	return pack
}

func TestPrintedFilesAreSound(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		sheet := pdf.A4
		if m.Job.Unit == board.Inch {
			sheet = pdf.Letter
		}
		for _, name := range printed {
			lint.Check(t, pack[name])
			info := lint.Inspect(t, pack[name])
			require.Contains(t, info.Title, m.Job.Name)
			require.True(t, info.Dated, "the job has a date")
			drawn := lint.DrawAll(t, pack[name], 20)
			for i, p := range info.Pages {
				require.InDelta(t, sheet.Width, p.Width, 0.005, name) // mm
				require.InDelta(t, sheet.Height, p.Height, 0.005, name)
				require.False(t, drawn[i].Blank(0, 0, p.Width, p.Height), "%s, page %d", name, i+1)
			}
			require.Less(t, len(pack[name]), 300_000, name)
			first := lint.Text(t, pack[name], 1)
			require.Contains(t, first, m.Job.Name)
			require.Contains(t, first, "Check every dimension")
		}
	})
}

// TestEverySheetPrints prints the small pane on every sheet there is.
func TestEverySheetPrints(t *testing.T) {
	m := solved()[2]
	for _, s := range pdf.Sheets() {
		pack := on(t, m, board.Paper{Sheet: strings.ToLower(s.Name)})
		lint.Check(t, pack["templates.pdf"])
		info := lint.Inspect(t, pack["templates.pdf"])
		for _, p := range info.Pages {
			require.InDelta(t, s.Width, p.Width, 0.005)
			require.InDelta(t, s.Height, p.Height, 0.005)
		}
		form := lint.Inspect(t, pack["report.pdf"]).Pages[0]
		require.Less(t, form.Height, 300.0, "the report comes on a small sheet")
	}
	_, err := handover.Export(context.Background(), wanting(m, board.PackSettings{Paper: board.Paper{Sheet: "quarto"}}), filepath.Join(t.TempDir(), "x"), handover.Options{})
	require.ErrorContains(t, err, "A4, A3, Letter or Tabloid")
	_, err = handover.Export(context.Background(), wanting(m, board.PackSettings{Paper: board.Paper{Across: 0.94 * 0.94}}), filepath.Join(t.TempDir(), "x"), handover.Options{})
	require.ErrorContains(t, err, "print at 100 %")
}

const paperTolerance = 0.05 // mm: a dot at 600 to the inch is 0.042

// barsOn measures the four bars of a page of the templates: 100 mm and 4 in
// across, 100 mm and 4 in up.
func barsOn(t *testing.T, data []byte, page int) [4]float64 {
	t.Helper()
	const dpi = 600
	length := func(at []float64) float64 {
		require.GreaterOrEqual(t, len(at), 2)
		return at[1] - at[0]
	}
	// Only the ends of the bars reach 2 mm away from them.
	low := lint.Draw(t, data, page, 18.5, 12, 106, 12, dpi)
	side := lint.Draw(t, data, page, 10, 22.5, 9.7, 106, dpi)
	return [4]float64{length(low.Across(19.5 + 2)), length(low.Across(15 + 2)), length(side.Up(18 - 2)), length(side.Up(13.5 - 2))}
}

// TestTemplatesAreTrue measures, on pages drawn by another program, the bars of
// a page of every part and the square on the first one.
func TestTemplatesAreTrue(t *testing.T) {
	eachDemo(t, func(t *testing.T, _ *board.Model, pack map[string][]byte) {
		data := pack["templates.pdf"]
		last := len(lint.Inspect(t, data).Pages)
		worst := 0.0
		for _, page := range []int{2, last / 2, last} {
			got := barsOn(t, data, page)
			for i, want := range []float64{100, 101.6, 100, 101.6} {
				require.InDelta(t, want, got[i], paperTolerance, "page %d, bar %d", page, i)
				worst = max(worst, math.Abs(got[i]-want))
			}
		}
		t.Logf("bars within %.3f mm", worst)
		square(t, data, 50, 50)
	})
}

// square measures the square on the first page.
func square(t *testing.T, data []byte, width, height float64) {
	t.Helper()
	pic := lint.Draw(t, data, 1, 15, 30, 58, 58, 600)
	x, y := pic.Across(75), pic.Up(28)
	require.GreaterOrEqual(t, len(x), 2)
	require.GreaterOrEqual(t, len(y), 2)
	require.InDelta(t, width, x[len(x)-1]-x[0], paperTolerance)
	require.InDelta(t, height, y[len(y)-1]-y[0], paperTolerance)
}

// TestPrinterIsCorrected: for a printer that prints 1 % too wide and 2 % too
// low, everything is drawn that much narrower and higher, bars included.
func TestPrinterIsCorrected(t *testing.T) {
	pack := on(t, solved()[2], board.Paper{Sheet: "A4", Across: 151.5 / 150, Up: 196.0 / 200})
	got := barsOn(t, pack["templates.pdf"], 2)
	for i, want := range []float64{100 / 1.01, 101.6 / 1.01, 100 / 0.98, 101.6 / 0.98} {
		require.InDelta(t, want, got[i], paperTolerance)
	}
	square(t, pack["templates.pdf"], 50/1.01, 50/0.98)
	require.Contains(t, lint.Text(t, pack["templates.pdf"], 1), "0.9901 times as wide and 1.0204 times as high")
}

// TestStationsLieTrue measures, on the page of the small pane that shows the
// straight run of its bottom edge, how far stations stand apart, and holds that
// against the model.
func TestStationsLieTrue(t *testing.T) {
	m, data := solved()[2], built()[2]["templates.pdf"]
	want := map[string]float64{}
	for i, r := range m.Job.Readings {
		if r.Kind == board.Edge && slices.Contains([]string{"3", "4", "5", "6"}, r.ID) {
			at := m.Results[i].At
			g := m.BoardToGlass.Apply(r3.Vec{X: at.X, Y: at.Y, Z: m.Results[i].Foot.Z})
			u, _ := m.Pane.Outline.Nearest(r2.Vec{X: g.X, Y: g.Y})
			want[r.ID] = m.Pane.Outline.At(u).X
		}
	}
	const page, dpi = 3, 600 // sheet A2
	require.Contains(t, lint.Text(t, data, page), "sheet A2")
	pic := lint.Draw(t, data, page, 22, 26, 176, 40, dpi)
	edge := pic.Up(60) // between stations: crosses the edge alone
	require.Len(t, edge, 1)
	ticks := pic.Across(edge[0] - 3)
	require.GreaterOrEqual(t, len(ticks), 4)
	for k, pair := range [][2]string{{"3", "4"}, {"4", "5"}} {
		require.InDelta(t, want[pair[1]]-want[pair[0]], ticks[k+1]-ticks[k], 0.2, "mm from station %s to %s", pair[0], pair[1])
	}
}

// TestTemplatesHoldEveryPart: what the first page lists is there, in its words,
// and every station stands on the outline's sheets.
func TestTemplatesHoldEveryPart(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		data := pack["templates.pdf"]
		first := lint.Text(t, data, 1)
		listed := regexp.MustCompile(`(?m)^\s*(\S.*\S) – pages? (\d+)(?: to (\d+))?`).FindAllStringSubmatch(first, -1)
		var names []string
		for _, l := range listed {
			names = append(names, l[1])
			for _, p := range l[2:] {
				if p != "" {
					var n int
					fmt.Sscan(p, &n)
					require.Contains(t, lint.Text(t, data, n), l[1])
				}
			}
		}
		want := []string{"Outline", "Section cards", "Corner cards"}
		switch m.Mirror {
		case board.MirrorRight:
			want = []string{"Outline", "Measured half (right)", "Section cards", "Corner cards"}
		case board.MirrorBoth:
			want = []string{"Outline", "Right half", "Section cards", "Corner cards"}
		}
		require.Equal(t, want, names)
		words := strings.Fields(lint.Text(t, data, 0))
		for i, r := range m.Job.Readings {
			if res := m.Results[i]; r.Kind == board.Edge && res.State == board.Kept && res.HasMiss {
				require.Contains(t, words, r.ID)
			}
		}
		require.Contains(t, strings.Join(words, " "), "Card 4, strip 1 of")
	})
}

// TestNothingRunsIntoTheMargin: printers leave 6 mm blank and more.
func TestNothingRunsIntoTheMargin(t *testing.T) {
	eachDemo(t, func(t *testing.T, _ *board.Model, pack map[string][]byte) {
		for _, name := range printed {
			for i, p := range lint.Inspect(t, pack[name]).Pages {
				if i > 3 {
					break
				}
				const blank = 5.5 // mm
				pic := lint.Draw(t, pack[name], i+1, 0, 0, p.Width, p.Height, 40)
				for _, part := range [][4]float64{{0, 0, blank, p.Height}, {p.Width - blank, 0, blank, p.Height}, {0, 0, p.Width, blank}, {0, p.Height - blank, p.Width, blank}} {
					require.True(t, pic.Blank(part[0], part[1], part[2], part[3]), "%s page %d", name, i+1)
				}
			}
		}
	})
}

// squeezed is text without the breaks and gaps of a page.
func squeezed(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestReportCanBeFollowed(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		text := squeezed(lint.Text(t, pack["report.pdf"], 0))
		for _, want := range []string{"Figures, with their uncertainty", "The outline and the misses", "lines of equal height", "Centre line",
			"Readings that were looked at", "How the real pane is predicted to fit", "Predicted with", "Cut 1", "All readings", "Before you start",
			"FIT-CHECK ONLY", "licensed or qualified person", "±", "SHA-256"} {
			require.Contains(t, text, want)
		}
		require.NotContains(t, text, "NaN")
		require.NotRegexp(t, `-0\.0+[° ]`, text, "no minus nought")
		if m.Mirror != board.MirrorNone {
			require.Contains(t, text, squeezed(m.Verdict.Text))
			require.Contains(t, text, squeezed(m.CarriesText))
			for _, l := range m.Links {
				require.Contains(t, text, squeezed(l.Text))
			}
		}
		for i, r := range m.Job.Readings {
			res := m.Results[i]
			if o := res.Offer; o != nil && o.Field != "block" {
				require.Contains(t, text, r.Kind.String()+" "+r.ID)
			}
		}
		words := strings.Fields(text)
		for _, r := range m.Job.Readings {
			require.Contains(t, words, r.ID)
		}
	})
}

func TestReadingSheetHoldsWhatWasTyped(t *testing.T) {
	eachDemo(t, func(t *testing.T, m *board.Model, pack map[string][]byte) {
		text := lint.Text(t, pack["reading-sheet.pdf"], 0)
		blank, typed, ok := strings.Cut(text, "Readings as typed")
		require.True(t, ok)
		words := strings.Fields(blank)
		for _, r := range m.Job.Readings {
			if r.Kind == board.Edge || r.Kind == board.Face {
				require.Contains(t, words, r.ID)
			}
		}
		lines := regexp.MustCompile(`\s+`).ReplaceAllString(typed, " ")
		for _, r := range m.Job.Readings {
			want := strings.TrimSpace(strings.Join(strings.Fields(r.ID+" "+r.X.Text+" "+r.Y.Text+" "+r.Z.Text), " "))
			require.Contains(t, lines, want)
		}
	})
}

func TestGapSheetNamesTheTwins(t *testing.T) {
	text := strings.Fields(lint.Text(t, built()[0]["gap-sheet.pdf"], 0))
	require.Contains(t, text, "13")
	require.Contains(t, text, "13'")
	require.NotContains(t, strings.Fields(lint.Text(t, built()[1]["gap-sheet.pdf"], 0)), "13'", "both halves were read")
}

// TestReportTellsTheCuts keeps a cut, notes gaps in it, and reads in the report
// what they were and what explains them.
func TestReportTellsTheCuts(t *testing.T) {
	ctx := context.Background()
	first := solved()[0]
	cut, err := board.NewCut(ctx, first, "2031-03-20", "first foam")
	require.NoError(t, err)
	j := first.Job.Clone()
	require.NoError(t, j.AddCut(cut))
	for i, s := range cut.Shape.Stations {
		require.NoError(t, j.SetGap(cut.Number, s.ID, "wall", fmt.Sprintf("0.0%d", 3+i%5)))
	}
	j.Evaluate()
	m, err := board.Solve(ctx, j, nil)
	require.NoError(t, err)
	require.NotNil(t, m.Gaps)
	files, _, err := handover.Build(ctx, m, nil)
	require.NoError(t, err)
	for _, f := range files {
		if f.Name != "report.pdf" {
			continue
		}
		lint.Check(t, f.Data)
		text := squeezed(lint.Text(t, f.Data, 0))
		for _, want := range []string{"Cuts made", "first foam", "2031-03-20", "What explains the gaps of cut 1", "placement", "Gaps noted in cut 1", "0.07", "Cut 2"} {
			require.Contains(t, text, want)
		}
		if dir := os.Getenv("KEEP_PRINTED"); dir != "" {
			require.NoError(t, os.WriteFile(filepath.Join(dir, "cuts.pdf"), f.Data, 0o600))
		}
	}
}

// TestPrintedWithoutAPane: a job that is not fitted has its report, which says
// why, and its reading sheet; a job without a date gives files without one.
func TestPrintedWithoutAPane(t *testing.T) {
	thin := demo.C().Job.Clone()
	thin.Date, thin.Pane.Thickness = "", board.Cell{}
	thin.Name = "Dachfenster, Größe 3 – Ελλάδα"
	thin.Evaluate()
	empty := board.NewJob("nothing read yet")
	for _, j := range []*board.Job{thin, empty} {
		m, err := board.Solve(context.Background(), j, nil)
		require.NoError(t, err)
		require.Nil(t, m.Pane)
		pack := on(t, m, board.Paper{})
		require.NotContains(t, pack, "templates.pdf")
		require.NotContains(t, pack, "gap-sheet.pdf")
		for _, name := range []string{"report.pdf", "reading-sheet.pdf"} {
			lint.Check(t, pack[name])
			require.False(t, lint.Inspect(t, pack[name]).Dated)
			require.Contains(t, lint.Text(t, pack[name], 1), j.Name)
			again := on(t, m, board.Paper{})
			require.True(t, bytes.Equal(pack[name], again[name]))
		}
		require.Contains(t, squeezed(lint.Text(t, pack["report.pdf"], 0)), "There is no pane yet")
		require.Contains(t, squeezed(lint.Text(t, pack["report.pdf"], 0)), squeezed(m.Why))
	}
}
