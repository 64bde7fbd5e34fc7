package ui

import (
	"errors"
	"math"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/ui/sheet"
	"panewright/board"
)

// gapList is the gap sheet of the last cut as the model of a sheet: a row for
// every station of the cut, noted or not.
type gapList struct {
	door door

	job   *board.Job // that the rest belongs to
	names []string
	noted map[string]*board.GapNote
	wrong map[place]board.Finding
}

// The columns of the gap sheet.
const (
	gapStation = iota
	gapWall
	gapLedge
	gapRemark
	gapNext
)

// gapFields are the columns' names in the job; those of the first and the last
// stand in none.
var gapFields = [...]string{"station", "wall", "ledge", "note", "next"}

// gapNames are the stations of a job's last cut, in the order of its gap sheet,
// and after them others at which gaps were noted.
func gapNames(j *board.Job) []string {
	cut := j.LastCut()
	if cut == nil {
		return nil
	}
	names := cut.Shape.Names()
	for _, i := range j.GapsOf(cut.Number) {
		if id := j.Gaps[i].Station; !slices.Contains(names, id) {
			names = append(names, id)
		}
	}
	return names
}

// lookup makes the gaps of the job easy to look up.
func (l *gapList) lookup() {
	s := l.door.State()
	if l.job == s.Job {
		return
	}
	l.job, l.names, l.noted, l.wrong = s.Job, gapNames(s.Job), map[string]*board.GapNote{}, map[place]board.Finding{}
	cut := s.Job.LastCut()
	if cut == nil {
		return
	}
	for _, i := range s.Job.GapsOf(cut.Number) {
		g := &s.Job.Gaps[i]
		l.noted[g.Station] = g
	}
	for _, f := range s.Findings {
		if row, ok := gapRow(s.Job, f); ok {
			l.wrong[place{f.List, row, f.Field}] = f
		}
	}
}

// gapRow is the row of the gap sheet that a finding belongs to.
func gapRow(j *board.Job, f board.Finding) (int, bool) {
	cut := j.LastCut()
	if f.List != listKeys[listGaps] || f.Row < 1 || f.Row > len(j.Gaps) || cut == nil || j.Gaps[f.Row-1].Cut != cut.Number {
		return 0, false
	}
	row := slices.Index(gapNames(j), j.Gaps[f.Row-1].Station)
	return row, row >= 0
}

// Rows is the number of stations of the cut.
func (l *gapList) Rows() int {
	l.lookup()
	return len(l.names)
}

// station is the name of a row's.
func (l *gapList) station(row int) (string, bool) {
	if row < 0 || row >= l.Rows() {
		return "", false
	}
	return l.names[row], true
}

// Columns are the station, both gaps, a note, and the gap to expect next.
func (l *gapList) Columns() []sheet.Column {
	return []sheet.Column{
		{Head: lang.L("no"), Weight: 0.62, ReadOnly: true, Left: true},
		{Head: lang.L("wall"), Weight: 1.25, Entry: true},
		{Head: lang.L("ledge"), Weight: 1.25, Entry: true},
		{Head: lang.L("note"), Weight: 1, Left: true},
		{Head: lang.L("next"), Weight: 0.8, ReadOnly: true},
	}
}

// Cell shows a field of the gap at a station.
func (l *gapList) Cell(row, col int) sheet.Cell {
	id, _ := l.station(row)
	j := l.job
	g := l.noted[id]
	if g == nil {
		g = &board.GapNote{}
	}
	switch col {
	case gapStation:
		c := sheet.Cell{Text: id}
		if own, made := strings.CutSuffix(id, "'"); made {
			c.Note = lang.L("Station {{.ID}}: the twin of {{.Own}}, on the half that was made", map[string]any{"ID": id, "Own": own})
		}
		return l.found(c, row, col)
	case gapWall:
		return l.found(gapCell(&g.Wall, j.Unit), row, col)
	case gapLedge:
		return l.found(gapCell(&g.Ledge, j.Unit), row, col)
	case gapRemark:
		return sheet.Cell{Text: g.Note, Note: g.Note}
	}
	return l.next(id)
}

// gapCell shows a gap as it was typed.
func gapCell(c *board.GapCell, u board.Unit) sheet.Cell {
	text := typed(board.Cell{Text: c.Text, Unit: c.Unit, Fault: c.Fault}, u)
	if c.Tight {
		text = c.Text
	}
	if c.Fault != "" {
		return sheet.Cell{Text: text, Tint: sheet.Wrong, Note: capital(c.Fault)}
	}
	return sheet.Cell{Text: text}
}

// found adds to a cell what the job's checks say of it; what is not understood
// says so itself.
func (l *gapList) found(c sheet.Cell, row, col int) sheet.Cell {
	if c.Tint == sheet.Wrong {
		return c
	}
	f, ok := l.wrong[place{listKeys[listGaps], row, gapFields[col]}]
	if !ok {
		return c
	}
	if c.Note = said(f.Text); !f.Remark {
		c.Tint = sheet.Suspicious
	}
	return c
}

// next shows the gap to expect in the next cut.
func (l *gapList) next(id string) sheet.Cell {
	s := l.door.State()
	if s.Model == nil || s.Model.Gaps == nil || s.Model.Gaps.Cut != l.job.LastCut().Number {
		return sheet.Cell{}
	}
	g := s.Model.Gaps
	i := slices.IndexFunc(g.Stations, func(t board.GapStation) bool { return t.ID == id && t.HasNext })
	if i < 0 {
		return sheet.Cell{}
	}
	n := g.Stations[i].Next
	text := lang.L("To expect in cut {{.N}} at {{.ID}}: wall {{.W}}, ledge {{.L}}", map[string]any{"N": s.Job.Cut, "ID": id,
		"W": unsureFine(s.Job, n.Wall, n.WallU), "L": unsureFine(s.Job, n.Ledge, n.LedgeU)})
	return sheet.Cell{Text: fineBare(s.Job, n.Wall), Tint: sheet.Dim, Note: text}
}

// unsureFine is a small length with twice its standard uncertainty.
func unsureFine(j *board.Job, mm, u float64) string {
	return fineBare(j, mm) + " ± " + fine(j, 2*u)
}

// Echo says what a typed gap means, in both units.
func (l *gapList) Echo(_, col int, text string) (string, sheet.Tint) {
	if col != gapWall && col != gapLedge || strings.TrimSpace(text) == "" {
		return "", sheet.Plain
	}
	c := l.door.State().Job.ReadGap(text)
	if c.Fault != "" {
		return capital(c.Fault), sheet.Wrong
	}
	return gapWords(l.door.State().Job, &c), sheet.Plain
}

// gapWords says in both units what a gap means that was understood.
func gapWords(j *board.Job, c *board.GapCell) string {
	both := func(mm float64) string {
		in := *j
		in.Unit = board.Inch
		of := *j
		of.Unit = board.MM
		if j.Unit == board.Inch {
			in, of = of, in
		}
		return fine(&of, mm) + " = " + fine(&in, mm)
	}
	switch {
	case c.Tight:
		return lang.L("the glass touches")
	case math.IsInf(c.Lo, 0):
		return lang.L("less than {{.Hi}}", map[string]any{"Hi": both(c.Hi)})
	case math.IsInf(c.Hi, 0):
		return lang.L("{{.Lo}} or more", map[string]any{"Lo": both(c.Lo)})
	case c.Lo == c.Hi:
		return both(c.Lo)
	}
	return lang.L("a strip of {{.Lo}} goes, one of {{.Hi}} does not", map[string]any{"Lo": both(c.Lo), "Hi": both(c.Hi)})
}

// Set writes a cell.
func (l *gapList) Set(row, col int, text string) error {
	return l.SetBlock(row, col, [][]string{{text}})
}

// SetBlock writes a pasted block; columns that cannot be written and rows below
// the last are passed over.
func (l *gapList) SetBlock(row, col int, block [][]string) error {
	id, ok := l.station(row)
	if !ok {
		return errors.New(lang.L("The gap sheet has the stations of the cut and no others."))
	}
	cut := l.job.LastCut().Number
	name := blockName(block)
	if len(block) == 1 && len(block[0]) == 1 {
		name = lang.L("Gap at {{.ID}}, {{.Field}}", map[string]any{"ID": id, "Field": l.Columns()[col].Head})
	}
	return l.door.Edit(name, func(j *board.Job) error {
		for i, line := range block {
			id, ok := l.station(row + i)
			if !ok {
				break
			}
			for k, text := range line {
				if c := col + k; c > gapStation && c < gapNext {
					if err := j.SetGap(cut, id, gapFields[c], text); err != nil {
						return err
					}
				}
			}
		}
		return nil
	})
}

// clearGaps empties the selected rows of the gap sheet.
func (w *Window) clearGaps(first, n int) {
	if n > 0 {
		empty := slices.Repeat([][]string{{"", "", ""}}, n)
		w.report(w.lists.models[listGaps].SetBlock(first, gapWall, empty))
	}
}

// gapUnderCursor is the station under the cursor of the gap sheet.
func (l *lists) gapUnderCursor() (string, bool) {
	if l.open != listGaps {
		return "", false
	}
	row, _ := l.sheet().Cursor()
	return l.models[listGaps].(*gapList).station(row)
}

// gotoGap puts the cursor of the gap sheet on a station; false where it is not
// in view, or has no such station.
func (l *lists) gotoGap(id string) bool {
	l.models[listGaps].(*gapList).lookup()
	row := slices.Index(l.models[listGaps].(*gapList).names, id)
	if l.open != listGaps || row < 0 {
		return false
	}
	l.gotoCell(listGaps, row, gapWall)
	return true
}

// markGap rings the station under the cursor of the gap sheet on the board.
func (w *Window) markGap() {
	id, ok := w.lists.gapUnderCursor()
	if !ok {
		return
	}
	if at, _, ok := w.state.Job.LastCut().Shape.OnBoard(id); ok {
		w.board.Mark(at)
	}
}
