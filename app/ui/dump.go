package ui

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"

	"panewright/app/ui/benchview"
	"panewright/app/ui/solidview"
	"panewright/board"
)

// dump is the visible state of the window as tests read it.
type dump struct {
	Title    string          `json:"title"`
	Path     string          `json:"path"`
	Job      string          `json:"job"`
	Unit     string          `json:"unit"`
	Saved    bool            `json:"saved"`
	Solving  bool            `json:"solving"`
	Current  bool            `json:"current"` // the model belongs to the job
	Step     string          `json:"step"`
	Picture  string          `json:"picture"`
	List     string          `json:"list"`
	Row      int             `json:"row"`
	Col      int             `json:"col"`
	Typing   *string         `json:"typing"`
	Focus    string          `json:"focus"`
	Bench    *benchview.Face `json:"bench"` // what the bench view shows, while it is open
	Dialog   string          `json:"dialog"`
	Status   string          `json:"status"`
	Headline string          `json:"headline"`
	Undo     string          `json:"undo"`
	Redo     string          `json:"redo"`
	Notes    []string        `json:"notes"`
	Readings []dumpReading   `json:"readings"`
	Tapes    []dumpTape      `json:"tapes"`
	Troubles []string        `json:"troubles"`
	Used     *dumpLine       `json:"centre_line"`
	Found    *dumpLine       `json:"centre_line_found"`
	Typed    bool            `json:"centre_line_typed"`
	Why      string          `json:"why"`
	WhyNot   string          `json:"why_not_found"`
	Verdict  *board.Verdict  `json:"verdict"`
	Links    []board.Link    `json:"links"`
	Carries  string          `json:"carries"`
	Outcome  *dumpOutcome    `json:"consequence"` // of the line being dragged, or of the one in use
	Warning  string          `json:"warning"`     // of the panel of the centre line, while it is open
	Folded   bool            `json:"folded"`      // both halves are laid over each other
	Figures  *board.Figures  `json:"figures"`
	Fit      *board.FitCheck `json:"fit"`
	Exported []string        `json:"exported"`
	Part     string          `json:"fit_part"` // of the fit check
	Cuts     []dumpCut       `json:"cuts"`
	Gaps     []dumpGap       `json:"gaps"`
	Causes   []dumpCause     `json:"causes"`
	Proof    board.Proof     `json:"proof"`
	Solid    *dumpSolid      `json:"solid"`      // what the solid view shows, while it is open
	Picture0 [4]float32      `json:"picture_at"` // x, y, width and height of the picture in the window
	Offset0  [4]float32      `json:"offset_at"`  // and of the field of the centre line offset, while it is in view
	Hand0    [4]float32      `json:"by_hand_at"` // and of the word that it opens under

	Photo  string     `json:"photo"`    // what is said of the photo behind the grid
	Photo0 [4]float32 `json:"photo_at"` // and where all of one lies that is asked for its crossings

	Pack map[string][4]float32 `json:"pack_at"` // of what the hand-over's settings open under, and of the scale
}

// dumpOutcome is what a centre line would do, without the drawing of it.
type dumpOutcome struct {
	Off         float64    `json:"off_mm"`
	SkewOff     float64    `json:"skew_off_deg"`
	Odds        float64    `json:"times_uncertainty"`
	Chance      float64    `json:"chance"`
	Widest      float64    `json:"station_off_mm"`
	WidestAt    string     `json:"station"`
	Width       float64    `json:"width_mm"`
	WidthChange float64    `json:"width_change_mm"`
	Kinks       [2]float64 `json:"bend_deg"` // bottom, top
	Steps       [2]float64 `json:"step_mm"`
	Corners     [2]float64 `json:"corners_mm"`
	LeftOver    [2]float64 `json:"left_over_mm"` // typical, most
}

func outcomeOf(c board.Consequence) *dumpOutcome {
	return &dumpOutcome{
		Off: c.Off, SkewOff: c.SkewOff, Odds: c.Odds, Chance: c.Chance, Widest: c.WidestDifference, WidestAt: c.WidestAt,
		Width: c.Width, WidthChange: c.WidthChange, Kinks: [2]float64{c.KinkBottom, c.KinkTop}, Steps: [2]float64{c.StepBottom.Out, c.StepTop.Out},
		Corners: [2]float64{c.Corners[0].By, c.Corners[1].By}, LeftOver: [2]float64{c.AsymmetryRMS, c.AsymmetryMost},
	}
}

type dumpReading struct {
	Kind   string  `json:"kind"`
	ID     string  `json:"id"`
	X      string  `json:"x"`
	Y      string  `json:"y"`
	Z      string  `json:"z"`
	SD     string  `json:"sd"`
	Note   string  `json:"note"`
	Set    string  `json:"set"`
	State  string  `json:"state"`
	Reason string  `json:"reason"`
	Miss   float64 `json:"miss_mm"`
	Sure   bool    `json:"sure"`
	Break  bool    `json:"break"`
	Offer  string  `json:"offer"` // what the key would use
}

type dumpTape struct {
	How    string `json:"how"`
	From   string `json:"from"`
	To     string `json:"to"`
	Length string `json:"length"`
}

// dumpCut is a cut as the panel shows it.
type dumpCut struct {
	Number   int      `json:"number"`
	Date     string   `json:"date"`
	Reason   string   `json:"reason"`
	Wall     string   `json:"wall_as_cut"`
	Offset   float64  `json:"offset_mm"`
	Rocks    bool     `json:"rocks"`
	Accepted []string `json:"accepted"`
	Verdict  string   `json:"verdict"`
}

type dumpGap struct {
	Cut     int    `json:"cut"`
	Station string `json:"station"`
	Wall    string `json:"wall"`
	Ledge   string `json:"ledge"`
	Note    string `json:"note"`
}

type dumpCause struct {
	Name     string  `json:"name"`
	Value    float64 `json:"value"`
	U        float64 `json:"u"`
	Unit     string  `json:"unit"`
	Share    float64 `json:"share"`
	Accepted bool    `json:"accepted"`
	Text     string  `json:"text"`
}

type dumpLine struct {
	Offset float64 `json:"offset_mm"`
	Skew   float64 `json:"skew_deg"`
	Roll   float64 `json:"roll_deg"`
	Source string  `json:"source"`

	Point [3]float64 `json:"point_mm"`
}

func lineOf(c *board.CentreLine) *dumpLine {
	if c == nil {
		return nil
	}
	return &dumpLine{c.Offset, c.Skew, c.Roll, c.Source, [3]float64{c.Point.X, c.Point.Y, c.Point.Z}}
}

// dump is the visible state now.
func (w *Window) dump() dump {
	s := w.state
	d := dump{
		Title: w.win.Title(), Path: s.Path, Job: s.Job.Name, Unit: s.Job.Unit.String(),
		Saved: s.Saved, Solving: s.Solving, Current: s.Current(),
		Step: stepKeys[w.step], Picture: "board", List: listKeys[w.lists.open],
		Status: w.status.text.Text, Headline: w.headline(), Undo: s.Undo, Redo: s.Redo, Notes: s.Notes,
		Typed: s.Job.Plane != nil, Readings: []dumpReading{}, Tapes: []dumpTape{},
	}
	if w.solidShown {
		d.Picture, d.Solid = "solid", w.dumpSolid()
	}
	d.Row, d.Col = w.lists.sheet().Cursor()
	if text, on := w.lists.sheet().Typing(); on {
		d.Typing = &text
	}
	if f := w.win.Canvas().Focused(); f != nil {
		d.Focus = fmt.Sprintf("%T", f)
	}
	if w.bench.view.Visible() {
		f := w.bench.view.Shown()
		d.Bench = &f
	}
	switch {
	case w.browsing != nil:
		d.Dialog = "browse"
	case w.top() != nil:
		d.Dialog = w.top().name
	}
	for i, r := range s.Job.Readings {
		row := dumpReading{
			Kind: r.Kind.String(), ID: r.ID, X: r.X.Text, Y: r.Y.Text, Z: r.Z.Text, SD: r.SD.Text,
			Note: r.Note, Set: r.Set, Reason: r.Reason, Sure: r.Sure, Break: r.Break,
		}
		if res := result(s, i); res != nil {
			row.State, row.Miss = res.State.String(), res.Miss
			if offers, leads := offersOf(r, res); leads {
				row.Offer = useWord(offers[0])
			}
		}
		if r.Struck {
			row.State = board.StruckOut.String()
		}
		d.Readings = append(d.Readings, row)
	}
	for _, t := range s.Job.Tapes {
		d.Tapes = append(d.Tapes, dumpTape{t.How.String(), t.From, t.To, t.Length.Text})
	}
	for _, t := range w.troubles {
		d.Troubles = append(d.Troubles, t.text)
	}
	if m := s.Model; m != nil {
		d.Used, d.Found, d.Why, d.WhyNot, d.Figures, d.Fit = lineOf(m.Used), lineOf(m.Found), m.Why, m.WhyNotFound, &m.Figures, m.Fit
		d.Verdict, d.Links, d.Carries = &m.Verdict, m.Links, m.CarriesText
	}
	w.dumpCuts(&d)
	p := w.panels[stepCentre].(*centrePanel)
	if c, ok := p.outcome(s); ok {
		d.Outcome = outcomeOf(c)
	}
	d.Folded = w.foldShown
	if w.exported != nil {
		d.Exported = w.exported.files
	}
	d.Photo, _ = w.photo.say(s)
	if c := w.photo.asked; c != nil {
		at, shown := placeOf(c.view), c.view.Shown()
		d.Photo0 = [4]float32{at[0] + shown[0], at[1] + shown[1], shown[2], shown[3]}
	}
	d.Picture0 = placeOf(w.picture)
	if w.step == stepHandover {
		p := w.panels[stepHandover].(*handoverPanel).pack
		d.Pack = map[string][4]float32{"scale": placeOf(p.scale), "shapes": placeOf(p.shapes.word), "car": placeOf(p.inCar.word), "printer": placeOf(p.untrue.word)}
	}
	if w.step == stepCentre {
		d.Hand0 = placeOf(p.hand.word)
		if p.hand.inside.Visible() {
			d.Offset0 = placeOf(p.offset)
		}
		if p.apart.Visible() && p.apart.Importance == widget.WarningImportance {
			d.Warning = p.apart.Text
		}
	}
	return d
}

// dumpSolid is what the solid view shows.
type dumpSolid struct {
	From    string            `json:"from"` // a standard direction, or empty
	Turn    float64           `json:"turn_deg"`
	Rise    float64           `json:"rise_deg"`
	Stretch float64           `json:"stretch"`
	Map     string            `json:"map"`
	Ready   bool              `json:"ready"` // the map is drawn, and the pocket where it is asked for
	Fine    bool              `json:"fine"`  // and all stands still
	Stripes solidview.Stripes `json:"stripes"`
	Section string            `json:"section"`
	Level   float64           `json:"level_mm"`
	Pocket  bool              `json:"pocket"` // it is drawn
	Lift    float64           `json:"lift_mm"`
	Tiles   []string          `json:"tiles"`
}

func (w *Window) dumpSolid() *dumpSolid {
	v := w.solid
	d := &dumpSolid{Stretch: v.Stretch(), Map: mapKeys[v.Map()], Stripes: v.Stripes(), Lift: v.Lift(), Tiles: v.Pieces()}
	if from, ok := v.Direction(); ok {
		d.From = dirKeys[from]
	}
	d.Turn, d.Rise = v.Angles()
	cut, level := v.Cut()
	d.Section, d.Level = cutKeys[cut], level
	wanted, drawn := v.Pocket()
	d.Pocket, d.Ready, d.Fine = drawn, v.Shown() && wanted == drawn, v.Fine()
	return d
}

// dumpCuts adds the cuts, their gaps and what explains those of the last.
func (w *Window) dumpCuts(d *dump) {
	s := w.state
	p := w.panels[stepFit].(*fitPanel)
	d.Part = partKeys[p.open]
	for i := range s.Job.Cuts {
		c := &s.Job.Cuts[i]
		word, _ := p.cuts.list.verdict(s, c)
		d.Cuts = append(d.Cuts, dumpCut{c.Number, c.Date, c.Reason, c.Wall.Text, c.Offset, c.Rocks, c.Accepted, word})
	}
	for _, g := range s.Job.Gaps {
		d.Gaps = append(d.Gaps, dumpGap{g.Cut, g.Station, g.Wall.Text, g.Ledge.Text, g.Note})
	}
	if m := s.Model; m != nil && m.Gaps != nil {
		d.Proof = m.Proof
		for _, c := range ranked(m.Gaps) {
			d.Causes = append(d.Causes, dumpCause{c.Name, c.Value, c.U, c.Unit, c.Share, isAccepted(s, c.Name), c.Text})
		}
	}
}

// placeOf is where an object stands in the window: x, y, width and height.
func placeOf(o fyne.CanvasObject) [4]float32 {
	at := fyne.CurrentApp().Driver().AbsolutePositionForObject(o)
	return [4]float32{at.X, at.Y, o.Size().Width, o.Size().Height}
}

// headline is the first thing that the open panel says.
func (w *Window) headline() string {
	switch p := w.panels[w.step].(type) {
	case *boardPanel:
		return p.head.Text
	case *readingsPanel:
		return p.head.Text
	case *centrePanel:
		return p.head.Text
	case *shapePanel:
		return p.head.Text
	case *fitPanel:
		return p.headline()
	case *handoverPanel:
		return p.head.Text
	}
	return ""
}

// writeDump writes the visible state to a file, whole or not at all.
func (w *Window) writeDump(path string) {
	data, err := json.MarshalIndent(w.dump(), "", " ")
	if err == nil {
		tmp := filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".tmp")
		if err = os.WriteFile(tmp, data, 0o644); err == nil {
			err = os.Rename(tmp, path)
		}
	}
	if err != nil {
		fyne.LogError("state file", err)
	}
}
