package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
	"panewright/geom/fit"
)

// Verdict says whether the pane is symmetric, and if it does not look so, why.
type Verdict struct {
	// Code is symmetric, grid (the board's grid is not square), mark (one or two
	// readings are bad), asymmetric (the pane itself), unknown (too little was
	// read on the other half), or empty where no mirror was asked for.
	Code string
	Text string // with what to do next

	Plane    *geom.Plane // the plane that the halves were held against each other in, board frame
	Judged   int         // stations held against the other half, mirrored
	Residual float64     // mm RMS, of these
	Ratio    float64     // Residual over what the scatter of the readings makes of it: 1 where they say no more; 0 unknown

	Shear, ShearU float64 // mm on a metre by which x as read grows with y, and its standard uncertainty; ShearU 0 where not known
	Diagonals     float64 // mm by which such a grid's rising diagonal would be longer than its falling one

	Stations      []string // that stand out, the worst first
	Where         string   // in words of the board, where the halves differ most
	At            r2.Vec   // the same, board plan
	Most, MostU   float64  // mm, by how much; + where the left half, folded over, lies outside; and its standard uncertainty
	TypicallyDiff float64  // mm RMS of the halves' difference
}

// Bounds of the verdict (our own figures, measured on invented panes).
const (
	unlike      = 1.3 // ratio above which the halves differ
	standsOut   = 4.0 // sd by which a station is not as the others
	sheared     = 4.0 // sd by which the grid is not square
	explains    = 0.6 // share of what is too much that the cause must take away
	leastJudged = 4   // check stations
	mostBad     = 2   // stations that pass for bad ones
	realLeast   = 4.0 // sd by which the halves must differ somewhere
)

// verdict judges the symmetry of the pane.
func (s *solve) verdict() {
	v, f := &s.m.Verdict, s.symmetric()
	if s.m.Free == nil || s.m.FreeFace == nil || s.job.Mirror == MirrorNone {
		return
	}
	var plane geom.Plane
	switch {
	case s.foundLine != nil:
		plane = s.foundLine.Plane
	case s.notMirrored != nil:
		plane = *s.notMirrored
	default:
		v.Code, v.Text = "unknown", "The centre line is not determined, so nothing can be said of the symmetry of the pane."
		return
	}
	v.Plane = &plane
	if f != nil {
		if shear, sd := f.Shear(); !math.IsInf(sd, 0) {
			v.Shear, v.ShearU = shear*perMetre, sd*perMetre
			v.Diagonals = s.diagonals(shear)
		}
	}
	var all []halfResidual
	whole := s.notMirrored != nil || s.lesserShare(plane) >= bothHalves
	if whole {
		all = s.againstOther(plane, s.scatter())
	} else {
		all = s.checkResiduals(f, plane)
	}
	v.Judged = len(all)
	if !whole && len(all) < leastJudged {
		v.Code, v.Text = "unknown", fmt.Sprintf("One half was read, and %s on the other: whether the pane is symmetric cannot be told. Five check stations on the other half would tell.", count(len(all), "station"))
		return
	}
	v.Residual, v.Ratio = spreadOf(all)
	s.decide(all, whole)
}

// symmetric is the fit that found the plane, believed or not.
func (s *solve) symmetric() *fit.Symmetric {
	if s.found != nil {
		return s.found
	}
	return s.folded
}

// scatter is the sd of a station as the free outline found it.
func (s *solve) scatter() float64 {
	sxy, _ := s.job.sigmas()
	return min(max(s.m.Free.Sigma, sxy/4), 2*sxy)
}

// checkResiduals are the stations of the made half against what all others
// foretell.
func (s *solve) checkResiduals(f *fit.Symmetric, plane geom.Plane) (out []halfResidual) {
	side := 1.0
	if s.leftShare(plane) > 0.5 {
		side = -1
	}
	frame, err := s.frameOn(plane)
	if err != nil {
		return nil
	}
	place := map[int]int{}
	for k, i := range s.edge {
		place[i] = k
	}
	for m, i := range s.foundIn.edges {
		k := place[i]
		if side*plane.Dist(s.arris[k]) > -s.checksFrom(plane) {
			continue
		}
		o := f.Outline
		out = append(out, halfResidual{id: s.job.Readings[i].ID, at: r2.Vec{X: s.marks[k].P.X, Y: s.marks[k].P.Y},
			off: o.Miss[m], sd: math.Abs(o.Miss[m]) / max(o.Odds[m], 1e-9), pane: frame.Apply(s.arris[k]), out: s.outward[k]})
	}
	return out
}

// checksFrom is how far past the line a station of the half that is made tells of
// the line, mm: a quarter of the half width.
func (s *solve) checksFrom(plane geom.Plane) float64 {
	reach := 0.0
	for k := range s.edge {
		if s.kept(k) {
			reach = max(reach, math.Abs(plane.Dist(s.arris[k])))
		}
	}
	return max(overlap, reach/4)
}

// spreadOf is the RMS of residuals in mm and in what they may scatter.
func spreadOf(all []halfResidual) (mm, ratio float64) {
	for _, r := range all {
		mm += r.off * r.off / float64(len(all))
		if r.sd > 0 {
			ratio += r.off * r.off / (r.sd * r.sd) / float64(len(all))
		}
	}
	return math.Sqrt(mm), math.Sqrt(ratio)
}

// decide tells what is behind the residuals.
func (s *solve) decide(all []halfResidual, whole bool) {
	v := &s.m.Verdict
	good, bad := parted(all)
	_, ratio := spreadOf(good)
	square := s.provedSquare()
	shear := v.ShearU > 0 && whole && math.Abs(v.Shear) > sheared*v.ShearU && !(square > 0 && math.Abs(v.Shear) > 3*square)
	differ := ratio > unlike || s.m.Lopsided > 0 || s.notMirrored != nil
	if whole && differ {
		s.difference()
	}
	switch {
	case shear && (!differ || unsheared(good) < 1+(1-explains)*(ratio-1)):
		v.Code = "grid"
	case differ:
		v.Code = "asymmetric"
	case len(bad) > 0:
		v.Code, v.Ratio = "mark", ratio
	default:
		v.Code = "symmetric"
	}
	for _, r := range bad {
		v.Stations = append(v.Stations, r.id)
	}
	v.Text = s.verdictText(bad, whole)
}

// parted takes the few residuals out that stand out, the worst first.
func parted(all []halfResidual) (good, bad []halfResidual) {
	for _, r := range all {
		if math.Abs(r.off) > standsOut*r.sd {
			bad = append(bad, r)
		} else {
			good = append(good, r)
		}
	}
	if len(bad) > mostBad || len(good) < len(all)/2 {
		return all, nil
	}
	slices.SortStableFunc(bad, func(a, b halfResidual) int {
		return cmp.Compare(math.Abs(b.off)/b.sd, math.Abs(a.off)/a.sd)
	})
	return good, bad
}

// unsheared is the ratio of residuals once a shear, and the shift and turn of the
// plane that go with it, are taken off.
func unsheared(all []halfResidual) float64 {
	var rows [][]float64
	var rhs, sd []float64
	for _, r := range all {
		rows = append(rows, []float64{r.pane.Y*r.out.X + r.pane.X*r.out.Y, r.out.X, r.pane.Y*r.out.X - r.pane.X*r.out.Y})
		rhs, sd = append(rhs, r.off), append(sd, max(r.sd, 1e-6))
	}
	x, _, err := fit.LeastSquares(rows, rhs, sd)
	if err != nil {
		return math.Inf(1)
	}
	left := slices.Clone(all)
	for i := range left {
		for k, c := range rows[i] {
			left[i].off -= c * x[k]
		}
	}
	_, ratio := spreadOf(left)
	return ratio
}

// provedSquare is the standard uncertainty, mm on a metre, to which the grid's
// own diagonals say how square it is, and the readings were corrected by; 0 where
// they do not.
func (s *solve) provedSquare() float64 {
	for _, c := range s.m.Corrections {
		if c.Name == "squareness" && c.Applied {
			return c.U * math.Pi / 180 * perMetre
		}
	}
	return 0
}

// diagonals is by how much the rising diagonal of the drawn grid would be longer
// than the falling one, where x as read grows by shear of y.
func (s *solve) diagonals(shear float64) float64 {
	box, ok := s.job.Grid.Bounds()
	if !ok {
		box = s.box()
	}
	l := gridFix{shear: -shear}.lengths(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y)
	return l[2] - l[3]
}

// difference finds where the halves differ most, for their uncertainty there.
func (s *solve) difference() {
	v := &s.m.Verdict
	fold := s.m.foldOutline(*v.Plane)
	most := realLeast
	for _, p := range fold {
		v.TypicallyDiff += p.Difference * p.Difference / float64(len(fold))
		if math.Abs(p.Difference) > math.Abs(v.Most) && math.Abs(p.Difference) > min(most, 2)*p.SD {
			v.Most, v.MostU, v.At = p.Difference, p.SD, p.At
		}
	}
	v.TypicallyDiff = math.Sqrt(v.TypicallyDiff)
	v.Where = s.job.Grid.Describe(v.At, s.job.Unit)
}

// verdictText puts the verdict in words.
func (s *solve) verdictText(bad []halfResidual, whole bool) string {
	v, length := &s.m.Verdict, s.job.length
	stations := ""
	if len(bad) > 0 {
		stations = fmt.Sprintf(" Read %s again: folded over, %s off the other half.", strings.Join(v.Stations, " and "), lies(bad, length))
	}
	switch v.Code {
	case "symmetric", "mark":
		if !whole {
			return fmt.Sprintf("As far as %s on the other half tell, the pane is symmetric within the readings.", count(v.Judged-len(bad), "station")) + stations
		}
		if v.Code == "mark" {
			return "The halves agree within the readings but for " + strings.Join(v.Stations, " and ") + "." + stations
		}
		return fmt.Sprintf("The pane is symmetric within the readings: folded over, the stations lie %s off the other half (typical), and their scatter alone makes %s.", length(v.Residual), length(v.Residual/max(v.Ratio, 1e-9)))
	case "grid":
		which, diff := "longer", v.Diagonals
		if diff < 0 {
			which = "shorter"
		}
		text := fmt.Sprintf("The halves differ as they do on a grid that is not square, by %.1f mm on a metre (give or take %.1f). Measure both its diagonals: from lower left to upper right it would be %s %s than the other.", math.Abs(v.Shear), v.ShearU, length(math.Abs(diff)), which)
		return text + stations
	}
	if !whole {
		return fmt.Sprintf("The stations on the other half do not lie on the measured half mirrored: %s off it (typical), %.1f times what they may scatter. Read the whole outline.", length(v.Residual), v.Ratio)
	}
	side := "outside"
	if v.Most < 0 {
		side = "inside"
	}
	return fmt.Sprintf("The pane is really not symmetric: near %s the left half, folded over, lies %s %s the right one (give or take %s). ", v.Where, length(math.Abs(v.Most)), side, length(v.MostU)) + s.whatBecame()
}

// whatBecame says what was made of a pane that is not symmetric.
func (s *solve) whatBecame() string {
	switch {
	case s.m.Mirror == MirrorNone:
		return "It is fitted as it is, without a mirror."
	case s.outline == nil:
		return "It cannot be made a mirrored one: choose no mirror, to have it as it was read."
	case s.m.Lopsided > 0:
		return "Both halves were left as read."
	}
	return "It is made symmetric all the same, so that each side comes out wrong by up to half of that: choose no mirror to have it as it was read."
}

// lies says by how much stations stand out.
func lies(bad []halfResidual, length func(float64) string) string {
	var out []string
	for _, r := range bad {
		out = append(out, length(math.Abs(r.off)))
	}
	if len(out) == 1 {
		return "it lies " + out[0]
	}
	return "they lie " + strings.Join(out, " and ")
}
