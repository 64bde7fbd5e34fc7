package board_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

// edges are the indices of a job's stations.
func edges(j *board.Job) []int { return j.Indices(board.Edge) }

// skip types, from the a-th row on, what belongs to the row dir beside it.
func skip(j *board.Job, rows []int, dir int, fields ...string) {
	was := j.Clone()
	for _, i := range rows {
		for _, f := range fields {
			*cellOf(&j.Readings[i], f) = *cellOf(&was.Readings[i+dir], f)
		}
	}
}

// turn types a run of rows from the last to the first.
func turn(j *board.Job, rows []int) {
	was := j.Clone()
	for n, i := range rows {
		from := was.Readings[rows[len(rows)-1-n]]
		j.Readings[i].X, j.Readings[i].Y, j.Readings[i].Z = from.X, from.Y, from.Z
	}
}

// lift types heights too low by mm.
func lift(j *board.Job, rows []int, mm float64) {
	for _, i := range rows {
		c := &j.Readings[i].Z
		if j.Unit == board.Inch {
			c.Text, _ = board.FormatFraction(c.MM-mm, 32)
		} else {
			c.Text = strconv.FormatFloat(c.MM-mm, 'f', -1, 64)
		}
	}
}

// blockKinds plant one block a pane and return its rows.
var blockKinds = []struct {
	name  string
	plant func(rng *rand.Rand, j *board.Job) []int
}{
	{"rows skipped", func(rng *rand.Rand, j *board.Job) []int {
		r := someRows(rng, j, 3, 8)
		skip(j, r, 1, "x", "y", "z")
		return r
	}},
	{"rows typed twice", func(rng *rand.Rand, j *board.Job) []int {
		r := someRows(rng, j, 3, 8)
		skip(j, r, -1, "x", "y", "z")
		return r
	}},
	{"x skipped", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 5, 9); skip(j, r, 1, "x"); return r }},
	{"y skipped", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 5, 9); skip(j, r, -1, "y"); return r }},
	{"z skipped", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 5, 9); skip(j, r, 1, "z"); return r }},
	{"two in each other's row", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 2, 2); turn(j, r); return r }},
	{"a run reversed", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 3, 9); turn(j, r); return r }},
	{"a run of heights off", func(rng *rand.Rand, j *board.Job) []int { r := someRows(rng, j, 8, 16); lift(j, r, 8); return r }},
	{"all the face off", func(rng *rand.Rand, j *board.Job) []int { r := j.Indices(board.Face); lift(j, r, 8); return r }},
	{"all the edge off", func(rng *rand.Rand, j *board.Job) []int { r := edges(j); lift(j, r, 8); return r }},
}

// someRows are lo to hi stations in a row, not at the ends of the list.
func someRows(rng *rand.Rand, j *board.Job, lo, hi int) []int {
	e := edges(j)
	n := lo + rng.IntN(hi-lo+1)
	a := 3 + rng.IntN(len(e)-n-6)
	return e[a : a+n]
}

// TestBlockTable plants one block a pane: found is a block offer that shares
// rows with it, right one that brings back four rows in five of those that were
// changed for good and falsifies no more than one.
func TestBlockTable(t *testing.T) {
	marks := []int{80}
	if *panes > 2 {
		marks = []int{40, 80, 120}
	}
	for _, n := range marks {
		t.Logf("%d marks                    unit planted harmful found%% right%% other blocks", n)
		right, tried := map[string]int{}, map[string]int{}
		for k, kind := range blockKinds {
			for _, u := range []board.Unit{board.MM, board.Inch} {
				if oneUnit(k, u) {
					continue
				}
				var ok, hit, other, harmful int
				for pane := range *panes {
					rng := rand.New(rand.NewPCG(uint64(7000*n+10*k+int(u)), uint64(pane)))
					p := newMadePane(rng)
					truth := p.read(rng, n, u)
					j := truth.Clone()
					rows := kind.plant(rng, j)
					j.Evaluate()
					if offEdge(p, j, rows) {
						harmful++
					}
					h, r, o := judgeBlock(solve(t, j), truth, rows)
					hit, ok, other = hit+h, ok+r, other+o
					if *showMissed && r == 0 {
						t.Logf("missed rows %s to %s", j.Readings[rows[0]].ID, j.Readings[rows[len(rows)-1]].ID)
						for i, r := range solve(t, j).Results {
							if r.Offer != nil {
								t.Logf("    %s: %s %q -> %q %s", j.Readings[i].ID, r.Offer.Field, r.Offer.Typed, r.Offer.Instead, r.Offer.Why)
							}
						}
					}
				}
				t.Logf("%-28s %4s %6d %6d %7.1f %6.1f %6d", kind.name, u, *panes, harmful, share(hit, *panes), share(ok, *panes), other)
				right[kind.name] += ok
				tried[kind.name] += *panes
			}
		}
		if n != 80 {
			continue
		}
		for _, name := range []string{"two in each other's row", "a run reversed", "all the face off", "all the edge off"} {
			require.GreaterOrEqual(t, share(right[name], tried[name]), 88.0, "%s: right, %%", name)
		}
	}
}

// offEdge says whether a row lies off the edge.
func offEdge(p *madePane, j *board.Job, rows []int) bool {
	for _, i := range rows {
		if p.off(j.Readings[i].X.MM, j.Readings[i].Y.MM) > 4.5 {
			return true
		}
	}
	return false
}

// judgeBlock looks for the block offer of these rows, and counts other blocks.
func judgeBlock(m *board.Model, truth *board.Job, rows []int) (found, right, other int) {
	for i, r := range m.Results {
		if r.Offer == nil || r.Offer.Field != "block" {
			continue
		}
		if r.Offer.To < rows[0] || i > rows[len(rows)-1] {
			other++
			continue
		}
		found = 1
		j := m.Job.Clone()
		if r.Offer.Apply(j) != nil {
			continue
		}
		j.Evaluate()
		wrong, mended, worse := 0, 0, 0
		for k := range j.Readings {
			was, is := same(m.Job.Readings[k], truth.Readings[k]), same(j.Readings[k], truth.Readings[k])
			switch {
			case !was && is:
				mended++
				wrong++
			case !was:
				wrong++
			case !is:
				worse++
			}
		}
		if 5*mended >= 4*(wrong-1) && worse <= 1 { // one row was lost for good
			right = 1
		}
	}
	return found, right, other
}

// same says whether two readings mean the same place, to a step of the rule.
func same(a, b board.Reading) bool {
	const step = 1.5 // mm: by how much a run of heights is off is only estimated
	return a.X.Set && a.Y.Set && a.Z.Set && math.Abs(a.X.MM-b.X.MM) < step && math.Abs(a.Y.MM-b.Y.MM) < step && math.Abs(a.Z.MM-b.Z.MM) < step
}
