package boardview

import (
	"errors"
	"strings"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
)

// entry is the height being typed for a reading that was just placed or clicked.
type entry struct {
	key   key
	index int
	text  string
	fault string // why the text was not understood
}

// entrySize is the type of a height being typed, logical pixels.
const entrySize = 30.0

// place puts a new reading where the board was clicked, snapped, and waits for
// its height.
func (v *View) place(at r2.Vec) {
	if !v.endEntry() {
		return // the height before is not understood yet
	}
	kind := board.Edge
	if v.mode == PlaceFace {
		kind = board.Face
	}
	to := v.snapped(v.lens.mm(at))
	index := None
	id := v.scene.job.NextID(kind)
	ok := v.edit(lang.L("Place {{.What}}", map[string]any{"What": name(point{kind: kind, id: id})}), func(j *board.Job) error {
		index = len(j.Readings)
		return j.Insert(index, board.Reading{
			ID: j.NextID(kind), Kind: kind, Set: Laying(j), X: j.Typed(typed(to.X, j)), Y: j.Typed(typed(to.Y, j)),
		})
	})
	if !ok {
		return
	}
	v.choose(index)
	v.beginEntry(index)
}

// Laying is the laying of the pane that readings are being typed of: that of the
// last one.
func Laying(j *board.Job) string {
	if n := len(j.Readings); n > 0 {
		return j.Readings[n-1].Set
	}
	return ""
}

// beginEntry waits for the height of a reading.
func (v *View) beginEntry(index int) {
	if v.entry != nil && v.entry.index == index {
		return
	}
	if v.endEntry() && index >= 0 && index < len(v.scene.job.Readings) {
		v.entry = &entry{key: keyOf(v.scene.job.Readings[index]), index: index}
		v.redraw()
	}
}

// typeHeight adds a character to the height; false where it is none of a number.
func (v *View) typeHeight(r rune) bool {
	if v.entry == nil || !strings.ContainsRune("0123456789.,/ -+'\"", r) {
		return false
	}
	if len(v.entry.text) < 24 && !(v.entry.text == "" && r == ' ') {
		v.entry.text += string(r)
		v.entry.fault = ""
		v.redraw()
	}
	return true
}

// endEntry commits the height being typed. It is false where the text is not
// understood: then it stays, with the reason.
func (v *View) endEntry() bool {
	e := v.entry
	if e == nil {
		return true
	}
	text := strings.TrimSpace(e.text)
	if text == "" {
		v.entry = nil
		v.redraw()
		return true
	}
	j := v.scene.job
	if _, _, err := board.Parse(text, board.AxisZ, j.Unit, j.Comma, j.Grid); err != nil {
		e.fault = err.Error()
		var p *board.ParseError
		if errors.As(err, &p) {
			e.fault = p.Reason
		}
		v.redraw()
		return false
	}
	what := name(point{kind: e.key.kind, id: e.key.id})
	v.entry = nil
	return v.edit(lang.L("Height of {{.What}}", map[string]any{"What": what}), func(j *board.Job) error {
		i, err := locate(j, e.index, e.key)
		if err != nil {
			return err
		}
		return j.SetCell(i, "z", text)
	})
}

// edit changes the job through the door; a refusal is said, not lost.
func (v *View) edit(name string, f func(*board.Job) error) bool {
	err := v.door.Edit(name, f)
	if err != nil && v.OnRefused != nil {
		v.OnRefused(err)
	}
	return err == nil
}

// drawEntry writes the height being typed, large, beside its point.
func (v *View) drawEntry(f *frame) {
	p, ok := v.scene.find(v.entry.index)
	if !ok {
		return
	}
	j := v.scene.job
	at := f.l.px(p.at)
	text, col := v.entry.text, f.col.Label
	if text == "" {
		text, col = lang.L("height"), f.col.GridLabel
		if r := j.Readings[p.index]; r.Z.Set {
			text = r.Z.Text
		}
	}
	note, noteCol := j.Unit.String(), f.col.GridLabel
	if v.entry.fault != "" {
		note, noteCol = v.entry.fault, f.col.Wrong
	} else if _, echo, err := board.Parse(v.entry.text, board.AxisZ, j.Unit, j.Comma, j.Grid); err == nil {
		note = echo
	}
	f.entryBox(at, text, col, note, noteCol, v.entry.text != "")
}

// entryBox paints the box with the height and the note under it.
func (f *frame) entryBox(at r2.Vec, text string, col colour, note string, noteCol colour, caret bool) {
	const noteSize = labelSize
	big := f.textBox(f.fonts.number, entrySize, text, r2.Vec{}, r2.Vec{})
	small := f.textBox(f.fonts.text, noteSize, note, r2.Vec{}, r2.Vec{})
	pad := 8 * f.k
	w := max(big.Max.X+6*f.k, small.Max.X, 90*f.k) + 2*pad
	h := big.Max.Y + small.Max.Y + 3.5*pad
	lo := r2.Vec{X: at.X + 18*f.k, Y: at.Y - h - 22*f.k}
	if lo.X+w > f.w {
		lo.X = at.X - 18*f.k - w
	}
	if lo.Y < 0 {
		lo.Y = at.Y + 16*f.k
	}
	t := f.hair()
	x0, y0, x1, y1 := pixel(lo.X), pixel(lo.Y), pixel(lo.X+w), pixel(lo.Y+h)
	f.c.Rect(x0-t, y0-t, x1+t, y1+t, f.col.Selected)
	f.c.Rect(x0, y0, x1, y1, f.col.LabelBack)
	base := lo.Y + 1.25*pad + big.Max.Y
	f.text(f.fonts.number, entrySize, text, r2.Vec{X: lo.X + pad, Y: base}, r2.Vec{Y: 1}, col)
	end := lo.X + pad
	if caret {
		end += big.Max.X + 2*f.k
	}
	f.c.Rect(pixel(end), pixel(base-big.Max.Y-3*f.k), pixel(end)+2*t, pixel(base+3*f.k), f.col.Selected)
	f.text(f.fonts.text, noteSize, note, r2.Vec{X: lo.X + pad, Y: lo.Y + h - pad}, r2.Vec{Y: 1}, noteCol)
}
