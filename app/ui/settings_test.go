package ui

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/look"
	"panewright/board"
)

func TestSettingsComeBack(t *testing.T) {
	p := test.NewTempApp(t).Preferences()
	assert.Equal(t, settings{}, readSettings(p), "at first: millimetres, a point, normal type, as the desktop")
	want := settings{Mode: look.Dark, Contrast: true, Type: look.TypeVeryLarge, Unit: board.Inch, Comma: true, Jobs: "/jobs", Packs: "/packs", Tones: true}
	want.write(p)
	assert.Equal(t, want, readSettings(p))
}

// kept are preferences as a damaged file could hold them.
type kept struct {
	fyne.Preferences
	values map[string]any
}

func (k kept) IntWithFallback(key string, usual int) int {
	switch v := k.values[key].(type) {
	case float64: // as Fyne reads a number back
		return int(v)
	}
	return usual
}

func (k kept) FloatWithFallback(key string, usual float64) float64 {
	if v, ok := k.values[key].(float64); ok {
		return v
	}
	return usual
}

func (k kept) Bool(key string) bool { v, _ := k.values[key].(bool); return v }

func (k kept) String(key string) string { v, _ := k.values[key].(string); return v }

func (k kept) StringList(key string) []string {
	var out []string
	list, _ := k.values[key].([]any)
	for _, v := range list {
		if s, ok := v.(string); ok {
			out = append(out, s)
		}
	}
	return out
}

// sane says what the settings read from any preferences keep to.
func sane(t *testing.T, p fyne.Preferences) {
	t.Helper()
	s := readSettings(p)
	assert.Contains(t, []look.Mode{look.System, look.Light, look.Dark}, s.Mode)
	assert.Contains(t, []look.Type{look.TypeSmall, look.TypeNormal, look.TypeLarge, look.TypeVeryLarge}, s.Type)
	assert.Contains(t, []board.Unit{board.MM, board.Inch}, s.Unit)
	size := lastSize(p)
	for _, v := range []float32{size.Width, size.Height} {
		assert.True(t, v >= 320 && v <= 16384, "%v", size)
	}
	list := recentJobs(p)
	assert.LessOrEqual(t, len(list), mostRecent)
	for i, path := range list {
		assert.True(t, filepath.IsAbs(path), "%q", path)
		assert.NotContains(t, list[:i], path)
	}
}

func TestOddPreferences(t *testing.T) {
	for name, values := range map[string]map[string]any{
		"nothing":       {},
		"out of range":  {prefTheme: 7.0, prefType: -9.0, prefUnit: 3.0, prefWidth: -5.0, prefHeight: 1e300},
		"wrong kinds":   {prefTheme: "dark", prefType: true, prefUnit: []any{1.0}, prefWidth: "wide", prefRecent: "x.pane", prefJobs: 5.0, prefComma: "yes"},
		"huge":          {prefTheme: 1e300, prefType: math.Inf(1), prefUnit: math.NaN(), prefWidth: math.NaN(), prefHeight: math.Inf(-1)},
		"odd lists":     {prefRecent: []any{"", "relative.pane", 5.0, nil, "/a.pane", "/a.pane", "\x00"}},
		"a list's long": {prefRecent: []any{"/1", "/2", "/3", "/4", "/5", "/6", "/7", "/8", "/9", "/10", "/11"}},
	} {
		t.Run(name, func(t *testing.T) { sane(t, kept{values: values}) })
	}
}

// FuzzSettings reads settings from whatever a preferences file may hold.
func FuzzSettings(f *testing.F) {
	f.Add([]byte(`{"theme":2,"type":1,"unit":1,"comma":true,"width":1280,"recent":["/a.pane","/a.pane"]}`))
	f.Add([]byte(`{"theme":"x","type":1e99,"unit":-1,"width":0,"height":[],"recent":{"a":1}}`))
	f.Add([]byte(`{"recent":[1,null,"a",["/b"]],"jobs":null}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var values map[string]any
		if json.Unmarshal(data, &values) != nil {
			return
		}
		sane(t, kept{values: values})
	})
}

func TestPreferencesHoldAtOnce(t *testing.T) {
	w, _ := open(t)
	w.showSettings()
	require.NotNil(t, w.top())
	assert.Equal(t, "preferences", w.top().name)
	choices := settingChoices(w.top())
	require.Len(t, choices, 4, "unit, decimal sign, theme, type")
	before := w.lists.sheet().MinSize().Height
	w.win.Canvas().Focus(choices[3])
	w.keys("<Right>") // normal to large
	assert.Equal(t, look.TypeLarge, readSettings(w.app.Preferences()).Type)
	assert.EqualValues(t, 1.25, look.Scale())
	assert.Greater(t, w.lists.sheet().MinSize().Height, before, "the sheet is larger already")
	w.win.Canvas().Focus(choices[2])
	w.keys("<Right><Right>")
	assert.Equal(t, look.Dark, readSettings(w.app.Preferences()).Mode)
	w.win.Canvas().Focus(choices[0])
	w.keys("<Right><Return>")
	assert.Nil(t, w.top(), "Enter closes it")
	assert.Same(t, w.lists.sheet(), w.win.Canvas().Focused())

	w.newJob()
	assert.Equal(t, board.Inch, w.state.Job.Unit, "of a new job")
	assert.InDelta(t, 101.6, w.state.Job.Grid.PitchX.MM, 1e-9, "a pitch of 4 in")
	assert.InDelta(t, 4, w.state.Job.Pane.Thickness.MM, 1e-9)
	require.NoError(t, w.state.Job.Validate())
}

// settingChoices are the choices of a dialog, in their order.
func settingChoices(m *modal) (out []*choice) {
	walk(m.pop.Content, func(o fyne.CanvasObject) {
		if c, ok := o.(*choice); ok {
			out = append(out, c)
		}
	})
	return out
}

func TestFoldersOfPreferences(t *testing.T) {
	w, _ := open(t)
	dir := t.TempDir()
	jobs, packs := filepath.Join(dir, "jobs"), filepath.Join(dir, "packs")
	require.NoError(t, os.Mkdir(jobs, 0o755))
	require.NoError(t, os.Mkdir(packs, 0o755))
	w.showSettings()
	var fields []*field
	walk(w.top().pop.Content, func(o fyne.CanvasObject) {
		if f, ok := o.(*field); ok {
			fields = append(fields, f)
		}
	})
	require.Len(t, fields, 2)
	fields[0].SetText(filepath.Join(dir, "nowhere"))
	w.top().give(0)
	require.NotNil(t, w.top(), "a folder that is not there keeps the dialog open")
	assert.Equal(t, "There is no such folder", fields[0].fault.Text)
	fields[0].SetText(jobs)
	fields[1].SetText(packs)
	w.top().give(0)
	require.Nil(t, w.top())
	assert.Equal(t, jobs+string(filepath.Separator), w.startDir())
	assert.Equal(t, packs, filepath.Dir(w.packDir()))

	require.NoError(t, os.Remove(jobs))
	require.NoError(t, os.Remove(packs))
	assert.NotContains(t, w.startDir(), jobs, "a folder that is gone is not offered")
	assert.NotContains(t, w.packDir(), packs)
	path := filepath.Join(dir, "a.pane")
	require.NoError(t, w.openPath(path))
	assert.Equal(t, dir+string(filepath.Separator), w.startDir(), "that of the job comes first")
}

func TestThemeReachesClosedPanels(t *testing.T) {
	w, _ := open(t)
	w.openStep(stepBoard)
	w.change(func(s *settings) { s.Mode = look.Dark })
	assert.True(t, w.menu.themes[look.Dark].Checked)
	w.menu.contrast.Action()
	assert.True(t, readSettings(w.app.Preferences()).Contrast)
	assert.True(t, w.menu.contrast.Checked)
	w.menu.themes[look.Light].Action()
	assert.Equal(t, settings{Mode: look.Light, Contrast: true}, readSettings(w.app.Preferences()))
}
