package lint

import (
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Import is what Open CASCADE makes of a file, lengths in mm.
type Import struct {
	Refused                      string   // why nothing was read; else empty
	Messages                     []string // warnings and failures
	Valid                        bool     // by the kernel's own check, which is worth little: it mends first
	Solids, Shells, Faces, Edges int
	Wires                        int     // edges that bound no face
	Points                       int     // vertices that bound no edge
	Free                         int     // edges with a face on one side only
	Volume                       float64 // of all solids
	Area                         float64 // of all faces
	Tolerance                    float64 // the largest that it had to allow
	Low, High                    [3]float64
	Layers, Names                []string
}

// Expected is what a file should hold. Sizes are in mm.
type Expected struct {
	Solids, Faces, Free int
	Wires, Points       int
	Volume, Area        float64 // to 1e-6 of themselves; Area 0: not known
	Box                 r3.Box  // to 0.01 mm
}

// Misses returns in what a file differs from what it should hold; none where it
// is accepted:
//
//  1. no message,
//  2. the number of solids, faces, wires and points,
//  3. no tolerance above the uncertainty of 0.002 mm,
//  4. the number of free edges, none for solids,
//  5. volume and area within 1e-6 of an integral of their own,
//  6. the box within 0.01 mm.
func (i Import) Misses(want Expected) []string {
	if i.Refused != "" {
		return []string{i.Refused}
	}
	misses := append([]string(nil), i.Messages...)
	miss := func(good bool, format string, args ...any) {
		if !good {
			misses = append(misses, fmt.Sprintf(format, args...))
		}
	}
	number := func(what string, got, want int) { miss(got == want, "%d %s, want %d", got, what, want) }
	const (
		share   = 1e-6
		box     = 0.01 // mm
		widest  = 0.002
		nothing = 1e-9 // mm³
	)
	miss(i.Valid, "not valid")
	number("solids", i.Solids, want.Solids)
	number("faces", i.Faces, want.Faces)
	number("wires", i.Wires, want.Wires)
	number("points", i.Points, want.Points)
	number("free edges", i.Free, want.Free)
	miss(i.Tolerance <= widest, "a tolerance of %g mm", i.Tolerance)
	miss(math.Abs(i.Volume-want.Volume) <= share*want.Volume+nothing, "volume %.6f mm³, want %.6f", i.Volume, want.Volume)
	miss(want.Area == 0 || math.Abs(i.Area-want.Area) <= share*want.Area, "area %.6f mm², want %.6f", i.Area, want.Area)
	low, high := want.Box.Min, want.Box.Max
	for k, w := range [3]r3.Vec{{X: low.X, Y: high.X}, {X: low.Y, Y: high.Y}, {X: low.Z, Y: high.Z}} {
		miss(math.Abs(i.Low[k]-w.X) <= box && math.Abs(i.High[k]-w.Y) <= box,
			"box %c from %.4f to %.4f, want %.4f to %.4f", 'x'+k, i.Low[k], i.High[k], w.X, w.Y)
	}
	return misses
}

// Examine has a file read by the program testdata/check/step.cpp, which is
// compiled where this machine has not done so before (some three seconds).
// Without a compiler or Open CASCADE the test is skipped.
func Examine(t testing.TB, path string) Import {
	t.Helper()
	text, err := exec.Command(examiner(t), path).Output()
	var exit *exec.ExitError
	if errors.As(err, &exit) { // damaged files make the kernel crash, too
		return Import{Refused: fmt.Sprintf("%v: %s", err, exit.Stderr)}
	}
	var i Import
	if err == nil {
		err = json.Unmarshal(text, &i)
	}
	if err != nil {
		t.Fatalf("%s: %v in %q", path, err, text)
	}
	return i
}

// libraries of Open CASCADE, each before those that it needs.
const libraries = "-lTKXDESTEP -lTKSTEP -lTKSTEPBase -lTKXSBase -lTKXCAF -lTKLCAF -lTKCAF -lTKCDF " +
	"-lTKShHealing -lTKTopAlgo -lTKBRep -lTKGeomAlgo -lTKGeomBase -lTKG3d -lTKG2d -lTKMath -lTKernel"

const headers = "/usr/include/opencascade"

// examiner returns the path of the compiled program. It is kept in the user's
// cache under a name made from its source, so that several test binaries, even
// at once, share one.
func examiner(t testing.TB) string {
	t.Helper()
	source := fromRoot(t, "testdata/check/step.cpp")
	text, err := os.ReadFile(source)
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = t.TempDir()
	}
	dir = filepath.Join(dir, "panewright-check")
	program := filepath.Join(dir, fmt.Sprintf("step-%x", sha256.Sum256(text)))
	if _, err := os.Stat(program); err == nil {
		return program
	}
	compiler, err := exec.LookPath("g++")
	if _, header := os.Stat(headers + "/STEPCAFControl_Reader.hxx"); err != nil || header != nil {
		t.Skip("skipped: needs g++ and libocct-data-exchange-dev (sh assets/setup.sh tests)")
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
	fresh := filepath.Join(build, "step")
	args := append([]string{"-O1", "-std=c++17", "-isystem", headers, source, "-o", fresh}, strings.Fields(libraries)...)
	if out, err := exec.Command(compiler, args...).CombinedOutput(); err != nil {
		t.Fatalf("step.cpp: %v\n%s", err, out)
	}
	if err := os.Rename(fresh, program); err != nil {
		t.Fatal(err)
	}
	return program
}

// fromRoot returns the path of a file of the module, whichever package's test
// is running.
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
