package ui

import (
	"context"
	"errors"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/layout"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
)

// The parts of the fit check, in the order of its words.
const (
	partPrediction = iota
	partPocket
	partCuts
	partCount
)

// partKeys are the parts' names in the state that tests read.
var partKeys = [partCount]string{"prediction", "pocket", "cuts"}

// fitPart is one part of the fit check.
type fitPart interface {
	panel
	headline() string // the first thing that it says
}

// fitPanel is the pocket that the glass is tried in: how the pane is expected to
// fit, the pocket itself, and the cuts made of it.
type fitPanel struct {
	w          *Window
	prediction *predictionPart
	pocket     *pocketPart
	cuts       *cutsPart
	parts      [partCount]fitPart
	open       int
	words      *strip
	stack      *fyne.Container
	box        fyne.CanvasObject
	trial      trial
	trying     errand
}

// trial is the pocket tried for a model, made in the background.
type trial struct {
	of      *board.Model // the model that it was begun for
	pocket  *fixture.Pocket
	err     error
	running bool
}

func newFitPanel(w *Window) *fitPanel {
	p := &fitPanel{w: w, prediction: newPredictionPart(w), pocket: newPocketPart(w), cuts: newCutsPart(w), trying: errand{w: w}}
	p.parts = [partCount]fitPart{p.prediction, p.pocket, p.cuts}
	p.prediction.trial, p.pocket.trial = &p.trial, &p.trial
	p.words = newStrip([]string{lang.L("Prediction"), lang.L("Pocket"), lang.L("Cuts")}, p.choose)
	p.words.show(partPrediction)
	p.stack = container.NewStack()
	for i, part := range p.parts {
		o := part.content()
		setVisible(o, i == p.open)
		p.stack.Add(o)
	}
	head := container.New(layout.NewCustomPaddedLayout(4, 0, 4, 4), p.words.row)
	top := container.NewVBox(head, widget.NewSeparator())
	p.box = container.New(layout.NewBorderLayout(top, nil, nil, nil), top, p.stack) // Tab leads down
	return p
}

func (p *fitPanel) content() fyne.CanvasObject { return p.box }

// headline is the first thing that the open part says.
func (p *fitPanel) headline() string { return p.parts[p.open].headline() }

// choose opens a part.
func (p *fitPanel) choose(i int) {
	if p.open == i {
		return
	}
	p.open = i
	p.words.show(i)
	for k, part := range p.parts {
		setVisible(part.content(), k == i)
	}
	p.w.choosePicture()
	p.show(p.w.state)
}

// show brings the open part up to a state, and tries the pocket.
func (p *fitPanel) show(s desk.State) {
	p.try(s)
	p.parts[p.open].show(s)
	p.words.setMark(partCuts, p.cuts.mark(s))
}

// try begins a pocket for the current model where none was begun for it.
func (p *fitPanel) try(s desk.State) {
	if !s.Current() || p.trial.of == s.Model {
		return
	}
	p.trying.stop()
	m := s.Model
	p.trial = trial{of: m}
	if m.Pane == nil || !s.Job.Pane.Thickness.Set {
		return
	}
	p.trial.running = true
	p.trying.begin(func(ctx context.Context) func() {
		pocket, err := fixture.New(ctx, m.Pane, m.Job.Pocket)
		return func() {
			p.trial.pocket, p.trial.err, p.trial.running = pocket, err, false
			if pocket == nil && err == nil {
				p.trial.err = errors.New(lang.L("no pocket was made"))
			}
			p.w.refresh()
		}
	})
}

// word is what became of a trial: a few words, how they stand out, and more to
// say.
func (t *trial) word(s desk.State) (word string, weight widget.Importance, say string) {
	switch {
	case s.Model == nil || s.Model.Pane == nil:
		why := lang.L("The shape is not known yet.")
		if s.Model != nil && (s.Model.Why != "" || s.Model.WhyNotFound != "") {
			why = capital(whyNot(s.Model))
		}
		return lang.L("No pocket yet"), widget.WarningImportance, why
	case !s.Job.Pane.Thickness.Set:
		return lang.L("No pocket: thickness not known"), widget.WarningImportance,
			lang.L("Measure the edge with a caliper at four places and type the thickness under Board.")
	case t.running || t.of != s.Model:
		return lang.L("Working out the pocket…"), widget.MediumImportance, ""
	case t.err != nil:
		return lang.L("No pocket"), widget.DangerImportance, inUnit(s.Job, refusal(t.err))
	case len(t.pocket.Warnings) > 0:
		return lang.L("The pocket can be made, with a caution"), widget.WarningImportance, ""
	}
	return lang.L("The pocket can be made"), widget.MediumImportance,
		lang.L("Cut {{.N}} in foam first. The glass is tried in it before anything else is cut.", map[string]any{"N": s.Job.Cut})
}

// refusal is why there is no pocket, in words.
func refusal(err error) string {
	var r *fixture.Refusal
	if errors.As(err, &r) {
		return capital(r.Reason)
	}
	return plain(err)
}

// predictionPart is how the real pane is expected to fit.
type predictionPart struct {
	head  *widget.Label
	say   *widget.Label
	fit   *prediction
	trial *trial
	box   fyne.CanvasObject
}

func newPredictionPart(w *Window) *predictionPart {
	p := &predictionPart{head: headline(), say: wrapped(""), fit: newPrediction(w)}
	p.box = column(p.head, p.say, p.fit.box)
	return p
}

func (p *predictionPart) content() fyne.CanvasObject { return p.box }

func (p *predictionPart) headline() string { return p.head.Text }

// show says how the pane is expected to fit, or why that is not known.
func (p *predictionPart) show(s desk.State) {
	p.fit.show(s, p.head)
	known := s.Model != nil && s.Model.Fit != nil
	setVisible(p.say, !known)
	if !known {
		word, weight, say := p.trial.word(s)
		setLabel(p.head, word, weight)
		setText(p.say, say)
	}
}
