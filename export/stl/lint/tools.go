package lint

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Exact has files read by admesh, which matches edges exactly and mends
// nothing, and fails the test where it finds an edge without its neighbour or a
// degenerate facet. Without admesh the test is skipped.
func Exact(t testing.TB, paths ...string) {
	t.Helper()
	for _, path := range paths {
		for _, fault := range admesh(t, path) {
			t.Errorf("%s: %s", path, fault)
		}
	}
}

// admeshCount is a line of admesh's account that must end in a zero.
var admeshCount = regexp.MustCompile(`(?m)^(Total disconnected facets|Degenerate facets|Edges fixed|Facets removed|Facets added|Facets reversed|Backwards edges) *: +(\d+)`)

// admesh returns what admesh finds wrong with a file.
func admesh(t testing.TB, path string) []string {
	t.Helper()
	program, err := exec.LookPath("admesh")
	if err != nil {
		t.Skip("skipped: needs admesh (sh assets/setup.sh tests)")
	}
	text, err := exec.Command(program, "--exact", path).CombinedOutput()
	if err != nil {
		return []string{fmt.Sprintf("%v\n%s", err, text)}
	}
	counts := admeshCount.FindAllSubmatch(text, -1)
	if len(counts) != 7 {
		return []string{fmt.Sprintf("admesh's account is not understood:\n%s", text)}
	}
	var faults []string
	for _, c := range counts {
		if string(c[2]) != "0" {
			faults = append(faults, fmt.Sprintf("%s: %s", c[1], c[2]))
		}
	}
	return faults
}

// Solid is what CGAL says of a mesh, by exact predicates.
type Solid struct {
	Facets   int
	Mesh     bool    // the facets make an oriented surface; else the rest is empty
	Closed   bool    // every edge has a facet on both sides
	Crossing bool    // the surface passes through itself
	Outward  bool    // normals point out of the solid
	Volume   float64 // mm³
	Parts    int     // pieces that share no vertex
}

// Examine has a file read by the program testdata/check/mesh.cpp, which is
// compiled where this machine has not done so before (some ten seconds).
// Without a compiler or CGAL the test is skipped.
func Examine(t testing.TB, path string) Solid {
	t.Helper()
	cmd := exec.Command(examiner(t), path)
	var stderr strings.Builder
	cmd.Stderr = &stderr
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", path, err, stderr.String())
	}
	var s Solid
	if err := json.Unmarshal(text, &s); err != nil {
		t.Fatalf("%s: %v in %q", path, err, text)
	}
	return s
}

// examiner returns the path of the compiled program. It is kept in the user's
// cache under a name made from its source, so that several test binaries, even
// at once, share one.
func examiner(t testing.TB) string {
	t.Helper()
	source := fromRoot(t, "testdata/check/mesh.cpp")
	text, err := os.ReadFile(source)
	if err != nil {
		t.Fatal(err)
	}
	dir, err := os.UserCacheDir()
	if err != nil {
		dir = t.TempDir()
	}
	dir = filepath.Join(dir, "panewright-check")
	program := filepath.Join(dir, fmt.Sprintf("mesh-%x", sha256.Sum256(text)))
	if _, err := os.Stat(program); err == nil {
		return program
	}
	compiler, err := exec.LookPath("g++")
	if _, header := os.Stat("/usr/include/CGAL/version.h"); err != nil || header != nil {
		t.Skip("skipped: needs g++ and libcgal-dev (sh assets/setup.sh tests)")
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
	fresh := filepath.Join(build, "mesh")
	out, err := exec.Command(compiler, "-O2", "-std=c++17", source, "-o", fresh, "-lgmp", "-lmpfr").CombinedOutput()
	if err != nil {
		t.Fatalf("mesh.cpp: %v\n%s", err, out)
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
