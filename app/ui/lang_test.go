package ui

import (
	"bytes"
	"encoding/json"
	"flag"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/template"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the English texts anew")

const englishFile = "../../assets/translations/en.json"

// sources are the parsed files of the window and its views, tests left out.
func sources(t *testing.T) (*token.FileSet, []*ast.File) {
	t.Helper()
	set := token.NewFileSet()
	var files []*ast.File
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(set, path, nil, 0)
		files = append(files, f)
		return err
	})
	require.NoError(t, err)
	return set, files
}

// literal is the value of a string literal.
func literal(e ast.Expr) (string, bool) {
	l, ok := e.(*ast.BasicLit)
	if !ok || l.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(l.Value)
	return s, err == nil
}

// called is the name of the function that is called: "lang.L", "newButton".
func called(c *ast.CallExpr) string {
	switch f := c.Fun.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		if x, ok := f.X.(*ast.Ident); ok {
			return x.Name + "." + f.Sel.Name
		}
		return "." + f.Sel.Name
	}
	return ""
}

// calls visits every call in the sources.
func calls(t *testing.T, visit func(at token.Position, name string, c *ast.CallExpr)) {
	set, files := sources(t)
	for _, f := range files {
		ast.Inspect(f, func(n ast.Node) bool {
			if c, ok := n.(*ast.CallExpr); ok {
				visit(set.Position(c.Pos()), called(c), c)
			}
			return true
		})
	}
}

// TestEnglishIsComplete holds the English texts against what the sources ask
// for; -update writes them.
func TestEnglishIsComplete(t *testing.T) {
	keys := map[string]string{}
	calls(t, func(at token.Position, name string, c *ast.CallExpr) {
		if name != "lang.L" {
			return
		}
		s, ok := literal(c.Args[0])
		if assert.True(t, ok, "%s: lang.L needs the text itself", at) {
			keys[s] = s
		}
	})
	require.NotEmpty(t, keys)
	if *update {
		var buf bytes.Buffer
		enc := json.NewEncoder(&buf)
		enc.SetEscapeHTML(false)
		enc.SetIndent("", "  ")
		require.NoError(t, enc.Encode(keys))
		require.NoError(t, os.WriteFile(englishFile, buf.Bytes(), 0o644))
	}
	data, err := os.ReadFile(englishFile)
	require.NoError(t, err)
	var texts map[string]string
	require.NoError(t, json.Unmarshal(data, &texts))
	reserved := []string{"id", "description", "hash", "leftdelim", "rightdelim", "zero", "one", "two", "few", "many", "other", "translation"}
	for k := range keys {
		assert.Contains(t, texts, k, "missing from %s: run the test with -update", englishFile)
		assert.NotContains(t, reserved, strings.ToLower(k), "the translation files keep this word for themselves")
		_, err := template.New("").Parse(k)
		assert.NoError(t, err, k)
	}
	for k := range texts {
		assert.Contains(t, keys, k, "no longer asked for")
	}
}

// shows are the functions that put a text on the screen.
var shows = regexp.MustCompile(`^(widget\.New(Label|Button|ButtonWithIcon|Check|Hyperlink|RichTextWithText)|canvas\.NewText|` +
	`fyne\.NewMenu(Item)?|newButton|newFigures|wrapped|caption|dim|title|setText|setLabel|setWord|item|newTick|fold|` +
	`.*\.(SetText|SetTitle|SetPlaceHolder|row|text|cell|size|choice|ask|tell|say))$`)

var letters = regexp.MustCompile(`\p{L}{2}`)

// notTexts are words that need no translation: names, and keys as they are
// printed on a keyboard.
var notTexts = []string{"panewright"}

// TestEveryTextGoesThroughLang finds texts on the screen that cannot be translated.
func TestEveryTextGoesThroughLang(t *testing.T) {
	modals := []string{} // first arguments of ask and tell name the dialog for tests
	calls(t, func(at token.Position, name string, c *ast.CallExpr) {
		if !shows.MatchString(name) {
			return
		}
		args := c.Args
		if strings.HasSuffix(name, ".ask") || strings.HasSuffix(name, ".tell") {
			s, _ := literal(args[0])
			modals = append(modals, s)
			args = args[1:]
		}
		for _, a := range args {
			if s, ok := literal(a); ok && letters.MatchString(s) && !slices.Contains(notTexts, s) {
				t.Errorf("%s: %s(%q) bypasses lang", at, name, s)
			}
		}
	})
	assert.NotEmpty(t, modals)
}
