package sheet

import (
	"strings"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/driver/desktop"
)

// TypedShortcut copies, cuts, pastes and selects; Ctrl+Home and Ctrl+End go to
// the first and the last row, Ctrl+Tab leaves the sheet.
func (s *Sheet) TypedShortcut(sc fyne.Shortcut) {
	switch sc := sc.(type) {
	case *fyne.ShortcutCopy:
		sc.Clipboard.SetContent(s.copied())
	case *fyne.ShortcutCut:
		sc.Clipboard.SetContent(s.copied())
		if s.edit != nil {
			s.open("", false)
			return
		}
		s.clearSelected()
	case *fyne.ShortcutPaste:
		s.paste(sc.Clipboard.Content())
	case *fyne.ShortcutSelectAll:
		if s.Commit() {
			s.SelectRows(0, max(1, s.model.Rows()))
		}
	case *desktop.CustomShortcut:
		if !s.custom(sc) && s.OnShortcut != nil {
			s.OnShortcut(sc)
		}
	}
}

// custom handles the remaining shortcuts; false where it has no use for one.
func (s *Sheet) custom(sc *desktop.CustomShortcut) bool {
	if sc.Modifier&fyne.KeyModifierControl == 0 {
		return false
	}
	extend := sc.Modifier&fyne.KeyModifierShift != 0
	switch sc.KeyName {
	case fyne.KeyTab:
		if c := fyne.CurrentApp().Driver().CanvasForObject(s); c != nil {
			c.FocusNext()
		}
	case fyne.KeyHome, fyne.KeyUp:
		if s.Commit() {
			s.moveTo(pos{0, s.cur.col}, extend)
		}
	case fyne.KeyEnd, fyne.KeyDown:
		if s.Commit() {
			s.moveTo(pos{s.model.Rows(), s.cur.col}, extend)
		}
	default:
		return false
	}
	return true
}

// copied is the text of the cell being typed, or of the selection: a tab between
// cells, a line feed between rows.
func (s *Sheet) copied() string {
	if s.edit != nil {
		return string(s.edit.text)
	}
	a, b := s.selected()
	rows := s.also
	if rows == nil {
		for r := a.row; r <= b.row; r++ {
			rows = append(rows, r)
		}
	} else {
		a.col, b.col = 0, len(s.cols)-1
	}
	var out strings.Builder
	for i, r := range rows {
		if i > 0 {
			out.WriteByte('\n')
		}
		for c := a.col; c <= b.col; c++ {
			if c > a.col {
				out.WriteByte('\t')
			}
			out.WriteString(s.cell(pos{r, c}).Text)
		}
	}
	return out.String()
}

// paste writes a block of tab-separated lines at the selection's first cell, one
// step of the history; a single text goes into the cell being typed.
func (s *Sheet) paste(text string) {
	block := parseBlock(text)
	if len(block) == 0 {
		return
	}
	single := len(block) == 1 && len(block[0]) == 1
	if s.edit != nil && single {
		s.edit.insert([]rune(block[0][0]))
		s.say()
		s.Refresh()
		return
	}
	if !s.Commit() || s.OnPaste != nil && s.OnPaste(text) {
		return
	}
	a, _ := s.selected()
	if single && s.cols[a.col].ReadOnly {
		return
	}
	if err := s.model.SetBlock(a.row, a.col, block); err != nil {
		s.fail(err)
		return
	}
	width := 0
	for _, row := range block {
		width = max(width, len(row))
	}
	s.anchor = a
	s.moveTo(pos{a.row + len(block) - 1, a.col + width - 1}, true)
}

// parseBlock splits pasted text into rows and cells; empty lines at the end and
// blanks round a cell are dropped.
func parseBlock(text string) [][]string {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	text = strings.ReplaceAll(text, "\r", "\n")
	text = strings.TrimRight(text, "\n")
	if text == "" {
		return nil
	}
	var block [][]string
	for line := range strings.SplitSeq(text, "\n") {
		cells := strings.Split(line, "\t")
		for i, c := range cells {
			cells[i] = strings.TrimSpace(c)
		}
		block = append(block, cells)
	}
	return block
}
