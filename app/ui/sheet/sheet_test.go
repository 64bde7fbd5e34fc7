package sheet

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/test"
)

// list is a model in memory: no, x, y, z and a column that cannot be written.
type list struct {
	rows  [][]string
	steps []string // one entry for each undo step
}

func (l *list) Rows() int { return len(l.rows) }

func (l *list) Columns() []Column {
	return []Column{
		{Head: "no", Weight: 1, Left: true},
		{Head: "x", Weight: 2, Entry: true},
		{Head: "y", Weight: 2, Entry: true},
		{Head: "z", Weight: 2, Entry: true},
		{Head: "miss", Weight: 2, ReadOnly: true},
	}
}

func (l *list) Cell(row, col int) Cell {
	c := Cell{Text: l.rows[row][col]}
	if strings.Contains(c.Text, "?") {
		c.Tint, c.Note = Wrong, "not a number: "+c.Text
	}
	return c
}

func (l *list) Echo(_, _ int, text string) (string, Tint) { return "echo " + text, Plain }

func (l *list) put(row, col int, text string) {
	for row >= len(l.rows) {
		l.rows = append(l.rows, []string{fmt.Sprint(len(l.rows) + 1), "", "", "", ""})
	}
	l.rows[row][col] = text
}

func (l *list) Set(row, col int, text string) error {
	if col == 4 || text == "refuse" {
		return errors.New("list: refused")
	}
	l.put(row, col, text)
	l.steps = append(l.steps, fmt.Sprintf("set %d,%d %s", row, col, text))
	return nil
}

func (l *list) SetBlock(row, col int, block [][]string) error {
	for i, line := range block {
		for k, text := range line {
			if c := col + k; c < 4 {
				l.put(row+i, c, text)
			}
		}
	}
	l.steps = append(l.steps, fmt.Sprintf("block %d,%d", row, col))
	return nil
}

// grid is the model's x, y, z columns.
func (l *list) grid() string {
	var b strings.Builder
	for _, r := range l.rows {
		b.WriteString(strings.Join(r[1:4], " ") + "\n")
	}
	return b.String()
}

// open shows a sheet of 20 rows' height over a list, with the focus.
func open(t *testing.T, l *list) *Sheet {
	t.Helper()
	test.NewTempApp(t)
	s := New(l)
	held := fyne.KeyModifier(0)
	s.mods = func() fyne.KeyModifier { return held }
	w := test.NewTempWindow(t, s)
	w.SetPadded(false)
	w.Resize(fyne.NewSize(400, 21*s.rowHeight()))
	w.Canvas().Focus(s)
	require.True(t, s.focused)
	return s
}

// keys types a text: «Return» in guillemets is a key, ⇧ before its name holds Shift.
func keys(s *Sheet, text string) {
	for text != "" {
		if rest, ok := strings.CutPrefix(text, "«"); ok {
			name, after, _ := strings.Cut(rest, "»")
			text = after
			held := fyne.KeyModifier(0)
			if n, ok := strings.CutPrefix(name, "⇧"); ok {
				name, held = n, fyne.KeyModifierShift
			}
			s.mods = func() fyne.KeyModifier { return held }
			s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyName(name)})
			continue
		}
		r := []rune(text)[0]
		s.TypedRune(r)
		text = text[len(string(r)):]
	}
}

func TestTyping(t *testing.T) {
	const two = "1 2 3\n4 5 6\n"
	for _, c := range []struct {
		name, start, keys, want string
		row, col                int
	}{
		{"enter runs through x, y, z and wraps", "", "1«Return»2«Return»3«Return»4«KP_Enter»", "1 2 3\n4  \n", 1, 2},
		{"tab does the same", "", "1«Tab»2«Tab»3«Tab»4", "1 2 3\n", 1, 1},
		{"shift and tab goes back", two, "«⇧Tab»", two, 0, 1},
		{"back from the next row", two, "«Down»«⇧Tab»9«Return»", "1 2 9\n4 5 6\n", 1, 1},
		{"typing replaces", two, "7«Return»", "7 2 3\n4 5 6\n", 0, 2},
		{"escape keeps what was there", two, "7«Escape»«Return»", two, 0, 2},
		{"F2 edits", two, "«F2»5«Left»0«Return»", "105 2 3\n4 5 6\n", 0, 2},
		{"arrows commit what is typed", two, "7«Down»", "7 2 3\n4 5 6\n", 1, 1},
		{"backspace empties", two, "«BackSpace»«Return»", " 2 3\n4 5 6\n", 0, 2},
		{"backspace takes a character", two, "78«BackSpace»«Return»", "7 2 3\n4 5 6\n", 0, 2},
		{"delete clears the selection", two, "«⇧Down»«⇧Right»«Delete»", "  3\n  6\n", 1, 2},
		{"enter on the empty row adds none", two, "«Down»«Down»«Return»«Return»«Return»«Return»", two, 2, 2},
		{"up at the top stays", two, "«Up»", two, 0, 1},
		{"text that is no number is kept", "", "12 3/8?«Return»", "12 3/8?  \n", 0, 2},
		{"a refused text stays being typed", two, "refuse«Return»", two, 0, 1},
		{"miss is not written", two, "«End»5«Return»", two, 1, 1},
		{"home goes to the first entry cell", two, "«End»«Home»8«Return»", "8 2 3\n4 5 6\n", 0, 2},
		{"shift enter goes back", two, "«Right»8«⇧Return»", "1 8 3\n4 5 6\n", 0, 1},
	} {
		t.Run(c.name, func(t *testing.T) {
			l := &list{}
			for line := range strings.Lines(c.start) {
				f := strings.Fields(line)
				l.rows = append(l.rows, []string{"", f[0], f[1], f[2], ""})
			}
			s := open(t, l)
			keys(s, c.keys)
			assert.Equal(t, c.want, l.grid())
			row, col := s.Cursor()
			assert.Equal(t, []int{c.row, c.col}, []int{row, col}, "cursor")
		})
	}
}

func TestEnterMovesDownWithTheSwitch(t *testing.T) {
	l := &list{}
	s := open(t, l)
	s.Down = true
	keys(s, "1«Return»2«Return»3«Return»")
	assert.Equal(t, "1  \n2  \n3  \n", l.grid())
	keys(s, "«Up»«Up»«Up»«Right»4«Return»5«Tab»6«Return»")
	assert.Equal(t, "1 4 \n2 5 6\n3  \n", l.grid())
}

func TestOneStepForEachCell(t *testing.T) {
	l := &list{}
	s := open(t, l)
	keys(s, "1«Return»2«Return»«Return»«Return»")
	assert.Equal(t, []string{"set 0,1 1", "set 0,2 2"}, l.steps, "cells passed over are no steps")
	keys(s, "«Up»«F2»«Return»")
	assert.Len(t, l.steps, 2, "an unchanged cell is no step")
}

func TestSixtyRowsTypedAtOnce(t *testing.T) {
	l := &list{}
	s := open(t, l)
	var want, typed strings.Builder
	for i := range 60 {
		fmt.Fprintf(&want, "%d.5 -%d %d 3/8\n", i, i, i)
		fmt.Fprintf(&typed, "%d.5«Return»-%d«Return»%d 3/8«Return»", i, i, i)
	}
	keys(s, typed.String())
	assert.Equal(t, want.String(), l.grid())
	row, col := s.Cursor()
	assert.Equal(t, []int{60, 1}, []int{row, col})
	assert.GreaterOrEqual(t, row, s.top)
	assert.Less(t, row, s.top+s.visibleRows(), "the cursor is in view")
}

func TestFocusLostCommits(t *testing.T) {
	l := &list{}
	s := open(t, l)
	keys(s, "77")
	fyne.CurrentApp().Driver().AllWindows()[len(fyne.CurrentApp().Driver().AllWindows())-1].Canvas().Unfocus()
	assert.Equal(t, "77  \n", l.grid())
}

func TestCopyCutPaste(t *testing.T) {
	l := &list{}
	s := open(t, l)
	clip := test.NewClipboard()
	clip.SetContent("1\t2\t3\r\n4\t5\r\n7\t8\t9\t99\r\n\r\n")
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	assert.Equal(t, "1 2 3\n4 5 \n7 8 9\n", l.grid())
	assert.Equal(t, []string{"block 0,1"}, l.steps, "one step")

	s.Goto(0, 1)
	keys(s, "«⇧Down»«⇧Right»")
	s.TypedShortcut(&fyne.ShortcutCut{Clipboard: clip})
	assert.Equal(t, "1\t2\n4\t5", clip.Content())
	assert.Equal(t, "  3\n  \n7 8 9\n", l.grid())
	assert.Len(t, l.steps, 2)

	s.Goto(3, 1)
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	assert.Equal(t, "  3\n  \n7 8 9\n1 2 \n4 5 \n", l.grid())
	first, n := s.Selection()
	assert.Equal(t, []int{3, 2}, []int{first, n})
	s.TypedShortcut(&fyne.ShortcutSelectAll{})
	first, n = s.Selection()
	assert.Equal(t, []int{0, 5}, []int{first, n})
}

func TestPasteIntoTypedCell(t *testing.T) {
	l := &list{}
	s := open(t, l)
	clip := test.NewClipboard()
	clip.SetContent("3/8")
	keys(s, "12 ")
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	text, on := s.Typing()
	assert.True(t, on)
	assert.Equal(t, "12 3/8", text)
	keys(s, "«Return»")
	assert.Equal(t, "12 3/8  \n", l.grid())
}

func TestPasteOfManyRowsIsOneStep(t *testing.T) {
	l := &list{}
	s := open(t, l)
	clip := test.NewClipboard()
	var text strings.Builder
	for i := range 500 {
		fmt.Fprintf(&text, "%d\t%d\t%d\n", i, 2*i, 3*i)
	}
	clip.SetContent(text.String())
	s.TypedShortcut(&fyne.ShortcutPaste{Clipboard: clip})
	assert.Equal(t, strings.ReplaceAll(text.String(), "\t", " "), l.grid())
	assert.Len(t, l.steps, 1)
	s.Goto(0, 1)
	s.TypedShortcut(&desktop.CustomShortcut{KeyName: fyne.KeyEnd, Modifier: fyne.KeyModifierControl})
	row, _ := s.Cursor()
	assert.Equal(t, 500, row)
}

func TestParseBlock(t *testing.T) {
	for _, c := range []struct {
		in   string
		want [][]string
	}{
		{"", nil},
		{"\n\n", nil},
		{"a", [][]string{{"a"}}},
		{" a \tb\n", [][]string{{"a", "b"}}},
		{"a\tb\r\n\r\nc", [][]string{{"a", "b"}, {""}, {"c"}}},
		{"a\rb", [][]string{{"a"}, {"b"}}},
	} {
		assert.Equal(t, c.want, parseBlock(c.in), "%q", c.in)
	}
}

func TestNotes(t *testing.T) {
	l := &list{}
	s := open(t, l)
	var notes []string
	s.OnNote = func(text string, tint Tint) { notes = append(notes, fmt.Sprint(text, " ", tint)) }
	keys(s, "1")
	assert.Equal(t, "echo 1 0", notes[len(notes)-1])
	keys(s, "?«Return»«Left»")
	assert.Equal(t, fmt.Sprint("not a number: 1? ", Wrong), notes[len(notes)-1])
	keys(s, "refuse«Return»")
	assert.Equal(t, fmt.Sprint("list: refused ", Wrong), notes[len(notes)-1])
	text, on := s.Typing()
	assert.True(t, on, "a refused text is not lost")
	assert.Equal(t, "refuse", text)

	keys(s, "«Escape»«Home»")
	told := len(notes)
	s.Reload()
	assert.Len(t, notes, told, "nothing new: what else was said meanwhile is not talked over")
	l.put(0, s.cur.col, "7")
	s.Reload()
	assert.Equal(t, "echo 7 0", notes[len(notes)-1], "the cell under the cursor was changed from elsewhere")
}

func TestMouse(t *testing.T) {
	l := &list{}
	for i := range 100 {
		l.put(i, 1, fmt.Sprint(i))
	}
	s := open(t, l)
	h := s.rowHeight()
	edges := s.columnEdges()
	press := func(row, col int, shift bool) {
		var mod fyne.KeyModifier
		if shift {
			mod = fyne.KeyModifierShift
		}
		s.MouseDown(&desktop.MouseEvent{
			PointEvent: fyne.PointEvent{Position: fyne.NewPos(edges[col]+3, h*float32(row+1)+3)},
			Button:     desktop.MouseButtonPrimary, Modifier: mod,
		})
		s.MouseUp(nil)
	}
	press(4, 2, false)
	row, col := s.Cursor()
	assert.Equal(t, []int{4, 2}, []int{row, col})
	press(7, 3, true)
	first, n := s.Selection()
	assert.Equal(t, []int{4, 4}, []int{first, n})

	keys(s, "9")
	press(2, 1, false)
	assert.Equal(t, "9", l.rows[7][3], "a click elsewhere commits")

	s.Scrolled(&fyne.ScrollEvent{Scrolled: fyne.Delta{DY: -25}})
	assert.Equal(t, 3, s.top)
	row, _ = s.Cursor()
	assert.Equal(t, 2, row, "the wheel leaves the cursor alone")
	keys(s, "5«Return»")
	assert.Equal(t, "5", l.rows[2][1], "typing goes where the cursor is, not where the view is")
	assert.LessOrEqual(t, s.top, 2, "and brings it into view")

	y, bh := s.bar()
	bar := fyne.NewPos(s.Size().Width-3, y+bh/2)
	s.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: bar}, Button: desktop.MouseButtonPrimary})
	s.Dragged(&fyne.DragEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(bar.X, s.Size().Height)}})
	assert.Equal(t, s.maxTop(), s.top)
	s.DragEnd()

	s.scrollTo(0)
	s.Goto(3, 2)
	s.DoubleTapped(&fyne.PointEvent{Position: fyne.NewPos(edges[2]+3, h*4+3)})
	_, on := s.Typing()
	assert.True(t, on)
}

func TestKeysForOthers(t *testing.T) {
	s := open(t, &list{})
	var got []fyne.KeyName
	s.OnKey = func(ev *fyne.KeyEvent) bool { got = append(got, ev.Name); return true }
	keys(s, "1«F8»«Down»«F1»")
	assert.Equal(t, []fyne.KeyName{fyne.KeyF8, fyne.KeyF1}, got)
}

func TestMenuRow(t *testing.T) {
	l := &list{}
	l.put(5, 1, "1")
	s := open(t, l)
	got := -1
	s.OnMenu = func(row int, _ fyne.Position) { got = row }
	s.MouseDown(&desktop.MouseEvent{
		PointEvent: fyne.PointEvent{Position: fyne.NewPos(60, s.rowHeight()*4+3)},
		Button:     desktop.MouseButtonSecondary,
	})
	assert.Equal(t, 3, got)
}

// TestDrawsOnlyRowsInView counts the pooled texts of a long list.
func TestDrawsOnlyRowsInView(t *testing.T) {
	l := &list{}
	for i := range 5000 {
		for c := 1; c < 4; c++ {
			l.put(i, c, "1234567890123456")
		}
	}
	s := open(t, l)
	d := test.WidgetRenderer(s).(*drawing)
	assert.LessOrEqual(t, len(d.texts), 21*5)
	s.Goto(2500, 1)
	assert.LessOrEqual(t, len(d.texts), 21*5)
	shown := 0
	for _, x := range d.texts {
		if !x.Hidden && strings.HasSuffix(x.Text, "…") {
			shown++
			assert.LessOrEqual(t, x.MinSize().Width, float32(400)*2/9, "cut to its cell")
		}
	}
	assert.Positive(t, shown)
}

func TestReloadKeepsWhatIsTyped(t *testing.T) {
	l := &list{}
	l.put(9, 1, "1")
	s := open(t, l)
	s.Goto(9, 1)
	keys(s, "44")
	s.Reload()
	text, _ := s.Typing()
	assert.Equal(t, "44", text)
	keys(s, "«Escape»")
	l.rows = l.rows[:3]
	s.Reload()
	row, _ := s.Cursor()
	assert.Equal(t, 3, row, "the cursor stays inside a list that became shorter")
}

func BenchmarkTypeRow(b *testing.B) {
	l := &list{}
	test.NewTempApp(b)
	s := New(l)
	w := test.NewTempWindow(b, s)
	w.Resize(fyne.NewSize(400, 500))
	w.Canvas().Focus(s)
	for b.Loop() {
		keys(s, "12 3/8«Return»-4«Return»88«Return»")
	}
}

func TestFixedSheetHasNoEmptyRow(t *testing.T) {
	l := &list{}
	for range 3 {
		l.put(len(l.rows), 1, "7")
	}
	s := New(l)
	s.Fixed = true
	s.Goto(99, 1)
	row, _ := s.Cursor()
	assert.Equal(t, 2, row, "the last one")
	s.TypedRune('5')
	s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Equal(t, "5", l.rows[2][1])
	s.Goto(2, 3)
	s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	row, _ = s.Cursor()
	assert.Equal(t, 2, row, "there is no row to go on to")
	assert.Len(t, l.rows, 3)
	l.rows = nil
	s.Reload()
	row, _ = s.Cursor()
	assert.Zero(t, row)
	assert.Zero(t, s.maxTop())
}

func TestHeadIsClicked(t *testing.T) {
	s := open(t, &list{})
	var got []int
	s.OnHead = func(col int, _ fyne.Position) { got = append(got, col) }
	click := func(x, y float32) {
		s.MouseDown(&desktop.MouseEvent{PointEvent: fyne.PointEvent{Position: fyne.NewPos(x, y)}, Button: desktop.MouseButtonPrimary})
	}
	edges := s.columnEdges()
	click(edges[1]+2, 3)
	click(edges[2]+2, 3)
	click(edges[2]+2, s.rowHeight()+3)
	assert.Equal(t, []int{1, 2}, got, "rows are no head")
}

func TestRowsAreSelectedWhole(t *testing.T) {
	l := &list{}
	s := open(t, l)
	s.TypedRune('1')
	s.Goto(1, 1)
	s.TypedRune('2')
	s.SelectRows(0, 2)
	first, n := s.Selection()
	assert.Equal(t, []int{0, 2}, []int{first, n})
}

func TestTypedOverWithTheSameIsWritten(t *testing.T) {
	l := &list{}
	s := open(t, l)
	s.TypedRune('1')
	s.Commit()
	steps := len(l.steps)
	s.Goto(0, 1)
	s.TypedRune('1')
	s.Commit()
	assert.Len(t, l.steps, steps+1, "it may mean another number now")
	s.TypedKey(&fyne.KeyEvent{Name: fyne.KeyF2})
	s.Commit()
	assert.Len(t, l.steps, steps+1, "looked at only")
}

func TestRowsThatStandApartAreSelected(t *testing.T) {
	l := &list{rows: [][]string{{"1", "a", "", "", ""}, {"2", "b", "", "", ""}, {"3", "c", "", "", ""}, {"4", "d", "", "", ""}}}
	s := open(t, l)
	told := 0
	s.OnMove = func(int, int) { told++ }
	s.SelectEach([]int{3, 0, 2})
	assert.Equal(t, []int{0, 2, 3}, s.Selected())
	row, _ := s.Cursor()
	assert.Equal(t, 2, row, "on the last that was named")
	clip := test.NewClipboard()
	s.TypedShortcut(&fyne.ShortcutCopy{Clipboard: clip})
	assert.Equal(t, "1\ta\t\t\t\n3\tc\t\t\t\n4\td\t\t\t", clip.Content())
	keys(s, "«Delete»")
	assert.Empty(t, l.steps, "there is no block to empty")
	assert.Equal(t, []int{2}, s.Selected())

	s.SelectEach([]int{0, 3})
	keys(s, "7")
	assert.Equal(t, []int{3}, s.Selected(), "typing belongs to one cell")
	keys(s, "«Escape»")
	s.SelectEach([]int{0, 3})
	l.rows = l.rows[:3]
	s.Reload()
	assert.Equal(t, []int(nil), s.also, "the rows are others now")

	s.SelectEach([]int{2, 1})
	first, n := s.Selection()
	assert.Equal(t, []int{1, 2}, []int{first, n}, "neighbours are a range")
	before := told
	s.Goto(2, 4)
	assert.Greater(t, told, before, "told that it is one row again")
	s.SelectEach(nil)
	assert.Equal(t, []int{2}, s.Selected())
}
