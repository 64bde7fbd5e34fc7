package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/look"
	"panewright/app/ui/sketch"
)

// helpPage is a page of the help: a step in the trade's words, with a drawing.
type helpPage struct {
	name    string
	drawing sketch.Drawing // nil: none
	lines   []string
}

// helpPages are the pages of the steps, in their order.
func helpPages() [stepCount]helpPage {
	return [stepCount]helpPage{
		stepBoard: {lang.L("Board"), sketch.Board, []string{
			lang.L("Draw the base line the full length of a flat, stiff board and square the centre line to it. Hold both diagonals against each other: they magnify a grid out of square nearly twice."),
			lang.L("Draw every line from one end of the tape, never from line to line. Number the lines across from the centre line, letter those up from the base line, at both ends."),
			lang.L("Lay the pane dome up on three soft pads at about its quarter points, then slide in others until they just touch. Never push it down. Pack it until left and right are equally high, and set stops so that it goes back to the same place."),
			lang.L("Here: the unit, the pitch, which way up the pane lies, which halves are read, and the thickness, taken with a caliper at four places."),
		}},
		stepReadings: {lang.L("Readings"), sketch.Readings, []string{
			lang.L("Number the stations on tape round the edge, clockwise from the bottom centre: every 100 mm on long edges, five to a corner. Read station 1 again at the end."),
			lang.L("Stand a square on the board with its blade at the edge and tick its foot. Read x and y of the tick off the nearest lines as you say it: 7+3/8, 12 3/8, 314 mm."),
			lang.L("Height z is from the board to the upper arris. On the face, read it at the crossings of the grid; mark them on the glass with square and tape, a look through sloped glass shifts them."),
			lang.L("F8 goes to a reading that does not fit. Read the place again before you strike or change anything; a struck reading is kept."),
		}},
		stepCentre: {lang.L("Centre line"), sketch.Centre, []string{
			lang.L("A centre line that is 1 mm off makes a mirrored pane 2 mm wrong, all of it on the made half. So it is found, not assumed."),
			lang.L("Where one half was read, prove the line: tape two full widths or more, square across, or read five check stations on the other half: three down the side, one at top, one at bottom."),
			lang.L("The panel says where the readings put the line and how sure that is. Drag it in the picture, or nudge it with Alt and the arrows, and watch what follows. Ctrl+U takes the found one back."),
			lang.L("A pane that is not symmetric is not to be mirrored: read it all round and choose no mirror."),
		}},
		stepShape: {lang.L("Shape"), sketch.Shape, []string{
			lang.L("Before anything is cut, hold the figures against the glass: two widths, both diagonals, and the girth with a tape round the edge."),
			lang.L("Lay a straight-edge across the face and measure the sag at its middle; compare it with the crossbow at that line."),
			lang.L("The grey band round the edge is how sure the outline is. Where it is wide, one more reading tells the most; the small numbers say where, in order."),
		}},
		stepFit: {lang.L("Fit check"), sketch.Fit, []string{
			lang.L("The pocket has a wall all round, wider than the glass by the clearance, and a ledge that carries it. Cut it in foam first, with 1.5 to 2 mm clearance, and try the glass at the temperature of the cutting."),
			lang.L("Two people lower the glass; nobody presses it. Walk round the stations: a strip that just slides is the gap; 0.6..0.7 says that one goes and the next does not; touching is tight. Note whether it rocks."),
			lang.L("Record the pocket as a cut and type the gaps. The panel says what explains them: centre line, scale, pencil, a single station. Tick what is to be put right; it goes into the next cut and nowhere else."),
			lang.L("Eight gaps all round within half a millimetre of the clearance, on a pane that does not rock, prove the shape."),
		}},
		stepHandover: {lang.L("Hand-over"), sketch.Handover, []string{
			lang.L("One folder holds outline, face, glass and pocket in millimetres, a drawing, tables, and a README that says which way is up."),
			lang.L("Print templates at true size and measure the 100 mm bar on the paper, both ways, before you trust them. Paste them on card, cut, and offer them up to the glass."),
			lang.L("The files are shapes, not instructions to a machine: tool, speeds and hold-down are the shop's. Check every dimension on the real glass before cutting material."),
		}},
	}
}

// help shows the page of the open step.
func (w *Window) help() { w.showHelp(w.step) }

// helpBox shows the pages of the help, one at a time.
type helpBox struct {
	w      *Window
	words  *strip
	scroll *container.Scroll
	modal  *modal
	open   int
}

// showHelp lays the help over the window, open at a page: that of a step, or behind
// those the keys.
func (w *Window) showHelp(page int) {
	if w.busy() {
		return
	}
	h := &helpBox{w: w, scroll: container.NewVScroll(container.NewVBox()), open: -1}
	var words []string
	for _, p := range helpPages() {
		words = append(words, p.name)
	}
	h.words = newStrip(append(words, lang.L("Keys")), h.show)
	h.modal = w.ask("help", lang.L("How a job goes"), container.NewBorder(h.words.row, nil, nil, nil, h.scroll), nil, answer{text: closeWord()})
	h.modal.keys.onKey = h.key
	h.modal.resize(fyne.NewSize(760*look.Scale(), 640*look.Scale()))
	h.show(page)
}

// show opens a page.
func (h *helpBox) show(page int) {
	h.open = page
	h.words.show(page)
	h.scroll.Content = h.page(page)
	h.scroll.Offset = fyne.Position{}
	h.scroll.Refresh()
	h.w.win.Canvas().Focus(h.modal.keys)
}

// page is what a page shows.
func (h *helpBox) page(page int) fyne.CanvasObject {
	box := container.NewVBox()
	if page >= stepCount {
		for _, g := range h.w.keymap() {
			box.Add(title(g.name))
			box.Add(keyTable(g.rows))
		}
		return box
	}
	p := helpPages()[page]
	box.Add(sketch.New(p.drawing))
	for _, l := range p.lines {
		box.Add(wrapped(l))
	}
	return box
}

// keyTable is a table of keys.
func keyTable(rows []keyRow) fyne.CanvasObject {
	t := container.New(&formLayout{gap: closeGap})
	for _, r := range rows {
		key := widget.NewLabel(r.key)
		key.TextStyle.Bold = true
		t.Add(key)
		t.Add(wrapped(r.words))
	}
	return t
}

// key turns the pages by the arrows and scrolls.
func (h *helpBox) key(ev *fyne.KeyEvent) {
	const line = 40
	switch ev.Name {
	case fyne.KeyLeft:
		h.show(max(h.open-1, 0))
	case fyne.KeyRight:
		h.show(min(h.open+1, stepCount))
	case fyne.KeyUp:
		h.roll(-line)
	case fyne.KeyDown:
		h.roll(line)
	case fyne.KeyPageUp:
		h.roll(-h.scroll.Size().Height)
	case fyne.KeyPageDown, fyne.KeySpace:
		h.roll(h.scroll.Size().Height)
	case fyne.KeyF1:
		h.show(stepCount)
	default:
		h.modal.typed(ev)
	}
}

// roll scrolls the page.
func (h *helpBox) roll(by float32) {
	h.scroll.ScrollToOffset(fyne.NewPos(0, max(0, h.scroll.Offset.Y+by)))
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
	w.askLong("cautions", lang.L("Before you start"), box)
}

// askLong lays a text over the window that may be longer than the window is high;
// arrows and Page Up and Down scroll it.
func (w *Window) askLong(name, title string, box fyne.CanvasObject) {
	h := &helpBox{w: w, scroll: container.NewVScroll(box)}
	h.modal = w.ask(name, title, h.scroll, nil, answer{text: closeWord()})
	h.modal.keys.onKey = func(ev *fyne.KeyEvent) {
		switch ev.Name {
		case fyne.KeyUp, fyne.KeyDown, fyne.KeyPageUp, fyne.KeyPageDown, fyne.KeySpace:
			h.key(ev)
		default:
			h.modal.typed(ev)
		}
	}
	h.modal.resize(fyne.NewSize(720*look.Scale(), 600*look.Scale()))
}
