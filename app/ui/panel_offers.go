package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// offersShown is how many corrections are shown at once.
const offersShown = 2

// offerBox is what can be done about the reading under the cursor: the
// corrections that would make it fit, that it is right, that it is struck.
type offerBox struct {
	w      *Window
	good   *widget.Label
	rows   [offersShown]*offerRow
	sure   *button
	strike *button
	box    *fyne.Container
}

// offerRow is one correction: its button, and under it why.
type offerRow struct {
	use   *button
	why   *widget.Label
	box   *fyne.Container
	offer board.Offer
}

func newOfferBox(w *Window) *offerBox {
	b := &offerBox{w: w, good: dim("")}
	offers := container.NewVBox()
	for i := range b.rows {
		r := &offerRow{why: caption("")}
		r.use = newButton("", func() { w.useOffer(r.offer) })
		r.use.onKey = w.key
		r.box = container.NewVBox(r.use, r.why)
		b.rows[i] = r
		offers.Add(r.box)
	}
	b.sure, b.strike = newButton("", w.vouchSelected), newButton("", w.strikeSelected)
	b.sure.onKey, b.strike.onKey = w.key, w.key
	b.box = container.NewVBox(b.good, offers, container.New(&shares{}, b.sure, b.strike))
	return b
}

// show brings the box up to a reading.
func (b *offerBox) show(s desk.State, r board.Reading, res *board.Result) {
	aside := setAside(r, res)
	good := ""
	if aside {
		good = goodWord(res.Odds)
	}
	setText(b.good, good)
	setVisible(b.good, good != "")
	offers, leads := offersOf(r, res)
	for i, row := range b.rows {
		if i < len(offers) {
			row.show(offers[i], i == 0 && leads)
		}
		setVisible(row.box, i < len(offers))
	}
	setVisible(b.sure, aside || r.Sure && !r.Struck)
	word := lang.L("It is right")
	if r.Sure {
		word = lang.L("Not sure any more")
	}
	setWord(b.sure, word)
	word = lang.L("Strike reading {{.ID}}", map[string]any{"ID": r.ID})
	if r.Struck {
		word = lang.L("Use reading {{.ID}} again", map[string]any{"ID": r.ID})
	}
	setWord(b.strike, word)
}

// show brings the row up to a correction; first is the one that leads and that
// the key uses.
func (r *offerRow) show(o board.Offer, first bool) {
	r.offer = o
	word, weight := useWord(o), widget.MediumImportance
	if first {
		word, weight = word+lang.L("   (Ctrl+Enter)"), widget.HighImportance
	}
	if r.use.Importance != weight {
		r.use.Importance = weight
		r.use.Refresh()
	}
	setWord(r.use, word)
	setText(r.why, whyWord(o))
}

// setWord changes a button's word only where it differs.
func setWord(b *button, word string) {
	if b.Text != word {
		b.SetText(word)
	}
}

// shares lays visible objects side by side in equal shares.
type shares struct{}

// Layout gives each visible object its share.
func (shares) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	n := shown(objects)
	if n == 0 {
		return
	}
	const gap = 4
	width := (size.Width - gap*float32(n-1)) / float32(n)
	x := float32(0)
	for _, o := range objects {
		if o.Visible() {
			o.Move(fyne.NewPos(x, 0))
			o.Resize(fyne.NewSize(width, size.Height))
			x += width + gap
		}
	}
}

// MinSize is as high as the highest.
func (shares) MinSize(objects []fyne.CanvasObject) fyne.Size {
	var s fyne.Size
	for _, o := range objects {
		if o.Visible() {
			m := o.MinSize()
			s.Width, s.Height = s.Width+m.Width, max(s.Height, m.Height)
		}
	}
	return s
}

// shown is how many objects are visible.
func shown(objects []fyne.CanvasObject) (n int) {
	for _, o := range objects {
		n += oneIf(o.Visible())
	}
	return n
}
