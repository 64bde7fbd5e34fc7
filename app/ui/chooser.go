package ui

import (
	"os"
	"path/filepath"
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/dialog"
	"fyne.io/fyne/v2/lang"
	"fyne.io/fyne/v2/storage"
)

func closeWord() string  { return lang.L("Close") }
func cancelWord() string { return lang.L("Cancel") }

// jobExt is the extension of job files.
const jobExt = ".pane"

// choosePath asks for a path that may be typed, or browsed to. accept is given
// the cleaned path and says why it will not do.
func (w *Window) choosePath(name, title, verb, start string, folder bool, accept func(path string) error) *modal {
	entry := newField(true, nil, w.key)
	entry.SetText(start)
	entry.shown = start
	give := func() bool {
		path := cleanPath(entry.Text)
		if path == "" {
			return false
		}
		if err := accept(path); err != nil {
			entry.setFault(plain(err))
			return false
		}
		return true
	}
	browse := newButton(lang.L("Browse…"), func() { w.browse(folder, entry) })
	row := container.NewBorder(nil, nil, nil, browse, entry)
	m := w.ask(name, title, container.NewVBox(row, entry.fault), entry,
		answer{verb, give}, answer{text: cancelWord()})
	m.resize(fyne.NewSize(620, 0))
	return m
}

// cleanPath is a typed path: blanks trimmed, ~ for the home folder.
func cleanPath(s string) string {
	s = strings.TrimSpace(s)
	if s == "" {
		return ""
	}
	if rest, ok := strings.CutPrefix(s, "~"); ok && (rest == "" || os.IsPathSeparator(rest[0])) {
		if home, err := os.UserHomeDir(); err == nil {
			s = home + rest
		}
	}
	if abs, err := filepath.Abs(s); err == nil {
		s = abs
	}
	return s
}

// browse shows the file dialog over the whole window and puts what is chosen
// into the entry. Escape closes it.
func (w *Window) browse(folder bool, entry *field) {
	var d *dialog.FileDialog
	if folder {
		d = dialog.NewFolderOpen(func(u fyne.ListableURI, err error) {
			if err == nil && u != nil {
				path := u.Path()
				if filepath.Ext(entry.Text) == jobExt {
					path = filepath.Join(path, filepath.Base(entry.Text))
				}
				entry.SetText(path)
			}
			w.browsing = nil
		}, w.win)
	} else {
		d = dialog.NewFileOpen(func(r fyne.URIReadCloser, err error) {
			if err == nil && r != nil {
				entry.SetText(r.URI().Path())
				r.Close()
			}
			w.browsing = nil
		}, w.win)
		d.SetFilter(storage.NewExtensionFileFilter([]string{jobExt, ".csv", ".tsv", ".txt", ".jpg", ".jpeg", ".png"}))
	}
	if dir := folderOf(entry.Text); dir != "" {
		if u, err := storage.ListerForURI(storage.NewFileURI(dir)); err == nil {
			d.SetLocation(u)
		}
	}
	d.SetConfirmText(lang.L("Choose"))
	d.SetDismissText(cancelWord())
	d.Resize(w.win.Canvas().Size())
	d.Show()
	w.browsing = d
}

// folderOf is the deepest folder of a typed path that is there.
func folderOf(path string) string {
	for dir := cleanPath(path); dir != ""; dir = filepath.Dir(dir) {
		if st, err := os.Stat(dir); err == nil && st.IsDir() {
			return dir
		}
		if dir == filepath.Dir(dir) {
			break
		}
	}
	return ""
}
