package ui

import (
	"math"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
)

// troublesShown is how many troubles the panel lists at once.
const troublesShown = 12

// readingsPanel says how many readings there are, which do not fit, and what to
// do about the one under the cursor.
type readingsPanel struct {
	w      *Window
	head   *widget.Label
	say    *widget.Label
	next   *button
	one    *widget.Label
	offers *offerBox
	note   *field
	noted  int             // the reading that note belongs to
	about  *fyne.Container // what concerns the reading under the cursor
	tool   *choice
	snap   *choice
	rows   []*troubleRow
	more   *widget.Label
	places *nextList
	order  *widget.Label // which stations are swapped
	sort   *button
	laying *button
	box    fyne.CanvasObject
}

// troubleRow is one line of the list of troubles.
type troubleRow struct {
	*lineRow
	at trouble
}

func newReadingsPanel(w *Window) *readingsPanel {
	p := &readingsPanel{w: w, head: headline(), say: wrapped(""), one: wrapped(""), more: dim("")}
	p.next = newButton(lang.L("Next suspect (F8)"), w.nextSuspect)
	p.next.onKey = w.key
	p.offers = newOfferBox(w)
	p.places = newNextList(w)
	p.tool = newChoice([]string{
		lang.L("selects and moves"), lang.L("places stations"), lang.L("places face points"),
	}, w.setTool)
	p.snap = newChoice(snapWords(), w.setSnap)
	p.laying = newButton(lang.L("The pane was moved: new laying…"), w.askLaying)
	p.laying.onKey = w.key
	p.order = wrapped("")
	p.order.Importance = widget.WarningImportance
	p.sort = newButton(lang.L("Put them in order"), w.swapBack)
	p.sort.onKey = w.key
	tools := newForm(w)
	tools.row(lang.L("A click on the board"), p.tool)
	tools.row(lang.L("Snap to"), p.snap)

	list := container.NewVBox()
	for range troublesShown {
		r := p.newRow()
		p.rows = append(p.rows, r)
		list.Add(r.box)
	}
	list.Add(p.more)
	p.note = newField(false, p.setNote, w.key)
	p.note.SetPlaceHolder(lang.L("Note"))
	p.about = container.NewVBox(widget.NewSeparator(), p.one, p.offers.box, p.note, p.note.fault)
	p.box = column(p.head, p.say, p.next, p.order, p.sort, p.about, widget.NewSeparator(), title(lang.L("To look at")), list,
		p.places.box, widget.NewSeparator(), tools.box, p.laying)
	return p
}

// setNote writes the note of the reading under the cursor.
func (p *readingsPanel) setNote(text string) error {
	i := p.noted
	if i < 0 || i >= len(p.w.state.Job.Readings) {
		return nil
	}
	r := p.w.state.Job.Readings[i]
	return p.w.Edit(lang.L("Note of {{.R}}", map[string]any{"R": kindWord(r.Kind, r.ID)}), func(j *board.Job) error {
		return j.SetCell(i, "note", text)
	})
}

// snapWords name the parts of the pitch that a placed reading snaps to.
func snapWords() []string {
	return []string{lang.L("nothing"), lang.L("grid lines"), lang.L("1/2 pitch"), lang.L("1/4 pitch"), lang.L("1/8 pitch"), lang.L("1/16 pitch")}
}

// snapParts are the parts of snapWords: 0 does not snap.
var snapParts = []int{0, 1, 2, 4, 8, 16}

func (p *readingsPanel) newRow() *troubleRow {
	r := &troubleRow{}
	r.lineRow = newLineRow(func() { p.w.gotoTrouble(r.at) })
	return r
}

func (p *readingsPanel) content() fyne.CanvasObject { return p.box }

// show says how many there are and which do not fit.
func (p *readingsPanel) show(s desk.State) {
	j := s.Job
	stations, heights := len(j.Indices(board.Edge)), len(j.Indices(board.Face))
	ts := troubles(s)
	suspects, blocks := 0, 0
	for _, t := range ts {
		suspects += oneIf(t.suspect)
		blocks += oneIf(t.block)
	}
	data := map[string]any{"E": stations, "F": heights, "S": suspects}
	switch {
	case stations == 0:
		setLabel(p.head, lang.L("No stations yet"), widget.MediumImportance)
		setText(p.say, lang.L("Begin with station 1 at the bottom centre and go round clockwise, seen from above. Type x, y and z; Enter moves on."))
	case suspects == 1:
		setLabel(p.head, lang.L("1 reading does not fit"), widget.WarningImportance)
		setText(p.say, lang.L("{{.E}} stations and {{.F}} heights. The suspect is left out until you decide.", data))
	case suspects > 1:
		setLabel(p.head, lang.L("{{.S}} readings do not fit", data), widget.WarningImportance)
		setText(p.say, lang.L("{{.E}} stations and {{.F}} heights. Suspects are left out until you decide.", data))
	case blocks > 0:
		setLabel(p.head, lang.L("Some rows went wrong together"), widget.WarningImportance)
		setText(p.say, lang.L("{{.E}} stations and {{.F}} heights. The rows are used as they stand until you decide.", data))
	default:
		setLabel(p.head, lang.L("Stations: {{.E}}, heights: {{.F}}", data), widget.MediumImportance)
		setText(p.say, p.calm(s))
	}
	_, any := nextTrouble(ts, 0, -1)
	setVisible(p.next, any)
	word := swappedWord(j)
	setText(p.order, word)
	setVisible(p.order, word != "")
	setVisible(p.sort, word != "")
	p.list(ts)
	p.selected(s)
	p.places.show(s)
	p.tool.show(p.w.tool)
	p.snap.show(p.w.snap)
}

// calm is what is said where nothing is suspect.
func (p *readingsPanel) calm(s desk.State) string {
	if !s.Current() {
		return lang.L("Working out the shape…")
	}
	if s.Model.Why != "" {
		return capital(s.Model.Why)
	}
	return lang.L("All readings fit: typical miss {{.T}}, largest {{.L}}.", map[string]any{
		"T": fine(s.Job, s.Model.Figures.TypicalMiss), "L": fine(s.Job, s.Model.Figures.LargestMiss),
	})
}

// list shows the first troubles.
func (p *readingsPanel) list(ts []trouble) {
	for i, r := range p.rows {
		if i >= len(ts) {
			setVisible(r.box, false)
			continue
		}
		r.at = ts[i]
		setText(&r.text.Label, capital(r.at.text))
		setVisible(r.box, true)
	}
	switch n := len(ts) - len(p.rows); {
	case n > 0:
		setText(p.more, lang.L("and {{.N}} more", map[string]any{"N": n}))
	case len(ts) == 0:
		setText(p.more, lang.L("Nothing."))
	default:
		setText(p.more, "")
	}
	setVisible(p.more, p.more.Text != "")
}

// missWord says how far a reading lies from the fitted shape, and on which side.
func missWord(j *board.Job, word string, k board.Kind, res *board.Result) string {
	data := map[string]any{"R": word, "M": fine(j, math.Abs(res.Miss))}
	if k == board.Face {
		data["M"] = fine(j, math.Abs(res.HeightMiss))
		if res.HeightMiss < 0 {
			return lang.L("{{.R}} lies {{.M}} below the fitted face.", data)
		}
		return lang.L("{{.R}} lies {{.M}} above the fitted face.", data)
	}
	if res.Miss < 0 {
		return lang.L("{{.R}} lies {{.M}} inside the fitted outline.", data)
	}
	return lang.L("{{.R}} lies {{.M}} outside the fitted outline.", data)
}

// selected says what is known of the reading under the cursor.
func (p *readingsPanel) selected(s desk.State) {
	i, ok := p.w.lists.reading()
	setVisible(p.about, ok)
	if !ok {
		return
	}
	r := s.Job.Readings[i]
	if p.noted != i {
		p.note.commit() // of the reading before
		s = p.w.state
		p.noted = i
		p.note.SetText(r.Note)
		p.note.shown = r.Note
	}
	p.note.show(r.Note, "")
	res := result(s, i)
	word := kindWord(r.Kind, r.ID)
	parts := sayings(r)
	text := word
	imp := widget.MediumImportance
	switch {
	case r.Struck:
		text = lang.L("{{.R}} is struck: {{.Why}}", map[string]any{"R": word, "Why": r.Reason})
	case res == nil:
	case setAside(r, res):
		text, imp = suspectWord(s.Job, r, res), widget.WarningImportance
	case startsBlock(res):
		text, imp = capital(res.Offer.Why)+".", widget.WarningImportance
	case res.State == board.Unused:
		text = word + ": " + res.Reason
	case missText(s.Job, r.Kind, res) != "":
		text = missWord(s.Job, word, r.Kind, res)
	}
	if again := repeatWord(s.Job, i); again != "" {
		parts = append(parts, again)
	}
	setLabel(p.one, strings.Join(append([]string{text}, parts...), " "), imp)
	p.offers.show(s, r, res)
}
