package board

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"

	"panewright/geom"
	"panewright/geom/fit"
)

// GapReport is what explains the gaps noted in the last cut, and what the next
// one will be like. It is about the shape as it was cut, in its glass frame,
// whatever was edited since.
type GapReport struct {
	Cut       int
	Clearance float64 // as really cut, mm
	Why       string  // why nothing is explained; empty where it is

	// Causes are placement and tilt, the single causes from the centre line on,
	// the smooth rest last.
	Causes   []GapCause
	LeftOver float64  // mm, RMS of what no cause explains
	Doubts   []string // what these gaps cannot tell: a cause's name, a colon and a sentence

	// What to add to the assumed centre line: mm at the mean of the edge
	// readings, and degrees. A part that the gaps do not tell is not Known.
	Offset, Skew, Roll Part

	Stations []GapStation // of the gap sheet, noted or not
	Unknown  []string     // noted stations that the cut does not have
	Proof    Proof
}

// Part is a part of a correction with its standard uncertainty.
type Part struct {
	Value, U float64
	Known    bool
}

// GapCause is one thing that makes the gaps wrong.
type GapCause struct {
	Name     string // of the kind, with the joint or station behind it: "joint A1/A2"
	Kind     string // as the files have it; rest for the smooth rest
	Value, U float64
	Unit     string  // mm, deg or mm/m; empty for placement, tilt and rest
	Share    float64 // of the sum of squares of the gaps against the plan, beside what stands before it
	Clear    bool    // larger than twice its uncertainty
	Split    bool    // asked for by the gaps, but another cause would explain them as well
	Accepted bool    // put right in the next cut
	Text     string  // what it is, in words
}

// GapStation is a place of the gap sheet.
type GapStation struct {
	ID          string
	At          r2.Vec // on the outline of the cut, its glass frame
	Made        bool   // on the half that was made
	Noted       bool
	Wall, Ledge GapCell
	Note        string
	Next        fit.Forecast // gaps of the next cut, with HasNext
	HasNext     bool
}

// gapWork is a fit of gaps on its way.
type gapWork struct {
	job    *Job
	cut    *Cut
	pane   *geom.Pane
	model  fit.GapModel
	start  float64 // length along the outline to where it crosses the centre line below
	found  *fit.Gaps
	report *GapReport
	choice []bool // of found.Causes: put right
	rest   bool
}

// explainGaps explains the gaps of the job's last cut; nil where none was noted.
// The error is ctx's.
func explainGaps(ctx context.Context, j *Job) (*gapWork, error) {
	cut := j.LastCut()
	if cut == nil || len(j.GapsOf(cut.Number)) == 0 {
		return nil, nil
	}
	w := &gapWork{job: j, cut: cut, report: &GapReport{Cut: cut.Number, Clearance: cut.clearance()}}
	if err := w.explain(ctx); err != nil {
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		w.report.Why = w.why(err)
	}
	w.report.Proof = w.prove()
	return w, nil
}

// why says an error in words.
func (w *gapWork) why(err error) string {
	var bad *fit.GapError
	if !errors.As(err, &bad) {
		return capital(strings.TrimPrefix(err.Error(), "board: ")) + "."
	}
	var ids []string
	noted := w.noted()
	for _, i := range bad.Index {
		if i < len(noted) && len(ids) < 6 {
			ids = append(ids, noted[i].ID)
		}
	}
	if len(ids) == 0 {
		return capital(bad.Reason) + "."
	}
	return capital(bad.Reason) + " (" + strings.Join(ids, ", ") + ")."
}

func (w *gapWork) explain(ctx context.Context) (err error) {
	s := w.cut.Shape
	if w.pane, err = s.Pane(); err != nil {
		return err
	}
	w.layStations()
	w.model = fit.GapModel{Clearance: w.cut.clearance(), Felt: w.cut.Pocket.Felt, Girth: w.pane.Outline.Length(), Measured: s.side(),
		Mirrored: s.Mirror == MirrorBoth, Centre: r2.Vec{Y: s.Mean.Y}, Joints: w.cut.Joints}
	if s.Mirror == MirrorNone {
		w.model.Centre.X = s.Mean.X
	}
	var readings []fit.GapReading
	for _, st := range w.noted() {
		r := w.reading(st.At)
		r.ID, r.Wall, r.Ledge = st.ID, st.Wall.gap(), st.Ledge.gap()
		readings = append(readings, r)
	}
	if w.found, err = fit.FitGaps(ctx, readings, w.model); err != nil {
		return err
	}
	w.choose()
	w.tell()
	w.forecast()
	return nil
}

// layStations lists the places of the sheet with what was noted there.
func (w *gapWork) layStations() {
	s, r := w.cut.Shape, w.report
	names := s.Names()
	for _, i := range w.job.GapsOf(w.cut.Number) {
		id := w.job.Gaps[i].Station
		if _, ok := s.place(id); !ok {
			r.Unknown = append(r.Unknown, id)
		} else if !slices.Contains(names, id) {
			names = append(names, id)
		}
	}
	for _, id := range names {
		at, _ := s.place(id)
		u, _ := w.pane.Outline.Nearest(at)
		st := GapStation{ID: id, At: w.pane.Outline.At(u)}
		st.Made = float64(s.side())*st.At.X < 0
		for _, i := range w.job.GapsOf(w.cut.Number) {
			if g := &w.job.Gaps[i]; g.Station == id {
				st.Noted, st.Wall, st.Ledge, st.Note = true, g.Wall, g.Ledge, g.Note
			}
		}
		r.Stations = append(r.Stations, st)
	}
	if s.Mirror != MirrorNone {
		w.start = w.lowerCrossing()
	}
}

// noted are the stations with a gap.
func (w *gapWork) noted() []GapStation {
	var out []GapStation
	for _, s := range w.report.Stations {
		if s.Wall.Set || s.Ledge.Set {
			out = append(out, s)
		}
	}
	return out
}

// lowerCrossing is the length along the outline to where it crosses x = 0 below.
func (w *gapWork) lowerCrossing() float64 {
	b := w.pane.Outline.Bounds()
	at := r2.Vec{Y: b.Min.Y - 1000}
	for range 4 {
		u, _ := w.pane.Outline.Nearest(at)
		at = r2.Vec{Y: w.pane.Outline.At(u).Y}
	}
	u, _ := w.pane.Outline.Nearest(at)
	return w.pane.Outline.LengthTo(u)
}

// reading is a place of the outline for the fit, without gaps.
func (w *gapWork) reading(at r2.Vec) fit.GapReading {
	const in = 10.0 // mm from the edge, where ledge gaps are read
	c := w.pane.Outline
	u, _ := c.Nearest(at)
	at = c.At(u)
	n := c.Normal(u)
	p := r2.Sub(at, r2.Scale(in, n))
	h := w.pane.Upper.Eval(p.X, p.Y)
	r := fit.GapReading{At: at, Normal: n, S: c.LengthTo(u) - w.start, Height: w.pane.Upper.At(at.X, at.Y), Gradient: r2.Vec{X: h.Zx, Y: h.Zy}}
	r.Made = float64(w.model.Measured)*at.X < 0
	return r
}

// causeName is that of a cause.
func causeName(c *fit.Cause) string {
	if c.Name == "" {
		return c.Kind.String()
	}
	return c.Kind.String() + " " + c.Name
}

// choose finds out which causes are put right.
func (w *gapWork) choose() {
	has := func(n string) bool { return slices.Contains(w.cut.Accepted, n) }
	found := has(FoundCauses)
	w.rest = found || has(RestCause)
	for i := range w.found.Causes {
		c := &w.found.Causes[i]
		w.choice = append(w.choice, has(causeName(c)) || found && c.Accepted)
	}
}

// tell lists what was found.
func (w *gapWork) tell() {
	r := w.report
	share := func(kind fit.CauseKind, name string) float64 {
		for _, s := range w.found.Explained {
			if s.Kind == kind && s.Name == name {
				return s.Share
			}
		}
		return 0
	}
	left := 1.0
	for _, s := range w.found.Explained {
		left -= s.Share
		if s.Kind == fit.CausePlacement || s.Kind == fit.CauseTilt {
			r.Causes = append(r.Causes, GapCause{Name: s.Kind.String(), Kind: s.Kind.String(), Share: s.Share, Clear: true, Text: w.layText(s.Kind)})
		}
	}
	for i := range w.found.Causes {
		f := &w.found.Causes[i]
		c := GapCause{Name: causeName(f), Kind: f.Kind.String(), Value: f.Value, U: f.U, Unit: "mm", Share: share(f.Kind, f.Name),
			Clear: f.Accepted, Split: f.Split, Accepted: w.choice[i]}
		switch f.Kind {
		case fit.CauseSkew, fit.CauseRoll:
			c.Value, c.U, c.Unit = c.Value*180/math.Pi, c.U*180/math.Pi, "deg"
		case fit.CauseScale, fit.CauseShear:
			c.Value, c.U, c.Unit = c.Value*perMetre, c.U*perMetre, "mm/m"
		}
		c.Text = w.causeText(f, &c)
		r.Causes = append(r.Causes, c)
	}
	r.LeftOver = w.found.LeftOver
	r.Causes = append(r.Causes, GapCause{Name: RestCause, Kind: RestCause, Share: max(0, left), Accepted: w.rest,
		Text: fmt.Sprintf("What is left over, %s typical: what of it runs smoothly along the edge can be put right as well.", w.fine(r.LeftOver))})
	for _, d := range w.found.Doubts {
		r.Doubts = append(r.Doubts, d.Kind.String()+": "+d.Text)
	}
	c := w.found.Correction()
	part := func(v, u, unit float64) Part {
		if math.IsInf(u, 0) {
			return Part{}
		}
		return Part{v * unit, u * unit, true}
	}
	const degree = 180 / math.Pi
	r.Offset, r.Skew, r.Roll = part(c.Offset, c.OffsetU, 1), part(c.Skew, c.SkewU, degree), part(c.Roll, c.RollU, degree)
}

// layText says how the glass lay.
func (w *gapWork) layText(kind fit.CauseKind) string {
	if kind == fit.CauseTilt {
		return "How the glass lay on the ledge: lifted or tilted. It changes nothing in the next cut."
	}
	return fmt.Sprintf("How the glass lay in the pocket: %s to the %s, %s %s and turned by %.2f°. It changes nothing in the next cut.",
		w.fine(w.found.Shift.X), way(w.found.Shift.X, "right", "left"),
		w.fine(w.found.Shift.Y), way(w.found.Shift.Y, "up", "down"), w.found.Turn*180/math.Pi)
}

// fine is the size of a small length, finer than readings are shown.
func (w *gapWork) fine(v float64) string {
	if v = math.Abs(v); w.job.Unit == Inch {
		return fmt.Sprintf("%.3f in", v/Inch.Millimetres())
	}
	return fmt.Sprintf("%.2f mm", v)
}

// way is the word for a sign.
func way(v float64, plus, minus string) string {
	if v < 0 {
		return minus
	}
	return plus
}

// causeText says a cause in words, and how sure it is.
func (w *gapWork) causeText(f *fit.Cause, c *GapCause) string {
	text := w.causeWords(f, c)
	switch {
	case c.Split:
		return "The gaps ask for this, and another cause would explain them as well: " + lower(text)
	case !c.Clear:
		return "No clear sign: " + lower(text)
	}
	return text
}

// lower begins a clause.
func lower(text string) string { return strings.ToLower(text[:1]) + text[1:] }

// causeWords says a cause in words.
func (w *gapWork) causeWords(f *fit.Cause, c *GapCause) string {
	long := w.fine
	u := "give or take " + long(c.U)
	switch f.Kind {
	case fit.CauseOffset:
		return fmt.Sprintf("The centre line was taken %s too far to the %s (%s).", long(c.Value), way(c.Value, "right", "left"), u)
	case fit.CauseSkew:
		return fmt.Sprintf("The centre line was turned %.3f° too far %s (give or take %.3f°).", math.Abs(c.Value), way(c.Value, "counter-clockwise", "clockwise"), c.U)
	case fit.CauseRoll:
		return fmt.Sprintf("The centre plane leans %.3f° too far %s (give or take %.3f°).", math.Abs(c.Value), way(c.Value, "to the left", "to the right"), c.U)
	case fit.CauseUniform:
		return fmt.Sprintf("The wall stands %s too far %s all round (%s): the pencil, the cutter or the clearance.", long(c.Value), way(c.Value, "out", "in"), u)
	case fit.CauseScale:
		return fmt.Sprintf("The pocket is %.2f mm on a metre too %s (give or take %.2f).", math.Abs(c.Value), way(c.Value, "large", "small"), c.U)
	case fit.CauseShear:
		return fmt.Sprintf("The grid was out of square by %.2f mm on a metre (give or take %.2f).", math.Abs(c.Value), c.U)
	case fit.CauseJoint:
		return fmt.Sprintf("The joint %s stands open by %s (%s): close it when the tiles are put together; the shape is not changed for it.", f.Name, long(c.Value), u)
	}
	return fmt.Sprintf("Station %s alone is off by %s (%s): read the gap again. Nothing is changed for it.", f.Name, long(c.Value), u)
}

// forecast tells the gaps of the next cut.
func (w *gapWork) forecast() {
	r := w.report
	at := make([]fit.GapReading, len(r.Stations))
	for i, s := range r.Stations {
		at[i] = w.reading(s.At)
	}
	for i, f := range w.found.Next(at, w.job.Pocket.Wall, w.choice, w.rest) {
		r.Stations[i].Next, r.Stations[i].HasNext = f, true
	}
}

// gapFindings says where gaps could not be explained.
func (s *solve) gapFindings() {
	if g := s.m.Gaps; g != nil && g.Why != "" {
		s.m.Findings = append(s.m.Findings, Finding{List: "gaps", Code: "gaps-unexplained", Text: fmt.Sprintf("The gaps of cut %d explain nothing: %s", g.Cut, g.Why)})
	}
}
