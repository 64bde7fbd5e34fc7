package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"
)

// keyTable are the keys and what they do.
func keyTable() [][2]string {
	return [][2]string{
		{"Enter, Tab", lang.L("the next of x, y, z, then the next row")},
		{"F2", lang.L("edit the cell; Esc gives it up")},
		{lang.L("Shift and arrows"), lang.L("select cells; Ctrl+C, X, V copy, cut and paste them")},
		{"Ctrl+Shift+V", lang.L("look at pasted columns before they are taken; a file dragged onto the window is looked at too")},
		{"F8", lang.L("the next reading that does not fit")},
		{lang.L("Ctrl+Enter"), lang.L("use the correction that is offered, and go on to the next")},
		{"Ctrl+R", lang.L("say that the reading is right, or take that back")},
		{"Ctrl+K", lang.L("strike the reading with a reason, or use it again")},
		{"Ctrl+I, Ctrl+Delete", lang.L("insert a row, delete rows")},
		{"Alt+1 … 6", lang.L("edge, face, other marks, tapes, zeros of the empty board, gaps of the last cut")},
		{"Ctrl+1 … 6", lang.L("board, readings, centre line, shape, fit check, hand-over; Ctrl+5 again: the next part of the fit check")},
		{"Ctrl+G", lang.L("the cuts and what explains their gaps; with Shift the next cut is recorded")},
		{"Ctrl+Shift+A", lang.L("put right what explains the gaps, or nothing; Ctrl+Shift+1 … 9 one cause")},
		{lang.L("Alt and arrows"), lang.L("nudge the centre line by 0.1 mm (0.005 in) or turn it by 0.01°; with Shift ten times as far")},
		{lang.L("Alt+Page Up, Page Down"), lang.L("lean the centre line by 0.01°")},
		{"Ctrl+U, Ctrl+H", lang.L("use the centre line that was found, hold it where it is")},
		{"Ctrl+Shift+F", lang.L("lay both halves over each other on the board picture")},
		{"Ctrl+Z, Ctrl+Y", lang.L("undo, redo; without limit")},
		{"Ctrl+S, Ctrl+Shift+S", lang.L("save, save as")},
		{"Ctrl+O, Ctrl+N", lang.L("open, new job")},
		{"Ctrl+E", lang.L("export the hand-over files")},
		{"Ctrl+B, Ctrl+Shift+B", lang.L("board picture, solid view")},
		{"Ctrl+0", lang.L("show the whole board; the wheel zooms")},
	}
}

// help shows the keys and how a job goes.
func (w *Window) help() {
	if w.busy() {
		return
	}
	keys := container.New(&formLayout{gap: closeGap})
	for _, k := range keyTable() {
		name := widget.NewLabel(k[0])
		name.TextStyle.Bold = true
		keys.Add(name)
		keys.Add(wrapped(k[1]))
	}
	steps := container.NewVBox()
	for _, t := range []string{
		lang.L("1. Board: set the unit, the grid's pitch, the thickness and how the pane lies."),
		lang.L("2. Readings: type the edge clockwise from the bottom centre, then the heights at the grid crossings. Numbers as they are spoken: 12 3/8, 314 mm, 7+3/8 for line 7 plus 3/8."),
		lang.L("3. Centre line: where the other half was not read, tape two full widths or more, or read five stations there. The program finds the line and says how sure it is."),
		lang.L("4. Shape: compare widths, diagonals, girth and sag with the glass."),
		lang.L("5. Fit check: set the pocket, cut it in foam, record it as a cut and try the glass in it. Note the gaps: what explains them is put right in the next cut."),
		lang.L("6. Hand-over: write the files for the shop and the body designer."),
	} {
		steps.Add(wrapped(t))
	}
	scroll := container.NewVScroll(container.NewVBox(title(lang.L("How a job goes")), steps, title(lang.L("Keys")), keys))
	scroll.SetMinSize(fyne.NewSize(600, 480))
	w.ask("help", lang.L("Keys and first steps"), scroll, nil, answer{text: closeWord()}).resize(fyne.NewSize(680, 560))
}

// cautions shows what to read before glass is handled or material is cut.
func (w *Window) cautions() {
	if w.busy() {
		return
	}
	box := container.NewVBox(wrapped(shortCaution()))
	for _, c := range allCautions() {
		box.Add(wrapped(c))
	}
	scroll := container.NewVScroll(box)
	scroll.SetMinSize(fyne.NewSize(600, 480))
	w.ask("cautions", lang.L("Before you start"), scroll, nil, answer{text: closeWord()}).resize(fyne.NewSize(680, 560))
}

// about says what the program is.
func (w *Window) about() {
	if w.busy() {
		return
	}
	w.tell("about", "panewright", lang.L("Curved glass, read by hand on a gridded board, made into an outline, a face, a centre line that is found instead of assumed, and a pocket to try the glass in.")+"\n\n"+shortCaution())
}
