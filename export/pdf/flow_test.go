package pdf_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
	"panewright/export/pdf/lint"
)

// TestTableRunsOverPages: every row is there once, in order, the head on each
// page, and the pages are counted.
func TestTableRunsOverPages(t *testing.T) {
	d := pdf.New("table", "", "")
	f := d.Flow(pdf.A4, "running head", "running foot")
	f.Title("A long table")
	var rows [][]string
	for i := range 120 {
		rows = append(rows, []string{fmt.Sprintf("row-%03d", i), "12 3/8", strings.Repeat("words that go on ", 1+i%7), pdf.CheckBox})
	}
	f.Table(pdf.Table{Columns: []pdf.Column{{Head: "station", Share: 1}, {Head: "x", Share: 1, Align: pdf.Right, Mono: true}, {Head: "note", Share: 3}, {Head: "done", Share: 1, Align: pdf.Middle}}, Size: 3, Ruled: true,
		Shade: func(i int) (pdf.Colour, bool) { return pdf.Colour{R: 240, G: 240, B: 240}, i%2 == 0 }}, rows)
	f.End()
	data := written(t, d)
	lint.Check(t, data)
	n := d.Pages()
	require.Greater(t, n, 1)
	whole := lint.Text(t, data, 0)
	last := -1
	for i := range 120 {
		at := strings.Index(whole, fmt.Sprintf("row-%03d", i))
		require.Greater(t, at, last)
		last = at
		require.Equal(t, 1, strings.Count(whole, fmt.Sprintf("row-%03d", i)))
	}
	for page := 1; page <= n; page++ {
		text := lint.Text(t, data, page)
		require.Contains(t, text, "station")
		require.Contains(t, text, fmt.Sprintf("page %d of %d", page, n))
		require.Contains(t, text, "running foot")
		require.Equal(t, page > 1, strings.Contains(text, "running head"))
		// nothing in the margins
		pic := lint.Draw(t, data, page, 0, 0, pdf.A4.Width, pdf.A4.Height, 60)
		require.True(t, pic.Blank(0, 0, pdf.Margin-1, pdf.A4.Height))
		require.True(t, pic.Blank(pdf.A4.Width-pdf.Margin+1, 0, pdf.Margin-1, pdf.A4.Height))
		require.True(t, pic.Blank(pdf.Margin, pdf.Margin+3.5, pdf.A4.Width-2*pdf.Margin, 3.5), "the foot stands free")
	}
}

func TestWrapKeepsWordsAndWidth(t *testing.T) {
	d := pdf.New("wrap", "", "")
	d.Page(pdf.A4)
	text := "Read five stations on the left half: three down the side, one at top, one at bottom. " + strings.Repeat("x", 200)
	lines := d.Wrap(pdf.Body, 60, text)
	for _, l := range lines {
		require.LessOrEqual(t, d.Width(pdf.Body, l), 60.0)
	}
	require.Equal(t, strings.ReplaceAll(text, " ", ""), strings.ReplaceAll(strings.Join(lines, ""), " ", ""))
	require.Equal(t, []string{"a", "b"}, d.Wrap(pdf.Body, 60, "a\nb"), "line ends are kept")
}

func TestPicturesAndHeadingsStayTogether(t *testing.T) {
	d := pdf.New("pictures", "", "")
	f := d.Flow(pdf.Letter, "head", "foot")
	for range 5 {
		f.Heading("Picture", 102)
		f.Picture(100, func(p *pdf.Page, part r2.Box) {
			require.GreaterOrEqual(t, part.Min.Y, pdf.Margin)
			require.InDelta(t, 100, part.Max.Y-part.Min.Y, 1e-9)
			p.Rect(pdf.Pen{Width: 0.2}, part)
		})
		f.Item(pdf.Body, "1", "An item that follows its picture.")
	}
	f.End()
	require.Equal(t, 3, d.Pages())
	lint.Check(t, written(t, d))
}
