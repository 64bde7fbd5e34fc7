package board

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// Solve turns the readings of a job into a model. What the readings cannot
// carry is said in the model (Why, WhyNotFound, Findings), not returned as an
// error: an error means that the solve was cancelled or broke down. progress
// may be nil; it is called from the goroutine of the solve.
//
// The way: a free closed outline and a free face in the board frame; from their
// slopes the upper arris at every station; the centre plane; the symmetric (or
// free) outline and face in the glass frame; the solid.
func Solve(ctx context.Context, j *Job, progress func(stage string, done float64)) (*Model, error) {
	if progress == nil {
		progress = func(string, float64) {}
	}
	s := &solve{ctx: ctx, job: j, m: &Model{Job: j, Results: make([]Result, len(j.Readings))}}
	if err := s.followCut(); err != nil {
		return nil, err
	}
	s.correct(ctx)
	s.locate()
	s.join()
	s.gather()
	for _, step := range []struct {
		stage string
		done  float64
		run   func() error
	}{
		{StageOutline, 0, s.freeOutline},
		{StageFace, 0.25, s.freeFace},
		{StageFace, 0.35, s.secondLook},
		{StageCentre, 0.4, s.aimedCentre},
		{StagePane, 0.65, s.reshape},
		{StagePane, 0.7, s.pane},
		{StagePane, 0.78, s.asCut},
		{StageFit, 0.8, s.fitCheck},
	} {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		progress(step.stage, step.done)
		if err := step.run(); err != nil {
			var cannot cannotError
			switch {
			case ctx.Err() != nil:
				return nil, ctx.Err()
			case errors.As(err, &cannot):
				s.m.Why = string(cannot)
			default:
				s.m.Why = "No pane can be made of these readings: " + err.Error()
			}
			break
		}
	}
	s.results()
	s.figures()
	s.advise()
	s.firstOnly().offers()
	s.setLoop()
	s.setStations()
	s.setTapes()
	s.centreLine()
	s.report()
	s.gapFindings()
	if u := s.m.reference(); u != nil {
		if c, ok := s.m.Consequence(u.Offset, u.Skew, u.Roll); ok {
			s.m.refWidth = c.Width
		}
	}
	progress("", 1)
	return s.m, nil
}

// cannotError ends a solve early: the readings do not carry the next step. It
// is a sentence for the person.
type cannotError string

func (e cannotError) Error() string { return "board: " + string(e) }

// solve is the work space of one Solve.
type solve struct {
	ctx context.Context
	job *Job
	m   *Model

	noted    *gapWork           // of the last cut; nil: none noted
	next     *next              // what the next cut is made from; nil: the readings alone
	fix      fixes              // corrections of all readings
	joined   map[string]*laying // layings beside the first, by their sets
	scaleOff bool               // the tapes contradict the readings

	edge    []int      // indices into Job.Readings: edge readings that can be fitted
	face    []int      // the same of face readings
	centres []int      // the same of centre marks
	marks   []fit.Mark // of edge: silhouette in the board frame, pencil taken off

	arris   []r3.Vec     // of edge: upper arris, board frame; z from the face where none was read
	outward []r2.Vec     // of edge: outward normal of the free outline at the mark
	upper   []r3.Vec     // of face: point on the upper face, board frame
	badZ    map[int]bool // readings whose height is set aside

	found    *fit.Symmetric // the fit that found the plane; nil where none did
	folded   *fit.Symmetric // the same where it was not believed: the pane lacks a mirror
	toFound  geom.Frame     // board -> its frame
	badTapes []int          // rows of taped widths that all the rest contradicts

	foundIn   input       // what that fit, or the folded one, worked from
	foundLine *CentreLine // and what it found

	heightOf    []int       // readings of the marks of the free face
	notMirrored *geom.Plane // the pane lacks a mirror; about this plane it comes nearest to one

	toGlass geom.Frame // board -> frame of the final fit
	outline *fit.Outline
	faceFit *fit.Face
	used    map[int]bool // readings (by index) that the final fit used
	markOf  map[int]int  // number of an edge reading among the marks of the last input
}

// sigmas are the standard uncertainties of an edge reading and of a height.
func (j *Job) sigmas() (xy, z float64) {
	xy, z = j.Sigma, j.SigmaZ
	if xy <= 0 {
		xy = 0.5
	}
	if z <= 0 {
		z = xy
	}
	return xy, z
}

// locate puts every reading of the first laying where it stands on the board.
func (s *solve) locate() {
	first := s.job.firstSet()
	for i := range s.job.Readings {
		r := &s.job.Readings[i]
		s.m.Results[i] = Result{}
		if r.Set == first && r.located() {
			s.m.Results[i] = Result{At: s.fix.at(i, r), Placed: true}
		}
	}
	s.m.mean = s.meanEdge()
}

// gather sorts the readings into those that can be fitted and those that
// cannot, with the reason; the first laying stands before the others.
func (s *solve) gather() {
	s.edge, s.face, s.centres, s.marks, s.badZ = nil, nil, nil, nil, map[int]bool{}
	s.m.mean = s.meanEdge()
	first := s.job.firstSet()
	for _, others := range []bool{false, true} {
		for i := range s.job.Readings {
			if (s.job.Readings[i].Set != first) == others {
				s.sort(i)
			}
		}
	}
}

// sort puts reading i into its list.
func (s *solve) sort(i int) {
	r, res := s.job.Readings[i], &s.m.Results[i]
	switch why := s.unfit(i); {
	case r.Struck:
		res.State, res.Reason = StruckOut, r.Reason
	case r.Kind == Mark:
		res.State, res.Reason = Unused, "carried to the files, not fitted"
	case why != "":
		res.State, res.Reason = Unused, why
	case r.Kind == Edge:
		sxy, sz := s.sds(i)
		p := res.At
		if !r.Z.Set {
			p.Z = math.NaN()
		}
		s.edge = append(s.edge, i)
		s.marks = append(s.marks, fit.Mark{P: p, SXY: sxy, SZ: sz, Sure: r.Sure, Break: r.Break})
	case r.Kind == Face:
		s.face = append(s.face, i)
	case r.Kind == Centre:
		s.centres = append(s.centres, i)
	}
}

// unfit says why a reading cannot be fitted; empty where it can.
func (s *solve) unfit(i int) string {
	r := &s.job.Readings[i]
	switch why := unread(r); {
	case why != "":
		return why
	case !s.m.Results[i].Placed:
		return fmt.Sprintf("read in another laying of the pane (%s), which is not joined to the first", r.Set)
	}
	return ""
}

// unread says what of a reading was not understood or is missing.
func unread(r *Reading) string {
	for _, f := range readingCells {
		if c := f.cell(r); c.Fault != "" {
			return fmt.Sprintf("its %s was not understood: %s", f.name, c.Fault)
		}
	}
	switch {
	case !r.X.Set || !r.Y.Set:
		return "x or y is missing"
	case r.Kind == Face && !r.Z.Set:
		return "its height is missing"
	}
	return ""
}

// freeOutline fits a closed curve through the stations as they are, takes the
// pencil's offset off square to it, and fits again. A check station far from its
// neighbours is not judged here: only the mirrored half can.
func (s *solve) freeOutline() error {
	o, err := fit.FitOutline(s.ctx, s.marks, fit.OutlineOptions{})
	if err != nil {
		return s.cannot(err, s.edge)
	}
	if p := s.job.Pencil.MM; p != 0 {
		for i := range s.marks {
			n := o.Curve.Normal(o.Param[i])
			s.marks[i].P.X -= p * n.X
			s.marks[i].P.Y -= p * n.Y
		}
		if o, err = fit.FitOutline(s.ctx, s.marks, fit.OutlineOptions{}); err != nil {
			return s.cannot(err, s.edge)
		}
	}
	s.m.Free = o
	s.outward = make([]r2.Vec, len(s.edge))
	for i, ri := range s.edge {
		s.outward[i] = o.Curve.Normal(o.Param[i])
		if o.Suspect[i] {
			s.m.Results[ri].State = Suspect
			s.m.Results[ri].Reason = "lies off the edge that its neighbours make"
		}
	}
	return nil
}

// cannot turns a fit's complaint into a sentence that names the readings that
// its marks came from.
func (s *solve) cannot(err error, owner []int) error {
	if s.ctx.Err() != nil {
		return s.ctx.Err()
	}
	if errors.Is(err, fit.ErrNoHeights) {
		return cannotError("No heights were read: read the height at every station and at twenty places over the face, or more.")
	}
	var bad *fit.MarkError
	if !errors.As(err, &bad) {
		return cannotError("These readings do not make one pane (" + err.Error() + "): look for a tape or a station that cannot be right.")
	}
	var ids []string
	for n, i := range bad.Index {
		if n == 6 {
			ids = append(ids, "…")
			break
		}
		if i < len(owner) {
			ids = append(ids, s.job.Readings[owner[i]].ID)
		}
	}
	if len(ids) == 0 || len(bad.Index) == len(owner) {
		return cannotError(capital(bad.Reason) + ".")
	}
	return cannotError(capital(bad.Reason) + " (" + strings.Join(ids, ", ") + ").")
}

// capital begins a sentence.
func capital(text string) string {
	if text == "" {
		return text
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

// kept says whether the k-th edge reading is used for shape.
func (s *solve) kept(k int) bool { return s.m.Results[s.edge[k]].State == Kept }

// freeFace fits the upper face in the board frame from the heights at the edge
// and over the face. A height belongs to the upper arris, which the slope puts
// inside the silhouette where the face rises outward, so the fit is repeated
// with the slope that it found.
func (s *solve) freeFace() error {
	s.arris = make([]r3.Vec, len(s.edge))
	s.upper = make([]r3.Vec, len(s.face))
	for k := range s.edge {
		s.arris[k] = s.marks[k].P
	}
	for k, i := range s.face {
		s.upper[k] = s.m.Results[i].At
	}
	var surface *fit.Face
	for round := 0; round < 3; round++ {
		marks, owner := s.heights()
		f, err := fit.FitFace(s.ctx, marks, s.box(), fit.FaceOptions{})
		if err != nil {
			return s.cannot(err, owner)
		}
		surface, s.heightOf = f, owner
		s.setAside(f, owner)
		s.toArrises(f.Face)
	}
	s.m.FreeFace = surface
	return nil
}

// heights are the marks of the face in the board frame and the readings that
// they come from.
func (s *solve) heights() (marks []fit.Mark, owner []int) {
	for k, i := range s.edge {
		if s.kept(k) && s.job.Readings[i].Z.Set && !s.badZ[i] {
			sxy, sz := s.sds(i)
			marks = append(marks, fit.Mark{P: s.arris[k], SXY: sxy, SZ: sz, Sure: s.job.Readings[i].Sure})
			owner = append(owner, i)
		}
	}
	for k, i := range s.face {
		if !s.badZ[i] {
			sxy, sz := s.sds(i)
			marks = append(marks, fit.Mark{P: s.upper[k], SXY: sxy, SZ: sz, Sure: s.job.Readings[i].Sure})
			owner = append(owner, i)
		}
	}
	return marks, owner
}

// setAside marks the readings whose height the face fit refuses.
func (s *solve) setAside(f *fit.Face, owner []int) {
	for k, i := range owner {
		if !f.Suspect[k] {
			continue
		}
		s.badZ[i] = true
		s.m.Results[i].BadHeight = true
		s.m.Results[i].Reason = "its height lies off the face that its neighbours make"
		if s.job.Readings[i].Kind == Face {
			s.m.Results[i].State = Suspect
		}
	}
}

// box is the plan box of everything that was read, with a margin.
func (s *solve) box() r2.Box {
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	grow := func(x, y float64) {
		b.Min.X, b.Min.Y = min(b.Min.X, x), min(b.Min.Y, y)
		b.Max.X, b.Max.Y = max(b.Max.X, x), max(b.Max.Y, y)
	}
	for k := range s.edge {
		if s.kept(k) {
			grow(s.marks[k].P.X, s.marks[k].P.Y)
		}
	}
	const margin = 30
	b.Min = r2.Sub(b.Min, r2.Vec{X: margin, Y: margin})
	b.Max = r2.Add(b.Max, r2.Vec{X: margin, Y: margin})
	return b
}

// toArrises moves the edge readings to the upper arris and face readings that
// were taken on the lower face to the upper one, with the slope of face.
func (s *solve) toArrises(face *geom.Face) {
	t := s.job.Pane.Thickness.MM
	for k, i := range s.edge {
		p := s.marks[k].P
		sil := r2.Vec{X: p.X, Y: p.Y}
		at := sil
		for range 3 { // the slope is taken at the upper arris
			at, _ = geom.Arrises(sil, s.outward[k], face.Eval(at.X, at.Y).Normal(), t, s.job.Pane.Profile)
		}
		z := p.Z
		if !s.job.Readings[i].Z.Set || s.badZ[i] || !s.kept(k) {
			z = face.At(at.X, at.Y)
		}
		s.arris[k] = r3.Vec{X: at.X, Y: at.Y, Z: z}
	}
	if !s.job.Pane.ReadLower {
		return
	}
	for k, i := range s.face {
		p := s.m.Results[i].At
		up := p
		for range 3 { // square to the face at the upper point
			up = r3.Add(p, r3.Scale(t, face.Eval(up.X, up.Y).Normal()))
		}
		s.upper[k] = up
	}
}
