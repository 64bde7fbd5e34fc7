package handover

import (
	"bytes"
	_ "embed"
	"fmt"
	"strings"
	"text/template"
	"unicode/utf8"

	"panewright/board"
)

//go:embed readme.tmpl
var readmeText string

var readmeTemplate = template.Must(template.New("README.txt").Funcs(template.FuncMap{"next": func(i int) int { return i + 1 }, "hang": hang}).Parse(readmeText))

// about says in plain words what each file of the pack is.
var about = []struct{ Name, Text string }{
	{"outline.dxf", "the edge of the pane: silhouette in plan, both edges of the glass in space, centre line, stations (splines, for CAD)"},
	{"outline-r12.dxf", "the same with splines drawn as polylines in chords within 0.01 mm, for older shop software"},
	{"glass.stl", "the pane as a closed solid with both faces, true thickness; its edges in chords within 0.005 mm"},
	{"glass.step", "the pane as a closed solid of smooth faces, true thickness, for CAD"},
	{"faces.step", "outer and inner face without thickness, their edges, the silhouette, what was measured, and whatever else was asked for"},
	{"pocket.stl", "the fit-check pocket as a closed solid, whole"},
	{"pocket.dxf", "the pocket in plan: wall, notches, ledge, relief groove, stock, joints of the tiles, holes of their pins, stations"},
	{"pocket-r12.dxf", "the same with splines drawn as fine polylines"},
	{"templates.pdf", "the edge, half of it, sections and corners on paper at true size, spread over sheets: print at 100 %"},
	{"report.pdf", "what was measured, what became of every reading, and how sure the shape is"},
	{"reading-sheet.pdf", "the form for reading this pane, blank and as typed"},
	{"gap-sheet.pdf", "the form for the gaps of a test fit"},
	{"outline.csv", "points along the silhouette every 2 mm with both edges beside it"},
	{"face.csv", "heights of both faces on a 20 mm lattice"},
	{"readings.csv", "every reading as typed and as understood, with its miss"},
	{"summary.json", "the figures of the job, for programs"},
	{"README.txt", "this page"},
	{zipName, "all of these in one, with " + manifestName + ", the SHA-256 sum of each"},
}

// readme writes README.txt. It comes last before the summary, so the files
// listed in it are those of this export.
func (p *pack) readme(buf *bytes.Buffer) error {
	type line struct{ Name, Text string }
	var files []line
	have := map[string]bool{"README.txt": true, summaryName: true, zipName: p.m.Pane != nil}
	for _, f := range p.files {
		have[f.Name] = true
	}
	for _, a := range about {
		if have[a.Name] {
			files = append(files, line{a.Name, a.Text})
		}
		if a.Name == "pocket.stl" {
			for _, t := range p.sum.Tiles {
				if t.File != nil {
					files = append(files, line{*t.File, "tile " + t.Name + " of it, in its place"})
				}
			}
			if s := p.sum.Shop; s != nil {
				files = append(files, line{s.File, "the pocket in the machine's frame"})
			}
			for _, t := range p.sum.Tiles {
				if t.ShopFile != nil {
					files = append(files, line{*t.ShopFile, "tile " + t.Name + " in the machine's frame"})
				}
			}
		}
	}
	for _, l := range p.twinLines() {
		files = append(files, line(l))
	}
	face := "inner"
	if p.m.Job.Pane.Lay == board.Bowl {
		face = "outer"
	}
	var text strings.Builder
	err := readmeTemplate.Execute(&text, map[string]any{
		"Job": p.m.Job.Name, "Cut": p.m.Job.Cut, "Date": p.date(),
		"Files": files, "Above": p.above(), "LedgeFace": face, "Mirror": p.mirrorWords(),
		"Mirrored": p.m.Mirror != board.MirrorNone,
		"Proof":    p.m.Proof, "Sum": p.sum.JobSHA256, "Correction": p.sum.Correction, "CutList": p.cutList(), "Shop": p.sum.Shop, "Tiles": p.sum.Tiles, "Day": p.day(),
		"Body": p.bodyLines(),
		"Pane": p.m.Pane, "Figures": p.m.Figures, "Pocket": p.pocket, "Why": p.m.Why,
		"Warnings": p.sum.Warnings, "Sigma2": func() string {
			if p.m.Pane == nil {
				return ""
			}
			return p.sigma2()
		}(),
	})
	buf.WriteString(sevenBit(text.String()))
	return err
}

// hang is a text wrapped at words behind what it is about.
func hang(name, text string) string {
	const width, column = 79, 20
	indent := column + 1
	if len(name) < 3 { // a dash
		indent = len(name) + 1
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%-*s", indent-1, name)
	at := max(indent-1, len(name))
	for _, word := range strings.Fields(text) {
		n := utf8.RuneCountInString(word)
		if at+1+n > width {
			b.WriteString("\n" + strings.Repeat(" ", indent-1))
			at = indent - 1
		}
		b.WriteString(" " + word)
		at += 1 + n
	}
	return b.String()
}

// mirrorWords says which half was measured.
func (p *pack) mirrorWords() string {
	switch p.m.Mirror {
	case board.MirrorLeft:
		return "The left half was measured; the right half is its mirror image."
	case board.MirrorRight:
		return "The right half was measured; the left half is its mirror image."
	case board.MirrorBoth:
		if p.m.Lopsided > 0 {
			return fmt.Sprintf("Both halves were measured and left as they are: the outline is really not its own\nmirror image (up to %.1f mm).", p.m.LopsidedMost)
		}
		return "Both halves were measured; the pane is fitted symmetric."
	default:
		return "The pane is not mirrored: left and right are as measured."
	}
}

// day says what to measure on the day that the fixture is used.
func (p *pack) day() string {
	if p.pocket == nil {
		return ""
	}
	name, length := p.reference()
	return fmt.Sprintf("Board materials move with moisture, about %.1f mm on a metre for one per cent:\nmeasure the 100 mm bar and, on the day, %s: %.1f mm.", moisture, name, length)
}

// sevenBit is a text without the characters that old programs stumble over.
func sevenBit(text string) string {
	text = strings.NewReplacer("°", " deg", "×", "x", "…", "...", "–", "-", "’", "'", "±", "+-").Replace(text)
	return strings.Map(func(r rune) rune {
		if r > 0x7e {
			return '?'
		}
		return r
	}, text)
}
