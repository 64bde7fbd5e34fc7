package ui

import (
	"context"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// compareBox lays two cuts over one another, or one and the shape as it stands.
type compareBox struct {
	w           *Window
	first, then *choice
	a, b        int // the cuts' numbers, nought: the shape as it stands
	numbers     []int
	say         *widget.Label
	facts       *figures
	list        *tapText
	fold        *folding
	box         *fyne.Container

	of       [2]*board.CutShape // that found belongs to
	found    *board.Difference
	err      error
	laying   errand
	stations []string
	now      struct { // the shape as it stands
		of    *board.Model
		shape *board.CutShape
	}
}

func newCompareBox(w *Window) *compareBox {
	b := &compareBox{w: w, say: caption(""), laying: errand{w: w}}
	b.first = newChoice(nil, func(i int) { b.a = b.numbers[i]; b.show(w.state); w.refresh() })
	b.then = newChoice(nil, func(i int) { b.b = b.numbers[i]; b.show(w.state); w.refresh() })
	b.facts = newFigures(lang.L("Greatest distance"), lang.L("Typical distance"), lang.L("Greatest in height"))
	b.list = newTapText(func(line int) {
		if line >= 1 && line <= len(b.stations) {
			w.showCutStation(b.a, b.stations[line-1])
		}
	})
	pick := container.NewBorder(nil, nil, nil, nil, container.NewGridWithColumns(2, b.first, b.then))
	b.fold = fold(lang.L("Compare two cuts"), container.NewVBox(pick, b.say, b.facts.box,
		dim(lang.L("+ : the second lies outside the first there, or higher. A click shows the place.")), b.list))
	tapped := b.fold.word.OnTapped
	b.fold.word.OnTapped = func() { tapped(); w.refresh() }
	b.box = container.NewVBox(b.fold.box)
	return b
}

// open says whether two cuts are laid over one another.
func (b *compareBox) open() bool { return b.box.Visible() && b.fold.inside.Visible() }

// show brings the box up to a state.
func (b *compareBox) show(s desk.State) {
	setVisible(b.box, len(s.Job.Cuts) > 0)
	if len(s.Job.Cuts) == 0 {
		return
	}
	b.showChoices(s.Job)
	if !b.open() {
		return
	}
	of := [2]*board.CutShape{b.shape(s, b.a), b.shape(s, b.b)}
	if of != b.of {
		b.lay(of)
	}
	b.tell(s.Job)
}

// showChoices lists the cuts to choose from: at first the last cut and the shape
// as it stands.
func (b *compareBox) showChoices(j *board.Job) {
	n := len(j.Cuts)
	var words []string
	numbers := make([]int, 0, n+1)
	for _, c := range j.Cuts {
		numbers = append(numbers, c.Number)
		words = append(words, lang.L("Cut {{.N}}", map[string]any{"N": c.Number}))
	}
	numbers, words = append(numbers, 0), append(words, lang.L("as it stands"))
	if b.numbers == nil || j.CutNumber(b.a) == nil {
		b.a = numbers[n-1]
	}
	if b.b != 0 && j.CutNumber(b.b) == nil {
		b.b = 0
	}
	at := func(number int) int {
		for i, k := range numbers {
			if k == number {
				return i
			}
		}
		return n
	}
	b.numbers = numbers
	for _, c := range []struct {
		c  *choice
		at int
	}{{b.first, at(b.a)}, {b.then, at(b.b)}} {
		if len(c.c.Options) != len(words) || c.c.Options[0] != words[0] || c.c.Options[n-1] != words[n-1] {
			c.c.Options, c.c.at = words, -1
		}
		c.c.show(c.at)
	}
}

// shape is that of a cut, or as it stands; nil where there is none.
func (b *compareBox) shape(s desk.State, number int) *board.CutShape {
	if c := s.Job.CutNumber(number); c != nil {
		return c.Shape
	}
	if !s.Current() {
		return nil
	}
	if b.now.of != s.Model {
		b.now.of, b.now.shape = s.Model, s.Model.Shape()
	}
	return b.now.shape
}

// lay has two shapes compared.
func (b *compareBox) lay(of [2]*board.CutShape) {
	b.of, b.found, b.err = of, nil, nil
	if of[0] == nil || of[1] == nil {
		b.laying.stop()
		return
	}
	b.laying.begin(func(context.Context) func() {
		d, err := board.CompareShapes(of[0], of[1])
		return func() {
			if b.err = err; err == nil {
				b.found = &d
			}
			b.w.refresh()
		}
	})
}

// tell says how the two lie.
func (b *compareBox) tell(j *board.Job) {
	d := b.found
	setVisible(b.facts.box, d != nil)
	setVisible(b.list, d != nil)
	say := ""
	switch {
	case b.err != nil:
		say = plain(b.err)
	case b.of[0] == nil || b.of[1] == nil:
		say = lang.L("The shape is not known yet.")
	case d == nil:
		say = lang.L("Laying one over the other…")
	}
	setText(b.say, say)
	setVisible(b.say, say != "")
	if d == nil {
		return
	}
	high := 0.0
	rows := [][]string{{lang.L("station"), lang.L("edge"), lang.L("height")}}
	b.stations = b.stations[:0]
	for _, st := range d.Stations {
		high = max(high, st.Height, -st.Height)
		b.stations = append(b.stations, st.ID)
		rows = append(rows, []string{st.ID, signedBare(j, st.Edge), signedBare(j, st.Height)})
	}
	b.facts.show(fine(j, d.Greatest), fine(j, d.Typical), fine(j, high))
	setText(&b.list.Label, columnsText(rows))
}

// signedBare is signedFine without the unit.
func signedBare(j *board.Job, mm float64) string {
	return plusSign(mm, fineBare(j, mm))
}

// showCutStation shows a station of a cut, or of the last one, on the board.
func (w *Window) showCutStation(cut int, id string) {
	c := w.state.Job.CutNumber(cut)
	if c == nil {
		c = w.state.Job.LastCut()
	}
	if c == nil {
		return
	}
	if at, _, ok := c.Shape.OnBoard(id); ok {
		w.setSolid(false)
		w.lists.gotoGap(id)
		w.board.ShowPlace(at)
	}
}
