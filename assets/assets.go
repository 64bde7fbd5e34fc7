// Package assets holds what the program carries inside itself: its icon, the
// texts of its window in each language, and the demo jobs.
package assets

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
)

//go:embed translations/*.json
var translations embed.FS

//go:embed icon.png
var icon []byte

//go:embed all:jobs
var jobs embed.FS

// TranslationsDir is the folder of Translations that the files lie in.
const TranslationsDir = "translations"

// Translations are the window's texts, a JSON file for each language, named
// after it: en.json.
func Translations() embed.FS { return translations }

// Icon is the program's icon, a PNG drawn from icon.svg.
func Icon() []byte { return icon }

// Demo is the job file of a demo, by its letter: "a", "b" or "c".
func Demo(letter string) ([]byte, error) {
	names, err := fs.Glob(jobs, "jobs/demo-"+letter+"*.pane")
	if err != nil {
		return nil, fmt.Errorf("assets: demo %q: %w", letter, err)
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("assets: there is no demo %q: %w", letter, fs.ErrNotExist)
	}
	return fs.ReadFile(jobs, names[0])
}

// DemoName is the name that a demo's file has, without its folder.
func DemoName(letter string) string {
	names, err := fs.Glob(jobs, "jobs/demo-"+letter+"*.pane")
	if err != nil || len(names) == 0 {
		return ""
	}
	return path.Base(names[0])
}
