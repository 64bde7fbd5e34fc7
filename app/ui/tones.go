package ui

import (
	"context"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/app/ui/sheet"
	"panewright/app/ui/tone"
	"panewright/board"
)

// speaker plays tones: a tone.Speaker, or a stand-in in tests.
type speaker interface {
	Check() error
	Play(tone.Kind)
}

// tones lets it be heard whether a row that was typed fits, once the solve says so.
type tones struct {
	w       *Window
	speaker speaker
	rows    []typedRow // finished, and nothing is known of them yet
	asking  errand     // whether there is sound
}

// typedRow is a reading as it was typed.
type typedRow struct {
	kind    board.Kind
	id      string
	x, y, z board.Cell
}

func rowTyped(r board.Reading) typedRow { return typedRow{r.Kind, r.ID, r.X, r.Y, r.Z} }

func newTones(w *Window) *tones {
	return &tones{w: w, speaker: &tone.Speaker{}, asking: errand{w: w}}
}

// tonesWord names the switch.
func tonesWord() string {
	return lang.L("A tone: high where a row fits, two low ones where it does not")
}

// tonesOn says whether tones are switched on.
func (w *Window) tonesOn() bool { return readSettings(w.app.Preferences()).Tones }

// setTones switches the tones on or off. Switched on, one sounds; where that cannot
// be heard the reason is said, and told to trouble, which may be nil. "" is none.
func (w *Window) setTones(on bool, trouble func(string)) {
	t := w.tones
	t.rows = nil
	w.change(func(s *settings) { s.Tones = on })
	t.asking.stop()
	say := func(text string) {
		if trouble != nil {
			trouble(text)
		}
	}
	if !on {
		say("")
		return
	}
	t.asking.begin(func(context.Context) func() {
		err := t.speaker.Check()
		return func() {
			if err == nil {
				say("")
				t.speaker.Play(tone.Good)
				return
			}
			text := lang.L("No sound here: {{.Why}}", map[string]any{"Why": strings.TrimPrefix(err.Error(), "tone: ")})
			w.say(text, sheet.Suspicious)
			say(text)
		}
	})
}

// typed waits for what the solve says of a reading of which a figure was typed, once
// all of them are.
func (t *tones) typed(reading int) {
	r := t.w.state.Job.Readings[reading]
	if !complete(&r) || !t.w.tonesOn() {
		return
	}
	t.rows = append(t.rows, rowTyped(r))
}

// show sounds one tone for the rows of which a state says something: the low one
// where any does not fit.
func (t *tones) show(s desk.State) {
	if len(t.rows) == 0 {
		return
	}
	good, bad := false, false
	t.rows = slices.DeleteFunc(t.rows, func(row typedRow) bool {
		i := slices.IndexFunc(s.Job.Readings, func(r board.Reading) bool { return rowTyped(r) == row })
		if i < 0 {
			return true // typed over, taken back, or another job
		}
		line, _ := benchLine(s, i)
		good, bad = good || line.Good, bad || line.Tint == sheet.Suspicious
		waiting := !s.Current() && (s.Solving || s.Err == nil)
		return line.Says != "" || !waiting
	})
	switch {
	case bad:
		t.speaker.Play(tone.Suspicious)
	case good:
		t.speaker.Play(tone.Good)
	}
}
