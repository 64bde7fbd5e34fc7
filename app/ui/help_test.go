package ui

import (
	"runtime/debug"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/assets"
)

// TestKeymapHasEveryCommandWithAKey walks the menus beside the table of keys.
func TestKeymapHasEveryCommandWithAKey(t *testing.T) {
	w, _ := open(t)
	listed, names := map[string]string{}, []string{}
	for _, g := range w.keymap() {
		names = append(names, g.name)
		require.NotEmpty(t, g.rows, g.name)
		for _, r := range g.rows {
			assert.NotEmpty(t, r.key, r.words)
			assert.NotEmpty(t, r.words, r.key)
			if was, twice := listed[r.key]; twice && len(names) > len(typingKeys()) && was == r.words {
				t.Errorf("%s stands twice: %s", r.key, r.words)
			}
			listed[r.key] = r.words
		}
	}
	assert.Subset(t, names, []string{"In a table", "File", "Edit", "Readings", "Centre line", "Fit check", "View", "Help"})
	var count func(items []*fyne.MenuItem) int
	count = func(items []*fyne.MenuItem) (n int) {
		for _, i := range items {
			if i.Shortcut != nil || strings.Contains(i.Label, keyGap) {
				n++
			}
			if i.ChildMenu != nil {
				n += count(i.ChildMenu.Items)
			}
		}
		return n
	}
	inMenus, inTable := 0, 0
	for _, m := range w.menu.main.Items {
		inMenus += count(m.Items)
	}
	for _, g := range w.keymap()[len(typingKeys()):] {
		inTable += len(g.rows)
	}
	assert.Equal(t, inMenus, inTable)
	assert.Greater(t, inTable, 40)
	for key, words := range map[string]string{
		"F1": "Help on this step", "F3": "Where the job stands", "F8": "Next suspect", "Ctrl+S": "Save", "Ctrl+Shift+S": "Save as…",
		"Ctrl+Enter": "Use the correction", "Alt+←": "A step to the left", "Alt+Shift+Page Up": listed["Alt+Shift+Page Up"], "Ctrl+=": "Zoom in",
		"Ctrl+,": "Preferences…", "Ctrl+Z": "Undo",
	} {
		assert.Equal(t, words, listed[key], key)
	}
}

// TestNoKeyTwice: a key does one thing.
func TestNoKeyTwice(t *testing.T) {
	w, _ := open(t)
	seen := map[string]string{}
	for _, g := range w.keymap()[len(typingKeys()):] {
		for _, r := range g.rows {
			assert.Empty(t, seen[r.key], "%s: %s", r.key, r.words)
			seen[r.key] = r.words
		}
	}
}

// TestWindowKeysStandInTheMenu holds the keys that the window takes against the menus.
func TestWindowKeysStandInTheMenu(t *testing.T) {
	w, _ := open(t)
	var rows []keyRow
	for _, m := range w.menu.main.Items {
		rows = append(rows, menuKeys(m.Items)...)
	}
	for _, k := range w.windowKeys() {
		assert.Contains(t, rows, keyRow{string(k.key), k.words})
		assert.Equal(t, k.words+keyGap+string(k.key), w.menu.plain(k.key).Label)
	}
	assert.Nil(t, w.menu.plain(fyne.KeyF12))
	assert.False(t, w.key(&fyne.KeyEvent{Name: fyne.KeyF12}))
}

func TestHelpOpensAtTheStep(t *testing.T) {
	w, _ := open(t)
	for step := range stepCount {
		w.openStep(step)
		w.keys("<F1>")
		require.NotNil(t, w.top())
		h := pagesOf(t, w)
		assert.Equal(t, helpPages()[step].lines[0], h[0], stepKeys[step])
		assert.Len(t, h, len(helpPages()[step].lines))
		w.keys("<Escape>")
	}
	w.openStep(stepFit)
	w.keys("<F1><Right>")
	assert.Equal(t, helpPages()[stepHandover].lines[0], pagesOf(t, w)[0])
	w.keys("<Left><Left><Left>")
	assert.Equal(t, helpPages()[stepCentre].lines[0], pagesOf(t, w)[0])
	w.keys("<Down><Next><PageDown><PageUp><Up><Up><F1>")
	assert.Contains(t, pagesOf(t, w), "the next of x, y, z, then the next row", "F1 again shows the keys")
	w.keys("<Right><Right><Return>")
	assert.Nil(t, w.top())
}

// pagesOf are the wrapped texts of the page of the help that is open.
func pagesOf(t *testing.T, w *Window) (texts []string) {
	t.Helper()
	require.NotNil(t, w.top())
	walk(w.top().pop.Content, func(o fyne.CanvasObject) {
		if l, ok := o.(*widget.Label); ok && l.Wrapping == fyne.TextWrapWord && !l.TextStyle.Bold {
			texts = append(texts, l.Text)
		}
	})
	return texts
}

func TestVersionWord(t *testing.T) {
	assert.Contains(t, versionWord(nil), "Version: own build, for ")
	info := &debug.BuildInfo{Settings: []debug.BuildSetting{{Key: "vcs.revision", Value: "0123456789abcdef"}, {Key: "vcs.time", Value: "2031-03-08T10:00:00Z"}}}
	info.Main.Version = "(devel)"
	assert.Contains(t, versionWord(info), "own build")
	assert.Contains(t, versionWord(info), "Made from 01234567, 2031-03-08.")
	info.Main.Version, info.Settings = "v1.2.0", info.Settings[1:]
	assert.Contains(t, versionWord(info), "Version: v1.2.0")
	assert.Contains(t, versionWord(info), "Made from 2031-03-08.")
}

func TestAboutNamesEveryModule(t *testing.T) {
	text := licenceLines(assets.Licences())
	for line := range strings.Lines(assets.Licences()) {
		module, licence, ok := strings.Cut(strings.TrimSpace(line), " ")
		require.True(t, ok, line)
		assert.Contains(t, text, module)
		assert.Contains(t, text, licence+": ")
	}
	assert.Empty(t, licenceLines("\nodd\n"))
}
