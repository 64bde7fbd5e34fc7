package lint

import (
	"crypto/sha256"
	_ "embed"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Second has a file read by dxflib, through the program testdata/check/dxf.cpp, and
// fails the test where that one does not see the entities of the report: the same
// types on the same layers in the same order, as many points and knots, in the same
// box to a millionth. The program is compiled where this machine has not done so
// before (some two seconds); without a compiler or dxflib the test is skipped.
func Second(t testing.TB, path string, r *Report) {
	t.Helper()
	cmd := exec.Command(second(t), path)
	var stderr strings.Builder
	cmd.Stderr = &stderr
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: dxflib: %v\n%s", path, err, stderr.String())
	}
	var seen []struct {
		Type, Layer   string
		Points, Knots int
		Low, High     [3]float64
	}
	if err := json.Unmarshal(text, &seen); err != nil {
		t.Fatalf("%s: dxflib: %v in %q", path, err, text)
	}
	if len(seen) != len(r.Entities) {
		t.Fatalf("%s: dxflib sees %d entities, there are %d", path, len(seen), len(r.Entities))
	}
	const close = 1e-6 // of the unit
	for i, e := range r.Entities {
		got, pts := seen[i], e.Points
		if e.Type == "SPLINE" {
			pts = e.Ctrl
		}
		kind := e.Type
		if kind == "LWPOLYLINE" { // dxflib makes no difference
			kind = "POLYLINE"
		}
		if got.Type != kind || got.Layer != e.Layer || got.Points != len(pts) || got.Knots != len(e.Knots) {
			t.Errorf("%s: entity %d: dxflib sees %+v, it is a %s on %s of %d points and %d knots", path, i, got, e.Type, e.Layer, len(pts), len(e.Knots))
			continue
		}
		low, high := pts[0], pts[0]
		for _, p := range pts {
			low = r3.Vec{X: min(low.X, p.X), Y: min(low.Y, p.Y), Z: min(low.Z, p.Z)}
			high = r3.Vec{X: max(high.X, p.X), Y: max(high.Y, p.Y), Z: max(high.Z, p.Z)}
		}
		of := func(v [3]float64) r3.Vec { return r3.Vec{X: v[0], Y: v[1], Z: v[2]} }
		if r3.Norm(r3.Sub(of(got.Low), low)) > close || r3.Norm(r3.Sub(of(got.High), high)) > close {
			t.Errorf("%s: entity %d: dxflib sees it from %v to %v, it reaches from %v to %v", path, i, got.Low, got.High, low, high)
		}
	}
}

// second returns the path of the compiled program, kept in the user's cache under a
// name made from its source.
func second(t testing.TB) string {
	t.Helper()
	source := fromRoot(t, "testdata/check/dxf.cpp")
	text, err := os.ReadFile(source)
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = t.TempDir()
	}
	dir = filepath.Join(dir, "panewright-check")
	program := filepath.Join(dir, fmt.Sprintf("dxf-%x", sha256.Sum256(text)))
	if _, err := os.Stat(program); err == nil {
		return program
	}
	compiler, err := exec.LookPath("g++")
	if _, header := os.Stat("/usr/include/dxflib/dl_dxf.h"); err != nil || header != nil {
		t.Skip("skipped: needs g++ and libdxflib-dev (sh assets/setup.sh tests)")
	}
	if err := os.MkdirAll(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	// Built beside its place and renamed, so that another test never runs half of it.
	build, err := os.MkdirTemp(dir, "build-")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(build)
	fresh := filepath.Join(build, "dxf")
	out, err := exec.Command(compiler, "-O2", "-std=c++17", source, "-o", fresh, "-ldxflib").CombinedOutput()
	if err != nil {
		t.Fatalf("dxf.cpp: %v\n%s", err, out)
	}
	if err := os.Rename(fresh, program); err != nil {
		t.Fatal(err)
	}
	return program
}

// fromRoot returns the path of a file of the module, whichever package's test is
// running.
func fromRoot(t testing.TB, path string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, filepath.FromSlash(path))
		}
		if filepath.Dir(dir) == dir {
			t.Fatal("no go.mod above the test")
		}
		dir = filepath.Dir(dir)
	}
}

//go:embed measure.py
var measureScript string

// Measured is what ezdxf and numpy make of the splines on a layer, taken together:
// their length, and the area that they run round in plan, counter-clockwise.
type Measured struct{ Length, Area float64 }

// Measure has the splines on a layer of a file evaluated and integrated by programs
// that are not ours. Without them the test is skipped.
func Measure(t testing.TB, path, layer string) (m Measured) {
	t.Helper()
	const python = "/usr/bin/python3" // Debian's own: the one that sees its packages
	if exec.Command(python, "-c", "import ezdxf, numpy").Run() != nil {
		t.Skip("skipped: needs python3-ezdxf and python3-numpy (sh assets/setup.sh tests)")
	}
	cmd := exec.Command(python, "-", path, layer)
	cmd.Stdin = strings.NewReader(measureScript)
	var stderr strings.Builder
	cmd.Stderr = &stderr
	text, err := cmd.Output()
	if err == nil {
		err = json.Unmarshal(text, &m)
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", path, err, stderr.String())
	}
	return m
}
