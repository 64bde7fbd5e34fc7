package handover

import (
	"bytes"
	"fmt"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

const (
	blankStations = 40 // rows of a sheet for a pane that nothing was read of
	blankFace     = 40
	fewRows       = 6
	writeHeight   = 6.2 // mm of a row to write in
)

// readingSheet writes reading-sheet.pdf: the form to fill in at the board, and
// behind it the same with what was typed, for reading aloud.
func (p *pack) readingSheet(buf *bytes.Buffer) error {
	d := p.newPaper("reading sheet")
	foot := p.named("reading sheet") + ". " + shortCaution
	f := d.Flow(formSheet(p.paper, p.m.Job.Unit), p.named("reading sheet"), foot)
	f.Title("Reading sheet")
	f.Text(pdf.Body, p.named("blank"))
	f.Text(pdf.Body, p.sheetUnits())
	p.whoAndWhen(f)
	p.ticks(f, p.boardTicks())
	f.Picture(p.boardHeight(f.Width()), func(page *pdf.Page, part r2.Box) { p.boardPicture(page, part, false) })
	f.Break()
	f.Heading("Stations on the edge", 0)
	f.Table(p.writeTable("station", "x again", "y again", "z again"), p.blankRows(board.Edge, blankStations))
	f.Heading("Heights on the face", 0)
	f.Table(p.writeTable("point", "z again"), p.blankRows(board.Face, blankFace))
	f.Heading("Marks on the centre line, and other marks", 0)
	f.Table(p.writeTable("mark", "x again", "y again", "z again"), append(p.blankRows(board.Centre, 2), p.blankRows(board.Mark, fewRows)...))
	tapes := p.tapeRows(true)
	f.Heading("Widths taped straight through the air, not along the glass", writeHeight*float64(min(len(tapes), fewRows)+1))
	f.Table(pdf.Table{Columns: []pdf.Column{{Share: 0.5, Align: pdf.Middle}, {Head: "from", Share: 1}, {Head: "to", Share: 1}, {Head: "length", Share: 1.6}, {Head: "length again", Share: 1.6}, {Head: "note", Share: 3}},
		Size: 2.9, Least: writeHeight, Ruled: true}, tapes)
	f.End()

	f = d.Flow(formSheet(p.paper, p.m.Job.Unit), p.named("as typed"), foot)
	f.Title("Readings as typed")
	f.Text(pdf.Body, p.named("for reading aloud"))
	f.Text(pdf.Body, p.sheetUnits()+" One reads from the paper of the board, one follows here and ticks.")
	for _, k := range []struct {
		kind board.Kind
		name string
	}{{board.Edge, "Stations on the edge"}, {board.Face, "Heights on the face"}, {board.Centre, "Marks on the centre line"}, {board.Mark, "Other marks"}} {
		if rows := p.typedRows(k.kind); len(rows) > 0 {
			f.Heading(k.name, 0)
			f.Table(pdf.Table{Columns: []pdf.Column{{Share: 0.5, Align: pdf.Middle}, {Head: "name", Share: 1.2}, {Head: "x", Share: 1.7, Align: pdf.Right, Mono: true},
				{Head: "y", Share: 1.7, Align: pdf.Right, Mono: true}, {Head: "z", Share: 1.7, Align: pdf.Right, Mono: true}, {Share: 0.3}, {Head: "note", Share: 4}}, Size: 2.9, Least: 4.6}, rows)
		}
	}
	if len(p.m.Job.Tapes) > 0 {
		f.Heading("Taped widths", 0)
		f.Table(pdf.Table{Columns: []pdf.Column{{Share: 0.5, Align: pdf.Middle}, {Head: "how", Share: 1.2}, {Head: "from", Share: 1}, {Head: "to", Share: 1}, {Head: "length", Share: 2, Align: pdf.Right, Mono: true}, {Share: 0.3}, {Head: "note", Share: 4}}, Size: 2.9, Least: 4.6}, p.tapeRows(false))
	}
	f.End()
	return d.Write(buf)
}

// sheetUnits says what is written in which unit, and from where.
func (p *pack) sheetUnits() string {
	j := p.m.Job
	s := "All in " + p.unitWord() + ". x across to the right, y up the board, z the height over the board."
	if px, py := j.Grid.Pitch(); px > 0 && py > 0 {
		s += fmt.Sprintf(" Grid: %s across by %s up; numbers across, letters up; line 0 is x = 0.", p.length(px), p.length(py))
	}
	lay := "dome up: from above, heights are of the outer face"
	if j.Pane.Lay == board.Bowl {
		lay = "bowl up: from above, heights are of the inner face"
	}
	if j.Pane.ReadLower {
		lay += "; heights on the face were read on the lower face"
	}
	s += " The pane lies " + lay + "."
	if j.Pane.Thickness.Set {
		s += " Thickness " + p.length(j.Pane.Thickness.MM) + "."
	}
	return s
}

func (p *pack) whoAndWhen(f *pdf.Flow) {
	f.Table(pdf.Table{Columns: []pdf.Column{{Share: 1}, {Share: 1}, {Share: 1}}, Size: 2.9, Least: 8, Ruled: true}, [][]string{{"date", "read by", "written by"}})
}

// boardTicks is what to see to before and while reading.
func (p *pack) boardTicks() []string {
	lay := "dome up, on soft pads under the quarter points"
	if p.m.Job.Pane.Lay == board.Bowl {
		lay = "bowl up, in a cradle on soft pads"
	}
	return []string{
		"board flat under a straight-edge, and level", "both diagonals of the grid:  ____________   ____________",
		"glass clean, as warm as the board", "glass " + lay + ", not sprung",
		"labels on the glass: TOP, OUTER, L, R", "stops set; left and right corners at the same height",
		"maker's mark copied:  ____________________", "thickness at four places:  ______ ______ ______ ______",
		"pencil stands off the edge by:  __________", "gauge or block under heights:  __________",
		"square checked by turning it round", "station 1 read again at the end:  _________________",
	}
}

// ticks writes a list to tick in two columns.
func (p *pack) ticks(f *pdf.Flow, items []string) {
	var rows [][]string
	for i := 0; i+1 < len(items); i += 2 {
		rows = append(rows, []string{pdf.CheckBox, items[i], pdf.CheckBox, items[i+1]})
	}
	f.Table(pdf.Table{Columns: []pdf.Column{{Share: 0.35}, {Share: 5}, {Share: 0.35}, {Share: 5}}, Size: 2.7, Least: 5.4}, rows)
}

// boardHeight is how high the picture of the board is on so much width.
func (p *pack) boardHeight(width float64) float64 {
	b := p.boardBox()
	return min(150, 14+width*(b.Max.Y-b.Min.Y)/(b.Max.X-b.Min.X))
}

// writeTable is a table to write readings in, once and again.
func (p *pack) writeTable(name string, again ...string) pdf.Table {
	t := pdf.Table{Columns: []pdf.Column{{Share: 0.5, Align: pdf.Middle}, {Head: name, Share: 1}, {Head: "x", Share: 1.4}, {Head: "y", Share: 1.4}, {Head: "z", Share: 1.4}},
		Size: 2.9, Least: writeHeight, Ruled: true}
	for _, h := range again {
		t.Columns = append(t.Columns, pdf.Column{Head: h, Share: 1.2})
	}
	t.Columns = append(t.Columns, pdf.Column{Head: "note", Share: 2.4})
	return t
}

// blankRows are rows to write in with the names of the job's readings of a kind,
// or numbers where it has none.
func (p *pack) blankRows(kind board.Kind, fewest int) (rows [][]string) {
	row := func(name string) []string {
		return []string{pdf.CheckBox, name}
	}
	seen := map[string]bool{}
	for _, r := range p.m.Job.Readings {
		if r.Kind == kind && !seen[r.ID] {
			seen[r.ID] = true
			rows = append(rows, row(r.ID))
		}
	}
	for i := 1; len(rows) < fewest; i++ {
		name := ""
		if kind == board.Edge || kind == board.Face {
			if name = strconv.Itoa(i); kind == board.Face {
				name = "F" + name
			}
		}
		if name == "" || !seen[name] {
			rows = append(rows, row(name))
		}
	}
	return rows
}

// typedRows are the readings of a kind as they were typed.
func (p *pack) typedRows(kind board.Kind) (rows [][]string) {
	for _, r := range p.m.Job.Readings {
		if r.Kind != kind {
			continue
		}
		note := r.Note
		if r.Set != "" {
			note = "laying " + r.Set + "; " + note
		}
		if r.Struck {
			note = "struck: " + r.Reason + "; " + note
		}
		rows = append(rows, []string{pdf.CheckBox, r.ID, r.X.Text, r.Y.Text, r.Z.Text, "", trimmedNote(note)})
	}
	return rows
}

// trimmedNote is a note without a joint left at its end.
func trimmedNote(s string) string {
	for len(s) > 0 && (s[len(s)-1] == ' ' || s[len(s)-1] == ';' || s[len(s)-1] == ':') {
		s = s[:len(s)-1]
	}
	return s
}

// tapeRows are the taped widths, or rows to write them in.
func (p *pack) tapeRows(blank bool) (rows [][]string) {
	for _, t := range p.m.Job.Tapes {
		to := t.To
		if t.How == board.Twin {
			to = t.From + "'"
		}
		if blank {
			rows = append(rows, []string{pdf.CheckBox, t.From, to, "", "", t.How.String()})
			continue
		}
		note := ""
		if t.Struck {
			note = trimmedNote("struck: " + t.Reason)
		}
		rows = append(rows, []string{pdf.CheckBox, t.How.String(), t.From, to, t.Length.Text, "", note})
	}
	for blank && len(rows) < fewRows {
		rows = append(rows, []string{pdf.CheckBox, "", "", "", "", ""})
	}
	return rows
}

// gapSheet writes gap-sheet.pdf: the form for the gaps of a test fit, station by
// station.
func (p *pack) gapSheet(buf *bytes.Buffer) error {
	d := p.newPaper("gap sheet")
	f := d.Flow(formSheet(p.paper, p.m.Job.Unit), p.named("gap sheet"), p.named("gap sheet")+". "+shortCaution)
	f.Title("Gap sheet")
	f.Text(pdf.Body, p.named("gaps of the test fit"))
	f.Text(pdf.Body, fmt.Sprintf("Cut %d. Wall clearance as planned %s; as cut: ____________.", p.m.Job.Cut, p.both(p.m.Job.Pocket.Wall)))
	for i, text := range gapHowTo {
		f.Item(pdf.Body, strconv.Itoa(i+1), text)
	}
	p.whoAndWhen(f)
	p.ticks(f, []string{"gaps written in millimetres", "gaps written in inches", "glass and pocket equally warm", "pocket clean, no chips under the glass",
		"two people, gloves, eye protection", "glass lies free, not pressed down",
		"rocks on the corners:  _________________", "by:  ____________ mm",
		"does not drop in; binds at:  ______________", "chalk or paper: touches at  ______________"})
	f.Picture(min(110, p.glassHeight(f.Width())), p.glassStations)
	f.Break()
	var rows [][]string
	for _, s := range p.stations(true) {
		rows = append(rows, []string{s.id, "", "", pdf.CheckBox})
	}
	f.Heading("Gaps", 0)
	f.Table(pdf.Table{Columns: []pdf.Column{{Head: "station", Share: 1}, {Head: "wall: goes", Share: 1.3}, {Head: "does not go", Share: 1.3}, {Head: "tight", Share: 0.7, Align: pdf.Middle},
		{Head: "ledge: goes", Share: 1.3}, {Head: "does not go", Share: 1.3}, {Head: "note", Share: 3}}, Size: 2.9, Least: writeHeight, Ruled: true}, rows)
	p.checkRows(f)
	f.End()
	return d.Write(buf)
}

// checkRows are the distances to tape over the assembled tiles, where there are
// any.
func (p *pack) checkRows(f *pdf.Flow) {
	if p.tiling == nil || len(p.tiling.Checks) == 0 {
		return
	}
	var rows [][]string
	for _, c := range p.tiling.Checks {
		rows = append(rows, []string{c.Name, p.both(c.Length)})
	}
	f.Heading("Check distances over the assembled tiles", writeHeight*float64(min(len(rows), fewRows)+1))
	f.Table(pdf.Table{Columns: []pdf.Column{{Head: "marks", Share: 1.2}, {Head: "as made", Share: 2.2}, {Head: "measured", Share: 1.8}, {Head: "note", Share: 3}},
		Size: 2.9, Least: writeHeight, Ruled: true}, rows)
}

var gapHowTo = []string{
	"Lower the glass with two people and let it rest. Never press it down, never lever it. Take it out before tools come near.",
	"Wall gap: the strip that just slides between glass edge and wall at the station. Ledge gap: the strip between glass and ledge, square to the glass, 8 to 12 mm in from the edge.",
	"Write the thickest strip that goes and the thinnest that does not; one of them is enough. Tick tight where the glass touches. Leave empty what was not measured.",
	"A name with a stroke, such as 12', is the twin of that station on the other half.",
}

func (p *pack) glassHeight(width float64) float64 {
	b := p.m.Pane.Outline.Bounds()
	return 12 + width*(b.Max.Y-b.Min.Y)/(b.Max.X-b.Min.X)
}
