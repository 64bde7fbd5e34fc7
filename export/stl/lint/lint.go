package lint

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
)

// Report is what a file holds.
type Report struct {
	Header string // without the blanks at its end
	Facets int
	Mesh   *geom.Mesh // corners with the same 32-bit coordinates made one
}

// Lint reads a file as Read does and requires that its mesh bounds a solid:
// closed, turned outward, without degenerate or doubled facets.
func Lint(r io.Reader) (*Report, error) {
	report, err := Read(r)
	if err != nil {
		return nil, err
	}
	if err := report.Mesh.Validate(); err != nil {
		return report, fmt.Errorf("stl: %w", err)
	}
	return report, nil
}

// Read reads a file and checks its form: a header of printable ASCII that does
// not begin with "solid", a size of 84 bytes and 50 for each facet stated,
// finite numbers, no minus zero, normals that agree with the corners, unused
// bytes zero. The error names the first fault. The file is held in memory.
func Read(r io.Reader) (*Report, error) {
	data, err := io.ReadAll(r)
	if err != nil {
		return nil, fmt.Errorf("stl: %w", err)
	}
	if len(data) < 84 {
		return nil, fmt.Errorf("stl: %d bytes are no binary file", len(data))
	}
	header := string(data[:80])
	if strings.Trim(header, printable) != "" {
		return nil, fmt.Errorf("stl: header %q is not printable ASCII", header)
	}
	if strings.HasPrefix(strings.ToLower(strings.TrimSpace(header)), "solid") {
		return nil, fmt.Errorf("stl: header %q announces the text form", header)
	}
	n := binary.LittleEndian.Uint32(data[80:])
	if want := 84 + 50*uint64(n); uint64(len(data)) != want {
		return nil, fmt.Errorf("stl: %d facets stated make %d bytes, the file has %d", n, want, len(data))
	}
	report := &Report{Header: strings.TrimRight(header, " "), Facets: int(n), Mesh: &geom.Mesh{}}
	weld := map[r3.Vec]int32{}
	for i := range report.Facets {
		if err := report.facet(data[84+50*i:84+50*(i+1)], weld); err != nil {
			return nil, fmt.Errorf("stl: facet %d: %w", i, err)
		}
	}
	return report, nil
}

const printable = " !\"#$%&'()*+,-./0123456789:;<=>?@ABCDEFGHIJKLMNOPQRSTUVWXYZ[\\]^_`abcdefghijklmnopqrstuvwxyz{|}~"

// facet reads 50 bytes: normal, three corners, two bytes that mean nothing.
func (r *Report) facet(b []byte, weld map[r3.Vec]int32) error {
	var v [4]r3.Vec
	for i := range v {
		var x [3]float64
		for j := range x {
			f := math.Float32frombits(binary.LittleEndian.Uint32(b[12*i+4*j:]))
			x[j] = float64(f)
			if math.IsNaN(x[j]) || math.IsInf(x[j], 0) {
				return fmt.Errorf("number is not finite")
			}
			if f == 0 && math.Signbit(x[j]) {
				return fmt.Errorf("minus zero")
			}
		}
		v[i] = r3.Vec{X: x[0], Y: x[1], Z: x[2]}
	}
	if b[48] != 0 || b[49] != 0 {
		return fmt.Errorf("unused bytes are set")
	}
	if err := checkNormal(v[0], v[1], v[2], v[3]); err != nil {
		return err
	}
	var t [3]int32
	for i, p := range v[1:] {
		k, known := weld[p]
		if !known {
			k = int32(len(r.Mesh.V))
			weld[p] = k
			r.Mesh.V = append(r.Mesh.V, p)
		}
		t[i] = k
	}
	r.Mesh.T = append(r.Mesh.T, t)
	return nil
}

// checkNormal holds a normal against that of the corners; a facet without area
// has the normal 0.
func checkNormal(n, p, q, r r3.Vec) error {
	const tol = 1e-6 // of a unit vector: a few times what 32 bits leave
	want := r3.Cross(r3.Sub(q, p), r3.Sub(r, p))
	if size := r3.Norm(want); size > 0 {
		want = r3.Scale(1/size, want)
	}
	if d := r3.Norm(r3.Sub(n, want)); !(d <= tol) {
		return fmt.Errorf("normal %v, its corners say %v", n, want)
	}
	return nil
}
