// Package app_test holds the whole module against the picture of its layout.
//
// Imports point down only:
//
//	app/panewright          app/panewright-batch
//	     |                         |
//	  app/ui  ------+              v
//	     |          |          app/batch
//	 app/desk       v              |
//	     |        assets           |
//	     +------------+------------+
//	                  |
//	            app/handover
//	                  |
//	       +----------+-----------+
//	       v                      v
//	     board              export/*
//	     |   |                    |
//	     v   v                    v
//	geom/fit  geom/fixture        |
//	     |   |                    |
//	     v   v                    v
//	     geom  <------------------+
//
// A package may import whatever can be reached from it along the lines; the
// views in app/ui may import one another. Tests may also import the strict
// readers export/*/lint and what lies in testdata.
package app_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const module = "panewright"

// topLevel is all that the module's folder holds beside hidden files.
var topLevel = []string{
	"app", "geom", "board", "export", "assets", "testdata",
	"go.mod", "go.sum", "README.md", "DEVELOPERS.md", "LICENSE",
}

// below draws the picture: what each part may import, one line down.
var below = map[string][]string{
	"app/panewright":       {"app/ui"},
	"app/panewright-batch": {"app/batch"},
	"app/ui":               {"app/desk", "assets"},
	"app/batch":            {"app/handover"},
	"app/desk":             {"app/handover", "assets"},
	"app/handover":         {"board", "export/*"},
	"board":                {"geom/fit", "geom/fixture"},
	"export/*":             {"geom"},
	"geom/fit":             {"geom"},
	"geom/fixture":         {"geom"},
	"geom":                 nil,
	"assets":               nil,
}

// outside lists every module from elsewhere, longest paths first, with the
// parts that may import it; "tests" are the test files of any part.
var outside = []struct {
	path string
	by   []string
}{
	{"fyne.io/fyne/v2/app", []string{"app/panewright"}}, // brings C and the graphics driver
	{"fyne.io/fyne/v2", []string{"app/panewright", "app/ui"}},
	{"github.com/go-gl/mathgl", []string{"app/ui"}},
	{"golang.org/x/image/font/gofont", []string{"export/*"}}, // the letters of printed pages
	{"golang.org/x/image", []string{"app/ui"}},
	{"gonum.org/v1/gonum/spatial", []string{"app/ui", "app/batch", "app/desk", "app/handover", "board", "export/*", "geom", "geom/fit", "geom/fixture"}},
	{"gonum.org/v1/gonum", []string{"geom/fit", "tests"}},
	{"github.com/stretchr/testify", []string{"tests"}},
	{"codeberg.org/go-pdf/fpdf", []string{"export/*"}},
	{"github.com/jfreymuth/pulse", []string{"app/ui"}}, // the sound server of the desktop
	{"github.com/gofrs/flock", []string{"board", "app/desk"}},
}

// vague are names that say nothing about what is inside.
var vague = []string{"util", "utils", "common", "helper", "helpers", "types", "models", "misc", "shared"}

// part returns the part of the picture that a folder belongs to, or "".
func part(dir string) string {
	best := ""
	for name := range below {
		if within(dir, strings.TrimSuffix(name, "/*")) && len(name) > len(best) {
			best = name
		}
	}
	return best
}

// reaches tells whether the picture leads from one part down to another.
func reaches(from, to string) bool {
	return slices.ContainsFunc(below[from], func(next string) bool { return next == to || reaches(next, to) })
}

// within tells whether a folder lies in another or is it.
func within(dir, other string) bool { return dir == other || strings.HasPrefix(dir, other+"/") }

// mayImport tells whether a file in a folder of the module may import a path.
func mayImport(dir, target string, test bool) bool {
	from := part(dir)
	if own, ok := strings.CutPrefix(target, module+"/"); ok {
		reader := path.Base(own) == "lint" && part(own) == "export/*"
		switch {
		case test && (within(own, dir) || within(own, "testdata") || reader):
			return true
		case reader:
			return false
		case part(own) == from:
			return from == "app/ui" // its views
		}
		return reaches(from, part(own))
	}
	if !strings.Contains(strings.Split(target, "/")[0], ".") {
		return target != "C" // the standard library
	}
	for _, o := range outside {
		if within(target, o.path) {
			return slices.Contains(o.by, from) || test && slices.Contains(o.by, "tests")
		}
	}
	return false
}

// source is a Go file of the module.
type source struct {
	path string // from the module's folder, with slashes
	file *ast.File
	text string
}

func (s source) dir() string { return path.Dir(s.path) }

func (s source) test() bool { return strings.HasSuffix(s.path, "_test.go") }

// sources parses every Go file of the module.
func sources(t *testing.T) []source {
	t.Helper()
	var all []source
	err := filepath.WalkDir("..", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && name != ".." && strings.HasPrefix(d.Name(), ".") {
			return filepath.SkipDir
		}
		if d.IsDir() || filepath.Ext(name) != ".go" {
			return nil
		}
		text, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ImportsOnly)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel("..", name)
		all = append(all, source{filepath.ToSlash(rel), file, string(text)})
		return err
	})
	require.NoError(t, err)
	require.NotEmpty(t, all)
	return all
}

func TestImportsPointDown(t *testing.T) {
	for _, s := range sources(t) {
		if within(s.dir(), "testdata") || s.dir() == "app" {
			continue // read by tests alone; this file
		}
		if !assert.NotEmpty(t, part(s.dir()), "%s has no place in the picture", s.path) {
			continue
		}
		for _, i := range s.file.Imports {
			target, err := strconv.Unquote(i.Path.Value)
			require.NoError(t, err)
			assert.True(t, mayImport(s.dir(), target, s.test()), "%s imports %s", s.path, target)
		}
	}
}

// TestMayImport proves the rules on imports that are, and that must not be.
func TestMayImport(t *testing.T) {
	const code, test = false, true
	for _, c := range []struct {
		dir, target string
		test, want  bool
	}{
		{"board", "panewright/geom/fit", code, true},
		{"app/ui/boardview", "panewright/app/ui/paint", code, true},
		{"app/ui", "panewright/board", code, true},
		{"app/handover", "panewright/export/dxf", code, true},
		{"app/handover", "panewright/export/dxf/lint", test, true},
		{"geom/fit", "gonum.org/v1/gonum/mat", code, true},
		{"board", "gonum.org/v1/gonum/mat", test, true},
		{"app/panewright", "fyne.io/fyne/v2/app", code, true},
		{"geom", "strings", code, true},
		{"board", "panewright/testdata/demo", test, true},
		{"export/stl", "panewright/export/stl", test, true},

		{"geom", "panewright/board", code, false},
		{"geom", "panewright/geom/fit", code, false},
		{"geom/fit", "panewright/geom/fixture", code, false},
		{"geom/fixture", "panewright/export/stl", code, false},
		{"export/dxf", "panewright/board", code, false},
		{"export/dxf", "panewright/export/stl", code, false},
		{"export/dxf", "panewright/export/dxf/lint", code, false},
		{"export/dxf/lint", "panewright/export/dxf", code, false},
		{"app/handover", "panewright/export/dxf/lint", code, false},
		{"board", "panewright/export/dxf", code, false},
		{"board", "panewright/app/handover", test, false},
		{"app/batch", "panewright/app/desk", code, false},
		{"app/desk", "panewright/app/ui", code, false},
		{"app/ui", "panewright/app/panewright", code, false},
		{"board", "panewright/testdata/demo", code, false},
		{"app/desk", "fyne.io/fyne/v2", code, false},
		{"board", "fyne.io/fyne/v2/test", test, false},
		{"app/ui", "fyne.io/fyne/v2/app", test, false},
		{"geom/fixture", "gonum.org/v1/gonum/mat", code, false},
		{"board", "gonum.org/v1/gonum/optimize", code, false},
		{"geom", "github.com/stretchr/testify/assert", code, false},
		{"geom", "C", code, false},
		{"geom", "github.com/never/heard", test, false},
	} {
		assert.Equal(t, c.want, mayImport(c.dir, c.target, c.test), "%s -> %s, test: %t", c.dir, c.target, c.test)
	}
}

func TestTopLevel(t *testing.T) {
	entries, err := os.ReadDir("..")
	require.NoError(t, err)
	builtInPlace := []string{"panewright", "panewright-batch"} // by go build; not kept
	for _, e := range entries {
		name := e.Name()
		if strings.HasPrefix(name, ".") || slices.Contains(builtInPlace, strings.TrimSuffix(name, ".exe")) {
			continue
		}
		assert.Contains(t, topLevel, name)
	}
	for _, name := range topLevel {
		_, err := os.Stat(filepath.Join("..", name))
		assert.NoError(t, err)
	}
}

func TestNames(t *testing.T) {
	for _, s := range sources(t) {
		name := strings.TrimSuffix(s.file.Name.Name, "_test")
		assert.NotContains(t, vague, name, s.path)
		if name != "main" && s.dir() != "app" {
			assert.Equal(t, path.Base(s.dir()), name, "%s: the folder is the package's name", s.path)
		}
	}
}

// TestProgramsAreThin: a program only reads its flags and starts the part that
// does the work.
func TestProgramsAreThin(t *testing.T) {
	most := map[string]int{"app/panewright": 60, "app/panewright-batch": 20}
	lines := map[string]int{}
	for _, s := range sources(t) {
		if _, program := most[s.dir()]; program {
			if !s.test() {
				lines[s.dir()] += strings.Count(s.text, "\n")
			}
		} else if !within(s.dir(), "testdata") {
			assert.NotEqual(t, "main", s.file.Name.Name, "%s: a third program", s.path)
		}
	}
	for dir, n := range most {
		assert.Positive(t, lines[dir], "%s is missing", dir)
		assert.LessOrEqual(t, lines[dir], n, "lines of %s", dir)
	}
}
