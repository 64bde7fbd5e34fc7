package board_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
	"panewright/testdata/demo"
)

// offered is the offer for a reading, by kind and id.
func offered(t *testing.T, m *board.Model, k board.Kind, id string) *board.Offer {
	t.Helper()
	o := result(m, k, id).Offer
	require.NotNil(t, o, "no offer for %v %s", k, id)
	return o
}

// TestDemosGetTheRightOffers: every slip planted in the demo jobs is offered its
// correction, nothing else is offered, and applying the offers brings back
// what was read, but for the row that was lost.
func TestDemosGetTheRightOffers(t *testing.T) {
	type want struct {
		kind               board.Kind
		id, field, to      string
		typed, instead, in string // in: part of the reason
	}
	for _, c := range []struct {
		d    demo.Demo
		want []want
		lost string // the station whose values were never typed
	}{
		{demo.A(), []want{
			{board.Edge, "12", "x", "12", "21 3/8", "12 3/8", "the digits are swapped: 21 3/8 for 12 3/8"},
			{board.Edge, "19", "y", "19", "1", "3", "grid line"},
			{board.Edge, "42", "x", "42", "21 3/4", "-21 3/4", "the minus is missing"},
			{board.Face, "F43", "z", "F43", "4 5/8", "4 3/8", "5/8 was typed for 3/8"},
		}, ""},
		{demo.B(), []want{
			{board.Edge, "41", "block", "46", "41 to 46", "42 to 47", "hold the values of the next row"},
			{board.Face, "F40", "z", "F40", "11.9", "119", "decimal point"},
		}, "41"},
		{demo.C(), []want{
			{board.Edge, "15", "xy", "15", "183, 487", "487, 183", "x and y are exchanged"},
			{board.Edge, "24", "block", "25", "24 to 25", "25 to 24", "in each other's row"},
			{board.Face, "F9", "z", "F9", "31", "34", "read on the outer face"},
		}, ""},
	} {
		t.Run(c.d.File, func(t *testing.T) {
			m := solve(t, c.d.Job)
			count := 0
			for _, r := range m.Results {
				if r.Offer != nil {
					count++
				}
			}
			require.Equal(t, len(c.want), count)
			h := board.NewHistory(c.d.Job)
			for _, w := range c.want {
				o := offered(t, m, w.kind, w.id)
				require.Equal(t, w.field, o.Field, w.id)
				require.Equal(t, w.typed, o.Typed)
				require.Equal(t, w.instead, o.Instead)
				require.Contains(t, o.Why, w.in)
				require.Equal(t, w.to, c.d.Job.Readings[o.To].ID)
				require.Greater(t, o.Odds, 100.0)
				if r := result(m, w.kind, w.id); r.State == board.Suspect {
					require.Greater(t, r.Odds, 1e4)
				}
				_, err := h.Edit("take the correction", o.Apply)
				require.NoError(t, err)
			}
			for _, s := range c.d.Truth.Planted {
				for i, r := range h.Job().Readings {
					if r.Kind != s.Kind || r.ID != s.ID {
						continue
					}
					got := map[string]board.Cell{"x": r.X, "y": r.Y, "z": r.Z}[s.Field]
					if s.ID == c.lost && s.Kind == board.Edge {
						require.Empty(t, got.Text, "to be read again")
						continue
					}
					was := map[string]board.Cell{"x": c.d.Job.Readings[i].X, "y": c.d.Job.Readings[i].Y, "z": c.d.Job.Readings[i].Z}[s.Field]
					require.True(t, got.Set && got != was)
					if s.ID != "12" { // the swap was planted in 12 3/8, read as 12 13/32
						require.Equal(t, s.True, got.Text, "%s %s", s.ID, s.Field)
					}
				}
			}
			for range c.want {
				h.Undo()
			}
			require.True(t, h.Job().Equal(c.d.Job), "undone")
			for _, r := range solve(t, redone(h)).Results {
				require.Nil(t, r.Offer, "nothing left to offer")
			}
		})
	}
}

// redone is a history's last state.
func redone(h *board.History) *board.Job {
	for {
		if j, ok := h.Redo(); !ok {
			return j
		}
	}
}

func TestAnOfferIsRefusedOnceTheReadingHasChanged(t *testing.T) {
	d := demo.C()
	o := offered(t, solve(t, d.Job), board.Edge, "15")
	j := d.Job.Clone()
	for i := range j.Readings {
		if j.Readings[i].ID == "15" {
			require.NoError(t, j.SetCell(i, "y", "488"))
		}
	}
	before := j.Clone()
	require.Error(t, o.Apply(j))
	require.Equal(t, before, j, "nothing changed")
	require.Error(t, (&board.Offer{Changes: []board.Change{{Reading: 4000, Field: "x"}}}).Apply(j))
	require.Error(t, (&board.Offer{Changes: []board.Change{{Reading: 1, Field: "id"}}}).Apply(j))
}

// TestOffersInAJobWhoseUnitWasChanged: read in inches, shown in millimetres now;
// what is offered still means what was measured.
func TestOffersInAJobWhoseUnitWasChanged(t *testing.T) {
	j := demo.A().Job.Clone()
	j.Unit, j.Comma = board.MM, true
	j.Evaluate()
	o := offered(t, solve(t, j), board.Edge, "12")
	require.Equal(t, "12 3/8 in", o.Instead)
	require.NoError(t, o.Apply(j))
	j.Evaluate()
	require.InDelta(t, 12.375*25.4, station(j, "12").X.MM, 1e-9)
}

func station(j *board.Job, id string) board.Reading {
	for _, r := range j.Readings {
		if r.Kind == board.Edge && r.ID == id {
			return r
		}
	}
	return board.Reading{}
}

func TestNoOfferWithoutSuspects(t *testing.T) {
	j := demo.C().Job.Clone()
	truth := demo.C().Truth
	for _, s := range truth.Planted {
		for i := range j.Readings {
			if r := &j.Readings[i]; r.Kind == s.Kind && r.ID == s.ID {
				r.X.Text = map[bool]string{true: s.True, false: r.X.Text}[s.Field == "x"]
				r.Y.Text = map[bool]string{true: s.True, false: r.Y.Text}[s.Field == "y"]
				r.Z.Text = map[bool]string{true: s.True, false: r.Z.Text}[s.Field == "z"]
			}
		}
	}
	j.Evaluate()
	for _, r := range solve(t, j).Results {
		require.Empty(t, r.Offers)
		require.Zero(t, r.Odds)
	}
}

// TestDriftIsARemark: the second readings of demo B moved by 2 mm.
func TestDriftIsARemark(t *testing.T) {
	for _, by := range []float64{0, 2} {
		j := demo.B().Job.Clone()
		eachReading(j, func(r *board.Reading) {
			if r.Note == "second reading" {
				r.X = j.Typed(trim(r.X.MM + by))
			}
		})
		j.Evaluate()
		said := 0
		for _, f := range solve(t, j).Findings {
			if f.Code == "drift" {
				require.True(t, f.Remark)
				said++
			}
		}
		require.Equal(t, by > 0, said == 1)
	}
}

// TestMillimetresInAnInchJob: 25 times too far out, which may leave no outline of
// all stations together; the right offers come all the same.
func TestMillimetresInAnInchJob(t *testing.T) {
	j := demo.A().Job.Clone()
	typed := map[string]string{}
	eachReading(j, func(r *board.Reading) {
		if r.Kind == board.Edge && (r.ID == "5" || r.ID == "24" || r.ID == "30") {
			typed[r.ID] = trim(r.X.MM)
			r.X = j.Typed(typed[r.ID])
		}
	})
	j.Evaluate()
	m := solve(t, j)
	for id, text := range typed {
		o := offered(t, m, board.Edge, id)
		require.Equal(t, text+" mm", o.Instead)
		require.Contains(t, o.Why, "typed in millimetres in an inch job")
	}
}
