package board

import (
	"slices"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
)

// idsOf are the names of the stations of a job, in order.
func idsOf(j *Job) (ids []string) {
	for _, i := range j.Indices(Edge) {
		ids = append(ids, j.Readings[i].ID)
	}
	return ids
}

// swap exchanges two rows.
func swap(j *Job, a, b int) { j.Readings[a], j.Readings[b] = j.Readings[b], j.Readings[a] }

func TestSwappedStationsAreFound(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(j *Job)
		want   [][2]int
	}{
		{"in order", func(*Job) {}, nil},
		{"two swapped", func(j *Job) { swap(j, 10, 11) }, [][2]int{{10, 11}}},
		{"two pairs", func(j *Job) { swap(j, 10, 11); swap(j, 30, 31) }, [][2]int{{10, 11}, {30, 31}}},
		{"the other way round the pane", func(j *Job) { slices.Reverse(j.Readings); swap(j, 28, 29) }, [][2]int{{28, 29}}},
		{"check stations typed last, down the other side", func(j *Job) {
			last := slices.Clone(j.Readings[30:35])
			slices.Reverse(last)
			j.Readings = append(slices.Delete(j.Readings, 30, 35), last...)
		}, nil},
		{"the first read again at the end", func(j *Job) { j.Readings = append(j.Readings, j.Readings[0]) }, nil},
		{"another laying", func(j *Job) {
			swap(j, 10, 11)
			for i := range j.Readings[5:20] {
				j.Readings[5+i].Set = "2"
			}
		}, nil},
		{"one struck", func(j *Job) { swap(j, 10, 11); j.Readings[10].Struck = true }, nil},
		{"nothing typed", func(j *Job) { j.Readings = nil }, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := paneJob(40)
			c.change(j)
			j.Evaluate()
			assert.Equal(t, c.want, j.Swapped())
			back := j.Clone()
			back.SwapBack()
			assert.Empty(t, back.Swapped(), "put in order alone")
			before := idsOf(j)
			moved := j.SortEdge()
			assert.Equal(t, moved, !slices.Equal(before, idsOf(j)))
			assert.Empty(t, j.Swapped(), "once they are sorted")
			assert.False(t, j.SortEdge())
		})
	}
}

func TestSortedEdgeKeepsTheFirst(t *testing.T) {
	j := paneJob(24)
	want := idsOf(j)
	swap(j, 3, 17)
	swap(j, 5, 9)
	j.Insert(4, Reading{ID: "F1", Kind: Face})
	assert.True(t, j.SortEdge())
	assert.Equal(t, want, idsOf(j))
	assert.Equal(t, "F1", j.Readings[4].ID, "other lists stay")
}

func TestReorder(t *testing.T) {
	j := &Job{}
	for i := range 5 {
		j.Readings = append(j.Readings, Reading{ID: strconv.Itoa(i)})
	}
	j.Reorder([]int{0, 2, 4}, []int{2, 0, 1})
	assert.Equal(t, []string{"4", "1", "0", "3", "2"}, idsOf(j))
}

func TestRepeatsAndTheirSpread(t *testing.T) {
	j := NewJob("a")
	at := func(id, x, y, z string) Reading {
		return Reading{ID: id, X: j.Typed(x), Y: j.Typed(y), Z: j.Typed(z)}
	}
	j.Add([]Reading{at("1", "0", "0", "10"), at("2", "9", "9", "9"), at("1", "3", "4", "12"), at("1", "1", "0", ""), at("1", "99", "0", "0")}, false)
	j.Readings[4].Struck = true
	j.Evaluate()
	r := j.Repeats(2)
	assert.Equal(t, []int{0, 2, 3}, r)
	plan, height := j.Spread(r)
	assert.InDelta(t, 5, plan, 1e-12, "mm")
	assert.InDelta(t, 2, height, 1e-12, "mm")
	assert.Len(t, j.Repeats(1), 1)
	assert.Nil(t, j.Repeats(9))
}
