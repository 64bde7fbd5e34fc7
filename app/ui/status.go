package ui

import (
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/board"
)

// statusBar is the line at the bottom of the window: what is under the pointer
// or being typed, the unit, how good the readings are, the solve, the file.
type statusBar struct {
	content *fyne.Container
	text    *sayLabel
	unit    *widget.Label
	good    *widget.Label
	solve   *widget.Label
	saved   *widget.Label

	hovered string
	said    string
	tint    sheet.Tint
	began   time.Time
	took    time.Duration
	solving bool
}

func newStatusBar() *statusBar {
	b := &statusBar{
		text: newSayLabel(), unit: widget.NewLabel(""), good: widget.NewLabel(""),
		solve: widget.NewLabel(""), saved: widget.NewLabel(""),
	}
	right := container.NewHBox()
	for _, l := range []*widget.Label{b.unit, b.good, b.solve, b.saved} {
		right.Add(widget.NewSeparator())
		right.Add(l)
	}
	b.content = container.NewBorder(nil, nil, nil, right, b.text)
	return b
}

// sayLabel is a line that may be longer than its room; the pointer over it has the
// whole of it shown.
type sayLabel struct {
	widget.Label
	onHover func(on bool)
}

func newSayLabel() *sayLabel {
	l := &sayLabel{}
	l.Truncation = fyne.TextTruncateEllipsis
	l.ExtendBaseWidget(l)
	return l
}

// MouseIn tells that the pointer is over the line.
func (l *sayLabel) MouseIn(*desktop.MouseEvent) { l.onHover(true) }

// MouseMoved is of no interest.
func (l *sayLabel) MouseMoved(*desktop.MouseEvent) {}

// MouseOut tells that the pointer has left.
func (l *sayLabel) MouseOut() { l.onHover(false) }

// cut says whether the line is longer than its room.
func (l *sayLabel) cut() bool {
	need := fyne.MeasureText(l.Text, theme.TextSize(), l.TextStyle).Width + 2*theme.InnerPadding()
	return need > l.Size().Width
}

// hover says what lies under the pointer; "" where nothing does.
func (b *statusBar) hover(text string) {
	b.hovered = text
	b.write()
}

// say tells of the cell under the cursor or the text being typed.
func (b *statusBar) say(text string, tint sheet.Tint) {
	b.said, b.tint = text, tint
	if text != "" {
		b.hovered = "" // the keys come before the pointer
	}
	b.write()
}

func (b *statusBar) write() {
	if b.hovered != "" {
		setLabel(&b.text.Label, b.hovered, widget.MediumImportance)
		return
	}
	imp := widget.MediumImportance
	switch b.tint {
	case sheet.Suspicious:
		imp = widget.WarningImportance
	case sheet.Wrong:
		imp = widget.DangerImportance
	}
	setLabel(&b.text.Label, b.said, imp)
}

// show brings the right side up to a state.
func (b *statusBar) show(s desk.State) {
	switch {
	case s.Solving && !b.solving:
		b.began = time.Now()
	case !s.Solving && b.solving:
		b.took = time.Since(b.began)
	}
	b.solving = s.Solving
	setText(b.unit, s.Job.Unit.String())
	good := lang.L("reads good to {{.S}}", map[string]any{"S": goodTo(s.Job)})
	setText(b.good, good)
	switch {
	case s.Solving:
		setLabel(b.solve, lang.L("working…"), widget.LowImportance)
	case s.Err != nil:
		setLabel(b.solve, lang.L("not solved"), widget.WarningImportance)
	default:
		setLabel(b.solve, lang.L("solved in {{.T}} s", map[string]any{"T": number(s.Job, b.took.Seconds(), 1)}), widget.LowImportance)
	}
	switch {
	case s.Path == "" && s.Saved:
		setLabel(b.saved, lang.L("no file yet"), widget.LowImportance)
	case s.Held != nil:
		setLabel(b.saved, lang.L("only to look at"), widget.WarningImportance)
	case s.Risk != "":
		setLabel(b.saved, lang.L("edits not kept"), widget.DangerImportance)
	case s.New:
		setLabel(b.saved, lang.L("not saved yet"), widget.LowImportance)
	case s.Saved:
		setLabel(b.saved, lang.L("saved"), widget.SuccessImportance)
	default:
		setLabel(b.saved, lang.L("not saved"), widget.WarningImportance)
	}
}

// goodTo is the standard uncertainty of a reading, as it is read off a rule.
func goodTo(j *board.Job) string {
	if j.Unit == board.Inch {
		if text, miss := board.FormatFraction(j.Sigma, 64); miss < 0.1 && miss > -0.1 && text != "0" {
			return text + " in"
		}
	}
	return fine(j, j.Sigma)
}
