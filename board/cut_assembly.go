package board

import (
	"context"
	"errors"
	"fmt"
	"math"

	"panewright/geom"
	"panewright/geom/fixture"
)

// Assembly is what the taped check distances say of the tiles of the last cut as
// they were put together.
type Assembly struct {
	Cut          int
	Scale, Shear fixture.Estimate // as fixture.Assembly has them
	Joints       []JointGap
	Left         map[string]float64 // by distance: what is not explained, mm
	LeftRMS      float64
	Why          string   // nothing is told; empty where it is
	Texts        []string // what was found, in words
}

// JointGap is how far a joint stands open.
type JointGap struct {
	Between [2]string // tiles
	Open    fixture.Estimate
}

const (
	tapeSD  = 0.3 // mm, of a check distance taped between engraved marks (common practice, no source)
	beyondU = 2   // standard uncertainties beyond which a figure of the assembly is named
)

// Assembly reckons how the tiles of the last cut were put together; nil where no
// check distance of it was typed. It makes the pocket and its tiles anew: about
// half a second. The error is ctx's.
func (j *Job) Assembly(ctx context.Context) (*Assembly, error) {
	c := j.LastCut()
	if c == nil {
		return nil, nil
	}
	measured := map[string]float64{}
	for _, d := range j.Distances {
		if d.Cut == c.Number && d.Length.Set {
			measured[d.Name] = d.Length.MM
		}
	}
	if len(measured) == 0 {
		return nil, nil
	}
	a := &Assembly{Cut: c.Number}
	tiling, err := c.tiling(ctx)
	var found *fixture.Assembly
	if err == nil {
		found, err = tiling.Assembly(measured, tapeSD)
	}
	if ctx.Err() != nil {
		return nil, ctx.Err()
	}
	if err != nil {
		var no *fixture.Refusal
		if a.Why = capital(err.Error()); errors.As(err, &no) {
			a.Why = no.Reason
		}
		return a, nil
	}
	a.Scale, a.Shear, a.LeftRMS, a.Left = found.Scale, found.Shear, found.LeftRMS, map[string]float64{}
	for i, n := range found.Names {
		a.Left[n] = found.Left[i]
	}
	for i, t := range tiling.Joints {
		a.Joints = append(a.Joints, JointGap{t.Between, found.Gaps[i]})
	}
	a.tell(j)
	return a, nil
}

// CheckDistances are those worth taping on the assembled tiles of the cut, mm; none
// where it was made in one piece. It makes the pocket and its tiles anew: about
// half a second.
func (c *Cut) CheckDistances(ctx context.Context) ([]fixture.Check, error) {
	if c.Tiles.Bed == (fixture.Bed{}) {
		return nil, nil
	}
	t, err := c.tiling(ctx)
	if err != nil {
		return nil, err
	}
	return t.Checks, nil
}

// tiling is the cut's pocket in its tiles.
func (c *Cut) tiling(ctx context.Context) (*fixture.Tiling, error) {
	if c.Tiles.Bed == (fixture.Bed{}) {
		return nil, fmt.Errorf("cut %d was made in one piece", c.Number)
	}
	pane, err := c.Shape.Pane()
	if err != nil {
		return nil, err
	}
	return c.tilesOf(ctx, pane)
}

// tilesOf are the tiles of the cut's pocket for its pane.
func (c *Cut) tilesOf(ctx context.Context, pane *geom.Pane) (*fixture.Tiling, error) {
	p, err := fixture.New(ctx, pane, c.Pocket)
	if err != nil {
		return nil, err
	}
	return p.Tiles(ctx, c.Tiles.Bed, c.Tiles.Spec())
}

// tell says what was found in words.
func (a *Assembly) tell(j *Job) {
	say := func(text string, args ...any) { a.Texts = append(a.Texts, fmt.Sprintf(text, args...)) }
	beyond := func(e fixture.Estimate) bool { return e.Known && math.Abs(e.Value) > beyondU*e.SD }
	if s := a.Scale; beyond(s) {
		say("The assembled fixture is %.2f mm on a metre too %s (give or take %.2f): moisture, or the tape.", math.Abs(s.Value)*perMetre, way(s.Value, "large", "small"), s.SD*perMetre)
	}
	if s := a.Shear; beyond(s) {
		say("It is out of square by %.2f mm on a metre (give or take %.2f).", math.Abs(s.Value)*perMetre, s.SD*perMetre)
	}
	for _, g := range a.Joints {
		if beyond(g.Open) {
			say("The joint between %s and %s stands %s %s.", g.Between[0], g.Between[1], way(g.Open.Value, "open by", "closer than it should by"), j.length(math.Abs(g.Open.Value)))
		}
	}
	if len(a.Texts) == 0 {
		say("The check distances show nothing amiss: %s typical.", j.length(a.LeftRMS))
	}
}
