package ui

import (
	"testing"

	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fit"
)

func TestCauseWords(t *testing.T) {
	for _, k := range []fit.CauseKind{fit.CausePlacement, fit.CauseTilt, fit.CauseOffset, fit.CauseSkew, fit.CauseRoll, fit.CauseUniform, fit.CauseScale, fit.CauseShear} {
		assert.NotEqual(t, k.String(), causeTitle(k.String()), "every cause has a name in words")
	}
	assert.Equal(t, "joint A1/A2", causeTitle("joint A1/A2"))
	assert.Equal(t, "station 12' alone", causeTitle("station 12'"))
	assert.Equal(t, "an opened joint", causeTitle("joint"))
	assert.Equal(t, "one station alone", causeTitle("station"))
	assert.Equal(t, []string{"+0.010 in", "0.000 in", "-1 mm"}, []string{plusSign(0.01, "0.010 in"), plusSign(1e-5, "0.000 in"), plusSign(-1, "-1 mm")})
	assert.Equal(t, "the smooth rest; too large or small", causeList([]string{"rest", "scale"}))

	mm, in := board.NewJob("x"), board.NewJob("y")
	in.Unit = board.Inch
	for _, c := range []struct {
		j    *board.Job
		c    board.GapCause
		want string
	}{
		{mm, board.GapCause{Value: 1.016, U: 0.05, Unit: "mm", Share: 0.624}, "62%   +1.02 ± 0.10 mm"},
		{in, board.GapCause{Value: -1.016, U: 0.05, Unit: "mm", Share: 0.5}, "50%   -0.040 ± 0.004 in"},
		{mm, board.GapCause{Value: 0.05, U: 0.01, Unit: "deg", Share: 0.1}, "10%   +0.050 ± 0.020°"},
		{mm, board.GapCause{Value: -0.5, U: 0.1, Unit: "mm/m"}, "0.0%   -0.50 ± 0.20 mm/m"},
		{mm, board.GapCause{Share: 0.3}, "30%"},
	} {
		assert.Equal(t, c.want, causeFigures(c.j, &c.c))
	}
}

func TestRankedCauses(t *testing.T) {
	j := board.NewJob("x")
	j.Cuts = []board.Cut{{Number: 1, Accepted: []string{board.FoundCauses}}}
	g := &board.GapReport{Cut: 1, Causes: []board.GapCause{
		{Name: "placement", Kind: "placement", Share: 0.3, Clear: true}, {Name: "tilt", Kind: "tilt", Clear: true},
		{Name: "centre_offset", Kind: "centre_offset", Unit: "mm", Share: 0.1, Clear: true},
		{Name: "scale", Kind: "scale", Unit: "mm/m", Share: 0.4, Clear: true},
		{Name: "shear", Kind: "shear", Unit: "mm/m", Share: 0.01},
		{Name: "joint A1/A2", Kind: "joint", Unit: "mm", Share: 0.05, Clear: true},
		{Name: board.RestCause, Kind: board.RestCause, Share: 0.14}}}
	s := desk.State{Job: j, Model: &board.Model{Job: j, Gaps: g}}
	names := func(cs []board.GapCause) (out []string) {
		for _, c := range cs {
			out = append(out, c.Name)
		}
		return out
	}
	assert.Equal(t, []string{"scale", "placement", "centre_offset", "joint A1/A2", "shear", "tilt", "rest"}, names(ranked(g)))
	assert.Equal(t, []string{"scale", "centre_offset", "rest", "shear"}, correctable(s), "in the order of their keys")
	assert.Equal(t, []string{"scale", "centre_offset", "rest"}, acceptedCauses(s), "what is clear, and the rest; a joint changes no shape")
	assert.False(t, isAccepted(s, "placement"))
	for i, shown := range []bool{true, false, true, true, false, true, true} {
		assert.Equal(t, shown, clearCause(s, &g.Causes[i]), g.Causes[i].Name)
	}
	j.Cuts[0].Accepted = []string{"shear"}
	assert.Equal(t, []string{"shear"}, acceptedCauses(s))
	assert.True(t, clearCause(s, &g.Causes[4]), "what is put right is always shown")
	j.Cuts = nil
	assert.Empty(t, acceptedCauses(s))
}

func TestCutsHead(t *testing.T) {
	j := board.NewJob("x")
	s := desk.State{Job: j}
	head := func() string {
		word, _, _ := cutsHead(s)
		return word
	}
	assert.Equal(t, "No cut is recorded yet", head())
	j.Cut, j.Cuts = 2, []board.Cut{{Number: 1}}
	assert.Equal(t, "Cut 1: note its gaps", head())
	j.Gaps = []board.GapNote{{Cut: 1, Station: "1"}}
	assert.Equal(t, "Working out the gaps…", head())
	g := &board.GapReport{Cut: 1, Causes: []board.GapCause{{Name: "scale", Kind: "scale", Unit: "mm/m", Share: 0.6}}}
	s.Model = &board.Model{Job: j, Gaps: g}
	assert.Equal(t, "No one cause explains the gaps of cut 1", head())
	g.Causes[0].Clear = true
	assert.Equal(t, "Too large or small: 60% of the gaps of cut 1", head())
	j.Cuts[0].Accepted = []string{"scale"}
	g.Stations = []board.GapStation{{HasNext: true, Next: fit.Forecast{Wall: 1.4}}, {HasNext: true, Next: fit.Forecast{Wall: 1.6}}, {}}
	word, weight, say := cutsHead(s)
	assert.Equal(t, "Put right in cut 2: too large or small", word)
	assert.Equal(t, widget.SuccessImportance, weight)
	assert.Contains(t, say, "1.40 to 1.60 mm, planned 1.50 mm")
	g.Why = "Too few."
	assert.Equal(t, "Cut 1: nothing explained yet", head())
	s.Model.Proof = board.Proof{Cut: 1, Ledge: true}
	assert.Equal(t, "Proved by cut 1", head())
	word, weight = proofWord(s.Model.Proof)
	require.Equal(t, widget.SuccessImportance, weight)
	assert.Equal(t, "proved", word)
}
