package solidview

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom/fixture"
	"panewright/testdata/demo"
)

// many is the demo windscreen as solved, its misses those of 500 readings.
func many(b testing.TB) desk.State {
	b.Helper()
	m, err := board.Solve(context.Background(), demo.B().Job, nil)
	require.NoError(b, err)
	j := *m.Job
	results := m.Results
	for len(j.Readings) < 500 {
		j.Readings = append(j.Readings, j.Readings[len(j.Readings)%len(results)])
		m.Results = append(m.Results, m.Results[len(m.Results)%len(results)])
	}
	m.Job = &j
	return desk.State{Job: &j, Model: m}
}

// BenchmarkPicture is the quick picture at 900 by 600 with 500 readings, in its
// dearest forms.
func BenchmarkPicture(b *testing.B) {
	s := many(b)
	for _, c := range []struct {
		name string
		set  func(v *View)
	}{
		{"plain", func(*View) {}},
		{"heights", func(v *View) { v.SetMap(Heights) }},
		{"misses", func(v *View) { v.SetMap(Misses) }},
		{"radius", func(v *View) { v.SetMap(LeastRound) }},
		{"stripes", func(v *View) { v.SetStripes(Stripes{On: true, Count: 40, Share: 0.5, Angle: 90}) }},
		{"section", func(v *View) { v.SetCut(Across, 0) }},
		{"pocket", func(v *View) {
			p, err := fixture.New(context.Background(), s.Model.Pane, s.Job.Pocket)
			require.NoError(b, err)
			v.SetPocket(true)
			v.ShowPocket(p, nil, "")
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			v, q := show(b, s)
			c.set(v)
			q.until(b, func() bool { return v.Shown() && !v.Busy() })
			for b.Loop() {
				v.cam = v.cam.turned(0.01, 0)
				v.quick.paint(v.frame(900, 600), 1)
			}
		})
	}
	b.Run("fine", func(b *testing.B) {
		v, _ := show(b, s)
		for b.Loop() {
			v.fine.paint(v.frame(900, 600), 3)
		}
	})
}

func BenchmarkMesh(b *testing.B) {
	p := dome(b)
	for b.Loop() {
		if _, err := newSolid(p, meshSteps); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkField is a map from nothing.
func BenchmarkField(b *testing.B) {
	s := many(b)
	for _, kind := range []Map{Heights, Unsure, LeastRound} {
		b.Run(heading(kind, s.Job), func(b *testing.B) {
			for b.Loop() {
				f, err := newFace(context.Background(), s.Model)
				require.NoError(b, err)
				_, err = newField(context.Background(), f, kind)
				require.NoError(b, err)
			}
		})
	}
}
