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
// likeliest first, each with its evidence. Where nothing speaks against any there is
// none.
type linkBox struct {
	w    *Window
	rows [linksShown]*folding
	text [linksShown]*widget.Label
	told bool // there were links before
	box  *fyne.Container
}

// linksShown is how many links there can be.
const linksShown = 6

func newLinkBox(w *Window) *linkBox {
	b := &linkBox{w: w}
	b.box = container.NewVBox(title(lang.L("Which link may be wrong")), dim(lang.L("The likeliest first: how many times its uncertainty the evidence stands off.")))
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
	if s.Model != nil && slices.ContainsFunc(s.Model.Links, func(l board.Link) bool { return l.Weight > 0 }) {
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
	if len(links) > 0 && !b.told {
		b.told = true
		b.rows[0].open(true)
	}
}
