package lint_test

import (
	"bytes"
	"fmt"
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf/lint"
)

// page is a file of one page of 200 x 100 mm with a stroke of 0.5 mm up at 50 mm
// from the left, 20 to 80 mm from the bottom, and the words Left edge.
func page() []byte {
	content := fmt.Sprintf("%.4f w %.4f %.4f m %.4f %.4f l S BT /F1 12 Tf 200 200 Td (Left edge) Tj ET",
		mm(0.5), mm(50), mm(20), mm(50), mm(80))
	objects := []string{
		"<</Type/Catalog/Pages 2 0 R>>",
		"<</Type/Pages/Kids[3 0 R]/Count 1>>",
		fmt.Sprintf("<</Type/Page/Parent 2 0 R/MediaBox[0 0 %.2f %.2f]/Contents 4 0 R/Resources<</Font<</F1 5 0 R>>>>>>", mm(200), mm(100)),
		fmt.Sprintf("<</Length %d>>stream\n%s\nendstream", len(content), content),
		"<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>",
		"<</Title(A page)/CreationDate(D:20310308000000)>>",
	}
	var b bytes.Buffer
	b.WriteString("%PDF-1.4\n")
	table := fmt.Sprintf("xref\n0 %d\n0000000000 65535 f \n", len(objects)+1)
	for i, o := range objects {
		table += fmt.Sprintf("%010d 00000 n \n", b.Len())
		fmt.Fprintf(&b, "%d 0 obj\n%s\nendobj\n", i+1, o)
	}
	at := b.Len()
	fmt.Fprintf(&b, "%strailer\n<</Size %d/Root 1 0 R/Info 6 0 R>>\nstartxref\n%d\n%%%%EOF\n", table, len(objects)+1, at)
	return b.Bytes()
}

func mm(v float64) float64 { return v * 72 / 25.4 }

// watched is a test that is watched: it fails and goes on.
type watched struct {
	testing.TB
	failed bool
}

func (w *watched) Helper()               {}
func (w *watched) Errorf(string, ...any) { w.failed = true }
func (w *watched) Fatalf(string, ...any) { w.failed = true; runtime.Goexit() }

// fails tells whether a check fails.
func fails(t *testing.T, check func(t testing.TB)) bool {
	w := &watched{TB: t}
	done := make(chan struct{})
	go func() {
		defer close(done)
		check(w)
	}()
	<-done
	return w.failed
}

func TestCheckTellsDamage(t *testing.T) {
	lint.Check(t, page()) // skips where there is no reader
	check := func(data []byte) bool { return fails(t, func(t testing.TB) { lint.Check(t, data) }) }
	require.False(t, check(page()))
	require.True(t, check(page()[:300]), "cut off")
	require.True(t, check(bytes.Replace(page(), []byte("startxref\n"), []byte("startxref\n9"), 1)), "table elsewhere")
	require.True(t, check([]byte("not a page at all")))
}

func TestInspectAndText(t *testing.T) {
	info := lint.Inspect(t, page())
	require.Equal(t, "A page", info.Title)
	require.True(t, info.Dated)
	require.Len(t, info.Pages, 1)
	require.InDelta(t, 200, info.Pages[0].Width, 0.005)
	require.InDelta(t, 100, info.Pages[0].Height, 0.005)
	require.Contains(t, lint.Text(t, page(), 1), "Left edge")
	require.True(t, fails(t, func(t testing.TB) { lint.Draw(t, page(), 2, 0, 0, 10, 10, 72) }), "no such page")
}

func TestDrawAll(t *testing.T) {
	all := lint.DrawAll(t, page(), 30)
	require.Len(t, all, 1)
	require.False(t, all[0].Blank(0, 0, 200, 100))
	require.True(t, all[0].Blank(45, 10, 3, 80))
}

func TestDrawMeasures(t *testing.T) {
	const tolerance = 0.03 // mm
	for _, part := range []r2.Box{{Max: r2.Vec{X: 200, Y: 100}}, {Min: r2.Vec{X: 45, Y: 10}, Max: r2.Vec{X: 60, Y: 90}}} {
		size := r2.Sub(part.Max, part.Min)
		pic := lint.Draw(t, page(), 1, part.Min.X, part.Min.Y, size.X, size.Y, 600)
		x := pic.Across(40)
		require.Len(t, x, 1)
		require.InDelta(t, 50, x[0], tolerance)
		require.Empty(t, pic.Across(15))
		y := pic.Up(50)
		require.Len(t, y, 1)
		require.InDelta(t, 50, y[0], tolerance, "the middle of its ink")
		require.True(t, pic.Blank(45, 10, 4, 80))
		require.False(t, pic.Blank(45, 30, 10, 10))
	}
}
