package handover

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	stepfile "panewright/export/step"
	"panewright/geom"
)

// bowl tells whether the pane lies with its inner face up.
func (p *pack) bowl() bool { return p.m.Job.Pane.Lay == board.Bowl }

// glassSTEP writes the pane as one closed solid with its true thickness.
func (p *pack) glassSTEP(buf *bytes.Buffer) error {
	d := stepfile.Document{Solids: []stepfile.Solid{{Name: "glass", Group: "glass", Pane: p.pane()}}}
	return p.document(buf, "glass", d)
}

// facesSTEP writes the faces without thickness, the arrises, what the body
// designer asked for, and the places that were measured.
func (p *pack) facesSTEP(buf *bytes.Buffer) error {
	d, done := p.faces[p.pane()]
	if !done {
		var err error
		if d, err = p.facesOf(p.pane()); err != nil {
			return err
		}
		p.faces[p.pane()] = d
	}
	return p.document(buf, "faces", d)
}

// document writes a document as the variant has it, with what it is in its head.
func (p *pack) document(buf *bytes.Buffer, what string, d stepfile.Document) error {
	d.Name, d.Date, d.Inch = p.m.Job.Name, p.date(), p.v.inch
	d.Frame, d.Scale = p.v.frame, p.v.by()
	d.Notes = []string{
		fmt.Sprintf("%s%s - %s - cut %d", p.m.Job.Name, p.v.scaleWord(), what, p.m.Job.Cut),
		p.standing(),
		fmt.Sprintf("Units: %s. %s. As it lay: %s.", p.v.unit(), p.v.axisWords(), p.above()),
		fmt.Sprintf("The outer face is the %s one, the inner face the %s one.", p.upOrDown("outer"), p.upOrDown("inner")),
		p.sigma2(), caution,
	}
	return stepfile.Write(buf, d)
}

// upOrDown says which of a pane's faces is the outer or inner one.
func (p *pack) upOrDown(name string) string {
	if (name == "inner") == p.bowl() {
		return "upper"
	}
	return "lower"
}

// date is the job's date where it is one, for the heads of files.
func (p *pack) date() string {
	if !board.IsDate(p.m.Job.Date) {
		return ""
	}
	return p.m.Job.Date
}

// facesOf is what faces.step holds, of a pane in the glass frame. A shape that was
// asked for and cannot be made is left out, with a warning that says why.
func (p *pack) facesOf(pane *geom.Pane) (stepfile.Document, error) {
	var d stepfile.Document
	both := p.skins(pane)
	for _, s := range both {
		d.Sheets = append(d.Sheets, stepfile.Sheet{Name: s.name + " face", Group: "faces", Face: s.face, Edge: s.edge})
		d.Curves = append(d.Curves, stepfile.Curve{Name: s.name + " edge", Group: "edges", Spline: stepfile.Closed(s.edge)})
	}
	d.Curves = append(d.Curves, stepfile.Curve{Name: "silhouette", Group: "silhouette", Spline: stepfile.Flat(pane.Outline, 0)})
	if p.m.Mirror != board.MirrorNone {
		b := pane.Outline.Bounds()
		d.Curves = append(d.Curves, stepfile.Curve{Name: "centre line", Group: "centre line",
			Spline: stepfile.Straight(r3.Vec{Y: b.Min.Y - 20}, r3.Vec{Y: b.Max.Y + 20})})
	}
	p.shapes(&d, both[0], both[1], pane)
	for _, s := range both {
		if p.body.Sections > 0 {
			cuts, err := s.sections(p.body.Sections)
			p.made("sections", err)
			d.Curves = append(d.Curves, cuts...)
		}
	}
	for _, k := range []struct {
		kind  board.Kind
		group string
	}{{board.Edge, "stations"}, {board.Face, "heights"}, {board.Centre, "centre marks"}, {board.Mark, "marks"}} {
		for _, s := range measured(p.m, k.kind) {
			d.Points = append(d.Points, stepfile.Point{Name: s.label(), Group: k.group, At: s.at})
		}
	}
	return d, p.ctx.Err()
}

// shapes adds what the body designer asked for beside the faces.
func (p *pack) shapes(d *stepfile.Document, outer, inner skin, pane *geom.Pane) {
	if p.body.Extend > 0 {
		if s, err := outer.extended(p.body.Extend); p.made("extended face", err) {
			d.Sheets = append(d.Sheets, s)
		}
	}
	bonded := inner
	if p.body.Glue > 0 {
		face, edge, err := inner.parallel(inner.away * p.body.Glue)
		if !p.made("face at the glue line", err) {
			return // and no flange, which would lie elsewhere than asked for
		}
		bonded = skin{"glue line", face, edge, inner.away}
		d.Sheets = append(d.Sheets, stepfile.Sheet{Name: "glue line", Group: "glue line", Face: face, Edge: edge})
	}
	if p.body.Flange > 0 {
		if s, err := bonded.flange(p.body.Flange); p.made("flange", err) {
			d.Sheets = append(d.Sheets, s)
		}
	}
	if p.body.PanelGap > 0 {
		if c, err := outer.aperture(p.body.PanelGap, pane); p.made("aperture line", err) {
			d.Curves = append(d.Curves, stepfile.Curve{Name: "aperture line", Group: "aperture line", Spline: stepfile.Closed(c)})
		}
	}
}

// made tells whether a shape could be made, and warns where it could not.
func (p *pack) made(what string, err error) bool {
	if err == nil {
		return true
	}
	w := Warning{"no-shape", fmt.Sprintf("There is no %s in faces.step: %s.", what, plainly(err))}
	if !slices.Contains(p.sum.Warnings, w) {
		p.sum.Warnings = append(p.sum.Warnings, w)
	}
	return false
}

// plainly is an error without the name of the package that it comes from.
func plainly(err error) string {
	var offset *geom.OffsetError
	if errors.As(err, &offset) {
		return fmt.Sprintf("%s, at x %.0f, y %.0f", offset.Reason, offset.At.X, offset.At.Y)
	}
	s := err.Error()
	for _, prefix := range []string{"geom: ", "step: "} {
		s = strings.TrimPrefix(s, prefix)
	}
	return s
}

// bodyLines say in README.txt what faces.step holds beside the faces, and where
// twins of the files stand.
func (p *pack) bodyLines() (lines []string) {
	groups := map[string]bool{}
	d := p.faces[p.m.Pane]
	for _, s := range d.Sheets {
		groups[s.Group] = true
	}
	for _, c := range d.Curves {
		groups[c.Group] = true
	}
	say := func(group, format string, args ...any) {
		if groups[group] {
			lines = append(lines, fmt.Sprintf(format, args...))
		}
	}
	b, bonded := p.body, "inner face"
	if b.Glue > 0 {
		bonded = "face at the glue line"
	}
	say("faces", "faces.step: points are the readings that were kept; a station stands at the widest\nplace of the edge, at the height of its upper edge.")
	say("glue line", "faces.step: the glue line is %g mm off the inner face, away from the glass.", b.Glue)
	say("extended", "faces.step: the extended face is the outer face, continued %g mm past its edge.\nWhat lies past the edge was not measured.", b.Extend)
	say("flange", "faces.step: the flange is a strip %g mm wide of the %s.", b.Flange, bonded)
	say("aperture line", "faces.step: the aperture line is %g mm off the widest place of the edge, in the\nline of the outer face.", b.PanelGap)
	say("sections", "faces.step: sections across and down every %g mm, from the origin.", b.Sections)
	for _, v := range p.twins {
		if v.frame != nil && !v.inch {
			lines = append(lines, fmt.Sprintf("*%s.*: %s.", v.suffix, v.axes))
		}
	}
	if p.otherHand {
		lines = append(lines, otherHandFolder+"/: the same files for the mirror image of the pane, as for the other side of\nthe car: readings mirrored, outer face still the outer one.")
	}
	return lines
}
