package handover

import (
	"bytes"
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/dxf"
	"panewright/export/stl"
	"panewright/geom"
)

const (
	chordTolerance = 0.01 // mm between a polyline twin and its curve
	labelHeight    = 8    // mm, heading lines
	stationHeight  = 4    // mm, station names
	checkLength    = 100  // mm, the check bar
	faceStep       = 12   // mm between the points of the glass mesh's faces
	caution        = "Measured model. Verify on the real glass. Not for cutting, grinding or altering glass."
)

func at(p r2.Vec) r3.Vec { return r3.Vec{X: p.X, Y: p.Y} }

func flat(p geom.Polygon) []r3.Vec {
	out := make([]r3.Vec, len(p))
	for i, q := range p {
		out[i] = at(q)
	}
	return out
}

// curve draws a closed plane curve at z = 0.
func curve(d *dxf.Drawing, layer string, c *geom.Curve) {
	knots, ctrl := c.Clamped()
	d.Spline(layer, knots, flat(ctrl), true, true)
}

// sheet is a drawing with the layers that both drawings share, its heading
// lines and its check bar below the shape whose least corner is low.
func (p *pack) sheet(title string, low r2.Vec, lines ...string) *dxf.Drawing {
	d := dxf.New()
	d.Comment(fmt.Sprintf("panewright %s%s, %s, cut %d, %s, job %s", title, p.v.scaleWord(), p.v.unit(), p.m.Job.Cut, p.m.Proof.Words(), p.sum.JobSHA256))
	d.Layer("centre-line", dxf.Red, dxf.Center)
	d.Layer("stations", dxf.Blue, dxf.Continuous)
	d.Layer("labels", dxf.White, dxf.Continuous)
	d.Layer("check-bar", dxf.Green, dxf.Continuous)
	lines = append([]string{
		fmt.Sprintf("%s - %s%s - cut %d", p.m.Job.Name, title, p.v.scaleWord(), p.m.Job.Cut),
		p.standing(),
		fmt.Sprintf("Units: %s. %s; seen from above (%s).", p.v.unit(), p.v.axisWords(), p.above()),
	}, lines...)
	lines = append(lines, caution)
	y := low.Y - 40
	bar := func(a, b r2.Vec) { d.Line("check-bar", at(a), at(b)) }
	length, name := p.v.checkBar()
	bar(r2.Vec{X: low.X, Y: y}, r2.Vec{X: low.X + length, Y: y})
	for _, x := range []float64{low.X, low.X + length} {
		bar(r2.Vec{X: x, Y: y - 3}, r2.Vec{X: x, Y: y + 3})
	}
	d.Text("check-bar", r3.Vec{X: low.X + length + 6, Y: y - 2}, stationHeight, name+": measure this bar after every import and print")
	for i, text := range lines {
		d.Text("labels", r3.Vec{X: low.X, Y: y - 20 - float64(i)*1.6*labelHeight}, labelHeight, text)
	}
	return d
}

// above says which face is seen from above.
func (p *pack) above() string {
	if p.m.Job.Pane.Lay == board.Bowl {
		return "inner face up, bowl"
	}
	return "outer face up, dome"
}

// sigma2 is the uncertainty of the outline as the files state it.
func (p *pack) sigma2() string {
	most := 0.0
	lo, hi := p.m.Pane.Outline.Period()
	for i := range 200 {
		most = max(most, p.m.OutlineSD(p.m.Pane.Outline.At(lo+(hi-lo)*float64(i)/200)))
	}
	full := ""
	if p.v.scaleWord() != "" {
		full = " at full size"
	}
	return fmt.Sprintf("Uncertainty of the outline about +-%s%s (2 sigma, at its worst place).", p.v.about(2*most), full)
}

// place is a named point on the silhouette.
type place struct {
	id string
	at r2.Vec
}

// stations are the edge readings that are neither struck nor suspect, each at
// the nearest point of the silhouette. With twins, a made half gets the mirror
// twin of every station of the measured half, named with a stroke.
func (p *pack) stations(twins bool) (out []place) {
	side := map[board.Mirror]float64{board.MirrorLeft: -1, board.MirrorRight: 1}[p.m.Mirror]
	for i, r := range p.m.Job.Readings {
		res := p.m.Results[i]
		if r.Kind != board.Edge || res.State == board.Suspect || res.State == board.StruckOut || !res.HasMiss {
			continue
		}
		q := p.m.BoardToGlass.Apply(r3.Vec{X: r.X.MM, Y: r.Y.MM, Z: res.Foot.Z})
		u, _ := p.m.Pane.Outline.Nearest(r2.Vec{X: q.X, Y: q.Y})
		foot := p.m.Pane.Outline.At(u)
		out = append(out, place{r.ID, foot})
		if twins && side*foot.X > 0 {
			out = append(out, place{r.ID + "'", r2.Vec{X: -foot.X, Y: foot.Y}})
		}
	}
	return out
}

func drawStations(d *dxf.Drawing, places []place) {
	for _, s := range places {
		d.Point("stations", at(s.at))
		d.Text("stations", at(s.at), stationHeight, s.id)
	}
}

// centreLine draws x = 0 past both ends of a box where the pane is mirrored.
func (p *pack) centreLine(d *dxf.Drawing, b r2.Box) {
	if p.m.Mirror != board.MirrorNone {
		d.Line("centre-line", r3.Vec{Y: b.Min.Y - 20}, r3.Vec{Y: b.Max.Y + 20})
	}
}

// outlineDrawing is the pane for the body designer, as the variant has it. Its
// silhouette comes in stretches between true breaks, or as one closed line.
func (p *pack) outlineDrawing(stretches bool) *dxf.Drawing {
	pane := p.pane()
	d := p.sheet("outline", p.v.low(pane), p.sigma2(),
		fmt.Sprintf("Glass %s thick. outline: silhouette%s; edge-upper and edge-lower: the two arrises in space.", p.v.size(pane.Thickness*p.v.by()), p.v.level()))
	if p.v.inch {
		d.Inches()
	}
	d.Layer("outline", dxf.White, dxf.Continuous)
	d.Layer("edge-upper", dxf.Cyan, dxf.Continuous)
	d.Layer("edge-lower", dxf.Magenta, dxf.Dashed)
	d.Layer("marks", dxf.Yellow, dxf.Continuous)
	var breaks []float64
	if stretches {
		breaks = p.breaks(pane)
	}
	p.silhouette(d, pane, breaks)
	for i, c := range []*geom.SpaceCurve{pane.UpperEdge, pane.LowerEdge} {
		knots, ctrl := c.Clamped()
		d.Spline([]string{"edge-upper", "edge-lower"}[i], knots, p.v.put(ctrl...), true, false)
	}
	if b := pane.Outline.Bounds(); p.m.Mirror != board.MirrorNone {
		ends := p.v.put(r3.Vec{Y: b.Min.Y - 20}, r3.Vec{Y: b.Max.Y + 20})
		d.Line("centre-line", ends[0], ends[1])
	}
	for _, s := range p.stations(false) {
		q := p.v.put(at(s.at))[0]
		d.Point("stations", q)
		d.Text("stations", q, stationHeight, s.id)
	}
	for _, k := range measured(p.m, board.Mark) {
		q := p.v.put(k.at)[0]
		d.Point("marks", q)
		d.Text("marks", q, stationHeight, k.label())
	}
	return d
}

// pocketDrawing is the fixture for the cutting shop.
func (p *pack) pocketDrawing() *dxf.Drawing {
	k := p.pocket
	face := "inner"
	if p.m.Job.Pane.Lay == board.Bowl {
		face = "outer"
	}
	d := p.sheet("fit-check pocket", k.Stock.Min,
		fmt.Sprintf("Wall clearance %.2f mm, seat %.1f mm, base %.1f mm, felt %.1f mm. The ledge carries the %s face.", k.Spec.Wall, k.Spec.Seat, k.Spec.Base, k.Spec.Felt, face),
		fmt.Sprintf("Stock %.1f x %.1f x %.1f mm. Finishing cutter: ball %.1f mm. Heights are in pocket.stl.", k.Stock.Max.X-k.Stock.Min.X, k.Stock.Max.Y-k.Stock.Min.Y, k.Top-k.Bottom, k.Spec.Cutter),
		"FIT-CHECK ONLY - NOT A LIFTING OR TRANSPORT FRAME")
	for _, l := range []struct {
		name   string
		colour int
		line   string
	}{
		{"wall", dxf.White, dxf.Continuous}, {"notches", dxf.Yellow, dxf.Continuous},
		{"ledge", dxf.Cyan, dxf.Continuous}, {"relief", dxf.Magenta, dxf.Dashed},
		{"stock", dxf.White, dxf.Continuous}, {"tiles", dxf.Green, dxf.Continuous},
		{"holes", dxf.Red, dxf.Continuous},
	} {
		d.Layer(l.name, l.colour, l.line)
	}
	curve(d, "wall", k.Wall)
	for _, n := range k.Notches {
		d.Polyline("notches", flat(n.Loop), true)
	}
	if k.LedgeCurve != nil {
		curve(d, "ledge", k.LedgeCurve)
	} else {
		d.Polyline("ledge", flat(k.Ledge), true)
	}
	if k.Relief != nil {
		curve(d, "relief", k.Relief)
	} else if len(k.ReliefLoop) > 0 {
		d.Polyline("relief", flat(k.ReliefLoop), true)
	}
	for _, c := range k.TooBigAt {
		if len(c.Loop) > 0 {
			d.Polyline("relief", flat(c.Loop), true)
		}
	}
	b := k.Stock
	d.Polyline("stock", []r3.Vec{at(b.Min), {X: b.Max.X, Y: b.Min.Y}, at(b.Max), {X: b.Min.X, Y: b.Max.Y}}, true)
	p.drawTiles(d)
	p.centreLine(d, b)
	drawStations(d, p.stations(true))
	return d
}

func (p *pack) outlineDXF(buf *bytes.Buffer) error {
	return dxf.WriteR2000(buf, p.outlineDrawing(true))
}
func (p *pack) outlineR12(buf *bytes.Buffer) error {
	return dxf.WriteR12(buf, p.outlineDrawing(false), chordTolerance)
}
func (p *pack) pocketDXF(buf *bytes.Buffer) error { return dxf.WriteR2000(buf, p.pocketDrawing()) }
func (p *pack) pocketR12(buf *bytes.Buffer) error {
	return dxf.WriteR12(buf, p.pocketDrawing(), chordTolerance)
}

// standing says whether a cut proved the shape, and which state of the job it is
// of.
func (p *pack) standing() string {
	return fmt.Sprintf("Outline and face: %s. Checksum of the job %s.", p.m.Proof.Words(), p.checksum())
}

// checksum is the beginning of the job's, enough to tell two apart.
func (p *pack) checksum() string { return p.sum.JobSHA256[:8] }

// header is the first line of an STL file: 80 plain letters.
func (p *pack) header(what string) string {
	return plainLetters(fmt.Sprintf("panewright %s%s, %s, cut %d, %s, job %s %s", what, p.v.scaleWord(), p.v.unit(), p.m.Job.Cut, p.m.Proof.Words(), p.checksum(), p.m.Job.Name), 80)
}

func (p *pack) glassSTL(buf *bytes.Buffer) error {
	m, err := p.pane().Mesh(faceStep)
	if err != nil {
		return err
	}
	m.V = p.v.put(m.V...)
	if p.v.inch {
		for i, q := range m.V {
			m.V[i] = r3.Scale(1/mmPerInch, q)
		}
	}
	return stl.Write(buf, m, p.header("glass"))
}

func (p *pack) pocketSTL(buf *bytes.Buffer) error {
	return stl.Write(buf, p.pocket.Mesh, p.header("pocket"))
}
