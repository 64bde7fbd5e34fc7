package ui

import (
	"fmt"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
	"panewright/board"
)

// slack is what a text may stand over its room by rounding, logical pixels.
const slack = 1

// frame is where things may be drawn, in the window.
type frame struct{ x0, y0, x1, y1 float32 }

// cutOff lists the texts of an object that are wider than they have room, that stand
// outside what they are shown in, or that end in dots. What scrolls may be higher
// than its window, never wider.
func cutOff(root fyne.CanvasObject, at fyne.Position, in frame) (out []string) {
	if !root.Visible() {
		return nil
	}
	size := root.Size()
	switch o := root.(type) {
	case *canvas.Text:
		need := o.MinSize()
		fault := ""
		switch {
		case strings.TrimSpace(o.Text) == "":
		case need.Width > size.Width+slack:
			fault = fmt.Sprintf("needs %.0f, has %.0f", need.Width, size.Width)
		case at.X < in.x0-slack || at.X+need.Width > in.x1+slack:
			fault = fmt.Sprintf("from %.0f to %.0f in %.0f to %.0f", at.X, at.X+need.Width, in.x0, in.x1)
		case at.Y < in.y0-slack || at.Y+need.Height > in.y1+slack:
			fault = fmt.Sprintf("from %.0f to %.0f down in %.0f to %.0f", at.Y, at.Y+need.Height, in.y0, in.y1)
		}
		if fault != "" {
			out = append(out, fmt.Sprintf("%q %s", o.Text, fault))
		}
	case *container.Scroll:
		inner := frame{max(in.x0, at.X), -1e6, min(in.x1, at.X+size.Width), 1e6}
		out = append(out, cutOff(o.Content, at.Add(o.Content.Position()), inner)...)
	case *fyne.Container:
		in.x0, in.x1 = max(in.x0, at.X), min(in.x1, at.X+size.Width) // none stands out of its parent
		for _, c := range o.Objects {
			out = append(out, cutOff(c, at.Add(c.Position()), in)...)
		}
	case fyne.Widget:
		switch o := o.(type) {
		case *field, *widget.Entry: // scrolls itself
			return nil
		case *sayLabel: // shown whole under the pointer
			return nil
		case *widget.Label:
			if o.Truncation == fyne.TextTruncateEllipsis && shownText(o) != o.Text {
				out = append(out, fmt.Sprintf("%q ends in dots", o.Text))
			}
		}
		for _, c := range test.WidgetRenderer(o).Objects() {
			out = append(out, cutOff(c, at.Add(c.Position()), in)...)
		}
	}
	return out
}

// shownText is the text that a label shows.
func shownText(o fyne.CanvasObject) (s string) {
	if t, ok := o.(*canvas.Text); ok {
		return t.Text
	}
	if w, ok := o.(fyne.Widget); ok {
		for _, c := range test.WidgetRenderer(w).Objects() {
			s += shownText(c)
		}
	}
	return s
}

// TestCutOff tries the finder on what is cut and what is not.
func TestCutOff(t *testing.T) {
	test.NewTempApp(t)
	long := canvas.NewText("a long text that needs its room", nil)
	all := frame{0, 0, 200, 100}
	long.Resize(fyne.NewSize(20, 20))
	assert.Len(t, cutOff(long, fyne.Position{}, all), 1, "too narrow")
	long.Resize(long.MinSize())
	assert.Len(t, cutOff(long, fyne.NewPos(190, 0), all), 1, "over the side")
	assert.Len(t, cutOff(long, fyne.NewPos(0, 95), frame{0, 0, 900, 100}), 1, "under the lower end")
	assert.Empty(t, cutOff(long, fyne.Position{}, frame{0, 0, 900, 100}))
	s := container.NewVScroll(container.NewVBox(widget.NewLabel("one"), widget.NewLabel("two"), widget.NewLabel("three")))
	s.Resize(fyne.NewSize(100, 30))
	assert.Empty(t, cutOff(s, fyne.Position{}, all), "what scrolls may be high")
	l := widget.NewLabel("a text that is cut with dots")
	l.Truncation = fyne.TextTruncateEllipsis
	l.Resize(fyne.NewSize(60, 30))
	assert.NotEmpty(t, cutOff(l, fyne.Position{}, all))
	long.Hide()
	assert.Empty(t, cutOff(long, fyne.NewPos(500, 500), all), "hidden")
}

// TestNothingIsCutOff lays out every step and every dialog at 1280 by 800 in every
// size of type.
func TestNothingIsCutOff(t *testing.T) {
	w, q := dialogJob(t)
	size := w.win.Canvas().Size()
	window := frame{0, 0, size.Width, size.Height}
	for _, ty := range []look.Type{look.TypeSmall, look.TypeNormal, look.TypeLarge, look.TypeVeryLarge} {
		w.change(func(s *settings) { s.Type = ty })
		check := func(what string, o fyne.CanvasObject, at fyne.Position, in frame) {
			t.Helper()
			for _, fault := range cutOff(o, at, in) {
				t.Errorf("type %d, %s: %s", ty, what, fault)
			}
		}
		for step := range stepCount {
			w.openStep(step)
			for part := range partCount {
				if step == stepFit {
					w.openFitPart(part)
				} else if part > 0 {
					break
				}
				walk(w.panels[step].content(), openFolds)
				walk(w.panels[step].content(), openFolds) // what those hold
				settleFit(t, w, q)
				w.win.Content().Refresh() // lays out anew, as a window does before each picture
				w.win.Content().Refresh() // and once the heights of wrapped texts are known
				check(fmt.Sprintf("%s %d", stepKeys[step], part), w.win.Content(), fyne.Position{}, window)
			}
		}
		for name, show := range dialogs(w) {
			m := bring(t, w, name, show)
			q.run()
			lo, hi := m.pop.Position(), m.pop.Position().Add(m.pop.Size())
			assert.True(t, lo.X >= 0 && lo.Y >= 0 && hi.X <= size.Width && hi.Y <= size.Height, "type %d, %s: from %v to %v", ty, name, lo, hi)
			assert.InDelta(t, size.Width-hi.X, lo.X, 1, "type %d, %s: in the middle", ty, name)
			at, has := m.pop.Content.Position(), m.pop.Content.Size()
			assert.LessOrEqual(t, m.pop.Content.MinSize().Height, has.Height+slack, "type %d, %s: too high", ty, name)
			assert.LessOrEqual(t, m.pop.Content.MinSize().Width, has.Width+slack, "type %d, %s: too wide", ty, name)
			check(name, m.pop.Content, at, frame{at.X, at.Y, at.X + has.Width, at.Y + has.Height})
			m.close()
		}
	}
}

// openFolds opens what opens under a word.
func openFolds(o fyne.CanvasObject) {
	if b, ok := o.(*button); ok && b.Icon != nil && b.Icon.Name() == theme.MenuExpandIcon().Name() {
		b.OnTapped()
	}
}

// TestNothingIsCutOffWithEveryList repeats the steps for a job that has every list:
// a cut with gaps, and the empty board read.
func TestNothingIsCutOffWithEveryList(t *testing.T) {
	w, q := openDemo(t, "c")
	settleFit(t, w, q)
	record(t, w, q)
	require.NoError(t, w.Edit("the empty board", func(j *board.Job) error { return j.InsertZero(0) }))
	size := w.win.Canvas().Size()
	for _, ty := range []look.Type{look.TypeNormal, look.TypeLarge, look.TypeVeryLarge} {
		w.change(func(s *settings) { s.Type = ty })
		for _, list := range []int{listEdge, listZero, listGaps} {
			w.openList(list)
			for step := range stepCount {
				w.openStep(step)
				walk(w.panels[step].content(), openFolds)
				settleFit(t, w, q)
				w.win.Content().Refresh()
				w.win.Content().Refresh()
				for _, fault := range cutOff(w.win.Content(), fyne.Position{}, frame{0, 0, size.Width, size.Height}) {
					t.Errorf("type %d, %s, %s: %s", ty, listKeys[list], stepKeys[step], fault)
				}
			}
		}
	}
}
