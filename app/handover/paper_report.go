package handover

import (
	"bytes"
	"fmt"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
)

// reporter is report.pdf in the making: what was measured of a pane, what became
// of every reading, what was made of them and how far that can be trusted, so
// that a stranger can follow it.
type reporter struct {
	*pack
	f *pdf.Flow
}

// Letters of the report's tables, mm.
const (
	tableSize = 2.7
	smallSize = 2.3
)

func (p *pack) report(buf *bytes.Buffer) error {
	d := p.newPaper("report")
	r := reporter{p, d.Flow(formSheet(p.paper, p.m.Job.Unit), p.named("report"), p.named("report")+". "+shortCaution)}
	r.cover()
	r.cautions()
	r.outlinePicture()
	r.facePicture()
	r.centre()
	r.corrected()
	r.lookedAt()
	r.fit()
	r.cuts()
	r.cut()
	r.widths()
	r.all()
	r.safety()
	r.f.End()
	return d.Write(buf)
}

// facts writes names and values in two columns.
func (r reporter) facts(rows [][]string) {
	if len(rows) > 0 {
		r.f.Table(pdf.Table{Columns: []pdf.Column{{Share: 2}, {Share: 3}, {Share: 2}}, Size: tableSize}, rows)
	}
}

// cover writes what the job is and its main figures.
func (r reporter) cover() {
	j, m, f := r.m.Job, r.m, r.f
	f.Title(j.Name)
	f.Text(pdf.Body, r.named("report of the measuring"))
	f.Text(pdf.Small, "Job file, SHA-256: "+r.sum.JobSHA256)
	f.Text(pdf.Body, shortCaution)
	if j.Notes != "" {
		f.Text(pdf.Body, j.Notes)
	}
	c := r.sum.Readings
	rows := [][]string{
		{"Readings in use or to decide", fmt.Sprintf("%d on the edge, %d on the face, %d centre marks, %d other marks", c.Edge, c.Face, c.Centre, c.Mark), fmt.Sprintf("%d struck", c.Struck)},
		{"Lay, thickness", r.above() + ", " + r.thickness(), ""},
		{"Halves", r.mirrorWords(), ""},
	}
	if u := m.Figures.SigmaFound; u > 0 {
		rows = append(rows, []string{"Scatter of a reading", fmt.Sprintf("%s %s expected, %s %s found", r.fine(j.Sigma), j.Unit, r.fine(u), j.Unit), "standard uncertainty, each way"})
	}
	r.facts(rows)
	if m.Pane == nil {
		f.Heading("There is no pane yet", 0)
		f.Text(pdf.Body, m.Why)
		r.boardView()
		return
	}
	f.Heading("Figures, with their uncertainty at two sigma", 0)
	r.figures()
	if m.Fit != nil {
		f.Text(pdf.Body, r.predicted())
	}
	r.boardView()
}

func (r reporter) thickness() string {
	if t := r.m.Job.Pane.Thickness; t.Set {
		return "glass " + r.both(t.MM) + " thick"
	}
	return "thickness not known"
}

// figures writes the sizes of the pane in both units.
func (r reporter) figures() {
	g, j := r.m.Figures, r.m.Job
	other := board.Inch
	if j.Unit == board.Inch {
		other = board.MM
	}
	line := func(name string, v, u float64) []string {
		return []string{name, r.sure(v, u), board.Format(v, other) + " " + other.String()}
	}
	rows := [][]string{
		line("Width", g.Width, g.WidthU), line("Length, bottom to top", g.Length, g.LengthU), line("Girth", g.Girth, g.GirthU),
		line("Cross sag", g.CrossSag, g.CrossSagU), line("Fore-and-aft sag", g.ForeAftSag, g.ForeAftSagU),
		line("Tightest corner, radius", g.LeastRadius, g.LeastRadiusU),
		{"Area in plan, area of the face", fmt.Sprintf("%.4f m², %.4f m²", g.Area/1e6, g.FaceArea/1e6), ""},
	}
	if g.Mass > 0 {
		rows = append(rows, []string{"Mass", fmt.Sprintf("about %.1f kg", g.Mass), fmt.Sprintf("about %.0f lb", g.Mass/0.45359237)})
	}
	rows = append(rows,
		[]string{"Stations off the outline", fmt.Sprintf("typical %s, largest %s %s", r.fine(g.TypicalMiss), r.fine(g.LargestMiss), j.Unit), ""},
		[]string{"Heights off the face", fmt.Sprintf("typical %s, largest %s %s", r.fine(g.FaceTypicalMiss), r.fine(g.FaceLargestMiss), j.Unit), ""})
	r.facts(rows)
	if bows := r.m.Crossbows(); len(bows) > 0 {
		var rows [][]string
		add := func(name string, c board.Crossbow) {
			radius := "straight"
			if c.Radius < straight {
				radius = r.sure(c.Radius, c.RadiusU)
			}
			rows = append(rows, []string{name, radius, r.length(c.Sag), r.fine(c.Miss) + " " + j.Unit.String()})
		}
		for _, c := range bows {
			add("across at y "+r.length(c.Level), c)
		}
		if c, ok := r.m.MiddleBow(); ok {
			add("fore and aft, middle", c)
		}
		r.f.Heading("Bow of the upper face, section by section", 0)
		r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "section", Share: 2}, {Head: "radius", Share: 2}, {Head: "sag", Share: 1.2}, {Head: "farthest from that circle", Share: 1.6}}, Size: tableSize}, rows)
	}
}

func (r reporter) boardView() {
	height := r.boardHeight(r.f.Width())
	r.f.Heading("The board, with every reading where it stands", height)
	r.f.Picture(height, func(page *pdf.Page, part r2.Box) { r.boardPicture(page, part, true) })
	text := "Circle: station; cross: height on the face; diamond: mark on the centre line; triangle: other mark; crossed out: struck. Ringed: set aside, with a line to where the outline runs."
	if r.m.Mirror == board.MirrorLeft || r.m.Mirror == board.MirrorRight {
		text += " Broken line: the half that is made."
	}
	r.f.Text(pdf.Small, text)
}

// cautions writes what there is to look at, and where to measure next.
func (r reporter) cautions() {
	if len(r.sum.Warnings) > 0 {
		r.f.Heading("To look at before anything is cut", 0)
		for _, w := range r.sum.Warnings {
			r.f.Item(pdf.Body, "–", w.Text)
		}
	}
	if len(r.m.Next) > 0 {
		r.f.Heading("Where one more reading would tell the most", 0)
		for _, a := range r.m.Next {
			less := "under 1 % less"
			if a.Gain >= 0.01 {
				less = fmt.Sprintf("%.0f %% less", 100*a.Gain)
			}
			r.f.Item(pdf.Body, "–", fmt.Sprintf("%s (typical uncertainty %s)", a.Text, less))
		}
	}
}

// corrected writes what was corrected in all readings, and the joined layings.
func (r reporter) corrected() {
	var rows [][]string
	for _, c := range r.m.Corrections {
		state := "not applied"
		if c.Applied {
			state = "applied"
		}
		value := "not known"
		if c.Known {
			value = r.correction(c)
		}
		rows = append(rows, []string{strings.ReplaceAll(c.Name, "_", " "), value, state, c.Text})
	}
	if p := r.m.Job.Pencil; p.Set {
		rows = append(rows, []string{"pencil", r.both(p.MM), "applied", "ticks lie so far outside the edge; taken off square to it"})
	}
	if len(rows) > 0 {
		r.f.Heading("Corrections of all readings", 0)
		r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "correction", Share: 1.2}, {Head: "value", Share: 1.6}, {Head: "", Share: 1}, {Head: "what was found", Share: 5}}, Size: tableSize}, rows)
	}
	if len(r.m.Joins) > 0 {
		r.f.Heading("Layings joined to the first", 0)
		for _, j := range r.m.Joins {
			r.f.Item(pdf.Body, "–", "laying "+j.Set+": "+j.Text)
		}
	}
}

// correction is the value of a correction: a length in the job's unit.
func (r reporter) correction(c board.Correction) string {
	show, unit := func(v float64) string { return fmt.Sprintf("%.3g", v) }, c.Unit
	if c.Unit == board.MM.String() {
		show, unit = r.fine, r.m.Job.Unit.String()
	}
	if c.U > 0 {
		return fmt.Sprintf("%s ± %s %s", show(c.Value), show(2*c.U), unit)
	}
	return show(c.Value) + " " + unit
}

// lookedAt writes every reading that was set aside, struck, vouched for or
// called a true break, with what was offered.
func (r reporter) lookedAt() {
	var rows [][]string
	for i, x := range r.m.Job.Readings {
		res := r.m.Results[i]
		state, _ := stateOf(res)
		decided := ""
		switch {
		case x.Struck:
			decided = trimmedNote("struck: " + x.Reason)
		case x.Sure:
			decided = "looked at again and kept"
		case x.Break:
			decided = "the edge truly breaks here"
		case state == "suspect":
			decided = "set aside, not decided"
		case res.Offer != nil:
			decided = "kept, not decided"
		default:
			continue
		}
		offered, why := "", res.Reason
		if o := res.Offer; o != nil {
			offered = fmt.Sprintf("%s: %s (typed %s), %s", o.Field, o.Instead, o.Typed, chanceWord(o.Chance))
			if why = o.Why; o.Field == "block" && o.To < len(r.m.Job.Readings) {
				offered = "rows " + x.ID + " to " + r.m.Job.Readings[o.To].ID + ": " + chanceWord(o.Chance)
			}
		}
		miss := ""
		if res.HasMiss || res.HasHeight {
			miss = r.m.Job.Format(missOf(x, res))
		}
		rows = append(rows, []string{x.Kind.String() + " " + x.ID, miss, decided, offered, why})
	}
	r.f.Heading("Readings that were looked at", 0)
	if len(rows) == 0 {
		r.f.Text(pdf.Body, "None was set aside, struck or vouched for.")
		return
	}
	r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "reading", Share: 1.1}, {Head: "miss, " + r.m.Job.Unit.String(), Share: 1}, {Head: "decided", Share: 1.8}, {Head: "offered", Share: 2.4}, {Head: "why", Share: 3.4}}, Size: tableSize}, rows)
}

// chanceWord is how likely an offer is, in the word of the window.
func chanceWord(c float64) string {
	word := "possible"
	if c > 0.9 {
		word = "likely"
	}
	return word
}

// widths writes the taped widths.
func (r reporter) widths() {
	if rows := r.tapeRows(false); len(rows) > 0 {
		for i := range rows {
			rows[i] = rows[i][1:]
		}
		r.f.Heading("Taped widths", 0)
		r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "how", Share: 1.2}, {Head: "from", Share: 1}, {Head: "to", Share: 1}, {Head: "length, " + r.m.Job.Unit.String(), Share: 2, Align: pdf.Right, Mono: true}, {Share: 0.3}, {Head: "note", Share: 4}}, Size: tableSize}, rows)
	}
}

// all writes every reading.
func (r reporter) all() {
	j := r.m.Job
	var rows [][]string
	shades := map[int]bool{}
	for i, x := range j.Readings {
		res := r.m.Results[i]
		state, reason := stateOf(res)
		value := func(c board.Cell, at float64) string {
			if !c.Set {
				return ""
			}
			if !res.Placed {
				at = c.MM
			}
			return j.Format(at)
		}
		miss := ""
		if x.Kind == board.Edge && res.HasMiss || x.Kind == board.Face && res.HasHeight {
			miss = r.fine(missOf(x, res))
		}
		shades[len(rows)] = state == "suspect"
		name := x.ID
		if x.Set != "" {
			name += " (" + x.Set + ")"
		}
		rows = append(rows, []string{x.Kind.String(), name, x.X.Text, x.Y.Text, x.Z.Text, value(x.X, res.At.X), value(x.Y, res.At.Y), value(x.Z, res.At.Z), miss, "", state, reason})
	}
	r.f.Heading("All readings", 0)
	r.f.Text(pdf.Small, fmt.Sprintf("As typed, and as they stand on the board after all corrections, in %s. Miss: + outside the outline, + above the face. Shaded: set aside.", r.unitWord()))
	num := func(head string, share float64) pdf.Column {
		return pdf.Column{Head: head, Share: share, Align: pdf.Right, Mono: true}
	}
	r.f.Table(pdf.Table{Columns: []pdf.Column{{Head: "kind", Share: 1}, {Head: "name", Share: 1.1}, num("x typed", 1.8), num("y typed", 1.8), num("z typed", 1.8), num("x", 1.4), num("y", 1.4), num("z", 1.4), num("miss", 1.3), {Share: 0.2}, {Head: "state", Share: 1.2}, {Head: "why", Share: 3.6}},
		Size: smallSize, Shade: func(i int) (pdf.Colour, bool) { return pdf.Colour{R: 250, G: 232, B: 216}, shades[i] }}, rows)
}

// safety writes the cautions in full.
func (r reporter) safety() {
	r.f.Heading("Before you start", 0)
	text := readmeText[strings.Index(readmeText, "BEFORE YOU START")+len("BEFORE YOU START"):]
	for i, para := range numbered(text) {
		r.f.Item(pdf.Small, fmt.Sprint(i+1), para)
	}
}

// numbered are the paragraphs of a list that begin with their numbers.
func numbered(text string) (out []string) {
	for _, line := range strings.Split(text, "\n") {
		line = strings.TrimSpace(line)
		switch n, rest, ok := strings.Cut(line, ". "); {
		case line == "":
		case ok && n == fmt.Sprint(len(out)+1):
			out = append(out, rest)
		case len(out) > 0:
			out[len(out)-1] += " " + line
		}
	}
	return out
}
