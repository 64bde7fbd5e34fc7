package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"panewright/geom/fit"
)

// Link is a link of the chain of measuring that may be wrong, with the evidence.
type Link struct {
	// Code is reading, height (one reading), moved (something moved during the
	// readings), pitch, square (of the grid), board (it, or the pane on it, is
	// twisted), face (heights read on the other face), gauge (heights on the face
	// and at the edge differ by another amount), line (the centre line), roll or
	// pane (it is really not symmetric).
	Code   string
	Text   string  // what speaks for it and what to do
	Weight float64 // how many standard uncertainties the evidence stands off; 0: nothing speaks for it and nothing proves it right
}

// Bounds of the list.
const (
	telling    = 3.0  // weight from which a link is named
	mostWeight = 99.0 // beyond, it makes no difference
	mostLinks  = 5
	leastTwist = 1.0 // mm
	leastStep  = 1.0 // mm
	matters    = 1.5 // mm by which the halves differ from which a mirror does harm: the usual clearance of a wall
)

// links looks along the chain for what may be wrong: what stands off by more
// than three standard uncertainties, the most first, then what nothing proves.
func (s *solve) links() {
	add := func(code, text string, weight float64) {
		if text != "" && weight >= telling {
			s.m.Links = append(s.m.Links, Link{code, text, min(weight, mostWeight)})
		}
	}
	add(s.badPlaces())
	add(s.badHeights())
	add(s.movedLink())
	add(s.squareLink())
	add(s.boardLink())
	add(s.faceLink())
	add(s.lineLink())
	add(s.rollLink())
	if v := s.m.Verdict; v.Code == "asymmetric" {
		add("pane", v.Text, max((v.Ratio-1)*math.Sqrt(2*float64(v.Judged)), telling))
	}
	pitch, proved := s.pitchLink()
	add(pitch.Code, pitch.Text, pitch.Weight)
	slices.SortStableFunc(s.m.Links, func(a, b Link) int { return cmp.Compare(b.Weight, a.Weight) })
	s.m.Links = s.m.Links[:min(len(s.m.Links), mostLinks)]
	if pitch.Weight < telling && !proved && pitch.Text != "" {
		pitch.Weight = 0
		s.m.Links = append(s.m.Links, pitch)
	}
}

// badPlaces are stations that lie off the edge, and by how many of their
// uncertainties the worst does.
func (s *solve) badPlaces() (code, text string, weight float64) {
	if s.m.Free == nil {
		return "reading", "", 0
	}
	var ids []string
	worst, most := -1, 0.0
	for k, i := range s.edge {
		if s.m.Results[i].State != Suspect {
			continue
		}
		ids = append(ids, s.job.Readings[i].ID)
		if d := math.Abs(s.m.Results[i].Miss); d > most {
			worst, most = i, d
		}
		weight = max(weight, s.m.Free.Odds[k], s.foundOdds(i))
	}
	if worst < 0 {
		return "reading", "", 0
	}
	if len(ids) == 1 {
		return "reading", fmt.Sprintf("Station %s lies %s off the edge that the others make: read it again.", ids[0], s.job.length(most)), weight
	}
	return "reading", fmt.Sprintf("Stations %s lie off the edge that the others make, %s by %s: read them again.", andList(ids), s.job.Readings[worst].ID, s.job.length(most)), weight
}

// foundOdds is by how many of its uncertainties reading i lies off in the fit
// that found the plane; 0 where it was not in it.
func (s *solve) foundOdds(i int) float64 {
	f := s.symmetric()
	if f == nil {
		return 0
	}
	if m := slices.Index(s.foundIn.edges, i); m >= 0 {
		return f.Outline.Odds[m]
	}
	return 0
}

// badHeights are heights that lie off the face.
func (s *solve) badHeights() (code, text string, weight float64) {
	var ids []string
	worst, most := -1, 0.0
	for i := range s.m.Results {
		if !s.m.Results[i].BadHeight {
			continue
		}
		ids = append(ids, s.job.Readings[i].ID)
		if d := math.Abs(s.m.Results[i].HeightMiss); worst < 0 || d > most {
			worst, most = i, d
		}
	}
	if worst < 0 {
		return "height", "", 0
	}
	_, sz := s.job.sigmas()
	if len(ids) == 1 {
		return "height", fmt.Sprintf("The height of %s lies %s off the face that the others make: read it again.", ids[0], s.job.length(most)), most / sz
	}
	const named = 6
	if len(ids) > named {
		ids = append(ids[:named:named], "others")
	}
	return "height", fmt.Sprintf("The heights of %s lie off the face that the others make, %s by %s: read them again.", andList(ids), s.job.Readings[worst].ID, s.job.length(most)), most / sz
}

// correction is that of the given name that is known and not applied.
func (s *solve) correction(prefix string) (out Correction, weight float64) {
	for _, c := range s.m.Corrections {
		if strings.HasPrefix(c.Name, prefix) && c.Known && !c.Applied && c.U > 0 && math.Abs(c.Value)/c.U > weight {
			out, weight = c, math.Abs(c.Value)/c.U
		}
	}
	return out, weight
}

// movedLink is a drift that repeats show.
func (s *solve) movedLink() (code, text string, weight float64) {
	c, weight := s.correction("drift")
	return "moved", c.Text, weight
}

// squareLink is a grid out of square, as its diagonals or the halves show it.
func (s *solve) squareLink() (code, text string, weight float64) {
	v := s.m.Verdict
	if c, w := s.correction("squareness"); w > telling {
		return "square", c.Text + " It is not taken off the readings.", w
	}
	if v.Code != "grid" {
		return "square", "", 0
	}
	return "square", v.Text, math.Abs(v.Shear) / v.ShearU
}

// boardLink is a twist of the heights.
func (s *solve) boardLink() (code, text string, weight float64) {
	if c, w := s.correction("zero_map"); w > telling {
		return "board", c.Text + " It is not taken off the readings.", w
	}
	f := s.symmetric()
	if f == nil || f.Face == nil || s.lesserShare(s.foundLine.Plane) < bothHalves {
		return "board", "", 0
	}
	b := f.Outline.Curve.Bounds()
	rise, sd := f.Twist((b.Max.X-b.Min.X)/2, (b.Max.Y-b.Min.Y)/2)
	if math.IsInf(sd, 0) || math.Abs(rise) < leastTwist {
		return "board", "", 0
	}
	return "board", fmt.Sprintf("The heights are twisted, by %s at the corners: the board is, or the pane was sprung on its supports. Read the empty board, and lay the pane on three of them.", s.job.length(math.Abs(rise))), math.Abs(rise) / sd
}

// faceLink is a step between the heights on the face and those at the edge.
func (s *solve) faceLink() (code, text string, weight float64) {
	rise, sd, ok := s.faceStep()
	if !ok || math.Abs(rise) < leastStep {
		return "face", "", 0
	}
	t := s.thick()
	weight = math.Abs(rise) / sd
	word := "above"
	if rise < 0 {
		word = "below"
	}
	text = fmt.Sprintf("The heights on the face stand %s %s what those at the edge make (give or take %s)", s.job.length(math.Abs(rise)), word, s.job.length(sd))
	if t > 0 && math.Abs(math.Abs(rise)-t) < max(3*sd, 0.15*t) {
		return "face", text + ", and the glass is " + s.job.length(t) + " thick: the two were read on different faces. Say on which face they were read.", weight
	}
	return "gauge", text + ": look whether both were read with the same gauge and block.", weight
}

// faceStep is by how much the heights on the face stand above what those at the
// edge make. A face fitted across a step has bent to it, so the step is taken off
// and the face fitted again until nothing is left.
func (s *solve) faceStep() (rise, sd float64, ok bool) {
	f := s.m.FreeFace
	if f == nil {
		return 0, 0, false
	}
	const least, rounds, still = 8, 5, 0.05 // of each; mm
	apart, n := s.onFace(s.heightOf)
	if n < least || len(apart)-n < least || len(apart) != len(f.Miss) {
		return 0, 0, false
	}
	if rise, sd = f.Step(apart); math.Abs(rise) < telling*sd || math.IsInf(sd, 0) {
		return 0, 0, false
	}
	marks, owner := s.allHeights()
	apart, _ = s.onFace(owner)
	rise = 0
	for range rounds {
		f, err := fit.FitFace(s.ctx, marks, s.box(), fit.FaceOptions{})
		if err != nil {
			return 0, 0, false
		}
		by, u := f.Step(apart)
		rise, sd = rise+by, u
		if math.Abs(by) < still {
			break
		}
		for k := range marks {
			if apart[k] {
				marks[k].P.Z -= by
			}
		}
	}
	return rise, sd, !math.IsInf(sd, 0)
}

// onFace says which of the readings were taken on the face, and how many.
func (s *solve) onFace(readings []int) (on []bool, n int) {
	on = make([]bool, len(readings))
	for k, i := range readings {
		if on[k] = s.job.Readings[i].Kind == Face; on[k] {
			n++
		}
	}
	return on, n
}

// allHeights are heights, with those that the face fit refused: at a step it
// refuses good ones.
func (s *solve) allHeights() ([]fit.Mark, []int) {
	t := *s
	t.badZ = map[int]bool{}
	return t.heights()
}

// lineLink is a typed line that the readings contradict, or one not determined.
func (s *solve) lineLink() (code, text string, weight float64) {
	m := s.m
	switch {
	case m.Found == nil && m.WhyNotFound != "" && m.Mirror != MirrorNone && s.notMirrored == nil:
		return "line", m.WhyNotFound, mostWeight
	case m.Found == nil || m.Used == nil || m.Used.Source != "typed":
		return "line", "", 0
	}
	off := (m.Used.Offset - m.Found.Offset) * m.Found.Plane.Normal.X
	weight = max(math.Abs(off)/m.Found.OffsetU, math.Abs(m.Used.Skew-m.Found.Skew)/m.Found.SkewU)
	side := "right"
	if off < 0 {
		side = "left"
	}
	return "line", fmt.Sprintf("The typed centre line lies %s %s of what the readings say and is turned %.2f° against it, %.0f times the uncertainty: use the one that was found.",
		s.job.length(math.Abs(off)), side, m.Used.Skew-m.Found.Skew, weight), weight
}

// rollLink is the same of the roll.
func (s *solve) rollLink() (code, text string, weight float64) {
	m := s.m
	if m.Found == nil || m.Used == nil || m.Used.Source != "typed" || !(m.Found.RollU > 0) {
		return "roll", "", 0
	}
	by := m.Used.Roll - m.Found.Roll
	weight = math.Abs(by) / m.Found.RollU
	return "roll", fmt.Sprintf("The typed centre line leans %.2f° more than the readings say, %.0f times the uncertainty: the pane lay rolled on the board. Use the one that was found.", by, weight), weight
}

// pitchLink is the pitch of the grid against lengths taped on the glass, and
// whether anything measured proves it.
func (s *solve) pitchLink() (l Link, proved bool) {
	for _, c := range s.m.Corrections {
		if c.Name != "scale" {
			continue
		}
		l = Link{Code: "pitch", Text: c.Text}
		if c.Known && c.U > 0 && !c.Applied {
			l.Weight = math.Abs(c.Value) / c.U
		}
		return l, c.Known || !s.job.Checks.blindToPitch()
	}
	return l, true
}

// centreLine works out what there is to say about the centre line and the
// symmetry.
func (s *solve) centreLine() {
	s.carries()
	s.verdict()
	s.links()
	v := &s.m.Verdict
	find := func(list, field, code string, remark bool) {
		s.m.Findings = append(s.m.Findings, Finding{List: list, Field: field, Code: code, Text: v.Text, Remark: remark})
	}
	switch v.Code {
	case "asymmetric":
		// where none was asked for it was left as read, and that is said
		if s.job.Mirror != MirrorAuto && max(math.Abs(v.Most), v.Residual) > matters {
			find("job", "mirror", "asymmetric", s.notMirrored == nil)
		}
	case "grid":
		find("job", "diagonal_rising", "grid-not-square", false)
	case "mark":
		find("edge", "", "stands-out", true)
	}
}
