package ui

import (
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/boardview"
	"panewright/app/ui/look"
	"panewright/app/ui/sheet"
	"panewright/app/ui/solidview"
	"panewright/board"
)

// Window is the program's one window.
type Window struct {
	app  fyne.App
	win  fyne.Window
	desk *desk.Desk
	post func(func())

	state    desk.State
	troubles []trouble // of state
	missing  [stepCount]stepState

	step       int
	tool, snap int // as chosen in the readings panel
	magnify    int
	comb       int  // of combScales
	foldShown  bool // both halves are laid over each other
	foldScale  int  // index of foldScales
	solidShown bool

	pocketAsked bool // for the solid view
	exported    *exportResult
	agreedCut   string // what the pocket last ticked for is cut by

	lists   *lists
	bench   *bench
	tones   *tones
	photo   *photoKeeper
	main    fyne.CanvasObject // all that the bench view lies over
	steps   *strip
	name    *sayLabel
	panels  [stepCount]panel
	right   *fyne.Container
	picture *fyne.Container
	board   *boardview.View
	solid   *solidview.View
	bar     *solidBar
	status  *statusBar
	menu    *menu
	tips    *tips
	looking errand // which of the recent jobs are there

	modals   []*modal
	browsing *dialog.FileDialog
}

// firstSize is the window's size at the first start, in logical pixels.
var firstSize = fyne.NewSize(1280, 800)

// newWindow builds the window over an empty desk.
func newWindow(a fyne.App, post func(func())) *Window {
	w := &Window{app: a, post: post, desk: desk.New(post)}
	w.state = w.desk.State()
	w.applyTheme()
	w.win = a.NewWindow("panewright")
	w.win.SetPadded(false)
	w.status, w.tips = newStatusBar(), newTips(w)
	w.bench, w.photo, w.tones = newBench(w), newPhotoKeeper(w), newTones(w)
	w.lists = newLists(w, w.win.Canvas, w.say, w.listMenu, w.key, w.shortcut)
	w.lists.typed(w.tones.typed)
	w.lists.onSelect, w.lists.onPaste, w.lists.onHead = w.listMoved, w.pastedTable, w.headMenu
	w.board = boardview.New(w)
	w.board.OnSelect, w.board.OnPick, w.board.OnShort = w.boardSelected, w.boardPicked, w.boardShortcut
	w.board.OnHover = w.status.hover
	w.board.OnRefused = w.report
	w.board.OnMenu = w.boardMenu
	w.board.OnDrag = w.centreDragged
	w.solid = solidview.New(post)
	w.board.OnKey, w.solid.OnKey = w.boardKey, w.key
	w.solid.OnHover, w.solid.OnChange = w.status.hover, w.solidChanged
	w.tool, w.snap, w.magnify = 0, 4, 3
	w.board.SetMagnify(magnifications[w.magnify])
	w.solid.SetLonger(magnifications[w.magnify])
	w.board.SetBand(w.drawn(prefBand))
	w.board.SetHeights(w.heightsDrawn())
	w.board.SetAdvice(w.drawn(prefPlaces))
	w.panels = [stepCount]panel{
		newBoardPanel(w), newReadingsPanel(w), newCentrePanel(w), newShapePanel(w), newFitPanel(w), newHandoverPanel(w),
	}
	w.bar = newSolidBar(w)
	w.bar.over.Hide()
	for _, p := range w.panels {
		giveKeys(p.content(), func(ev *fyne.KeyEvent) { w.key(ev) }, nil)
	}
	w.steps = newStrip([]string{
		lang.L("Board"), lang.L("Readings"), lang.L("Centre line"), lang.L("Shape"), lang.L("Fit check"), lang.L("Hand-over"),
	}, w.goToStep)
	w.steps.hover = func(i int, on bool) { w.tips.hover(w.steps.buttons[i], on, func() string { return w.stepWord(i) }) }
	giveKeys(w.steps.row, func(ev *fyne.KeyEvent) { w.key(ev) }, nil)
	w.win.SetContent(container.NewStack(w.layout(), w.tips.layer))
	w.menu = newMenu(w)
	w.win.SetMainMenu(w.menu.main)
	w.looking.w = w
	w.lookForRecent()
	w.win.SetCloseIntercept(w.quit)
	w.win.SetOnDropped(w.dropped)
	w.win.Canvas().AddShortcut(padEnter, w.shortcut)
	w.win.Canvas().SetOnTypedKey(w.looseKey)
	w.win.Canvas().SetOnTypedRune(w.looseRune)
	w.win.Resize(lastSize(a.Preferences()))
	w.openStep(stepReadings)
	w.desk.Watch(w.watch)
	w.refresh()
	return w
}

// layout puts the parts together.
func (w *Window) layout() fyne.CanvasObject {
	w.name = newSayLabel()
	w.name.TextStyle.Bold = true
	w.tipped(w.name)
	w.tipped(w.status.text)
	w.tipHeads()
	w.tipLists()
	w.tipButtons()
	w.name.Alignment = fyne.TextAlignTrailing
	top := container.NewBorder(nil, widget.NewSeparator(), w.steps.row, nil, w.name)
	w.right = container.NewStack()
	w.picture = container.NewStack(w.board, w.bar.over)
	body := container.New(&columns{}, w.lists.content, w.picture, w.right)
	w.main = container.NewBorder(top, container.NewVBox(widget.NewSeparator(), w.status.content), nil, nil, body)
	return container.NewStack(w.main, w.bench.view)
}

// columns lays out the lists, the picture and the panel: the picture has what
// the two leave. A hidden column takes no room.
type columns struct{}

const (
	leftMin, leftMax   = 352, 440
	rightMin, rightMax = 300, 380
)

// Layout places the three columns. Those of words grow with the type.
func (columns) Layout(o []fyne.CanvasObject, size fyne.Size) {
	k := look.Scale()
	l := min(max(size.Width*0.25, leftMin*k), leftMax*k)
	r := min(max(size.Width*0.235, rightMin*k), rightMax*k)
	if !o[0].Visible() {
		l = 0
	}
	if !o[2].Visible() {
		r = 0
	}
	x := float32(0)
	for i, width := range []float32{l, size.Width - l - r, r} {
		o[i].Move(fyne.NewPos(x, 0))
		o[i].Resize(fyne.NewSize(width, size.Height))
		x += width
	}
}

// MinSize keeps all three usable.
func (columns) MinSize([]fyne.CanvasObject) fyne.Size {
	return fyne.NewSize((leftMin+rightMin)*look.Scale()+240, 320)
}

// applyTheme sets the theme and the type that were chosen last.
func (w *Window) applyTheme() {
	s := readSettings(w.app.Preferences())
	w.app.Settings().SetTheme(look.Theme{Mode: s.Mode, Contrast: s.Contrast, Type: s.Type})
}

// State is what is shown now.
func (w *Window) State() desk.State { return w.state }

// Edit changes the job as one step of undo.
func (w *Window) Edit(name string, f func(*board.Job) error) error {
	if err := w.desk.Edit(name, f); err != nil {
		return plainError{err}
	}
	return nil
}

// Consequence is what a centre plane would do to the pane.
func (w *Window) Consequence(offset, skew, roll float64) (board.Consequence, bool) {
	return w.desk.Consequence(offset, skew, roll)
}

// watch shows a new state; of one that only tells how far a solve has come no more
// than the status line is drawn, so that typing beside it is not held up.
func (w *Window) watch(s desk.State) {
	if onlyProgress(w.state, s) {
		w.state = s
		w.status.show(s)
		return
	}
	w.show(s)
}

// onlyProgress says whether two states differ in how far the running solve has come
// and in nothing else that is shown.
func onlyProgress(a, b desk.State) bool {
	return a.Solving && b.Solving && a.Job == b.Job && a.Model == b.Model && a.Err == nil && b.Err == nil &&
		a.Path == b.Path && a.Saved == b.Saved && a.New == b.New && a.Held == b.Held && a.Risk == b.Risk
}

// show brings every view up to a new state.
func (w *Window) show(s desk.State) {
	first, risk := w.state.Job != s.Job, w.state.Risk
	w.state = s
	w.troubles = troubles(s)
	w.lists.show(s, attention(w.troubles))
	w.bench.show(s)
	w.tones.show(s)
	w.photo.show(s)
	if w.solidShown {
		w.solid.Display(s)
		w.bar.show(s)
		w.givePocket()
	} else {
		w.board.Display(s)
	}
	w.panels[w.step].show(s)
	w.markGap()
	w.showSteps(s)
	w.status.show(s)
	w.menu.show(s)
	w.showTitle(s)
	if s.Risk != "" && s.Risk != risk {
		w.post(func() { w.atRisk(s.Risk) })
	}
	if first {
		w.listMoved(w.lists.current())
	}
}

// refresh shows the state again, after something that is not part of it changed.
func (w *Window) refresh() { w.show(w.state) }

// showTitle names the file in the title and the job beside the steps.
func (w *Window) showTitle(s desk.State) {
	name := s.Job.Name
	if s.Path != "" {
		name = filepath.Base(s.Path)
	}
	if t := name + " — panewright"; w.win.Title() != t {
		w.win.SetTitle(t)
	}
	setText(&w.name.Label, s.Job.Name)
}

// showSteps sets the sign beside each step, and what is missing in it; where that is
// being said of the open step, it is said anew.
func (w *Window) showSteps(s desk.State) {
	said := w.stepWord(w.step)
	w.missing = w.stepStates(s)
	if word := w.stepWord(w.step); w.status.said == said && word != said {
		w.say(word, sheet.Plain)
	}
	for i, m := range w.missing {
		w.steps.setMark(i, m.mark)
	}
	w.tips.change()
}

// openStep opens a step's panel.
func (w *Window) openStep(i int) {
	w.step = i
	w.steps.show(i)
	w.choosePicture()
	w.panels[i].show(w.state)
	w.right.Objects = []fyne.CanvasObject{
		container.NewBorder(nil, nil, widget.NewSeparator(), nil, w.panels[i].content()),
	}
	w.right.Refresh()
	w.keepFocus()
}

// goToStep opens a step and says what is missing in it.
func (w *Window) goToStep(i int) {
	w.openStep(i)
	w.say(w.stepWord(i), sheet.Plain)
}

// keepFocus takes the keys back to the lists where what had them is not shown any
// more: a field of a panel that was closed.
func (w *Window) keepFocus() {
	f, ok := w.win.Canvas().Focused().(fyne.CanvasObject)
	if ok && f != w.lists.sheet() && !w.busy() && !inView(f) {
		w.lists.focus()
	}
}

// inView says whether an object is shown; the driver has no place for one that is
// not.
func inView(o fyne.CanvasObject) bool {
	return o.Visible() && !fyne.CurrentApp().Driver().AbsolutePositionForObject(o).IsZero()
}

// setSolid shows the solid view in place of the board, or the board again.
func (w *Window) setSolid(on bool) {
	if w.solidShown == on {
		return
	}
	w.solidShown = on
	if on {
		w.solid.Display(w.state)
		w.board.Hide()
		w.bar.over.Show()
	} else {
		w.board.Display(w.state)
		w.bar.over.Hide()
		w.board.Show()
		w.givePocket()
	}
	w.refresh()
	w.keepFocus()
}

// say tells what is to be said of the cell or the field being typed.
func (w *Window) say(text string, tint sheet.Tint) {
	w.status.say(text, tint)
	w.bench.noted(text, tint)
}

// report tells of a refusal.
func (w *Window) report(err error) {
	if err != nil {
		w.say(plain(err), sheet.Wrong)
	}
}
