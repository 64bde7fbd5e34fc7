package board

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
	"panewright/geom/fixture"
)

// ovalCut is the shape of a small bowed pane, of which the right half was measured.
func ovalCut() *CutShape {
	knots := make([]float64, 25)
	ctrl := make([]r2.Vec, 24)
	for i := range ctrl {
		a := 2*math.Pi*float64(i)/24 - math.Pi/2
		ctrl[i] = r2.Vec{X: 300 * math.Cos(a), Y: 200 * math.Sin(a)}
	}
	for i := range knots {
		knots[i] = float64(i)
	}
	plan, err := geom.NewCurve(knots, ctrl)
	if err != nil {
		panic(err)
	}
	ends := []float64{-350, -350, -350, -350, 350, 350, 350, 350}
	heights := make([]float64, 16)
	for i := range heights {
		x := geom.Greville(ends)[i/4]
		heights[i] = 20 - x*x/6000
	}
	face, err := geom.NewFace(ends, ends, heights)
	if err != nil {
		panic(err)
	}
	s := &CutShape{Mirror: MirrorRight, Frame: geom.Identity(), Thickness: 4, Plan: plan, Face: face, Mean: r3.Vec{X: 120, Z: 12}}
	for i, id := range []string{"1", "2", "3", "4", "5"} {
		u := 12 * float64(i) / 4
		s.Stations = append(s.Stations, CutStation{id, plan.At(u)})
	}
	return s
}

// addCuts gives a job three cuts, gaps and a check distance, everything filled.
func addCuts(j *Job) {
	j.Cut = 9
	for _, n := range []int{3, 6, 7} {
		plane := geom.NewPlane(r3.Vec{X: 1}, 0.01, 0.002)
		j.Cuts = append(j.Cuts, Cut{Number: n, Shape: ovalCut(), Pocket: fixture.DefaultSpec(), Source: "typed",
			Fix:      CutFix{Plane: &plane, Across: r2.Vec{X: 1}, Rest: []RestPoint{{Wall: 0.2}}, Causes: []PutRight{{Name: "scale", Value: 1, Unit: "mm/m"}}},
			Joints:   []fit.FixtureJoint{{Name: "A1/A2", Along: r2.Vec{Y: 1}}},
			Accepted: []string{"found"}})
	}
	j.Gaps = []GapNote{{Cut: 6, Station: "2"}}
	j.Distances = []DistanceNote{{Cut: 6, Name: "M1-M2"}}
}

// TestGapCells: what may be typed for a gap.
func TestGapCells(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		text   string
		unit   Unit
		comma  bool
		set    bool
		lo, hi float64
		tight  bool
		fault  string
	}{
		{text: ""},
		{text: "  "},
		{text: "1.2", set: true, lo: 1.2, hi: 1.2},
		{text: "1,2", comma: true, set: true, lo: 1.2, hi: 1.2},
		{text: "tight", set: true, tight: true},
		{text: " T ", set: true, tight: true},
		{text: "0", set: true, tight: true},
		{text: "0.6..0.7", set: true, lo: 0.6, hi: 0.7},
		{text: "0,6 .. 0,7", comma: true, set: true, lo: 0.6, hi: 0.7},
		{text: "1/32..1/16", unit: Inch, set: true, lo: 0.79375, hi: 1.5875},
		{text: "0.6..", set: true, lo: 0.6, hi: inf},
		{text: "..0.7", set: true, lo: -inf, hi: 0.7},
		{text: "..", fault: "no strip"},
		{text: "0.7..0.6", fault: "thicker"},
		{text: "60", fault: "more than 50 mm"},
		{text: "loose", fault: "a gap is a number, tight, or"},
		{text: "0.6..x", fault: "a gap is a number"},
	} {
		g := GapCell{Text: c.text, Unit: c.unit, Comma: c.comma}
		g.evaluate()
		assert.Equal(t, c.set, g.Set, c.text)
		assert.Equal(t, c.tight, g.Tight, c.text)
		const tol = 1e-12 // mm
		for _, p := range [][2]float64{{c.lo, g.Lo}, {c.hi, g.Hi}} {
			if math.IsInf(p[0], 0) {
				assert.Equal(t, p[0], p[1], c.text)
			} else {
				assert.InDelta(t, p[0], p[1], tol, c.text)
			}
		}
		if c.fault == "" {
			assert.Empty(t, g.Fault, c.text)
		} else {
			assert.Contains(t, g.Fault, c.fault, c.text)
		}
	}
}

// TestCutEdits: what can be done to cuts and their gaps.
func TestCutEdits(t *testing.T) {
	h := NewHistory(NewJob("demo"))
	edit := func(f func(j *Job) error) *Job {
		j, err := h.Edit("edit", f)
		require.NoError(t, err)
		return j
	}
	j := edit(func(j *Job) error { return j.AddCut(Cut{Number: 1, Shape: ovalCut(), Pocket: j.Pocket}) })
	assert.Equal(t, 2, j.Cut)
	assert.Error(t, j.Clone().AddCut(Cut{Number: 1}))
	j = edit(func(j *Job) error {
		return firstError(j.SetGap(1, "2", "wall", "1.2"), j.SetGap(1, "2", "ledge", "tight"), j.SetGap(1, "3'", "note", "chalk"))
	})
	require.Len(t, j.Gaps, 2)
	assert.Equal(t, 1.2, j.Gaps[0].Wall.Lo)
	assert.True(t, j.Gaps[0].Ledge.Tight)
	j = edit(func(j *Job) error { return j.SetGap(1, "3'", "note", "") })
	assert.Len(t, j.Gaps, 1, "an empty row goes")
	j = edit(func(j *Job) error {
		return firstError(j.SetCut(1, "wall", "1.6"), j.SetCut(1, "reason", "first trial"), j.SetCut(1, "date", "2031-01-02"),
			j.SetDistance(1, "M1-M6", "1463.5"), j.SetRocks(1, true), j.AcceptCause(1, "rest", true), j.AcceptCause(1, "centre_offset", true))
	})
	c := j.LastCut()
	assert.Equal(t, 1.6, c.clearance())
	assert.Equal(t, []string{"centre_offset", "rest"}, c.Accepted)
	assert.Equal(t, 1463.5, j.Distances[0].Length.MM)
	j = edit(func(j *Job) error { return firstError(j.AcceptCause(1, "rest", false), j.SetDistance(1, "M1-M6", "")) })
	assert.Equal(t, []string{"centre_offset"}, j.LastCut().Accepted)
	assert.Empty(t, j.Distances)
	for _, f := range []func(*Job) error{
		func(j *Job) error { return j.SetGap(2, "1", "wall", "1") },
		func(j *Job) error { return j.SetGap(1, "1", "roof", "1") },
		func(j *Job) error { return j.SetCut(1, "roof", "1") },
		func(j *Job) error { return j.SetCut(3, "wall", "1") },
		func(j *Job) error { return j.AcceptCause(3, "rest", true) },
		func(j *Job) error { return j.SetDistance(3, "M1-M2", "1") },
		func(j *Job) error { return j.SetRocks(3, true) },
	} {
		_, err := h.Edit("no", f)
		assert.Error(t, err)
	}
	j = edit((*Job).DeleteCut)
	assert.Empty(t, j.Cuts)
	assert.Empty(t, j.Gaps)
	assert.Equal(t, 1, j.Cut)
	assert.Error(t, j.Clone().DeleteCut())
	j, _ = h.Undo()
	assert.Len(t, j.Cuts, 1)
	assert.Len(t, j.Gaps, 1)
}

// TestCutsInFileAndJournal: cuts come back from both as they were.
func TestCutsInFileAndJournal(t *testing.T) {
	base := NewJob("demo")
	j := base.Clone()
	addCuts(j)
	require.NoError(t, j.SetGap(7, "4'", "wall", "0.6..0.7"))
	j.Evaluate()
	data, err := Encode(j)
	require.NoError(t, err)
	got, notes, err := Decode("a.pane", data)
	require.NoError(t, err)
	require.Empty(t, notes)
	require.True(t, j.Equal(got))
	again, err := Encode(got)
	require.NoError(t, err)
	require.Equal(t, string(data), string(again))

	p, err := difference("all", base, j)
	require.NoError(t, err)
	made, err := p.apply(base)
	require.NoError(t, err)
	require.True(t, j.Equal(made))
	back, err := difference("none", j, base)
	require.NoError(t, err)
	made, err = back.apply(j)
	require.NoError(t, err)
	require.True(t, base.Equal(made))

	one := j.Clone()
	require.NoError(t, one.SetGap(7, "4'", "wall", "0.8"))
	one.Evaluate()
	p, err = difference("one gap", j, one)
	require.NoError(t, err)
	assert.Nil(t, p.Cuts, "a typed gap does not write the cuts again")
	assert.Len(t, p.Gaps.Put, 1)
}

// TestValidateRefusesCuts: no such cuts are kept.
func TestValidateRefusesCuts(t *testing.T) {
	for name, f := range map[string]func(*Job){
		"no shape":                  func(j *Job) { j.Cuts[0].Shape = nil },
		"a number twice":            func(j *Job) { j.Cuts[1].Number = 3 },
		"a number to come":          func(j *Job) { j.Cut = 7 },
		"a mirror undecided":        func(j *Job) { j.Cuts[0].Shape.Mirror = MirrorAuto },
		"a frame that is none":      func(j *Job) { j.Cuts[0].Shape.Frame.R[0][0] = 2 },
		"no number":                 func(j *Job) { j.Cuts[0].Fix.Pencil = math.NaN() },
		"a plane without direction": func(j *Job) { j.Cuts[0].Fix.Plane = &geom.Plane{} },
		"a gap of no cut":           func(j *Job) { j.Gaps[0].Cut = 5 },
		"a distance of no cut":      func(j *Job) { j.Distances[0].Cut = 5 },
		"a unit":                    func(j *Job) { j.Gaps[0].Wall.Unit = 7 },
		"a bed":                     func(j *Job) { j.Tiles.Bed.W = -1 },
	} {
		j := NewJob("demo")
		addCuts(j)
		require.NoError(t, j.Validate())
		f(j)
		assert.Error(t, j.Validate(), name)
	}
}

// TestNamesOfACut: the sheet has the stations and, on the made half, their twins.
func TestNamesOfACut(t *testing.T) {
	s := ovalCut()
	assert.Equal(t, []string{"1", "2", "3", "4", "5", "2'", "3'", "4'"}, s.Names())
	at, ok := s.place("3'")
	require.True(t, ok)
	own, _ := s.place("3")
	assert.Equal(t, r2.Vec{X: -own.X, Y: own.Y}, at)
	_, ok = s.place("9")
	assert.False(t, ok)
	s.Mirror = MirrorNone
	_, ok = s.place("3'")
	assert.False(t, ok)
}

func TestStationsOfACutOnTheBoard(t *testing.T) {
	s := ovalCut()
	for _, id := range s.Names() {
		at, out, ok := s.OnBoard(id)
		require.True(t, ok, id)
		assert.InDelta(t, 1, r2.Norm(out), 1e-9, id)
		assert.Greater(t, r2.Dot(at, out), 0.0, "%s: the origin lies inside, so outward is away from it", id)
		q, _ := s.place(id)
		assert.InDelta(t, 0, r2.Norm(r2.Sub(at, q)), 1e-9, "board and glass frame are the same here")
	}
	_, _, ok := s.OnBoard("none")
	assert.False(t, ok)
	s.Frame.T = r3.Vec{X: 100, Y: -20}
	moved, _, _ := s.OnBoard("2")
	q, _ := s.place("2")
	assert.InDelta(t, 0, r2.Norm(r2.Sub(moved, r2.Add(q, r2.Vec{X: -100, Y: 20}))), 1e-9)
}

func TestProofOfAnyCut(t *testing.T) {
	j := NewJob("x")
	addCuts(j)
	j.Gaps = nil
	for _, id := range j.Cuts[0].Shape.Names() {
		for _, f := range []string{"wall", "ledge"} {
			require.NoError(t, j.SetGap(3, id, f, map[string]string{"wall": "1.5", "ledge": "0"}[f]))
		}
	}
	j.Evaluate()
	p, err := j.ProofOf(3)
	require.NoError(t, err)
	assert.Equal(t, len(j.Cuts[0].Shape.Names()) >= proofStations, p.Cut == 3, p.Reason)
	p, err = j.ProofOf(6)
	require.NoError(t, err)
	assert.Zero(t, p.Cut, "no gap was noted in it")
	assert.Contains(t, p.Reason, "Too few")
	_, err = j.ProofOf(99)
	require.Error(t, err)
}

func TestReadGapIsTypedGapEvaluated(t *testing.T) {
	j := NewJob("x")
	addCuts(j)
	for _, text := range []string{"1.2", "tight", "0.6..0.7", "..", ""} {
		require.NoError(t, j.SetGap(6, "2", "wall", text))
		if len(j.GapsOf(6)) == 0 {
			assert.Equal(t, GapCell{}, j.ReadGap(text))
			continue
		}
		j.Evaluate()
		assert.Equal(t, j.Gaps[j.GapsOf(6)[0]].Wall, j.ReadGap(text), text)
	}
}
