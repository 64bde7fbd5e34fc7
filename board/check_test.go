package board

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// paneJob is a complete invented job: an oval pane 1200 by 600 with n stations all
// round and 24 face heights, closing nothing.
func paneJob(n int) *Job {
	j := NewJob("oval")
	for i := range n {
		a := 2 * math.Pi * float64(i) / float64(n)
		j.Readings = append(j.Readings, edgeAt(j, fmt.Sprint(i+1),
			fmt.Sprintf("%.1f", 600*math.Sin(a)), fmt.Sprintf("%.1f", 400-300*math.Cos(a)), "60"))
	}
	for i := range 24 {
		r := edgeAt(j, fmt.Sprintf("F%d", i+1), fmt.Sprint(-300+100*(i%6)+50), fmt.Sprint(300+60*(i/6)), "80")
		r.Kind = Face
		j.Readings = append(j.Readings, r)
	}
	j.Evaluate()
	return j
}

// halfJob is its right half with a station past the centre at each end.
func halfJob() *Job {
	j := paneJob(40)
	var keep []Reading
	for _, r := range j.Readings {
		if r.X.MM > -100 || r.Kind == Face {
			keep = append(keep, r)
		}
	}
	j.Readings = keep
	renumber(j, 1)
	j.Mirror = MirrorRight
	j.Evaluate()
	return j
}

func TestCheckFindsNothingInACompleteJob(t *testing.T) {
	assert.Empty(t, Check(paneJob(40)))
}

func TestCheckFinds(t *testing.T) {
	edge := func(row int, field string) Place { return Place{"edge", row, field} }
	for _, c := range []struct {
		name   string
		job    *Job
		change func(j *Job)
		want   map[string]Place // code: place
		remark bool
	}{
		{"an empty job", NewJob(""), nil, map[string]Place{"no-readings": edge(1, "x")}, false},
		{"one station", NewJob(""), func(j *Job) { j.Readings = []Reading{edgeAt(j, "1", "1", "2", "3")} },
			map[string]Place{"few-stations": {"edge", 0, ""}, "few-face-heights": {"face", 0, ""}}, false},
		{"a row just begun", paneJob(40), func(j *Job) { j.Readings = append(j.Readings, Reading{ID: "41"}) },
			map[string]Place{"empty-row": edge(41, "x")}, false},
		{"all stations on a line", paneJob(40), func(j *Job) {
			j.Readings = j.Readings[:20]
			for i := range j.Readings {
				j.Readings[i].Y = j.Readings[i].X
				j.Readings[i].X = j.Typed(fmt.Sprint(10 * i))
				j.Readings[i].Y = j.Typed(fmt.Sprint(5 * i))
			}
		}, map[string]Place{"stations-in-line": {"edge", 0, ""}, "few-face-heights": {"face", 0, ""}}, false},
		{"a cell that is not a number", paneJob(40), func(j *Job) { j.Readings[4].X.Text = "NaN" }, map[string]Place{"unread-cell": edge(5, "x")}, false},
		{"a number past any board", paneJob(40), func(j *Job) { j.Readings[4].Z.Text = "1e300" }, map[string]Place{"unread-cell": edge(5, "z")}, false},
		{"an sd not understood", paneJob(40), func(j *Job) { j.Readings[44].SD.Text = "-1" }, map[string]Place{"unread-cell": {"face", 5, "sd"}}, false},
		{"a setting not understood", paneJob(40), func(j *Job) { j.Pane.Thickness.Text = "four" }, map[string]Place{"unread-cell": {"job", 0, "thickness"}}, false},
		{"a station typed twice", paneJob(40), func(j *Job) { j.Readings[9].ID = "9" },
			map[string]Place{"duplicate-name": edge(10, "id"), "gap-in-numbering": edge(11, "id")}, false},
		{"a repeat", paneJob(40), func(j *Job) {
			r := j.Readings[9]
			r.X.Text = "600.9"
			j.Readings = append(j.Readings[:11:11], append([]Reading{r}, j.Readings[11:]...)...)
			j.Readings[11].X = j.Typed(fmt.Sprintf("%.1f", j.Readings[9].X.MM+0.4))
		}, map[string]Place{"repeat": edge(12, "id")}, true},
		{"a row typed twice", paneJob(40), func(j *Job) {
			j.Readings[9].X, j.Readings[9].Y = j.Readings[8].X, j.Readings[8].Y
		}, map[string]Place{"same-place": edge(10, "x")}, false},
		{"the closing reading", paneJob(40), func(j *Job) {
			r := j.Readings[0]
			r.Y.Text = "100.3"
			j.Readings = append(j.Readings, r)
		}, map[string]Place{"closing-reading": edge(41, "id")}, true},
		{"the closing reading, moved", paneJob(40), func(j *Job) {
			r := j.Readings[0]
			r.Y.Text = "100.9"
			j.Readings = append(j.Readings, r)
		}, map[string]Place{"closing-reading": edge(41, "id")}, false},
		{"far off the grid", paneJob(40), func(j *Job) { j.Readings[9].X.Text = "6000" }, map[string]Place{"off-grid": edge(10, "x")}, false},
		{"far up the grid", paneJob(40), func(j *Job) { j.Readings[9].Y.Text = "-4000" }, map[string]Place{"off-grid": edge(10, "y")}, false},
		{"a grid that is too small", paneJob(40), func(j *Job) { j.Grid.PitchX.Text = "10" }, map[string]Place{"off-grid": {"job", 0, "pitch_x"}}, true},
		{"a face point off the glass", paneJob(40), func(j *Job) { j.Readings[41].X.Text = "700" }, map[string]Place{"face-outside": {"face", 2, "x"}}, false},
		{"a half without proof", halfJob(), nil, map[string]Place{"half-unproved": {"job", 0, "mirror"}}, true},
		{"few face heights", paneJob(40), func(j *Job) { j.Readings = j.Readings[:55] }, map[string]Place{"few-face-heights": {"face", 0, ""}}, true},
		{"no heights", paneJob(40), func(j *Job) {
			j.Readings = j.Readings[:40]
			for i := range j.Readings {
				j.Readings[i].Z = Cell{}
			}
		}, map[string]Place{"no-heights": {"face", 0, "z"}}, false},
		{"some heights missing", paneJob(40), func(j *Job) { j.Readings[3].Z, j.Readings[7].Z = Cell{}, Cell{} }, map[string]Place{"missing-height": edge(4, "z")}, true},
		{"a face point without height", paneJob(40), func(j *Job) { j.Readings[43].Z = Cell{} }, map[string]Place{"missing-height": {"face", 4, "z"}}, false},
		{"a station without y", paneJob(40), func(j *Job) { j.Readings[3].Y = Cell{} }, map[string]Place{"missing-y": edge(4, "y")}, false},
		{"a station without x", paneJob(40), func(j *Job) { j.Readings[3].X = Cell{} }, map[string]Place{"missing-x": edge(4, "x")}, false},
		{"a station without name", paneJob(40), func(j *Job) { j.Readings[39].ID = "" }, map[string]Place{"no-name": edge(40, "id")}, false},
		{"no thickness", paneJob(40), func(j *Job) { j.Pane.Thickness = Cell{} }, map[string]Place{"no-thickness": {"job", 0, "thickness"}}, false},
		{"no pitch", paneJob(40), func(j *Job) { j.Grid.PitchX = Cell{} }, map[string]Place{"no-pitch": {"job", 0, "pitch_x"}}, true},
		{"no uncertainty", paneJob(40), func(j *Job) { j.Sigma = 0 }, map[string]Place{"no-sigma": {"job", 0, "sigma"}}, false},
		{"a number left out", paneJob(40), func(j *Job) { j.Readings = append(j.Readings[:12:12], j.Readings[13:]...) }, map[string]Place{"gap-in-numbering": edge(13, "id")}, false},
		{"numbers left out", paneJob(40), func(j *Job) { j.Readings = append(j.Readings[:12:12], j.Readings[15:]...) }, map[string]Place{"gap-in-numbering": edge(13, "id")}, false},
		{"a tape to no station", paneJob(40), func(j *Job) { j.Tapes = []Tape{{From: "99", Length: j.Typed("1200")}} }, map[string]Place{"unknown-station": {"tapes", 1, "from"}}, false},
		{"a tape to a struck station", paneJob(40), func(j *Job) {
			j.Readings[3].Struck = true
			j.Tapes = []Tape{{How: Straight, From: "3", To: "4", Length: j.Typed("1200")}}
		}, map[string]Place{"unknown-station": {"tapes", 1, "to"}}, false},
		{"a tape without length", paneJob(40), func(j *Job) { j.Tapes = []Tape{{From: "1"}} }, map[string]Place{"missing-length": {"tapes", 1, "length"}}, false},
		{"a tape not understood", paneJob(40), func(j *Job) { j.Tapes = []Tape{{}, {From: "1", Length: j.Typed("12 9/8")}}; j.Tapes[0].Struck = true },
			map[string]Place{"unread-cell": {"tapes", 2, "length"}}, false},
		{"a tape without station", paneJob(40), func(j *Job) { j.Tapes = []Tape{{Length: j.Typed("1200")}} }, map[string]Place{"tape-ends": {"tapes", 1, "from"}}, false},
		{"a straight tape with one end", paneJob(40), func(j *Job) { j.Tapes = []Tape{{How: Straight, From: "1", To: "1", Length: j.Typed("1200")}} }, map[string]Place{"tape-ends": {"tapes", 1, "to"}}, false},
		{"a twin with two ends", paneJob(40), func(j *Job) { j.Tapes = []Tape{{From: "1", To: "2", Length: j.Typed("1200")}} }, map[string]Place{"tape-ends": {"tapes", 1, "to"}}, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			if c.change != nil {
				c.change(c.job)
				c.job.Evaluate()
			}
			got := map[string]Place{}
			for _, f := range Check(c.job) {
				got[f.Code] = f.Place()
				assert.Regexp(t, `^[a-z-]+$`, f.Code)
				assert.NotContains(t, f.Text, "%!")
				assert.True(t, strings.HasSuffix(f.Text, ".") || strings.HasSuffix(f.Text, "?"), f.Text)
				if len(c.want) == 1 {
					assert.Equal(t, c.remark, f.Remark, f.Text)
				}
			}
			assert.Equal(t, c.want, got)
		})
	}
}

// What is no fault is not told.
func TestCheckKeepsQuiet(t *testing.T) {
	for name, change := range map[string]func(j *Job){
		"the pencil not typed":     func(j *Job) { j.Pencil = Cell{} },
		"a struck row":             func(j *Job) { j.Readings[3].X.Text, j.Readings[3].Struck = "NaN", true },
		"numbered in tens":         func(j *Job) { renumber(j, 10) },
		"all in one set":           func(j *Job) { inSet(j, "B") },
		"names without numbers":    func(j *Job) { j.Readings[39].ID = "top" },
		"a mark without height":    func(j *Job) { j.Readings = append(j.Readings, mark(j, "M1")) },
		"one id in two sets":       func(j *Job) { r := edgeAt(j, "1", "5", "6", "7"); r.Set = "B"; j.Readings = append(j.Readings, r) },
		"one id in two kinds":      func(j *Job) { j.Readings = append(j.Readings, mark(j, "1")) },
		"a face point at the edge": func(j *Job) { j.Readings[41].X.Text, j.Readings[41].Y.Text = "603", "400" },
	} {
		j := paneJob(40)
		change(j)
		j.Evaluate()
		assert.Empty(t, Check(j), name)
	}
	for name, change := range map[string]func(j *Job){
		"two full widths": func(j *Job) {
			j.Tapes = []Tape{{From: "5", Length: j.Typed("900")}, {How: Greatest, From: "8", Length: j.Typed("1000")}}
		},
		"check stations": func(j *Job) {
			for i, x := range []string{"-590", "-500", "-400"} {
				j.Readings = append(j.Readings, edgeAt(j, fmt.Sprint(101+i), x, "250", "60"))
			}
			renumber(j, 1)
		},
		"two centre marks": func(j *Job) {
			for i := range 2 {
				r := mark(j, fmt.Sprintf("C%d", i+1))
				r.Kind, r.Y = Centre, j.Typed(fmt.Sprint(100+600*i))
				j.Readings = append(j.Readings, r)
			}
		},
		"no mirror": func(j *Job) { j.Mirror = MirrorNone },
	} {
		j := halfJob()
		change(j)
		j.Evaluate()
		for _, f := range Check(j) {
			assert.NotEqual(t, "half-unproved", f.Code, name)
		}
	}
}

func renumber(j *Job, step int) {
	for n, i := range j.Indices(Edge) {
		j.Readings[i].ID = fmt.Sprint((n + 1) * step)
	}
}

func inSet(j *Job, set string) {
	for i := range j.Readings {
		j.Readings[i].Set = set
	}
}

func mark(j *Job, id string) Reading {
	return Reading{Kind: Mark, ID: id, X: j.Typed("0"), Y: j.Typed("150")}
}

// A half job's face points may lie on the half that is made.
func TestCheckMirrorsTheHull(t *testing.T) {
	j := halfJob()
	for _, f := range Check(j) {
		assert.NotEqual(t, "face-outside", f.Code)
	}
	for _, m := range []struct {
		mirror Mirror
		half   bool
	}{{MirrorAuto, true}, {MirrorRight, true}, {MirrorBoth, false}, {MirrorNone, false}} {
		j.Mirror = m.mirror
		found := false
		for _, f := range Check(j) {
			found = found || f.Code == "half-unproved"
		}
		assert.Equal(t, m.half, found, m.mirror.String())
	}
}

func TestFindingsSpeakTheJobsUnit(t *testing.T) {
	j := paneJob(40)
	j.Unit = Inch
	j.Readings[41].X = Cell{Text: "700"}
	j.Evaluate()
	f := Check(j)
	require.Len(t, f, 1)
	assert.Contains(t, f[0].Text, " in outside the stations")
	assert.Equal(t, "face row 2, x: "+f[0].Text, f[0].String())
}

func TestCheckIsTheSameEveryTime(t *testing.T) {
	j := surveyed(300)
	first := Check(j)
	require.NotEmpty(t, first)
	for range 20 {
		require.Equal(t, first, Check(j))
	}
}

func BenchmarkCheck(b *testing.B) {
	j := paneJob(476)
	for b.Loop() {
		Check(j)
	}
}

func BenchmarkEvaluate(b *testing.B) {
	j := paneJob(476)
	for b.Loop() {
		j.Evaluate()
	}
}
