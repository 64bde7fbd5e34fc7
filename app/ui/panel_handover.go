package ui

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// handoverPanel writes the files for the cutting shop and the body designer.
type handoverPanel struct {
	w      *Window
	head   *widget.Label
	say    *widget.Label
	export *button
	files  *widget.Label
	list   *folding // holds files
	ticks  *notes
	pack   *packBox
	box    fyne.CanvasObject
}

func newHandoverPanel(w *Window) *handoverPanel {
	p := &handoverPanel{w: w, head: headline(), say: wrapped(""), files: wrapped("")}
	p.export = newButton(lang.L("Export…"), w.export)
	p.export.Importance = widget.HighImportance
	p.export.onKey = w.key
	p.ticks, p.pack = newNotes(widget.MediumImportance), newPackBox(w)
	other := newButton(lang.L("Job of the other-hand pane…"), w.otherHand)
	other.onKey = w.key
	cautions := container.NewVBox()
	for _, c := range allCautions() {
		cautions.Add(wrapped(c))
	}
	p.list = fold(lang.L("Files"), p.files)
	p.box = column(p.head, p.say, p.export, p.list.box, widget.NewSeparator(),
		p.pack.box, widget.NewSeparator(), other, widget.NewSeparator(),
		title(lang.L("Asked before the pocket of a cut is written")), p.ticks.box, widget.NewSeparator(),
		wrapped(shortCaution()), fold(lang.L("Cautions"), cautions).box)
	return p
}

func (p *handoverPanel) content() fyne.CanvasObject { return p.box }

// show says whether the files can be written, and which were.
func (p *handoverPanel) show(s desk.State) {
	e := p.w.exported
	p.pack.show(s)
	var ticks []string
	for _, t := range cutTicks(s) {
		ticks = append(ticks, "· "+t)
	}
	p.ticks.show(ticks)
	switch {
	case !s.Current() && s.Err != nil:
		setLabel(p.head, lang.L("Nothing to hand over"), widget.WarningImportance)
		setText(p.say, plain(s.Err))
	case !s.Current():
		setLabel(p.head, lang.L("Working out the shape…"), widget.MediumImportance)
		setText(p.say, lang.L("Files are written of the readings as they stand."))
	case s.Model.Pane == nil:
		setLabel(p.head, lang.L("Only the summary can be written"), widget.WarningImportance)
		setText(p.say, capital(whyNot(s.Model)))
	case s.Job.Pack.Check() != nil:
		setLabel(p.head, lang.L("The pack is not told in full"), widget.WarningImportance)
		setText(p.say, capital(plain(s.Job.Pack.Check())))
	case e != nil && e.job == s.Job:
		setLabel(p.head, lang.L("Handed over"), widget.SuccessImportance)
		setText(p.say, lang.L("Written as the job stands now, into {{.Dir}}", map[string]any{"Dir": e.dir}))
	case e != nil:
		setLabel(p.head, lang.L("Changed since the last export"), widget.WarningImportance)
		setText(p.say, lang.L("Of an earlier state of the job are the files in {{.Dir}}", map[string]any{"Dir": e.dir}))
	default:
		setLabel(p.head, lang.L("Ready to hand over"), widget.MediumImportance)
		setText(p.say, lang.L("Outline, solid, pocket and tables go into one folder, in millimetres, in the glass frame."))
	}
	text := ""
	if e != nil {
		text = strings.Join(e.files, "\n")
	}
	setText(p.files, text)
	setVisible(p.list.box, text != "")
}

// exportResult is what the last export wrote.
type exportResult struct {
	job   *board.Job
	dir   string
	files []string
}
