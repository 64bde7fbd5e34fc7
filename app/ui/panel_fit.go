package ui

import (
	"context"
	"errors"
	"strconv"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
)

// fitPanel is the pocket that the glass is tried in: how the pane is expected to
// fit, the pocket's sizes, and whether it can be made.
type fitPanel struct {
	w     *Window
	head  *widget.Label
	fit   *prediction
	made  *widget.Label
	say   *widget.Label
	main  *form
	more  *form
	notes *fyne.Container
	facts *figures
	box   fyne.CanvasObject
	trial trial
}

// trial is the pocket tried for a model, made in the background.
type trial struct {
	of      *board.Model // the model that it was begun for
	cancel  context.CancelFunc
	pocket  *fixture.Pocket
	err     error
	running bool
}

func newFitPanel(w *Window) *fitPanel {
	p := &fitPanel{w: w, head: headline(), fit: newPrediction(w), made: wrapped(""), say: wrapped(""), main: newForm(w), more: newForm(w), notes: container.NewVBox()}
	u := fixture.DefaultSpec()
	p.size(p.main, lang.L("Wall clearance"), u.Wall, func(s *fixture.Spec) *float64 { return &s.Wall })
	p.size(p.main, lang.L("Seat width"), u.Seat, func(s *fixture.Spec) *float64 { return &s.Seat })
	p.size(p.main, lang.L("Rim width"), u.Rim, func(s *fixture.Spec) *float64 { return &s.Rim })
	p.size(p.main, lang.L("Base thickness"), u.Base, func(s *fixture.Spec) *float64 { return &s.Base })
	p.size(p.main, lang.L("Cutter diameter"), u.Cutter, func(s *fixture.Spec) *float64 { return &s.Cutter })
	p.size(p.more, lang.L("Cut low for felt"), u.Felt, func(s *fixture.Spec) *float64 { return &s.Felt })
	p.more.choice(lang.L("Rim top"), lang.L("Change the pocket"),
		[]string{lang.L("follows the edge"), lang.L("flat")},
		func(j *board.Job) int { return int(j.Pocket.Top) },
		func(j *board.Job, i int) { j.Pocket.Top = fixture.Top(i) })
	p.more.text(lang.L("Finger notches"), true, lang.L("Change the pocket"),
		func(j *board.Job) (string, string) { return strconv.Itoa(j.Pocket.Notches), "" },
		func(j *board.Job, s string) error {
			n, err := strconv.Atoi(strings.TrimSpace(s))
			if err != nil || n < 0 {
				return errors.New(lang.L("type a whole number, 0 or more"))
			}
			j.Pocket.Notches = n
			return nil
		})
	p.facts = newFigures(lang.L("Stock"), lang.L("Height of the stock"), lang.L("Least bearing width"))
	p.box = column(p.head, p.fit.box, widget.NewSeparator(),
		title(lang.L("Pocket for the next cut")), p.made, p.say, p.notes, p.main.box, fold(lang.L("More settings"), p.more.box).box, p.facts.box)
	return p
}

// size adds a size of the pocket with its usual value.
func (p *fitPanel) size(f *form, name string, usual float64, of func(*fixture.Spec) *float64) {
	e := f.size(name, lang.L("Change the pocket"), func(j *board.Job) *float64 { return of(&j.Pocket) })
	hint := widget.NewLabel("")
	hint.Importance, hint.SizeName = widget.LowImportance, theme.SizeNameCaptionText
	last := len(f.box.Objects) - 1
	f.box.Objects[last] = container.NewVBox(container.NewGridWithColumns(2, e, hint), e.fault)
	f.show = append(f.show, func(j *board.Job) {
		setText(hint, lang.L("usual {{.V}}", map[string]any{"V": length(j, usual)}))
	})
}

func (p *fitPanel) content() fyne.CanvasObject { return p.box }

// show says whether a pocket can be made of the shape as it stands.
func (p *fitPanel) show(s desk.State) {
	p.main.update(s.Job)
	p.more.update(s.Job)
	p.try(s)
	p.tell(s)
}

// try begins a pocket for the current model where none was begun for it.
func (p *fitPanel) try(s desk.State) {
	if !s.Current() || p.trial.of == s.Model {
		return
	}
	if p.trial.cancel != nil {
		p.trial.cancel()
	}
	m := s.Model
	p.trial = trial{of: m}
	if m.Pane == nil || !s.Job.Pane.Thickness.Set {
		return
	}
	ctx, cancel := context.WithCancel(context.Background())
	p.trial.cancel, p.trial.running = cancel, true
	go func() {
		defer cancel()
		pocket, err := fixture.New(ctx, m.Pane, m.Job.Pocket)
		p.w.post(func() {
			if p.trial.of != m {
				return
			}
			p.trial.pocket, p.trial.err, p.trial.running = pocket, err, false
			if pocket == nil && err == nil {
				p.trial.err = errors.New(lang.L("no pocket was made"))
			}
			p.w.refresh()
		})
	}()
}

// tell says how the pane is expected to fit, and what became of the trial.
func (p *fitPanel) tell(s desk.State) {
	t := p.trial
	var warnings []fixture.Warning
	p.facts.show("", "", "")
	p.fit.show(s, p.head)
	predicted := s.Model != nil && s.Model.Fit != nil
	first := func(word string, weight widget.Importance, say string) {
		l := p.made
		if !predicted {
			l = p.head
		}
		setLabel(l, word, weight)
		setText(p.say, say)
	}
	switch {
	case s.Model == nil || s.Model.Pane == nil:
		why := lang.L("The shape is not known yet.")
		if s.Model != nil && (s.Model.Why != "" || s.Model.WhyNotFound != "") {
			why = capital(whyNot(s.Model))
		}
		first(lang.L("No pocket yet"), widget.WarningImportance, why)
	case !s.Job.Pane.Thickness.Set:
		first(lang.L("No pocket: thickness not known"), widget.WarningImportance,
			lang.L("Measure the edge with a caliper at four places and type the thickness under Board."))
	case t.running || t.of != s.Model:
		first(lang.L("Working out the pocket…"), widget.MediumImportance, "")
	case t.err != nil:
		first(lang.L("No pocket"), widget.DangerImportance, refusal(t.err))
	default:
		warnings = t.pocket.Warnings
		if len(warnings) == 0 {
			first(lang.L("The pocket can be made"), widget.MediumImportance,
				lang.L("Cut {{.N}} in foam first. The glass is tried in it before anything else is cut.", map[string]any{"N": s.Job.Cut}))
		} else {
			first(lang.L("The pocket can be made, with a caution"), widget.WarningImportance, "")
		}
		st := t.pocket.Stock
		p.facts.show(length(s.Job, st.Max.X-st.Min.X)+" × "+length(s.Job, st.Max.Y-st.Min.Y),
			length(s.Job, t.pocket.Top-t.pocket.Bottom), length(s.Job, t.pocket.Bearing))
	}
	setVisible(p.made, predicted)
	setVisible(p.say, p.say.Text != "")
	p.warnings(warnings)
}

// refusal is why there is no pocket, in words.
func refusal(err error) string {
	var r *fixture.Refusal
	if errors.As(err, &r) {
		return capital(r.Reason)
	}
	return plain(err)
}

// warnings lists what the pocket has to say.
func (p *fitPanel) warnings(ws []fixture.Warning) {
	for len(p.notes.Objects) < len(ws) {
		l := wrapped("")
		l.Importance = widget.WarningImportance
		p.notes.Add(l)
	}
	for i, o := range p.notes.Objects {
		if i < len(ws) {
			setText(o.(*widget.Label), capital(ws[i].Text))
		}
		setVisible(o, i < len(ws))
	}
}
