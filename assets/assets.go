// Package assets holds what the program carries inside itself: its icon, the
// texts of its window in each language, the demo jobs, and the licences of what is
// built in.
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

//go:embed licences.txt
var licences string

// Licences are the modules that are built into the programs, a line each, with the
// short name of the licence that each has.
func Licences() string { return licences }

// demos are the files of the demo jobs, by their letter.
var demos = map[string]string{
	"a": "workshop-coupe-rear-screen.pane",
	"b": "touring-saloon-windscreen.pane",
	"c": "estate-quarter-window.pane",
}

// Demo is the job file of a demo, by its letter: "a", "b" or "c".
func Demo(letter string) ([]byte, error) {
	name, ok := demos[letter]
	if !ok {
		return nil, fmt.Errorf("assets: there is no demo %q: %w", letter, fs.ErrNotExist)
	}
	return jobs.ReadFile(path.Join("jobs", name))
}

// DemoName is the name of a demo's file, without its folder; empty where there
// is no such demo.
func DemoName(letter string) string { return demos[letter] }
