package handover

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/export/pdf"
	"panewright/geom"
)

const cornerUse = "The edge round each corner, for card: cut along it and offer either piece up to the glass. A gap to the light under 0.5 mm (1/64 in) is good."

// cornerParams are the places, along a closed curve, in the middle of its
// corners: where it turns by more than 35° within 80 mm (our own figures).
func cornerParams(c *geom.Curve) (out []float64) {
	const (
		step, within, apart = 2.0, 80.0, 120.0 // mm
		least               = 35 * math.Pi / 180
	)
	length := c.Length()
	n := int(length / step)
	if n < 3*int(within/step) {
		return nil
	}
	turn := make([]float64, n)
	heading := make([]float64, n)
	for i := range n {
		t := c.Tangent(c.ParamAt(length * float64(i) / float64(n)))
		heading[i] = math.Atan2(t.Y, t.X)
	}
	half := int(within / step / 2)
	at := func(i int) int { return ((i % n) + n) % n }
	for i := range n {
		for k := i - half; k < i+half; k++ {
			turn[i] += math.Remainder(heading[at(k+1)]-heading[at(k)], 2*math.Pi)
		}
	}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return int(math.Copysign(1, turn[b]-turn[a])) * btoi(turn[a] != turn[b]) })
	var taken []int
	for _, i := range order {
		away := func(k int) bool {
			d := float64(at(i-k)) * step
			return min(d, length-d) < apart
		}
		if turn[i] >= least && !slices.ContainsFunc(taken, away) {
			taken = append(taken, i)
		}
	}
	slices.Sort(taken)
	for _, i := range taken {
		out = append(out, c.ParamAt(length*float64(i)/float64(n)))
	}
	return out
}

func btoi(b bool) int {
	if b {
		return 1
	}
	return 0
}

// corners prints the corner cards, as many on a sheet as fit.
func (s *templateSet) corners() {
	const width, height = 165.0, 118.0 // mm, least of a card
	w := window(s.sheet)
	size := r2.Sub(w.Max, w.Min)
	cols, rows := max(1, int(size.X/width)), max(1, int(size.Y/height))
	shape := s.p.whole()
	part := templatePart{name: "Corner cards", use: cornerUse, first: s.doc.Pages() + 1}
	var page *pdf.Page
	for n, u := range cornerParams(shape.outline) {
		slot := n % (cols * rows)
		if slot == 0 {
			page = s.doc.Page(s.sheet)
			s.frame(page, "Corner cards", s.about(page))
		}
		col, row := float64(slot%cols), float64(rows-1-slot/cols)
		step := r2.Vec{X: size.X / float64(cols), Y: size.Y / float64(rows)}
		card := r2.Box{Min: r2.Vec{X: w.Min.X + col*step.X, Y: w.Min.Y + row*step.Y}}
		card.Max = r2.Add(card.Min, step)
		page.Rect(cutPen, card)
		s.corner(page, card, shape, n+1, u)
	}
	if part.last = s.doc.Pages(); part.last >= part.first {
		s.parts = append(s.parts, part)
	}
}

// corner draws the outline round the middle of a corner.
func (s *templateSet) corner(page *pdf.Page, card r2.Box, shape *paperShape, number int, u float64) {
	at := shape.outline.At(u)
	inward := r2.Scale(-20, shape.outline.Normal(u))
	middle := r2.Add(at, inward)
	on := r2.Scale(0.5, r2.Add(card.Min, card.Max))
	v := pdf.View{Scale: s.scale, At: r2.Vec{X: on.X - s.scale.X*middle.X, Y: on.Y - s.scale.Y*middle.Y}}
	page.Window(card, v, func(a *pdf.Area) {
		grid(a, card, s.p.m.Job.Unit)
		shape.draw(a)
		text := fmt.Sprintf("Corner %d: %s", number, s.whereabouts(at))
		a.Text(pdf.Letters{Size: 3, Bold: true}, v.Back(r2.Vec{X: card.Min.X + 4, Y: card.Max.Y - 6}), pdf.Left, 0, text)
	})
}

// whereabouts says roughly where a place of the outline lies.
func (s *templateSet) whereabouts(p r2.Vec) string {
	b := s.p.m.Pane.Outline.Bounds()
	mid := r2.Scale(0.5, r2.Add(b.Min, b.Max))
	up, side := "bottom", "left"
	if p.Y > mid.Y {
		up = "top"
	}
	if p.X > mid.X {
		side = "right"
	}
	return up + " " + side
}
