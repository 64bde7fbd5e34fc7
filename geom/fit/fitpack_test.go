package fit

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"os"
	"os/exec"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/geom"
)

var update = flag.Bool("update", false, "write testdata/fitpack.json anew (needs scipy)")

// fitpackPane is one pane of testdata/fitpack.json: the readings, rounded to
// 0.001 mm, and how far FITPACK's periodic smoothing spline through them lies
// from the true rim.
type fitpackPane struct {
	Kind string    `json:"kind"`
	Seed int       `json:"seed"`
	X    []float64 `json:"x"`
	Y    []float64 `json:"y"`
	RMS  float64   `json:"fitpack_rms_mm"`
}

const (
	fitpackFile  = "testdata/fitpack.json"
	fitpackPanes = 40
	fitpackSigma = 0.5
)

// fitpackTruth invents pane number i of the comparison and reads it.
func fitpackTruth(i int) (*pane, fitpackPane) {
	k := kinds[i%len(kinds)]
	rng := source(20, i)
	p := newPane(rng, k.maker)
	out := fitpackPane{Kind: k.name, Seed: i}
	for _, m := range p.edgeMarks(rng, 80, fitpackSigma) {
		out.X = append(out.X, math.Round(m.P.X*1000)/1000)
		out.Y = append(out.Y, math.Round(m.P.Y*1000)/1000)
	}
	return p, out
}

// The fit beats FITPACK's smoothing spline on the same readings of every pane.
// FITPACK's figures were made by testdata/fitpack.py with scipy 1.10.1.
func TestOutlineBeatsFitpack(t *testing.T) {
	b, err := os.ReadFile(fitpackFile)
	require.NoError(t, err)
	var stored []fitpackPane
	require.NoError(t, json.Unmarshal(b, &stored))
	require.Len(t, stored, fitpackPanes)
	var ours, theirs stat
	for i, s := range stored {
		p, again := fitpackTruth(i)
		require.Equal(t, again.X, s.X, "the generator no longer makes the stored panes: run with -update")
		require.Equal(t, again.Y, s.Y)
		var marks []Mark
		for j := range s.X {
			marks = append(marks, Mark{P: vec3(s.X[j], s.Y[j], math.NaN()), SXY: fitpackSigma})
		}
		d, _ := p.missesOf(fitOutline(t, marks), geom.Identity(), 3)
		require.Less(t, d.rms(), s.RMS, "pane %d, %s", i, s.Kind)
		ours, theirs = append(ours, d.rms()), append(theirs, s.RMS)
	}
	t.Logf("RMS median %.3f p95 %.3f, FITPACK's %.3f and %.3f", ours.quantile(0.5), ours.quantile(0.95), theirs.quantile(0.5), theirs.quantile(0.95))
}

// The script gives the stored figures again, where scipy is there to run it.
func TestFitpackScript(t *testing.T) {
	python := scipy()
	if python == "" {
		t.Skip("skipped: needs python3-scipy (sh assets/setup.sh tests)")
	}
	type input struct {
		X     []float64    `json:"x"`
		Y     []float64    `json:"y"`
		Rim   [][2]float64 `json:"rim"`
		Sigma float64      `json:"sigma"`
	}
	var in []input
	var made []fitpackPane
	for i := range fitpackPanes {
		p, f := fitpackTruth(i)
		q := input{X: f.X, Y: f.Y, Sigma: fitpackSigma}
		for k := 0; k < len(p.rim); k += 3 {
			q.Rim = append(q.Rim, [2]float64{p.rim[k].X, p.rim[k].Y})
		}
		in, made = append(in, q), append(made, f)
	}
	text, err := json.Marshal(in)
	require.NoError(t, err)
	cmd := exec.Command(python, "testdata/fitpack.py")
	cmd.Stdin = bytes.NewReader(text)
	out, err := cmd.Output()
	require.NoError(t, err)
	var rms []float64
	require.NoError(t, json.Unmarshal(out, &rms))
	require.Len(t, rms, fitpackPanes)
	if *update {
		for i := range made {
			made[i].RMS = rms[i]
		}
		text, err := json.Marshal(made)
		require.NoError(t, err)
		text = bytes.ReplaceAll(text, []byte(`{"kind"`), []byte("\n{\"kind\""))
		require.NoError(t, os.WriteFile(fitpackFile, append(text, '\n'), 0o644))
	}
	b, err := os.ReadFile(fitpackFile)
	require.NoError(t, err)
	var stored []fitpackPane
	require.NoError(t, json.Unmarshal(b, &stored))
	for i, s := range stored {
		require.InDelta(t, s.RMS, rms[i], 0.01, "mm, pane %d", i) // FITPACK's knots may differ with its build
	}
}

// scipy is the name of a Python that has scipy, or empty.
func scipy() string {
	for _, name := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(name, "-c", "import scipy.interpolate").Run() == nil {
			return name
		}
	}
	return ""
}
