package boardview

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom"
)

// quarterTurn moves readings by (10, 20) after a quarter turn to the left.
var quarterTurn = geom.Frame{R: [3][3]float64{{0, -1, 0}, {1, 0, 0}, {0, 0, 1}}, T: r3.Vec{X: 10, Y: 20}}

// joined is the job of four stations, the last of which belongs to a laying that
// was turned by a quarter, and one more whose laying is not joined.
func joined() (*board.Job, *board.Model) {
	j := fourStations(board.MM)
	j.Readings[3].Set = "2"
	lone := board.Reading{ID: "9", Kind: board.Edge, Set: "3", X: board.Cell{Text: "0"}, Y: board.Cell{Text: "-900"}}
	j.Readings = append(j.Readings, lone)
	j.Evaluate()
	m := &board.Model{Job: j, Results: make([]board.Result, 5), Joins: []board.Join{{Set: "2", Joined: true, Motion: quarterTurn}, {Set: "3"}}}
	for i, r := range j.Readings[:4] {
		at := r3.Vec{X: r.X.MM, Y: r.Y.MM}
		if r.Set == "2" {
			at = quarterTurn.Apply(at)
		}
		m.Results[i] = board.Result{At: at, Placed: true}
	}
	m.Results[4].State = board.Unused
	return j, m
}

func TestReadingsStandWhereTheyWereJoined(t *testing.T) {
	j, m := joined()
	sc := newScene(desk.State{Job: j, Model: m}, nil)
	p, _ := sc.find(3)
	assert.InDelta(t, -490, p.at.X, 1e-9)
	assert.InDelta(t, -280, p.at.Y, 1e-9)
	assert.Equal(t, r2.Vec{X: -300, Y: 500}, p.typed)
	assert.Contains(t, strings.Join(about(p, j), "|"), "typed ")
	to := p.standsAt(r2.Vec{X: -290, Y: 500}) // 10 mm to the right as read is 10 mm up
	assert.InDelta(t, -490, to.X, 1e-9)
	assert.InDelta(t, -270, to.Y, 1e-9)
	back := p.readFrom(to)
	assert.InDelta(t, -290, back.X, 1e-9)
	assert.InDelta(t, 500, back.Y, 1e-9)

	q, _ := sc.find(0)
	assert.Equal(t, q.typed, q.at)
	lone, _ := sc.find(4)
	assert.True(t, lone.away)
	assert.Contains(t, strings.Join(about(lone, j), "|"), "laying 3, which is not joined")
	assert.Greater(t, sc.stations.Min.Y, -900.0, "its place is not known")
}

func TestJoinedReadingIsMovedAsItWasRead(t *testing.T) {
	j, m := joined()
	v, d := show(t, j, m)
	drag(v, at(v, -490, -280), at(v, -490, -230))
	require.Len(t, d.edits, 1)
	r := d.job().Readings[3]
	assert.InDelta(t, -250, r.X.MM, 8, "mm: up by 50 is right by 50 as it lay, within a snap")
	assert.InDelta(t, 500, r.Y.MM, 8, "mm")
	assert.InDelta(t, 0, math.Remainder(r.X.MM, 0.1), 1e-9, "to a tenth of a millimetre")
}

func TestPlacedReadingBelongsToTheLayingOfTheLast(t *testing.T) {
	j, _ := joined()
	v, d := show(t, j, nil)
	v.SetMode(PlaceStation)
	click(v, at(v, 100, 300))
	all := d.job().Readings
	require.Len(t, all, 6)
	assert.Equal(t, "3", all[5].Set)
}
