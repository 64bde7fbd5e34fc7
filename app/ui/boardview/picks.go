package boardview

import (
	"math"
	"slices"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/ui/paint"
	"panewright/board"
)

// pick is a reading that is selected, known again after an edit by its name.
type pick struct {
	index int
	key   key
}

// Pick marks several readings as selected, without calling OnPick. They are moved
// together; the one that was selected stays the one looked at where it is of them,
// else the last is.
func (v *View) Pick(index []int) {
	main := v.selected
	if !slices.Contains(index, main) {
		main = None
		if n := len(index); n > 0 {
			main = index[n-1]
		}
	}
	v.setSelected(main)
	v.picks = nil
	for _, i := range slices.Sorted(slices.Values(index)) {
		if j := v.scene.job; j != nil && i >= 0 && i < len(j.Readings) {
			v.picks = append(v.picks, pick{i, keyOf(j.Readings[i])})
		}
	}
	v.redraw()
}

// Picked are the indices of the readings that are selected, rising.
func (v *View) Picked() (index []int) {
	for _, p := range v.picks {
		index = append(index, p.index)
	}
	return index
}

// pick selects several readings and says so.
func (v *View) pick(index []int) {
	v.endEntry()
	v.Pick(index)
	if v.OnPick != nil {
		v.OnPick(index)
	}
}

// repick finds the selected readings again after an edit.
func (v *View) repick() {
	v.selected = v.indexOf(v.selected, v.selKey)
	kept := v.picks[:0]
	for _, p := range v.picks {
		if p.index = v.indexOf(p.index, p.key); p.index != None {
			kept = append(kept, p)
		}
	}
	v.picks = kept
}

// together says whether readings of two kinds stand in one list, which is what
// can be selected together.
func together(a, b board.Kind) bool {
	glass := func(k board.Kind) bool { return k == board.Edge || k == board.Face }
	return a == b || !glass(a) && !glass(b)
}

// toggle takes a reading into the selection, or out of it; one of another list
// begins a new selection.
func (v *View) toggle(index int) {
	all := v.Picked()
	if k := slices.Index(all, index); k >= 0 {
		v.pick(slices.Delete(all, k, k+1))
		return
	}
	r := v.scene.job.Readings
	if len(all) > 0 && !together(r[all[0]].Kind, r[index].Kind) {
		all = nil
	}
	v.selected = None // the one that was added is looked at
	v.pick(append(all, index))
}

// within are the readings in a frame, logical pixels: those of the list of the
// selected one where it holds any, else stations before face points before marks.
func (v *View) within(b r2.Box) (index []int) {
	kinds := []board.Kind{board.Edge, board.Face, board.Centre}
	if v.selected != None {
		kinds = slices.Insert(kinds, 0, v.scene.job.Readings[v.selected].Kind)
	}
	for _, k := range kinds {
		for _, p := range v.scene.points {
			at := v.lens.px(p.at)
			in := at.X >= b.Min.X && at.X <= b.Max.X && at.Y >= b.Min.Y && at.Y <= b.Max.Y
			if in && together(k, p.kind) && !(v.showsFit() && p.apart()) {
				index = append(index, p.index)
			}
		}
		if index != nil {
			break
		}
	}
	return index
}

// framing draws a frame over the board; let go, it selects what lies in it.
type framing struct {
	start, now r2.Vec
	moved      bool
}

func (g *framing) box() r2.Box {
	return r2.Box{Min: r2.Vec{X: min(g.start.X, g.now.X), Y: min(g.start.Y, g.now.Y)},
		Max: r2.Vec{X: max(g.start.X, g.now.X), Y: max(g.start.Y, g.now.Y)}}
}

func (g *framing) drag(v *View, at r2.Vec) {
	if !g.moved && r2.Norm(r2.Sub(at, g.start)) <= slack {
		return
	}
	g.moved, g.now = true, at
	v.redraw()
}

func (g *framing) drop(v *View) {
	if g.moved {
		v.pick(v.within(g.box()))
	}
}

func (g *framing) cancel(*View) {}

func (g *framing) draw(_ *View, f *frame) {
	if !g.moved {
		return
	}
	b := g.box()
	corners := []r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}
	for i := range corners {
		corners[i] = r2.Scale(f.k, corners[i])
	}
	f.c.Fill(paint.Fade(f.col.Selected, 0.1), corners)
	f.c.Polyline(corners, true, f.dashed(f.col.Thin, f.col.Selected, paint.HiddenDash))
}

func (g *framing) words(v *View) []string {
	if !g.moved {
		return nil
	}
	return []string{many(v.scene.job, v.within(g.box()))}
}

// many names readings that are selected together: "4 stations".
func many(j *board.Job, index []int) string {
	data := map[string]any{"N": len(index)}
	if len(index) > 0 {
		switch j.Readings[index[0]].Kind {
		case board.Face:
			return lang.L("{{.N}} face points", data)
		case board.Centre, board.Mark:
			return lang.L("{{.N}} marks", data)
		}
	}
	return lang.L("{{.N}} stations", data)
}

// grabbed are the points that move with p: all that are selected, where it is one
// of them, p first; what has no place does not move.
func (v *View) grabbed(p point) []point {
	all := []point{p}
	index := v.Picked()
	if !slices.Contains(index, p.index) {
		return all
	}
	for _, q := range v.scene.points {
		if q.index != p.index && slices.Contains(index, q.index) {
			all = append(all, q)
		}
	}
	return all
}

// shift moves readings by d on the board, one step of undo. A figure that does
// not change stays as it was typed.
func (v *View) shift(all []point, d r2.Vec) {
	if len(all) == 0 || d == (r2.Vec{}) {
		return
	}
	what := name(all[0])
	if len(all) > 1 {
		index := make([]int, len(all))
		for i, p := range all {
			index[i] = p.index
		}
		what = many(v.scene.job, index)
	}
	keys := make([]key, len(all))
	for i, p := range all {
		keys[i] = keyOf(v.scene.job.Readings[p.index])
	}
	v.edit(lang.L("Move {{.What}}", map[string]any{"What": what}), func(j *board.Job) error {
		for n, p := range all {
			i, err := locate(j, p.index, keys[n])
			if err != nil {
				return err
			}
			to := v.readAs(p, d)
			if to.X != p.typed.X {
				if err := j.SetCell(i, "x", typed(to.X, j)); err != nil {
					return err
				}
			}
			if to.Y != p.typed.Y {
				if err := j.SetCell(i, "y", typed(to.Y, j)); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

// readAs is where a reading has to be typed to stand d further on the board.
func (v *View) readAs(p point, d r2.Vec) r2.Vec {
	to := p.readFrom(r2.Add(p.at, d))
	if p.at != p.typed || p.back != nil { // a rule shows a tenth of a millimetre or a 64th of an inch
		step := v.finest()
		round := func(to, from float64) float64 {
			if math.Abs(to-from) < step/2 {
				return from
			}
			return math.Round(to/step) * step
		}
		to = r2.Vec{X: round(to.X, p.typed.X), Y: round(to.Y, p.typed.Y)}
	}
	return to
}

// nudge moves all that are selected by one step of what points snap to.
func (v *View) nudge(x, y float64) {
	var all []point
	for _, i := range v.Picked() {
		if p, ok := v.scene.find(i); ok {
			all = append(all, p)
		}
	}
	step := v.steps()
	v.shift(all, r2.Vec{X: x * step.X, Y: y * step.Y})
}
