package ui

import (
	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/app/ui/solidview"
	"panewright/board"
	"panewright/geom/fixture"
)

// solidBar is the strip over the solid view: from where it is looked at, what its
// face is coloured by, stripes, section and pocket. What each of them can be told
// stands in a row under it while it is on.
type solidBar struct {
	w       *Window
	from    *choice
	heights *choice
	maps    *choice
	cut     *choice
	stripes *tick
	pocket  *tick

	angle, count, share *widget.Slider
	level               *field
	magnify             *choice
	lift                *widget.Slider
	lifted              *widget.Label

	stripeRow, cutRow, pocketRow *fyne.Container
	box                          *fyne.Container
	over                         *fyne.Container // with the picture under it
	showing                      bool            // widgets are being brought up to date: nobody chose
}

// stretches and magnifications of the solid's heights.
var (
	stretches   = []float64{1, 2, 5}
	cutTimes    = []float64{1, 2, 5, 10}
	liftLimitMM = 300.0
)

// directionWords name the directions of the solid view, in its order.
func directionWords() []string {
	return []string{lang.L("three-quarter"), lang.L("front"), lang.L("back"), lang.L("left"), lang.L("right"), lang.L("top"), lang.L("bottom")}
}

// mapWords name the maps of the solid view, in its order.
func mapWords() []string {
	return []string{lang.L("plain glass"), lang.L("height"), lang.L("misses"), lang.L("how sure"),
		lang.L("mean curvature"), lang.L("Gaussian curvature"), lang.L("least radius")}
}

// mapKeys and cutKeys are their names in the state that tests read.
var (
	mapKeys = []string{"plain", "height", "misses", "unsure", "mean curvature", "gaussian curvature", "least radius"}
	cutKeys = []string{"", "across", "along"}
	dirKeys = []string{"three-quarter", "front", "back", "left", "right", "top", "bottom"}
)

// cutWords name the sections, in the solid view's order.
func cutWords() []string {
	return []string{lang.L("no section"), lang.L("across"), lang.L("fore and aft")}
}

func newSolidBar(w *Window) *solidBar {
	b := &solidBar{w: w}
	v := w.solid
	b.from = newChoice(directionWords(), func(i int) { v.Look(solidview.Direction(i)) })
	b.from.PlaceHolder = lang.L("turned")
	b.heights = newChoice([]string{lang.L("true heights"), lang.L("heights × 2"), lang.L("heights × 5")}, func(i int) { v.SetStretch(stretches[i]) })
	b.maps = newChoice(mapWords(), func(i int) { w.setMap(solidview.Map(i)) })
	b.cut = newChoice(cutWords(), func(i int) { w.setCut(solidview.Cut(i)) })
	b.stripes = newTick(lang.L("Stripes"), func(bool) { b.chosen(w.turnStripes) })
	b.pocket = newTick(lang.L("Pocket"), func(bool) { b.chosen(w.turnPocket) })
	fit := newButton(lang.L("Fit"), v.Fit)

	set := func(of func(*solidview.Stripes) func(float64)) func(float64) {
		return func(f float64) {
			b.chosen(func() {
				s := v.Stripes()
				of(&s)(f)
				v.SetStripes(s)
			})
		}
	}
	b.angle = slider(0, 175, 5, set(func(s *solidview.Stripes) func(float64) { return func(f float64) { s.Angle = f } }))
	b.count = slider(8, 200, 4, set(func(s *solidview.Stripes) func(float64) { return func(f float64) { s.Count = int(f) } }))
	b.share = slider(0.1, 0.9, 0.1, set(func(s *solidview.Stripes) func(float64) { return func(f float64) { s.Share = f } }))
	b.stripeRow = container.NewGridWithColumns(3,
		worded(lang.L("direction"), b.angle), worded(lang.L("width"), b.share), worded(lang.L("number"), b.count))

	b.level = newField(true, b.setLevel, w.key)
	b.level.echo = func(s string) { w.say(echo(w.state.Job, s, board.AxisLength)) }
	b.magnify = newChoice([]string{lang.L("heights × 1"), lang.L("heights × 2"), lang.L("heights × 5"), lang.L("heights × 10")},
		func(i int) { v.SetMagnify(cutTimes[i]) })
	b.magnify.show(1)
	b.level.SetPlaceHolder(lang.L("level"))
	b.cutRow = container.NewHBox(wide(92, b.level), wide(112, b.magnify))

	b.lift = slider(0, liftLimitMM, 5, func(f float64) { b.chosen(func() { v.SetLift(f); b.show(w.state) }) })
	b.lifted = widget.NewLabel("")
	b.pocketRow = container.NewBorder(nil, nil, widget.NewLabel(lang.L("pane lifted")), wide(76, b.lifted), b.lift)

	line := widget.NewSeparator()
	rows := flow{map[fyne.CanvasObject]bool{b.level.fault: true, b.stripeRow: true, b.pocketRow: true, line: true}}
	b.box = container.New(rows, wide(124, b.from), wide(112, b.heights), wide(164, b.maps), wide(118, b.cut), b.cutRow,
		container.NewHBox(b.stripes, b.pocket, fit), b.level.fault, b.stripeRow, b.pocketRow, line)
	b.over = container.New(under{rows}, b.box, v)
	giveKeys(b.box, func(ev *fyne.KeyEvent) { w.key(ev) }, nil)
	b.show(w.state)
	return b
}

// chosen does what a person chose, unless a widget is only being brought up to date.
func (b *solidBar) chosen(do func()) {
	if !b.showing {
		do()
	}
}

// slider is a slider that tells every change.
func slider(lo, hi, step float64, moved func(float64)) *widget.Slider {
	s := widget.NewSlider(lo, hi)
	s.Step = step
	s.OnChanged = moved
	return s
}

// worded is an object with a word before it.
func worded(word string, o fyne.CanvasObject) fyne.CanvasObject {
	return container.NewBorder(nil, nil, widget.NewLabel(word), nil, o)
}

// wide is an object of a width that its words do not change, at normal type.
func wide(width float32, o fyne.CanvasObject) fyne.CanvasObject {
	return container.New(fixedWidth(width), o)
}

type fixedWidth float32

// Layout gives the one object all the room.
func (fixedWidth) Layout(o []fyne.CanvasObject, size fyne.Size) { o[0].Resize(size) }

// MinSize is as high as the object.
func (f fixedWidth) MinSize(o []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(float32(f)*look.Scale(), o[0].MinSize().Height)
}

// setLevel moves the section to a typed level.
func (b *solidBar) setLevel(s string) error {
	j := b.w.state.Job
	mm, _, err := board.Parse(s, board.AxisLength, j.Unit, j.Comma, j.Grid)
	if err != nil {
		return err
	}
	kind, _ := b.w.solid.Cut()
	b.w.solid.SetCut(kind, mm)
	b.show(b.w.state)
	return nil
}

// show brings the strip up to what the solid view shows.
func (b *solidBar) show(s desk.State) {
	b.showing = true
	defer func() { b.showing = false }()
	v := b.w.solid
	if d, ok := v.Direction(); ok {
		b.from.show(int(d))
	} else if b.from.at >= 0 {
		b.from.at, b.from.showing = -1, true
		b.from.ClearSelected()
		b.from.showing = false
	}
	for i, f := range stretches {
		if f == v.Stretch() {
			b.heights.show(i)
		}
	}
	b.maps.show(int(v.Map()))
	stripes := v.Stripes()
	kind, level := v.Cut()
	on, _ := v.Pocket()
	b.cut.show(int(kind))
	setChecked(b.stripes, stripes.On)
	setChecked(b.pocket, on)
	setSlider(b.angle, stripes.Angle)
	setSlider(b.count, float64(stripes.Count))
	setSlider(b.share, stripes.Share)
	setSlider(b.lift, v.Lift())
	setText(b.lifted, length(s.Job, v.Lift()))
	b.level.show(typedLength(s.Job, level), "")
	changed := false
	for row, on := range map[*fyne.Container]bool{b.stripeRow: stripes.On, b.cutRow: kind != solidview.NoCut, b.pocketRow: on} {
		changed = changed || row.Visible() != on
		setVisible(row, on)
	}
	if changed && b.over != nil {
		b.over.Refresh() // the picture has more room, or less
	}
}

func setChecked(c *tick, on bool) {
	if c.Checked != on {
		c.SetChecked(on)
	}
}

func setSlider(s *widget.Slider, v float64) {
	if s.Value != v {
		s.SetValue(v)
	}
}

// setMap colours the solid by a map.
func (w *Window) setMap(m solidview.Map) {
	w.solid.SetMap(m)
	w.solidChanged()
}

// setCut cuts the solid, or shows it whole.
func (w *Window) setCut(c solidview.Cut) {
	_, level := w.solid.Cut()
	w.solid.SetCut(c, level)
	w.solidChanged()
}

// turnStripes shows the reflection of strip lights, or hides it.
func (w *Window) turnStripes() {
	s := w.solid.Stripes()
	s.On = !s.On
	w.solid.SetStripes(s)
	w.solidChanged()
}

// turnPocket shows the pocket under the solid, or hides it.
func (w *Window) turnPocket() {
	on, _ := w.solid.Pocket()
	w.solid.SetPocket(!on)
	w.solidChanged()
}

// solidChanged follows a setting of the solid view.
func (w *Window) solidChanged() {
	w.bar.show(w.state)
	if on, _ := w.solid.Pocket(); on != w.pocketAsked {
		w.givePocket()
	}
	w.menu.show(w.state)
}

// givePocket has the pocket made that the solid view asks for, in the background,
// and hands it over; nothing is made any more once it is not asked for.
func (w *Window) givePocket() {
	p := w.panels[stepFit].(*fitPanel)
	on, _ := w.solid.Pocket()
	if w.pocketAsked = on; !on || !w.solidShown {
		p.giveUp()
		return
	}
	p.try(w.state)
	pocket, tiles, say := p.forSolid(w.state)
	if _, drawn := w.solid.Pocket(); pocket == nil && drawn && p.pending(w.state) {
		return // the one before it stays until then
	}
	w.solid.ShowPocket(pocket, tiles, say)
}

// forSolid is the pocket and its tiles as far as they are made, and what is to be
// said while they are not.
func (p *fitPanel) forSolid(s desk.State) (pocket *fixture.Pocket, tiles *fixture.Tiling, say string) {
	word, _, more := p.trial.word(s)
	if pocket = p.trial.made(s); pocket == nil {
		if more != "" {
			word = more
		}
		return nil, nil, word
	}
	b := p.pocket.tiles
	b.show(s, pocket)
	if b.tiling.of == pocket {
		tiles = b.tiling.tiles
	}
	return pocket, tiles, ""
}

// pending says whether a pocket for the state is still to come.
func (p *fitPanel) pending(s desk.State) bool { return !s.Current() || p.trial.running }

// giveUp stops what is made for the solid view alone.
func (p *fitPanel) giveUp() {
	if p.w.step == stepFit {
		return
	}
	if p.trial.running {
		p.trying.stop()
		p.trial = trial{}
	}
	if b := p.pocket.tiles; b.making.running() {
		b.making.stop()
		b.tiling = tiling{}
	}
}
