package main

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// TestEndToEndSolid opens a demo, shows it as a solid and works it by keys: it is
// turned, coloured by every map, cut, looked at in striped light, and lowered into
// its pocket. The pointer tells the place under it.
func TestEndToEndSolid(t *testing.T) {
	s := newScreen(t, 1280, 800)
	w := s.open("light", "-demo")
	w.wait("the shape", func(s state) bool { return s.Current })
	w.keys("ctrl+shift+b")
	is := func(what string, ok func(*solid) bool) *solid {
		t.Helper()
		return w.wait(what, func(s state) bool { return s.Solid != nil && s.Solid.Ready && s.Solid.Fine && ok(s.Solid) }).Solid
	}
	st := is("the solid", func(v *solid) bool { return v.From == "three-quarter" })
	assert.Equal(t, "plain", st.Map)
	for i, from := range []string{"three-quarter", "front", "back", "left", "right", "top", "bottom"} {
		w.keys(fmt.Sprint(i + 1))
		is(from, func(v *solid) bool { return v.From == from })
	}
	w.keys("1", "Right", "Up", "Up")
	st = is("the turned solid", func(v *solid) bool { return v.From == "" })
	assert.InDelta(t, -47, st.Turn, 1e-9, "15° a key")
	assert.InDelta(t, 58, st.Rise, 1e-9)

	w.keys("1")
	for _, name := range []string{"height", "misses", "unsure", "mean curvature", "gaussian curvature", "least radius"} {
		w.keys("m")
		is(name, func(v *solid) bool { return v.Map == name })
		w.shot("solid-" + strings.ReplaceAll(name, " ", "-"))
	}
	at := w.state().At
	w.move(at[0]+at[2]/2, at[1]+at[3]/2)
	told := w.wait("the place under the pointer", func(s state) bool { return strings.Contains(s.Status, "least radius") }).Status
	for _, part := range []string{"height", "slope", "°", " in"} {
		assert.Contains(t, told, part)
	}

	w.keys("m", "r", "period")
	st = is("stripes", func(v *solid) bool { return v.Stripes.On && v.Map == "plain" })
	assert.InDelta(t, 105, st.Stripes.Angle, 1e-9)
	w.shot("solid-stripes")
	w.keys("r", "c", "Prior", "Prior")
	st = is("a section", func(v *solid) bool { return v.Section == "across" && !v.Stripes.On })
	assert.InDelta(t, 25.4, st.Level, 1e-9, "half an inch a key")
	w.shot("solid-section")

	w.keys("c", "c", "p")
	st = is("the pocket", func(v *solid) bool { return v.Pocket && v.Section == "" })
	lifted := st.Lift
	w.shot("solid-pocket-lifted")
	w.keys("u")
	is("the pane higher", func(v *solid) bool { return v.Lift > lifted })
	for range 15 {
		w.keys("d")
	}
	is("the pane in its place", func(v *solid) bool { return v.Lift == 0 })
	w.shot("solid-pocket-down")
	w.keys("p", "ctrl+b")
	w.wait("the board again", func(s state) bool { return s.Picture == "board" })
	w.kill()
}
