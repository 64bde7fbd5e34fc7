package board

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// cornerWindow is the stretch of edge, mm, that the tightest corner is taken
// over: long enough for a fitted curve's overshoot beside a corner to even out,
// shorter than the arc of any corner.
const cornerWindow = 4.0

// figures works out the sizes of the finished pane.
func (s *solve) figures() {
	f := &s.m.Figures
	s.misses()
	if s.m.Free != nil {
		f.SigmaFound = s.m.Free.Sigma
	}
	if s.outline != nil {
		f.SigmaFound = s.outline.Sigma
	}
	for _, l := range []*CentreLine{s.m.Found, s.m.Used} {
		if l != nil && s.lesserShare(l.Plane) >= bothHalves {
			l.AsymmetryRMS, l.AsymmetryMax = fit.Asymmetry(s.m.Free, s.m.FreeFace, l.Plane)
		}
	}
	if l := s.m.Used; l != nil {
		f.AsymmetryRMS, f.AsymmetryMax = l.AsymmetryRMS, l.AsymmetryMax
	}
	p := s.m.Pane
	if p == nil {
		return
	}
	b := p.Outline.Bounds()
	f.Girth, f.Area = p.Outline.Length(), p.Outline.Area()
	f.Width, f.Length = b.Max.X-b.Min.X, b.Max.Y-b.Min.Y
	f.LeastRadius, _ = p.Outline.LeastRadiusOver(cornerWindow)
	f.FaceArea = p.FaceArea()
	f.Mass = p.Volume() * glassDensity
	cross, foreAft, radius := sags(p)
	f.CrossSag, f.ForeAftSag, f.FaceLeastRadius = cross.sag, foreAft.sag, radius
	f.CrossSagU, f.ForeAftSagU = s.m.sagU(cross), s.m.sagU(foreAft)
	if l := s.m.Used; l == nil || l.Source != "typed" || s.m.Found != nil {
		s.m.outlineU() // with a typed line and none found, the width is anybody's guess
	}
}

// misses sums up the readings that were kept.
func (s *solve) misses() {
	f := &s.m.Figures
	var n, nh, sum, sumH float64
	for i, r := range s.m.Results {
		if r.State != Kept {
			continue
		}
		if r.HasMiss {
			n++
			sum += r.Miss * r.Miss
			f.LargestMiss = max(f.LargestMiss, math.Abs(r.Miss))
		}
		if r.HasHeight && !s.badZ[i] {
			nh++
			sumH += r.HeightMiss * r.HeightMiss
			f.FaceLargestMiss = max(f.FaceLargestMiss, math.Abs(r.HeightMiss))
		}
	}
	f.TypicalMiss = math.Sqrt(sum / max(n, 1))
	f.FaceTypicalMiss = math.Sqrt(sumH / max(nh, 1))
}

// bow is a section of a face where it sags the most.
type bow struct {
	sag          float64
	from, to, at r2.Vec // plan: its ends and the place farthest from their chord
	share        float64
}

// sags are the sections across and fore and aft along which the upper face lies
// farthest from its chord, and the least radius of the face, mm. Sections run
// from edge to edge every 20 mm or closer.
func sags(p *geom.Pane) (cross, foreAft bow, radius float64) {
	loop := plan(p.UpperEdge)
	b := p.Outline.Bounds()
	const lines = 60
	radius = math.Inf(1)
	larger := func(best *bow, lo, hi float64, place func(along float64) r2.Vec) {
		d, share := sag(func(a float64) float64 { q := place(a); return p.Upper.At(q.X, q.Y) }, lo, hi)
		if d > best.sag {
			*best = bow{d, place(lo), place(hi), place(lo + share*(hi-lo)), share}
		}
	}
	for i := 1; i < lines; i++ {
		f := float64(i) / lines
		y := b.Min.Y + f*(b.Max.Y-b.Min.Y)
		if lo, hi, ok := chord(loop, func(q r2.Vec) (float64, float64) { return q.X, q.Y }, y); ok {
			larger(&cross, lo, hi, func(a float64) r2.Vec { return r2.Vec{X: a, Y: y} })
			for k := 0; k <= 24; k++ {
				_, _, k1, k2 := p.Upper.Eval(lo+(hi-lo)*float64(k)/24, y).Curvature()
				if c := max(math.Abs(k1), math.Abs(k2)); c > 0 {
					radius = min(radius, 1/c)
				}
			}
		}
		x := b.Min.X + f*(b.Max.X-b.Min.X)
		if lo, hi, ok := chord(loop, func(q r2.Vec) (float64, float64) { return q.Y, q.X }, x); ok {
			larger(&foreAft, lo, hi, func(a float64) r2.Vec { return r2.Vec{X: x, Y: a} })
		}
	}
	if math.IsInf(radius, 1) {
		radius = 0
	}
	return cross, foreAft, radius
}

// plan is the plan of a space curve as a polygon.
func plan(c *geom.SpaceCurve) geom.Polygon {
	const n = 720
	lo, hi := c.Period()
	p := make(geom.Polygon, n)
	for i := range p {
		q := c.At(lo + (hi-lo)*float64(i)/n)
		p[i] = r2.Vec{X: q.X, Y: q.Y}
	}
	return p
}

// chord is the stretch of the line across = level inside a loop, from the
// first crossing to the last, in the along coordinate.
func chord(loop geom.Polygon, coords func(r2.Vec) (along, across float64), level float64) (lo, hi float64, ok bool) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i, p := range loop {
		a0, c0 := coords(p)
		a1, c1 := coords(loop[(i+1)%len(loop)])
		if (c0 < level) == (c1 < level) {
			continue
		}
		a := a0 + (a1-a0)*(level-c0)/(c1-c0)
		lo, hi = min(lo, a), max(hi, a)
	}
	return lo, hi, hi > lo
}

// sag is the greatest distance of a section from its chord and how far along
// that is, as a share of it.
func sag(z func(float64) float64, lo, hi float64) (best, share float64) {
	const n = 80
	z0, z1 := z(lo), z(hi)
	length := math.Hypot(hi-lo, z1-z0)
	for i := 1; i < n; i++ {
		a := lo + (hi-lo)*float64(i)/n
		d := ((z(a)-z0)*(hi-lo) - (a-lo)*(z1-z0)) / length
		if math.Abs(d) > best {
			best, share = math.Abs(d), float64(i)/n
		}
	}
	return best, share
}

// report writes the findings that only a solve can make.
func (s *solve) report() {
	add := func(list string, row int, field, code, text string) {
		s.m.Findings = append(s.m.Findings, Finding{List: list, Row: row, Field: field, Code: code, Text: text})
	}
	for i, res := range s.m.Results {
		r := s.job.Readings[i]
		switch {
		case r.Struck:
		case res.State == Suspect && r.Kind == Edge:
			add("edge", s.job.Place(i).Row, "x", "suspect", fmt.Sprintf("Station %s lies %s off the edge that its neighbours make. Read it again, or strike it.", r.ID, s.job.length(math.Abs(res.Miss))))
		case s.badZ[i]:
			add(r.Kind.String(), s.job.Place(i).Row, "z", "suspect", fmt.Sprintf("The height of %s lies %s off the face that its neighbours make. Read it again, or strike it.", r.ID, s.job.length(math.Abs(res.HeightMiss))))
		}
	}
	if ids := s.firstOnly().outOfOrder(); len(ids) > 0 {
		add("edge", 0, "", "order", fmt.Sprintf("The stations do not follow one another round the edge as they stand in the list: see %s. They were put in order for the outline; the list is as you typed it.", strings.Join(ids, ", ")))
	}
	if s.m.Why != "" {
		add("job", 0, "", "no-pane", s.m.Why)
	}
	if s.m.WhyNotFound != "" && s.m.Used != nil {
		add("job", 0, "centre", "centre-not-determined", "The readings do not say where the centre line is; the typed one is used. "+s.m.WhyNotFound)
	}
	if f := s.m.Figures; s.m.Free != nil && f.SigmaFound > 1.5*s.job.Sigma && s.job.Sigma > 0 {
		add("job", 0, "sigma", "sigma-large", fmt.Sprintf("The stations scatter by %s where %s was expected: check the grid, the square and the pencil, or raise the expected figure.", s.job.length(f.SigmaFound), s.job.length(s.job.Sigma)))
	}
	s.straightTapes(add)
	for _, row := range s.badTapes {
		t := s.job.Tapes[row]
		add("tapes", row+1, "length", "tape-doubtful", fmt.Sprintf("The width taped at %s does not go with the other readings and was left out of the centre line. Tape it again, or strike it.", t.From))
	}
	for _, i := range s.centres {
		if r, res := s.job.Readings[i], s.m.Results[i]; res.State == Suspect {
			add("centre", s.job.Place(i).Row, "x", "suspect", fmt.Sprintf("The centre mark %s lies %s off the centre line that all the rest makes. Look at it again, or strike it.", r.ID, s.job.length(math.Abs(res.Miss))))
		}
	}
	s.joinFindings(add)
	s.scaleFinding(add)
	s.doubts(add)
}

// outOfOrder are the stations, four at most, that step back against the way
// that the others run round the edge. Repeats and check stations on the made
// half are read whenever the person likes.
func (s *solve) outOfOrder() (ids []string) {
	if s.m.Free == nil || s.arris == nil {
		return nil
	}
	const repeat = 5 // mm along the edge within which a later station is a second reading
	c := s.m.Free.Curve
	length := c.Length()
	step := func(from, to float64) float64 { return math.Remainder(to-from, length) }
	side := map[Mirror]float64{MirrorLeft: -1, MirrorRight: 1}[s.m.Mirror]
	var at []float64
	var id []string
	way := 0.0
	for k, i := range s.edge {
		made := s.m.Used != nil && side*s.m.Used.Plane.Dist(s.arris[k]) < -overlap
		p := c.LengthTo(s.m.Free.Param[k])
		again := slices.ContainsFunc(at, func(q float64) bool { return math.Abs(step(q, p)) < repeat })
		if !s.kept(k) || made || again {
			continue
		}
		if len(at) > 0 {
			way += math.Copysign(1, step(at[len(at)-1], p))
		}
		at, id = append(at, p), append(id, s.job.Readings[i].ID)
	}
	for n := 1; n < len(at) && len(ids) < 4; n++ {
		if step(at[n-1], at[n])*way < 0 {
			ids = append(ids, id[n])
		}
	}
	return ids
}

// straightTapes compares lengths taped between two stations with the readings.
func (s *solve) straightTapes(add func(list string, row int, field, code, text string)) {
	find := func(id string) int {
		for k, i := range s.edge {
			if s.job.Readings[i].ID == id && s.kept(k) {
				return k
			}
		}
		return -1
	}
	sxy, _ := s.job.sigmas()
	for row, t := range s.job.Tapes {
		if t.Struck || t.How != Straight || !t.Length.Set || s.arris == nil {
			continue
		}
		a, b := find(t.From), find(t.To)
		if a < 0 || b < 0 {
			continue
		}
		p, q := s.onEdge(a), s.onEdge(b)
		read := math.Sqrt((p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y) + (p.Z-q.Z)*(p.Z-q.Z))
		if d := t.Length.MM - read; math.Abs(d) > 3*math.Sqrt2*sxy {
			add("tapes", row+1, "length", "tape-differs", fmt.Sprintf("From %s to %s the tape says %s, the readings %s: the grid's pitch may be off, or one of the three was misread.", t.From, t.To, s.job.length(t.Length.MM), s.job.length(read)))
		}
	}
}

// onEdge is where a tape touches the k-th station: the silhouette, at the
// height of the edge.
func (s *solve) onEdge(k int) r3.Vec {
	return r3.Vec{X: s.marks[k].P.X, Y: s.marks[k].P.Y, Z: s.arris[k].Z}
}
