package ui

import (
	"slices"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// linkBox is the short list of what may be wrong in the chain of measuring, the
// likeliest first, each with its evidence.
type linkBox struct {
	w    *Window
	rows [linksShown]*folding
	text [linksShown]*widget.Label
	of   *board.Model // that is shown
	box  *fyne.Container
}

// linksShown is how many links there can be.
const linksShown = 6

func newLinkBox(w *Window) *linkBox {
	b := &linkBox{w: w}
	b.box = container.NewVBox(title(lang.L("Which link is wrong")), dim(lang.L("The likeliest first: how many times its uncertainty the evidence stands off.")))
	for i := range b.rows {
		b.text[i] = caption("")
		b.rows[i] = fold("", b.text[i])
		b.box.Add(b.rows[i].box)
	}
	return b
}

// show brings the box up to a state; known are sentences that stand in the panel
// already.
func (b *linkBox) show(s desk.State, known ...string) {
	var links []board.Link
	if s.Model != nil {
		links = s.Model.Links[:min(len(s.Model.Links), linksShown)]
	}
	setVisible(b.box, len(links) > 0)
	for i, row := range b.rows {
		if i < len(links) {
			l := links[i]
			row.say(lang.L("{{.N}}. {{.What}}: {{.Weight}}", map[string]any{"N": i + 1, "What": linkWord(l.Code), "Weight": weightWord(s.Job, l.Weight)}))
			text := said(l.Text)
			if slices.Contains(known, l.Text) {
				text = lang.L("As said above.")
			}
			setText(b.text[i], text)
		}
		setVisible(row.box, i < len(links))
	}
	if len(links) > 0 && b.of == nil {
		b.rows[0].open(links[0].Weight > 0)
	}
	b.of = s.Model
}
