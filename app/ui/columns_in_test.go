package ui

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/board"
)

// columnRows are n rows of a table parted by tabs: name, x, y, z.
func columnRows(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "E%d\t%.1f\t%.1f\t%.1f\n", i+1, 600-float64(i)*2.5, 10+float64(i)*1.5, 20+float64(i%7))
	}
	return b.String()
}

// paste pastes a text into whatever has the focus.
func paste(w *Window, text string) {
	c := test.NewClipboard()
	c.SetContent(text)
	w.win.Canvas().Focused().(fyne.Shortcutable).TypedShortcut(&fyne.ShortcutPaste{Clipboard: c})
}

// lookAtText looks at a table and gives back what is shown.
func lookAtText(t *testing.T, w *Window, text string, kind board.Kind) *columnsIn {
	t.Helper()
	c, err := board.ReadColumns([]byte(text), "a.csv", w.state.Job, kind)
	require.NoError(t, err)
	return newColumnsIn(w, c, "a.csv")
}

func TestPastedColumnsAreLookedAtFirst(t *testing.T) {
	w, q := open(t)
	paste(w, "Name\tX\tY\tZ\n"+columnRows(500)+"E501\t12..5\t1\t1\n")
	m := w.top()
	require.NotNil(t, m, "a row of names opens the look")
	assert.Equal(t, "columns in", m.name)
	assert.Empty(t, w.state.Job.Readings, "nothing changes before it is agreed to")
	w.keys("<Return>")
	q.run()
	require.Nil(t, w.top())
	require.Len(t, w.state.Job.Readings, 500)
	r := w.state.Job.Readings[499]
	assert.Equal(t, "E500", r.ID)
	assert.Equal(t, "Add 500 readings from a table", w.state.Undo)
	w.undo()
	assert.Empty(t, w.state.Job.Readings, "one step of undo")
}

func TestPastedCellsGoInAtTheCursor(t *testing.T) {
	w, _ := open(t)
	paste(w, "10\t20\t30\n11\t21\t31\n")
	require.Nil(t, w.top(), "a block of cells needs no look")
	require.Len(t, w.state.Job.Readings, 2)
	assert.Equal(t, "21", w.state.Job.Readings[1].Y.Text)
	w.openList(listTapes)
	paste(w, "x\ty\n1\t2\n")
	assert.Nil(t, w.top(), "only readings are looked at")
}

func TestGuessesCanBeChanged(t *testing.T) {
	w, _ := open(t)
	p := lookAtText(t, w, "a;b;c;d\n"+strings.Repeat("1,5;200;30;7\n", 3), board.Face)
	assert.Len(t, p.readings, 3)
	assert.Equal(t, 1, p.nFaults)
	assert.Contains(t, p.faults.Text, "Row 1, x")
	assert.Contains(t, p.count.Text, "1 rows are not understood")
	assert.Equal(t, []int{int(board.Face), 1, 0}, []int{p.kind.at, p.mark.at, p.unit.at})

	p.unit.SetSelectedIndex(1)
	assert.InDelta(t, 200*25.4, p.readings[0].Y.MM, 1e-9)
	p.kind.SetSelectedIndex(int(board.Mark))
	assert.Equal(t, "M1", p.readings[0].ID)
	p.fields[3].SetSelectedIndex(3) // x
	assert.Equal(t, "", p.c.Fields[0], "a field has one column")
	assert.Equal(t, 0, p.fields[0].SelectedIndex())
	assert.InDelta(t, 7*25.4, p.readings[0].X.MM, 1e-9)
	p.mark.SetSelectedIndex(0)
	assert.Len(t, p.readings, 3, "the column with commas is left out")
	p.fields[3].SetSelectedIndex(0)
	assert.Empty(t, p.readings)
	assert.True(t, p.m.buttons[0].Disabled(), "there is nothing to add")
	w.keys("<Return>")
	assert.NotNil(t, w.top())
	w.keys("<Escape>")
	assert.Nil(t, w.top())
	assert.Empty(t, w.state.Job.Readings)
}

func TestUnitOfATableIsSaid(t *testing.T) {
	w, _ := open(t)
	p := lookAtText(t, w, "x\ty\tz\n12 3/8\t1\t2\n", board.Edge)
	assert.Equal(t, 1, p.unit.at)
	assert.Contains(t, p.why.Text, "fractions of an inch")
	require.True(t, p.add())
	r := w.state.Job.Readings[0]
	assert.InDelta(t, 314.325, r.X.MM, 1e-9)
	assert.Equal(t, "12 3/8", r.X.Text, "the text stays as it was")
	assert.Equal(t, "12 3/8 in", w.lists.models[listEdge].Cell(0, 1).Text)
	p.m.close()

	p = lookAtText(t, w, "x in\ty in\tz mm\n12\t1\t2\n", board.Edge)
	assert.Equal(t, -1, p.unit.at, "no one unit")
	assert.InDelta(t, 2, p.readings[0].Z.MM, 1e-9)
}

func TestNamesThatTheJobHas(t *testing.T) {
	w, _ := open(t)
	w.keys("10<Return>20<Return>30<Return>")
	p := lookAtText(t, w, "id,x,y,z\n1,500,20,30\n2,600,21,31\n", board.Edge)
	require.True(t, p.again.Visible())
	assert.Contains(t, p.again.Text, "1 names")
	require.True(t, p.add())
	assert.Len(t, w.state.Job.Readings, 3, "kept beside")
	w.desk.Undo()
	p.known.SetSelectedIndex(1)
	require.True(t, p.add())
	require.Len(t, w.state.Job.Readings, 2)
	assert.Equal(t, "500", w.state.Job.Readings[0].X.Text)
}

func TestDroppedTable(t *testing.T) {
	w, q := open(t)
	dir := t.TempDir()
	drop := func(name, text string) {
		path := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		w.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(path)})
		q.run()
	}
	drop("a.csv", "id,x,y,z\n1,500,20,30\n")
	require.NotNil(t, w.top())
	assert.Equal(t, "columns in", w.top().name)
	w.top().give(1)
	q.run()
	assert.Nil(t, w.top())
	assert.Equal(t, "a", w.state.Job.Name, "a new job")
	assert.Len(t, w.state.Job.Readings, 1)

	drop("b.tsv", "id\tx\ty\tz\n2\t500\t20\t30\n")
	w.top().give(0)
	assert.Len(t, w.state.Job.Readings, 2)

	drop("c.csv", "")
	assert.Equal(t, "cannot open", w.top().name)
	w.keys("<Return>")

	w.askColumns()
	w.keys("<Escape>")
	assert.Nil(t, w.top())
}

// TestOpenedTable opens a CSV with other columns than ours: it is looked at first, and
// one that is no table is refused by its name.
func TestOpenedTable(t *testing.T) {
	w, q := open(t)
	path := filepath.Join(t.TempDir(), "r.csv")
	openIt := func(text string) {
		require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
		w.askOpen()
		entry := w.top().entry
		entry.SetText(path)
		w.win.Canvas().Focus(entry)
		w.keys("<Return>")
		q.run()
	}
	openIt("id,x,y,z\n1,500,20,30\n")
	require.NotNil(t, w.top())
	assert.Equal(t, "columns in", w.top().name)
	w.top().give(1)
	q.run()
	assert.Equal(t, "r", w.state.Job.Name)
	assert.Len(t, w.state.Job.Readings, 1)

	w.desk.OpenJob(board.NewJob("other"))
	openIt("")
	require.NotNil(t, w.top())
	assert.Equal(t, "open", w.top().name)
	assert.Contains(t, w.top().entry.fault.Text, "r.csv")
	assert.NotContains(t, w.top().entry.fault.Text, "R.csv")
	w.top().close()
}

func TestAsTyped(t *testing.T) {
	for _, c := range []struct {
		cell board.Cell
		unit board.Unit
		want string
	}{
		{board.Cell{Text: "4.96"}, board.MM, "4.96 mm"},
		{board.Cell{Text: " 5/32 ", Unit: board.Inch}, board.Inch, "5/32 in"},
		{board.Cell{Text: "5/32", Unit: board.Inch}, board.MM, "5/32 in"},
		{board.Cell{Text: "4 mm", Unit: board.Inch}, board.Inch, "4 mm"},
		{board.Cell{Text: "5/32\"", Unit: board.Inch}, board.Inch, "5/32\""},
	} {
		assert.Equal(t, c.want, asTyped(c.cell, c.unit))
	}
}

// BenchmarkPaste500 pastes 500 rows at the cursor of an empty job: the edit, and
// showing it.
func BenchmarkPaste500(b *testing.B) { benchPaste(b, "", func(*Window) {}) }

// BenchmarkPaste500Looked pastes 500 rows with the names of their columns, and
// agrees to what is shown.
func BenchmarkPaste500Looked(b *testing.B) {
	benchPaste(b, "id\tx\ty\tz\n", func(w *Window) { w.top().give(0) })
}

func benchPaste(b *testing.B, head string, agree func(*Window)) {
	q := &queue{}
	w := newWindow(test.NewTempApp(b), q.post)
	w.win.Resize(fyne.NewSize(1280, 800))
	w.win.Show()
	text := head + columnRows(500)
	for b.Loop() {
		w.desk.OpenJob(board.NewJob("a"))
		w.lists.gotoCell(listEdge, 0, 0)
		w.lists.focus()
		paste(w, text)
		agree(w)
		if len(w.state.Job.Readings) != 500 {
			b.Fatal(len(w.state.Job.Readings))
		}
	}
	if err := w.desk.Close(); err != nil {
		b.Fatal(err)
	}
}
