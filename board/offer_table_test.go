package board_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

var panes = flag.Int("panes", 1, "panes a kind of slip in TestSlipTable and TestBlockTable; with more than 2, at 40 and 120 marks too")

// tally counts what became of planted slips.
type tally struct{ planted, flagged, clean, falsely, first, firstTwo, offered, offeredRight, blocks int }

func (t *tally) add(o tally) {
	t.planted += o.planted
	t.flagged += o.flagged
	t.clean += o.clean
	t.falsely += o.falsely
	t.first += o.first
	t.firstTwo += o.firstTwo
	t.offered += o.offered
	t.offeredRight += o.offeredRight
	t.blocks += o.blocks
}

func share(a, b int) float64 { return 100 * float64(a) / math.Max(float64(b), 1) }

// plant makes three slips of a kind, some rows apart, each more than 3 mm off.
func plant(rng *rand.Rand, p *madePane, j *board.Job, s slip) (at []int) {
	for range 4000 {
		if len(at) == 3 {
			break
		}
		i := rng.IntN(len(j.Readings))
		r := &j.Readings[i]
		if s.field == "xy" && r.Kind != board.Edge || containsNear(at, i) {
			continue
		}
		field := s.field
		if field == "xy" {
			field = []string{"x", "y"}[rng.IntN(2)]
		}
		was := *r
		ok := s.make(rng, j, r, field)
		j.Evaluate()
		switch {
		case !ok, !r.X.Set || !r.Y.Set || !r.Z.Set,
			s.field == "xy" && p.off(r.X.MM, r.Y.MM) <= 4.5, // the sampled edge is 1.5 mm coarse
			s.field == "z" && math.Abs(r.Z.MM-was.Z.MM) <= 3:
			*r = was
		default:
			at = append(at, i)
		}
	}
	return at
}

func containsNear(at []int, i int) bool {
	for _, k := range at {
		if k-i < 3 && i-k < 3 {
			return true
		}
	}
	return false
}

// judged solves a job with slips at these readings and counts.
func judged(t *testing.T, truth, j *board.Job, at []int, s slip) (n tally) {
	m := solve(t, j)
	if *showMissed && m.Free == nil {
		t.Logf("%s: no outline: %s", s.name, m.Why)
	}
	right := func(i int, o *board.Offer) bool {
		c := j.Clone()
		if o.Apply(c) != nil {
			return false
		}
		c.Evaluate()
		a, b := c.Readings[i], truth.Readings[i]
		tol := 1e-6
		if s.name == "height: other face" || s.name == "unit" {
			tol = 0.8 // mm: the text cannot be had back, only the place
		}
		return math.Abs(a.X.MM-b.X.MM) < tol && math.Abs(a.Y.MM-b.Y.MM) < tol && math.Abs(a.Z.MM-b.Z.MM) < tol
	}
	isPlanted := map[int]bool{}
	for _, i := range at {
		isPlanted[i] = true
	}
	for i, r := range m.Results {
		if r.Offer != nil && r.Offer.Field == "block" {
			n.blocks++
			if *showMissed {
				t.Logf("block in %s at %d: %s -> %s: %s", s.name, i, r.Offer.Typed, r.Offer.Instead, r.Offer.Why)
			}
		}
		flagged := r.State == board.Suspect || r.BadHeight
		if !isPlanted[i] {
			n.clean++
			if flagged {
				n.falsely++
			}
			continue
		}
		n.planted++
		if !flagged {
			continue
		}
		n.flagged++
		if len(r.Offers) > 0 && right(i, &r.Offers[0]) {
			n.first++
			n.firstTwo++
		} else {
			if len(r.Offers) > 1 && right(i, &r.Offers[1]) {
				n.firstTwo++
			}
			if *showMissed {
				rd := j.Readings[i]
				t.Logf("missed %s: %s typed %q %q %q true %q %q %q off %.1f/%.1f", s.name, rd.ID, rd.X.Text, rd.Y.Text, rd.Z.Text, truth.Readings[i].X.Text, truth.Readings[i].Y.Text, truth.Readings[i].Z.Text, r.Miss, r.HeightMiss)
				for k, o := range r.Offers {
					if k < 3 {
						t.Logf("     %s %q -> %q (%s) chance %.3f", o.Field, o.Typed, o.Instead, o.Why, o.Chance)
					}
				}
			}
		}
		if r.Offer != nil {
			n.offered++
			if right(i, r.Offer) {
				n.offeredRight++
			}
		}
	}
	return n
}

var showMissed = flag.Bool("missed", false, "TestSlipTable lists the slips whose first offer is not the right one")

// oneUnit leaves every other kind of slip to one of the units where few panes are
// asked for, to be quick.
func oneUnit(k int, u board.Unit) bool { return *panes == 1 && k%2 != int(u) }

// TestSlipTable plants slips of every kind in invented panes and counts how many
// are found and put right: three a pane. Bars at 80 marks are the project's own
// goal: the right correction first in 88 of 100.
func TestSlipTable(t *testing.T) {
	marks := []int{80}
	if *panes > 2 {
		marks = []int{40, 80, 120}
	}
	for _, n := range marks {
		var all, heights tally
		t.Logf("%d marks              unit planted flagged false/1000 first%% two%% offered%% wrong%% blocks", n)
		for k, s := range slips {
			for _, u := range []board.Unit{board.MM, board.Inch} {
				if s.units != "both" && s.units != u.String() || s.units == "both" && oneUnit(k, u) {
					continue
				}
				var sum tally
				for pane := range *panes {
					rng := rand.New(rand.NewPCG(uint64(1000*n+10*k+int(u)), uint64(pane)))
					p := newMadePane(rng)
					truth := p.read(rng, n, u)
					j := truth.Clone()
					sum.add(judged(t, truth, j, plant(rng, p, j, s), s))
				}
				t.Logf("%-22s %4s %6d %7.1f %9.1f %8.1f %6.1f %6.1f %6.1f %6d", s.name, u, sum.planted, share(sum.flagged, sum.planted),
					10*share(sum.falsely, sum.clean), share(sum.first, sum.flagged), share(sum.firstTwo, sum.flagged),
					share(sum.offered, sum.flagged), share(sum.offered-sum.offeredRight, sum.flagged), sum.blocks)
				if s.field == "z" {
					heights.add(sum)
				} else {
					all.add(sum)
				}
			}
		}
		for _, total := range []struct {
			name string
			tally
		}{{"all places", all}, {"all heights", heights}} {
			name, sum := total.name, total.tally
			t.Logf("%-22s      %6d %7.1f %9.1f %8.1f %6.1f %6.1f %6.1f %6d", name, sum.planted, share(sum.flagged, sum.planted),
				10*share(sum.falsely, sum.clean), share(sum.first, sum.flagged), share(sum.firstTwo, sum.flagged),
				share(sum.offered, sum.flagged), share(sum.offered-sum.offeredRight, sum.flagged), sum.blocks)
		}
		if n == 80 {
			require.Greater(t, share(all.first, all.flagged), 88.0, "right correction first, %% of flagged places")
			require.Greater(t, share(heights.flagged, heights.planted), 98.0, "height slips flagged, %%")
		}
	}
}
