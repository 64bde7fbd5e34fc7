package ui

import (
	"math"
	"os"
	"path/filepath"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/look"
	"panewright/board"
)

// Keys of what is remembered between runs.
const (
	prefLast    = "last"
	prefRecent  = "recent"
	prefWidth   = "width"
	prefHeight  = "height"
	prefTheme   = "theme"
	prefBold    = "contrast"
	prefType    = "type"
	prefUnit    = "unit"
	prefComma   = "comma"
	prefJobs    = "jobs"
	prefPacks   = "packs"
	prefBand    = "band"
	prefPlaces  = "places"
	prefHeights = "heights"
	prefTones   = "tones"
)

// settings are what a person sets once, for every job.
type settings struct {
	Mode     look.Mode
	Contrast bool
	Type     look.Type
	Unit     board.Unit // of a new job
	Comma    bool       // of a new job: 314,5
	Jobs     string     // folder that jobs are looked for in first; "": that of the last one
	Packs    string     // folder that hand-over files are offered in; "": beside the job
	Tones    bool       // a typed row that fits, or does not, is heard
}

// readSettings reads the settings; what makes no sense there is as if it were not
// set.
func readSettings(p fyne.Preferences) settings {
	return settings{
		Mode:     look.Mode(within(p, prefTheme, int(look.System), int(look.System), int(look.Dark))),
		Contrast: p.Bool(prefBold),
		Type:     look.Type(within(p, prefType, int(look.TypeNormal), int(look.TypeSmall), int(look.TypeVeryLarge))),
		Unit:     board.Unit(within(p, prefUnit, int(board.MM), int(board.MM), int(board.Inch))),
		Comma:    p.Bool(prefComma),
		Jobs:     p.String(prefJobs),
		Packs:    p.String(prefPacks),
		Tones:    p.Bool(prefTones),
	}
}

// within is a whole number of the preferences, or the usual one where it is not
// from lo to hi.
func within(p fyne.Preferences, key string, usual, lo, hi int) int {
	if n := p.IntWithFallback(key, usual); n >= lo && n <= hi {
		return n
	}
	return usual
}

// write keeps the settings.
func (s settings) write(p fyne.Preferences) {
	p.SetInt(prefTheme, int(s.Mode))
	p.SetBool(prefBold, s.Contrast)
	p.SetInt(prefType, int(s.Type))
	p.SetInt(prefUnit, int(s.Unit))
	p.SetBool(prefComma, s.Comma)
	p.SetString(prefJobs, s.Jobs)
	p.SetString(prefPacks, s.Packs)
	p.SetBool(prefTones, s.Tones)
}

// lastSize is the size that the window had last, the first where that is no size
// of a window.
func lastSize(p fyne.Preferences) fyne.Size {
	size := func(key string, usual float32) float32 {
		v := p.FloatWithFallback(key, float64(usual))
		if math.IsNaN(v) || v < 320 || v > 16384 {
			return usual
		}
		return float32(v)
	}
	return fyne.NewSize(size(prefWidth, firstSize.Width), size(prefHeight, firstSize.Height))
}

// change changes the settings, keeps them and shows what follows from them.
func (w *Window) change(f func(*settings)) {
	s := readSettings(w.app.Preferences())
	f(&s)
	s.write(w.app.Preferences())
	w.retheme()
}

// blankJob is an empty job in the unit and with the decimal sign of new jobs.
func (w *Window) blankJob() *board.Job {
	s := readSettings(w.app.Preferences())
	j := board.NewJob(lang.L("new job"))
	if j.Unit, j.Comma = s.Unit, s.Comma; s.Unit == board.Inch {
		j.Grid.PitchX, j.Pane.Thickness = j.Typed("4"), j.Typed("4 mm")
	}
	j.Evaluate()
	return j
}

// folder is a folder that was set, where it is there.
func folder(path string) (string, bool) {
	if path = cleanPath(path); path == "" {
		return "", false
	}
	st, err := os.Stat(path)
	return path + string(filepath.Separator), err == nil && st.IsDir()
}

// startDir is the folder that a file dialog begins in: that of the job, the one
// that was set, that of the last job, or home.
func (w *Window) startDir() string {
	if w.state.Path != "" {
		return filepath.Dir(w.state.Path) + string(filepath.Separator)
	}
	if dir, ok := folder(readSettings(w.app.Preferences()).Jobs); ok {
		return dir
	}
	dir := ""
	if last := w.app.Preferences().String(prefLast); last != "" {
		dir = filepath.Dir(last)
	} else if home, err := os.UserHomeDir(); err == nil {
		dir = home
	}
	return dir + string(filepath.Separator)
}

// packsDir is the folder that hand-over files are offered in.
func (w *Window) packsDir() string {
	if dir, ok := folder(readSettings(w.app.Preferences()).Packs); ok {
		return dir
	}
	return w.startDir()
}
