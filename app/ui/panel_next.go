package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/board"
)

// nextShown is how many places to measure next are listed.
const nextShown = 5

// little is the gain below which one more reading hardly matters.
const little = 0.01

// nextList names the places where one more reading would tell the most; a click
// shows the place on the board.
type nextList struct {
	w    *Window
	say  *widget.Label
	rows [nextShown]*lineRow
	at   [nextShown]r2.Vec
	box  *fyne.Container
}

func newNextList(w *Window) *nextList {
	l := &nextList{w: w, say: dim("")}
	l.box = container.NewVBox(title(lang.L("Where to measure next")), l.say)
	for i := range l.rows {
		l.rows[i] = newLineRow(func() { w.showPlace(l.at[i]) })
		l.box.Add(l.rows[i].box)
	}
	return l
}

// show lists the places of the model that is shown.
func (l *nextList) show(s desk.State) {
	var next []board.Advice
	if s.Model != nil {
		next = s.Model.Next[:min(len(s.Model.Next), nextShown)]
	}
	setVisible(l.box, len(next) > 0)
	for i, row := range l.rows {
		if i < len(next) {
			a := next[i]
			l.at[i] = r2.Vec{X: a.At.X, Y: a.At.Y}
			setText(&row.text.Label, nextWord(s.Job, i, a))
		}
		setVisible(row.box, i < len(next))
	}
	if len(next) == 0 {
		return
	}
	say := lang.L("One more reading there would make the edge, or the face, surer by so much. The numbers stand on the board picture.")
	if next[0].Gain < little {
		say = lang.L("The pane is well read: one more reading would tell little.")
	}
	setText(l.say, say)
}

// nextWord is a place to measure next in words: its number, where, and what for.
func nextWord(j *board.Job, i int, a board.Advice) string {
	places := 0
	if a.Gain < little {
		places = 1
	}
	data := map[string]any{"N": i + 1, "Where": said(a.Text), "G": number(j, 100*a.Gain, places)}
	return lang.L("{{.N}}.  {{.Where}} ({{.G}}% surer)", data)
}

// showPlace shows a place of the board in the middle of its picture.
func (w *Window) showPlace(p r2.Vec) {
	w.setSolid(false)
	w.board.ShowPlace(p)
}

// lineRow is one line of a list: its words, and a sign that a click on either
// goes there.
type lineRow struct {
	box  *fyne.Container
	text *tapLabel
	sign *button
}

func newLineRow(tapped func()) *lineRow {
	r := &lineRow{text: newTapLabel(tapped)}
	r.sign = newButton("", tapped)
	r.sign.Icon, r.sign.Importance = theme.NavigateNextIcon(), widget.LowImportance
	r.box = container.NewBorder(nil, nil, nil, r.sign, r.text)
	r.box.Hide()
	return r
}

// tapLabel is a wrapped label that can be clicked.
type tapLabel struct {
	widget.Label
	tapped func()
}

var (
	_ fyne.Tappable      = (*tapLabel)(nil)
	_ desktop.Cursorable = (*tapLabel)(nil)
)

func newTapLabel(tapped func()) *tapLabel {
	l := &tapLabel{tapped: tapped}
	l.Wrapping = fyne.TextWrapWord
	l.ExtendBaseWidget(l)
	return l
}

// Tapped implements fyne.Tappable.
func (l *tapLabel) Tapped(*fyne.PointEvent) { l.tapped() }

// Cursor implements desktop.Cursorable.
func (l *tapLabel) Cursor() desktop.Cursor { return desktop.PointerCursor }
