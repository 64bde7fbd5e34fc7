package board

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// symmetricInput are the readings in a frame whose x = 0 is the centre plane.
// keep chooses among the points of the board; stations that look like slips go
// in only where suspects are wanted, as such.
func (s *solve) symmetricInput(frame geom.Frame, keep func(r3.Vec) bool, suspects bool) (in input) {
	in.used = map[int]bool{}
	s.markOf = map[int]int{}
	for k, i := range s.edge {
		if !s.kept(k) && !suspects || !keep(s.arris[k]) {
			continue
		}
		p := frame.Apply(s.arris[k])
		if !s.job.Readings[i].Z.Set || s.badZ[i] || !s.kept(k) {
			p.Z = math.NaN()
		}
		if suspects {
			in.Aside = append(in.Aside, !s.kept(k))
		}
		s.markOf[i] = len(in.Edge)
		in.edges = append(in.edges, i)
		in.used[i] = true
		sxy, sz := s.sds(i)
		in.Edge = append(in.Edge, fit.Mark{P: p, SXY: sxy, SZ: sz, Sure: s.job.Readings[i].Sure, Break: s.job.Readings[i].Break})
	}
	for k, i := range s.face {
		if s.badZ[i] || !keep(s.upper[k]) {
			continue
		}
		in.used[i] = true
		in.faces = append(in.faces, i)
		sxy, sz := s.sds(i)
		in.Face = append(in.Face, fit.Mark{P: frame.Apply(s.upper[k]), SXY: sxy, SZ: sz, Sure: s.job.Readings[i].Sure})
	}
	return in
}

// input is what goes into a final fit and which readings that are.
type input struct {
	fit.SymmetricInput
	used         map[int]bool
	edges, faces []int // readings of Edge and Face
	tapes        []int // rows of Widths
}

// centreMarks are the marks on the pane's centre line in a frame. A mark
// without a height lies on the face.
func (s *solve) centreMarks(frame geom.Frame) (marks []fit.Mark) {
	for _, i := range s.centres {
		r := s.job.Readings[i]
		sd := float64(centreMarkSD)
		if r.SD.Set && r.SD.MM > 0 {
			sd = r.SD.MM
		}
		p := s.m.Results[i].At
		if !r.Z.Set {
			p.Z = s.m.FreeFace.Face.At(p.X, p.Y)
		}
		marks = append(marks, fit.Mark{P: frame.Apply(p), SXY: sd})
	}
	return marks
}

// widths are the taped full widths by the numbers of their stations. The twin
// of a station on a leaning edge cannot be found exactly: that widens its
// uncertainty. A greatest width is carried to the station by how much the
// outline grows between the two. rows are those of the job's tapes.
func (s *solve) widths(across r2.Vec) (out []fit.Width, rows []int) {
	sxy, _ := s.job.sigmas()
	for row, t := range s.job.Tapes {
		if t.Struck || t.How == Straight || !t.Length.Set {
			continue
		}
		k := slices.IndexFunc(s.edge, func(i int) bool { return s.job.Readings[i].ID == t.From })
		if k < 0 || !s.kept(k) {
			continue
		}
		// the tape lies on the silhouette, the fit is of the upper arris
		inset := r2.Dot(across, r2.Vec{X: s.marks[k].P.X - s.arris[k].X, Y: s.marks[k].P.Y - s.arris[k].Y}) * math.Copysign(1, r2.Dot(across, s.outward[k]))
		w := fit.Width{Mark: s.markOf[s.edge[k]], Length: t.Length.MM - 2*inset, SD: sxy}
		if t.How == Twin {
			w.Along = twinSlip
		} else {
			w.Length -= 2 * s.growth(k, across)
		}
		out, rows = append(out, w), append(rows, row)
	}
	return out, rows
}

// growth is how much farther out across the pane than at the k-th station the
// free outline reaches within 150 mm of it, mm.
func (s *solve) growth(k int, across r2.Vec) float64 {
	c := s.m.Free.Curve
	p := c.At(s.m.Free.Param[k])
	dir := r2.Scale(math.Copysign(1, r2.Dot(across, s.outward[k])), across)
	at := c.LengthTo(s.m.Free.Param[k])
	best := 0.0
	for d := -150.0; d <= 150; d += 5 {
		q := c.At(c.ParamAt(at + d))
		best = max(best, r2.Dot(dir, r2.Sub(q, p)))
	}
	return best
}
