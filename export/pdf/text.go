package pdf

import (
	"math"
	"strings"
	"unicode"

	"gonum.org/v1/gonum/spatial/r2"
)

// Align says which end of a line of text stands at its place.
type Align int

// The alignments.
const (
	Left Align = iota
	Middle
	Right
)

// Letters are how text looks: its size in mm, from line to line without space
// between, upright or bold, or with figures and letters all of one width.
type Letters struct {
	Size       float64
	Bold, Mono bool
	Colour     Colour
}

// lead is from line to line, of the size of the letters.
const lead = 1.3

// printable is text that can be set: one line, and no letters beyond the plane
// that letters of living languages lie in.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r > 0xFFFE || r == unicode.ReplacementChar:
			return '?'
		case unicode.IsControl(r):
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

func (l Letters) choose(d *Document) {
	switch {
	case l.Mono:
		d.out.SetFont("gomono", "", l.Size*points)
	case l.Bold:
		d.out.SetFont("go", "B", l.Size*points)
	default:
		d.out.SetFont("go", "", l.Size*points)
	}
}

// Width is how wide a text is on paper, mm.
func (d *Document) Width(l Letters, s string) float64 {
	l.choose(d)
	return d.out.GetStringWidth(printable(s))
}

// Text writes a line of text on its base line at a place of the drawing. angle
// turns it about that place, degrees, counter-clockwise on the page.
func (a *Area) Text(l Letters, at r2.Vec, align Align, angle float64, s string) {
	s = printable(s)
	if s == "" {
		return
	}
	p := a.page
	d := p.doc
	p.raw("q")
	l.choose(d)
	shift := -d.out.GetStringWidth(s) / 2 * float64(align)
	on := a.view.On(at)
	sin, cos := sincos(angle)
	p.raw(num(cos) + " " + num(sin) + " " + num(-sin) + " " + num(cos) + " " + pt(on) + " cm " + l.Colour.operands() + " rg")
	_, height := d.out.GetPageSize()
	d.out.Text(shift, height, s)
	p.raw("Q")
}

// TextBox is the box that a line of text covers on the page, with a little air.
func (a *Area) TextBox(l Letters, at r2.Vec, align Align, s string) r2.Box {
	w := a.page.doc.Width(l, s)
	on := a.view.On(at)
	x := on.X - w/2*float64(align)
	return box(x-0.3*l.Size, on.Y-0.3*l.Size, x+w+0.3*l.Size, on.Y+0.9*l.Size)
}

// Sees tells whether a box of the page lies wholly in what is seen of it.
func (a *Area) Sees(b r2.Box) bool {
	return b.Min.X >= a.box.Min.X && b.Min.Y >= a.box.Min.Y && b.Max.X <= a.box.Max.X && b.Max.Y <= a.box.Max.Y
}

// Wrap breaks text into lines no wider than width mm, between words where it
// can. Line ends in it are kept.
func (d *Document) Wrap(l Letters, width float64, s string) []string {
	var out []string
	for _, para := range strings.Split(s, "\n") {
		line := ""
		for _, word := range strings.Fields(para) {
			switch longer := strings.TrimSpace(line + " " + word); {
			case d.Width(l, longer) <= width:
				line = longer
			case line == "":
				out, line = d.chop(l, width, word, out)
			default:
				out = append(out, line)
				out, line = d.chop(l, width, word, out)
			}
		}
		out = append(out, line)
	}
	return out
}

// chop breaks a word that is too wide for a line; what is left of it comes back.
func (d *Document) chop(l Letters, width float64, word string, lines []string) (out []string, rest string) {
	for _, r := range word {
		if rest != "" && d.Width(l, rest+string(r)) > width {
			lines, rest = append(lines, rest), ""
		}
		rest += string(r)
	}
	return lines, rest
}

func sincos(degrees float64) (sin, cos float64) { return math.Sincos(degrees * math.Pi / 180) }
