package fit

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
)

// franke is the test function of R. Franke, "Scattered data interpolation: tests
// of some methods", Mathematics of Computation 38 (1982) 181-200, over the unit
// square.
func franke(x, y float64) float64 {
	x, y = 9*x, 9*y
	return 0.75*math.Exp(-((x-2)*(x-2)+(y-2)*(y-2))/4) + 0.75*math.Exp(-(x+1)*(x+1)/49-(y+1)/10) +
		0.5*math.Exp(-((x-7)*(x-7)+(y-3)*(y-3))/4) - 0.2*math.Exp(-(x-4)*(x-4)-(y-7)*(y-7))
}

// scipyJob is what testdata/franke.py and testdata/speed.py read.
type scipyJob struct {
	X     []float64    `json:"x"`
	Y     []float64    `json:"y"`
	Z     []float64    `json:"z,omitempty"`
	Sigma float64      `json:"sigma"`
	At    [][3]float64 `json:"at,omitempty"`
}

// add gives the job the readings of marks.
func (j *scipyJob) add(marks []Mark) {
	for _, m := range marks {
		j.X, j.Y, j.Z = append(j.X, m.P.X), append(j.Y, m.P.Y), append(j.Z, m.P.Z)
	}
}

// off is how far a face lies from the truth where the job asks, RMS.
func (j *scipyJob) off(f *Face) float64 {
	var d stat
	for _, a := range j.At {
		d = append(d, f.Face.At(a[0], a[1])-a[2])
	}
	return d.rms()
}

// runScipy hands v to a script of testdata and reads its answer.
func runScipy(t testing.TB, script string, v, answer any) {
	t.Helper()
	python := scipy()
	if python == "" {
		t.Skip("skipped: needs python3-scipy (sh assets/setup.sh tests)")
	}
	text, err := json.Marshal(v)
	require.NoError(t, err)
	cmd := exec.Command(python, script)
	cmd.Stdin = bytes.NewReader(text)
	out, err := cmd.Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(out, answer))
}

// scipyRMS is what testdata/franke.py answers for a job.
type scipyRMS struct{ Spline, RBF float64 }

// frankeReadings reads Franke's function, stretched over a square metre and to
// 100 mm of height, at n × n places of a shaken lattice.
func frankeReadings(seed, n int, sigma float64) (marks []Mark, job scipyJob) {
	const side, height, m = 1000.0, 100.0, 33
	rng := source(70, seed)
	at := func(k int) float64 { return (float64(k) + 0.5 + uniform(rng, -0.4, 0.4)) / float64(n) }
	for k := range n * n {
		x, y := at(k/n), at(k%n)
		z := height*franke(x, y) + sigma*rng.NormFloat64()
		marks = append(marks, Mark{P: vec3(side*x, side*y, z), SXY: 1e-3, SZ: sigma})
	}
	job.Sigma = sigma
	job.add(marks)
	for k := range m * m {
		x, y := float64(k/m)/(m-1), float64(k%m)/(m-1)
		job.At = append(job.At, [3]float64{side * x, side * y, height * franke(x, y)})
	}
	return marks, job
}

// On Franke's function the face is nearer than FITPACK's smoothing spline on
// the same readings, and with 400 of them nearer than a thin plate whose
// smoothing is cross-validated. The function has hills as steep and narrow as
// no pane's, which a thin plate bends to at a lower price: with 256 readings
// the face is 4 % farther than it; with 100, too few for the hills, by a third
// to a half.
func TestFaceFranke(t *testing.T) {
	const seeds = 8
	for _, c := range []struct {
		side   int
		behind float64 // of the thin plate's RMS, at most
	}{{20, 1}, {16, 1.06}} {
		var jobs []scipyJob
		var ours, spline, rbf stat
		for seed := range seeds {
			marks, job := frankeReadings(seed, c.side, 1)
			f, err := FitFace(context.Background(), marks, boxOf(marks, 50), FaceOptions{Pitch: 70})
			require.NoError(t, err)
			jobs, ours = append(jobs, job), append(ours, job.off(f))
		}
		var theirs []scipyRMS
		runScipy(t, "testdata/franke.py", jobs, &theirs)
		require.Len(t, theirs, seeds)
		for k, v := range theirs {
			spline, rbf = append(spline, v.Spline), append(rbf, v.RBF)
			require.Less(t, ours[k], v.Spline, "seed %d", k)
		}
		t.Logf("%d readings: RMS %.3f mm, smoothing spline %.3f, thin plate %.3f", c.side*c.side, ours.rms(), spline.rms(), rbf.rms())
		require.LessOrEqual(t, ours.rms(), c.behind*rbf.rms())
	}
}

// On panes, read as usual, the face is nearer than both on every one.
func TestFaceBeatsScipyOnPanes(t *testing.T) {
	const seeds = 8
	for _, m := range []maker{{level: true}, {level: true, wrap: true}} {
		var jobs []scipyJob
		var ours, spline, rbf stat
		for seed := range seeds {
			rng := source(71, seed)
			p := newPane(rng, m)
			marks := append(p.edgeMarks(rng, 80, 0.5), p.faceMarks(rng, 40, 0.5)...)
			job := scipyJob{Sigma: 0.5}
			job.add(marks)
			for y := -p.h / 2; y < p.h/2; y += 25 {
				for x := -p.w / 2; x < p.w/2; x += 25 {
					if inside(p.plan, r2.Vec{X: x, Y: y}) {
						job.At = append(job.At, [3]float64{x, y, p.face(x, y)})
					}
				}
			}
			jobs, ours = append(jobs, job), append(ours, job.off(fitFace(t, marks, false)))
		}
		var theirs []scipyRMS
		runScipy(t, "testdata/franke.py", jobs, &theirs)
		require.Len(t, theirs, seeds)
		for k, v := range theirs {
			spline, rbf = append(spline, v.Spline), append(rbf, v.RBF)
			require.Less(t, ours[k], v.Spline, "pane %d, wrap-around %v", k, m.wrap)
			require.Less(t, ours[k], v.RBF, "pane %d, wrap-around %v", k, m.wrap)
		}
		t.Logf("wrap-around %v: RMS %.3f mm, smoothing spline %.3f, thin plate %.3f", m.wrap, ours.rms(), spline.rms(), rbf.rms())
	}
}
