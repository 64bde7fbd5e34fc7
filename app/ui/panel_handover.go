package ui

import (
	"path/filepath"

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
	box    fyne.CanvasObject
}

func newHandoverPanel(w *Window) *handoverPanel {
	p := &handoverPanel{w: w, head: headline(), say: wrapped(""), files: wrapped("")}
	p.export = newButton(lang.L("Export…"), w.export)
	p.export.Importance = widget.HighImportance
	p.export.onKey = w.key
	ticks := container.NewVBox()
	for _, t := range exportTicks() {
		ticks.Add(wrapped("· " + t))
	}
	cautions := container.NewVBox()
	for _, c := range allCautions() {
		cautions.Add(wrapped(c))
	}
	p.box = column(p.head, p.say, p.export, p.files, widget.NewSeparator(),
		title(lang.L("Before a pocket is cut")), ticks, widget.NewSeparator(),
		wrapped(shortCaution()), fold(lang.L("Cautions"), cautions).box)
	return p
}

func (p *handoverPanel) content() fyne.CanvasObject { return p.box }

// show says whether the files can be written, and which were.
func (p *handoverPanel) show(s desk.State) {
	e := p.w.exported
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
	case e != nil && e.job == s.Job:
		setLabel(p.head, lang.L("Handed over"), widget.SuccessImportance)
		setText(p.say, lang.L("Written as the job stands now."))
	case e != nil:
		setLabel(p.head, lang.L("Changed since the last export"), widget.WarningImportance)
		setText(p.say, lang.L("The files in the folder are of an earlier state of the job."))
	default:
		setLabel(p.head, lang.L("Ready to hand over"), widget.MediumImportance)
		setText(p.say, lang.L("Outline, solid, pocket and tables go into one folder, in millimetres, in the glass frame."))
	}
	text := ""
	if e != nil {
		text = e.list()
	}
	setText(p.files, text)
	setVisible(p.files, text != "")
}

// exportResult is what the last export wrote.
type exportResult struct {
	job   *board.Job
	dir   string
	files []string
}

// list is the folder and its files in words.
func (e *exportResult) list() string {
	s := lang.L("In {{.Dir}}:", map[string]any{"Dir": e.dir})
	for _, f := range e.files {
		s += "\n" + filepath.Base(f)
	}
	return s
}
