package board

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestHistoryUndoRedo(t *testing.T) {
	first := NewJob("demo")
	h := NewHistory(first)
	_, ok := h.Undo()
	assert.False(t, ok)
	assert.Empty(t, h.UndoName())
	assert.Empty(t, h.RedoName())

	states := []*Job{first}
	for i := range 50 {
		j, err := h.Edit(fmt.Sprintf("Type station %d", i+1), func(j *Job) error {
			return j.Insert(len(j.Readings), edgeAt(j, j.NextID(Edge), "7+12.5", "C", "30"))
		})
		require.NoError(t, err)
		require.Same(t, j, h.Job())
		states = append(states, j)
	}
	assert.Equal(t, "50", h.Job().Readings[49].ID)
	assert.InDelta(t, 712.5, h.Job().Readings[49].X.MM, readTol, "an edit is evaluated")
	for i := 49; i >= 0; i-- {
		assert.Equal(t, fmt.Sprintf("Type station %d", i+1), h.UndoName())
		j, ok := h.Undo()
		require.True(t, ok)
		require.Same(t, states[i], j, "the very state, so that a pointer tells what was saved")
		require.Len(t, j.Readings, i)
	}
	for i := 1; i <= 50; i++ {
		assert.Equal(t, fmt.Sprintf("Type station %d", i), h.RedoName())
		j, ok := h.Redo()
		require.True(t, ok)
		require.Same(t, states[i], j)
	}
	_, ok = h.Redo()
	assert.False(t, ok)

	h.Undo()
	h.Undo()
	j, err := h.Edit("Strike station 3", func(j *Job) error { return j.Strike(2, "moved") })
	require.NoError(t, err)
	assert.Empty(t, h.RedoName(), "an edit forgets what was undone")
	assert.False(t, states[48].Readings[2].Struck, "a published job is never changed")
	assert.True(t, j.Readings[2].Struck)
	back, _ := h.Undo()
	assert.Same(t, states[48], back)
}

func TestHistoryEditThatFails(t *testing.T) {
	h := NewHistory(NewJob("demo"))
	before := h.Job()
	boom := errors.New("no such station")
	_, err := h.Edit("Move", func(j *Job) error { j.Name = "changed"; return boom })
	assert.ErrorIs(t, err, boom)
	_, err = h.Edit("Spoil", func(j *Job) error { j.Sigma = math.NaN(); return nil })
	assert.ErrorContains(t, err, "uncertainty")
	assert.Same(t, before, h.Job())
	assert.Equal(t, "demo", h.Job().Name)
	_, ok := h.Undo()
	assert.False(t, ok)

	j, err := h.Edit("Nothing", func(*Job) error { return nil })
	require.NoError(t, err)
	assert.Same(t, before, j, "an edit that changes nothing is no step")
	assert.Empty(t, h.UndoName())
}

func TestHistoryFromSteps(t *testing.T) {
	a, b, c := NewJob("a"), NewJob("b"), NewJob("c")
	h := NewHistory(a, Step{"to b", b}, Step{"to c", c})
	assert.Same(t, c, h.Job())
	j, _ := h.Undo()
	assert.Same(t, b, j)
	assert.Equal(t, "to b", h.UndoName())
	assert.Equal(t, "to c", h.RedoName())
}

func TestHistorySharesUntouchedLists(t *testing.T) {
	h := NewHistory(NewJob("demo"))
	_, err := h.Edit("Type", func(j *Job) error {
		j.Tapes = []Tape{{From: "1", Length: j.Typed("1200")}}
		return j.Insert(0, edgeAt(j, "1", "1", "2", "3"))
	})
	require.NoError(t, err)
	before := h.Job()
	j, err := h.Edit("Rename", func(j *Job) error { j.Name = "other"; return nil })
	require.NoError(t, err)
	assert.Same(t, &before.Readings[0], &j.Readings[0])
	assert.Same(t, &before.Tapes[0], &j.Tapes[0])
}

// TestUndoMemory: 1,500 edits of 500 readings can be undone, one by one, and hold
// little more than what they changed.
func TestUndoMemory(t *testing.T) {
	const edits = 1500
	h := NewHistory(surveyed(500))
	held := func() float64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return float64(m.HeapAlloc) / (1 << 20)
	}
	before := held()
	sums := make([]string, 0, edits)
	for i := range edits {
		j, err := h.Edit("Type", func(j *Job) error {
			switch {
			case i%100 == 50:
				return j.Insert(i%len(j.Readings), edgeAt(j, "n", "1", "2", "3"))
			case i%100 == 70:
				return j.Delete(i % len(j.Readings))
			}
			return j.SetCell(i%len(j.Readings), "x", fmt.Sprint(i))
		})
		require.NoError(t, err)
		if i%50 == 49 {
			s, err := Sum(j)
			require.NoError(t, err)
			sums = append(sums, s)
		}
	}
	after := held()
	t.Logf("%d edits of 500 readings hold %.1f MB", edits, after-before)
	assert.Less(t, after-before, 20.0, "MB")
	check := func(i int) {
		if i%50 == 49 {
			s, err := Sum(h.Job())
			require.NoError(t, err)
			require.Equal(t, sums[i/50], s, "state %d", i)
		}
	}
	for i := edits - 1; i >= 0; i-- {
		check(i)
		_, ok := h.Undo()
		require.True(t, ok)
	}
	require.True(t, h.Job().Equal(surveyed(500)))
	for i := range edits {
		_, ok := h.Redo()
		require.True(t, ok)
		check(i)
	}
	runtime.KeepAlive(h)
}

// spoil changes the value to a different one of its kind.
func spoil(t *testing.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		v.SetString(v.String() + "1")
	case reflect.Int:
		v.SetInt(v.Int() + 1)
	case reflect.Float64:
		v.SetFloat(v.Float() + 1)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	case reflect.Pointer:
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		} else {
			v.SetZero()
		}
	case reflect.Slice:
		v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
	default:
		t.Fatalf("no way to change a %v", v.Kind())
	}
}

// leaves calls f for every plain field below v, through structs.
func leaves(v reflect.Value, path string, f func(path string, v reflect.Value)) {
	if v.Kind() == reflect.Struct {
		for i := range v.NumField() {
			leaves(v.Field(i), path+"."+v.Type().Field(i).Name, f)
		}
		return
	}
	if v.Kind() == reflect.Array {
		for i := range v.Len() {
			leaves(v.Index(i), path+"["+strconv.Itoa(i)+"]", f)
		}
		return
	}
	f(path, v)
}

// A field added to Job, Reading or Tape cannot be forgotten where jobs are compared.
func TestEqualSeesEveryField(t *testing.T) {
	full := func() *Job {
		j := NewJob("demo")
		j.Plane = &TypedPlane{}
		j.Readings = []Reading{{ID: "1"}}
		j.Tapes = []Tape{{From: "1"}}
		addCuts(j)
		return j
	}
	try := func(root func(*Job) reflect.Value) {
		count := 0
		leaves(root(full()), "", func(string, reflect.Value) { count++ })
		for k := range count {
			j, n, name := full(), 0, ""
			leaves(root(j), "", func(path string, v reflect.Value) {
				if n == k {
					name = path
					spoil(t, v)
				}
				n++
			})
			assert.False(t, j.Equal(full()), "a change of %s is not seen", name)
		}
	}
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Readings[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Tapes[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Plane).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Cuts[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Cuts[0].Shape).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Gaps[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Distances[0]).Elem() })
	assert.True(t, full().Equal(full()))
	assert.True(t, full().Equal(full().Clone()))
}

func TestValidateRefuses(t *testing.T) {
	assert.NoError(t, NewJob("").Validate())
	assert.Error(t, (*Job)(nil).Validate())
	for name, f := range map[string]func(*Job){
		"unit":           func(j *Job) { j.Unit = 2 },
		"mirror":         func(j *Job) { j.Mirror = 9 },
		"lay":            func(j *Job) { j.Pane.Lay = -1 },
		"profile":        func(j *Job) { j.Pane.Profile = 7 },
		"top":            func(j *Job) { j.Pocket.Top = 7 },
		"columns":        func(j *Job) { j.Grid.ColFirst = 10 },
		"many columns":   func(j *Job) { j.Grid.ColLast = 1e9 },
		"rows":           func(j *Job) { j.Grid.Rows = 0 },
		"row A":          func(j *Job) { j.Grid.RowA = -1e9 },
		"sigma":          func(j *Job) { j.Sigma = math.Inf(1) },
		"sigma z":        func(j *Job) { j.SigmaZ = -1 },
		"cut":            func(j *Job) { j.Cut = 0 },
		"notches":        func(j *Job) { j.Pocket.Notches = -1 },
		"wall":           func(j *Job) { j.Pocket.Wall = math.NaN() },
		"name":           func(j *Job) { j.Name = "a\nb" },
		"notes":          func(j *Job) { j.Notes = strings.Repeat("a", maxText+1) },
		"bytes":          func(j *Job) { j.Notes = "\xff" },
		"kind":           func(j *Job) { j.Readings = []Reading{{Kind: 4}} },
		"id":             func(j *Job) { j.Readings = []Reading{{ID: "\x00"}} },
		"note":           func(j *Job) { j.Readings = []Reading{{Note: strings.Repeat("a", maxNote+1)}} },
		"cell text":      func(j *Job) { j.Readings = []Reading{{X: Cell{Text: strings.Repeat("1", maxCell+1)}}} },
		"cell unit":      func(j *Job) { j.Readings = []Reading{{X: Cell{Unit: 3}}} },
		"cell value":     func(j *Job) { j.Readings = []Reading{{X: Cell{MM: math.NaN()}}} },
		"how":            func(j *Job) { j.Tapes = []Tape{{How: 5}} },
		"tape station":   func(j *Job) { j.Tapes = []Tape{{From: "\t"}} },
		"many readings":  func(j *Job) { j.Readings = make([]Reading, maxReadings+1) },
		"plane":          func(j *Job) { j.Plane = &TypedPlane{Skew: Cell{MM: math.Inf(1)}} },
		"pencil control": func(j *Job) { j.Pencil.Text = "\r" },
	} {
		j := NewJob("demo")
		f(j)
		assert.ErrorContains(t, j.Validate(), "board: ", name)
	}
}

func TestNamesOfEdits(t *testing.T) {
	h := NewHistory(NewJob("x"), Step{"made before", NewJob("y")})
	for _, n := range []string{"first", "second", "third"} {
		_, err := h.Edit(n, func(j *Job) error { j.Name = n; return nil })
		require.NoError(t, err)
	}
	h.Undo()
	names, done := h.Names()
	assert.Equal(t, []string{"made before", "first", "second", "third"}, names)
	assert.Equal(t, 3, done)
	names, done = NewHistory(NewJob("x")).Names()
	assert.Empty(t, names)
	assert.Zero(t, done)
}
