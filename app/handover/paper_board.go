package handover

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/export/pdf"
	"panewright/geom"
)

// boardBox is what the picture of the board shows: the grid, the pane, and every
// reading that lies within half a metre of them.
func (p *pack) boardBox() r2.Box {
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	if g, ok := p.m.Job.Grid.Bounds(); ok {
		b = g
	}
	for _, q := range append(append([]r2.Vec{}, p.m.MeasuredHalf...), p.m.MadeHalf...) {
		b = grow(b, q)
	}
	near := b
	for i, r := range p.m.Job.Readings {
		res := p.m.Results[i]
		at := r2.Vec{X: res.At.X, Y: res.At.Y}
		const far = 500 // mm
		if r.Struck || !res.Placed || near.Max.X > near.Min.X && boxDistance(near, at) > far {
			continue
		}
		b = grow(b, at)
	}
	if !(b.Max.X > b.Min.X) || !(b.Max.Y > b.Min.Y) {
		return r2.Box{Max: r2.Vec{X: 1000, Y: 600}}
	}
	return b
}

func boxDistance(b r2.Box, p r2.Vec) float64 {
	dx := max(b.Min.X-p.X, 0, p.X-b.Max.X)
	dy := max(b.Min.Y-p.Y, 0, p.Y-b.Max.Y)
	return math.Hypot(dx, dy)
}

// boardPicture draws the board seen from above, with its grid and the pane on it.
func (p *pack) boardPicture(page *pdf.Page, part r2.Box, readings bool) {
	b := p.boardBox()
	inner := r2.Box{Min: r2.Add(part.Min, r2.Vec{X: 7, Y: 6}), Max: r2.Sub(part.Max, r2.Vec{X: 7, Y: 6})}
	page.Over(pdf.Fit(b, inner), func(a *pdf.Area) {
		p.gridLines(a)
		loop := pdf.Pen{Width: 0.35, Colour: ink}
		if len(p.m.MeasuredHalf) > 1 {
			a.Lines(loop, p.m.MeasuredHalf)
		}
		if len(p.m.MadeHalf) > 1 {
			made := loop
			made.Dash = pdf.Dashed
			a.Lines(made, p.m.MadeHalf)
		}
		p.boardCentre(a, b)
		p.boardReadings(a, readings)
	})
}

// gridLines draws the drawn grid with its names at both ends.
func (p *pack) gridLines(a *pdf.Area) {
	g := p.m.Job.Grid
	b, ok := g.Bounds()
	if !ok {
		return
	}
	px, py := g.Pitch()
	pen := func(n int) pdf.Pen {
		if n%5 == 0 {
			return pdf.Pen{Width: 0.18, Colour: pdf.Colour{R: 189, G: 180, B: 166}}
		}
		return pdf.Pen{Width: 0.1, Colour: gridGrey}
	}
	l := pdf.Letters{Size: 2, Colour: textGrey}
	s := a.View().Scale.X
	skip := func(pitch, size float64) int { return max(1, int(math.Ceil(size/(pitch*s)))) }
	every := skip(px, 4)
	for n := g.ColFirst; n <= g.ColLast; n++ {
		x := float64(n) * px
		a.Line(pen(n), r2.Vec{X: x, Y: b.Min.Y}, r2.Vec{X: x, Y: b.Max.Y})
		if n%every == 0 {
			a.Text(l, r2.Vec{X: x, Y: b.Max.Y + 1.2/s}, pdf.Middle, 0, g.ColLabel(n))
			a.Text(l, r2.Vec{X: x, Y: b.Min.Y - 2.8/s}, pdf.Middle, 0, g.ColLabel(n))
		}
	}
	every = skip(py, 3)
	for i := range g.Rows {
		y := float64(g.RowA+i) * py
		a.Line(pen(g.RowA+i), r2.Vec{X: b.Min.X, Y: y}, r2.Vec{X: b.Max.X, Y: y})
		if i%every == 0 {
			a.Text(l, r2.Vec{X: b.Min.X - 1/s, Y: y - 0.7/s}, pdf.Right, 0, g.RowLabel(i))
			a.Text(l, r2.Vec{X: b.Max.X + 1/s, Y: y - 0.7/s}, pdf.Left, 0, g.RowLabel(i))
		}
	}
}

// boardCentre draws the centre line in use, and the one found where another was
// typed.
func (p *pack) boardCentre(a *pdf.Area, b r2.Box) {
	draw := func(c *board.CentreLine, pen pdf.Pen) {
		at := func(y float64) r2.Vec { return r2.Vec{X: c.Plane.XAt(y, c.Point.Z), Y: y} }
		a.Line(pen, at(b.Min.Y), at(b.Max.Y))
	}
	if p.m.Mirror == board.MirrorNone || p.m.Used == nil {
		return
	}
	draw(p.m.Used, centrePen)
	if p.m.Found != nil && p.m.Used.Source == "typed" {
		draw(p.m.Found, pdf.Pen{Width: 0.2, Colour: faceGreen, Dash: pdf.DashDot})
	}
}

// boardReadings draws every reading where it stands: stations as circles, face
// readings as crosses, centre marks as diamonds, other marks as triangles;
// suspects ringed with a tail to where they would fit. Without values, stations
// alone.
func (p *pack) boardReadings(a *pdf.Area, all bool) {
	names := newNames(a)
	middle := p.boardMiddle()
	seen := p.boardBox()
	for pass := range 2 { // the names of suspects first
		for i, r := range p.m.Job.Readings {
			res := p.m.Results[i]
			at := r2.Vec{X: res.At.X, Y: res.At.Y}
			suspect := res.State == board.Suspect || res.BadHeight
			if !res.Placed || boxDistance(seen, at) > 0 || !all && (r.Kind != board.Edge || res.State != board.Kept) || suspect != (pass == 0) {
				continue
			}
			p.mark(a, r.Kind, res, at)
			if r.Kind != board.Face || suspect {
				l := pdf.Letters{Size: 1.9, Colour: ink}
				if suspect {
					l.Colour = wrong
				}
				names.put(l, at, r2.Sub(at, middle), 1.6, r.ID)
			}
		}
	}
}

// boardMiddle is the middle of the pane on the board, or of the board.
func (p *pack) boardMiddle() r2.Vec {
	if len(p.m.MeasuredHalf) > 0 {
		sum, all := r2.Vec{}, append(append([]r2.Vec{}, p.m.MeasuredHalf...), p.m.MadeHalf...)
		for _, q := range all {
			sum = r2.Add(sum, q)
		}
		return r2.Scale(1/float64(len(all)), sum)
	}
	b := p.boardBox()
	return r2.Scale(0.5, r2.Add(b.Min, b.Max))
}

// mark draws the sign of one reading.
func (p *pack) mark(a *pdf.Area, kind board.Kind, res board.Result, at r2.Vec) {
	v := a.View()
	on := func(x, y float64) r2.Vec { return r2.Add(at, r2.Vec{X: x / v.Scale.X, Y: y / v.Scale.Y}) }
	pen := pdf.Pen{Width: 0.2, Colour: ink}
	switch {
	case res.State == board.StruckOut:
		pen.Colour = textGrey
		a.Circle(pen, false, at, 0.8)
		a.Line(pen, on(-0.9, -0.9), on(0.9, 0.9))
		a.Line(pen, on(-0.9, 0.9), on(0.9, -0.9))
		return
	case res.State == board.Suspect || res.BadHeight:
		ring := pdf.Pen{Width: 0.3, Colour: wrong}
		a.Circle(ring, false, at, 1.5)
		if foot := (r2.Vec{X: res.Foot.X, Y: res.Foot.Y}); res.HasMiss && res.State == board.Suspect {
			a.Line(ring, at, foot)
		}
	}
	switch kind {
	case board.Edge:
		a.Circle(pen, false, at, 0.7)
	case board.Face:
		pen.Colour = faceGreen
		a.Cross(pen, at, 0.9)
	case board.Centre:
		pen.Colour = lineRed
		a.Loop(pen, []r2.Vec{on(0, 1.2), on(-1, 0), on(0, -1.2), on(1, 0)})
	default:
		a.Loop(pen, []r2.Vec{on(0, 1.1), on(-1, -0.7), on(1, -0.7)})
	}
}

// glassStations draws the outline with the stations' names, and those of the
// twins of a made half, at any scale.
func (p *pack) glassStations(page *pdf.Page, part r2.Box) {
	c := p.m.Pane.Outline
	b := c.Bounds()
	inner := r2.Box{Min: r2.Add(part.Min, r2.Vec{X: 9, Y: 5}), Max: r2.Sub(part.Max, r2.Vec{X: 9, Y: 5})}
	page.Over(pdf.Fit(b, inner), func(a *pdf.Area) {
		a.Curve(pdf.Pen{Width: 0.35, Colour: ink}, pdf.Closed(c))
		if p.m.Mirror != board.MirrorNone {
			a.Line(centrePen, r2.Vec{Y: b.Min.Y - 15}, r2.Vec{Y: b.Max.Y + 15})
		}
		names := newNames(a)
		for _, s := range p.stations(true) {
			a.Circle(pdf.Pen{Width: 0.2, Colour: ink}, true, s.at, 0.5)
			outName(names, c, s, 1.6)
		}
	})
}

// outName puts the name of a station outside the outline.
func outName(n *names, c *geom.Curve, s place, off float64) {
	u, _ := c.Nearest(s.at)
	n.put(pdf.Letters{Size: 2.2, Colour: ink}, s.at, c.Normal(u), off, s.id)
}
