package lint

import (
	_ "embed"
	"encoding/json"
	"os/exec"
	"strings"
	"testing"
)

//go:embed audit.py
var auditScript string

// Audited is what the reader of Debian's package python3-ezdxf found in a file.
type Audited struct {
	Version  string
	Units    int
	Entities []struct {
		Type, Layer string
		Points      int // vertices or control points
	}
	Faults []string // errors and what it mended
}

// Audit has a file read by a reader that is not ours and fails the test where
// that one finds a fault or mends something. Without the reader the test is
// skipped.
func Audit(t testing.TB, path string) Audited {
	t.Helper()
	const python = "/usr/bin/python3" // Debian's own: the one that sees its packages
	if exec.Command(python, "-c", "import ezdxf").Run() != nil {
		t.Skip("skipped: needs python3-ezdxf (sh assets/setup.sh tests)")
	}
	cmd := exec.Command(python, "-", path)
	cmd.Stdin = strings.NewReader(auditScript)
	var stderr strings.Builder
	cmd.Stderr = &stderr
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", path, err, stderr.String())
	}
	var a Audited
	if err := json.Unmarshal(text, &a); err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	for _, f := range a.Faults {
		t.Errorf("%s: %s", path, f)
	}
	return a
}
