package lint_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/dxf/lint"
)

// stored reads a file of testdata, its lines ended by LF alone. The same files
// are read without a fault by a reader that is not ours (package dxf's tests).
func stored(t testing.TB, version string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", version+".dxf"))
	require.NoError(t, err)
	return strings.ReplaceAll(string(text), "\r\n", "\n")
}

// rules returns what an error of Lint is about.
func rules(t testing.TB, err error) []lint.Rule {
	t.Helper()
	var all []lint.Rule
	joined, ok := err.(interface{ Unwrap() []error })
	require.True(t, ok, "%v", err)
	for _, err := range joined.Unwrap() {
		var f *lint.Fault
		require.True(t, errors.As(err, &f))
		all = append(all, f.Rule)
	}
	return all
}

func TestStored(t *testing.T) {
	for _, version := range []string{lint.R12, lint.R2000} {
		r, err := lint.Lint(strings.NewReader(stored(t, version)))
		require.NoError(t, err)
		assert.Equal(t, version, r.Version)
		assert.Len(t, r.Entities, 10)
		assert.Len(t, r.On("CHECK-BAR"), 3, "case does not tell layers apart")
		assert.Empty(t, r.On("wall"))
	}
}

// TestDamage spoils a good file in one place at a time. Most of these a
// lenient reader lets through.
func TestDamage(t *testing.T) {
	cases := []struct {
		name, version, old, new string
		rule                    lint.Rule
	}{
		// the pairs
		{"line lost", lint.R12, " 62\n5\n", "5\n", lint.RulePairs},
		{"code that nothing has", lint.R12, " 62\n5\n", "1071\n5\n", lint.RulePairs},
		{"last value lost", lint.R12, "  0\nEOF\n", "  0\n", lint.RulePairs},
		{"raw UTF-8", lint.R2000, `Ma\U+00DFe`, "Maße", lint.RuleASCII},
		{"tab", lint.R2000, "E1'", "E1\t", lint.RuleASCII},
		{"not a number", lint.R2000, " 10\n600.000000", " 10\nNaN", lint.RuleNumber},
		{"infinite", lint.R2000, " 10\n600.000000", " 10\n-Inf", lint.RuleNumber},
		{"hexadecimal", lint.R2000, " 10\n600.000000", " 10\n0x1p3", lint.RuleNumber},
		{"decimal comma", lint.R2000, " 10\n600.000000", " 10\n600,000000", lint.RuleNumber},
		{"minus zero", lint.R2000, " 20\n0.000000", " 20\n-0.000000", lint.RuleNumber},
		{"fraction of a colour", lint.R2000, " 62\n5", " 62\n5.5", lint.RuleNumber},
		// the sections
		{"no EOF", lint.R12, "  0\nEOF\n", "", lint.RuleSection},
		{"more after EOF", lint.R12, "  0\nEOF\n", "  0\nEOF\n  0\nEOF\n", lint.RuleSection},
		{"ENDSEC lost", lint.R12, "  0\nENDSEC\n  0\nEOF\n", "  0\nEOF\n", lint.RuleSection},
		{"no header", lint.R12, "  2\nHEADER", "  2\nHEADERS", lint.RuleSection},
		{"section misnamed", lint.R2000, "  2\nCLASSES", "  2\nKLASSEN", lint.RuleSection},
		{"comment inside", lint.R12, "  2\nENTITIES\n", "  2\nENTITIES\n999\nhello\n", lint.RuleSection},
		{"class", lint.R2000, "  2\nCLASSES\n", "  2\nCLASSES\n  0\nCLASS\n  5\n1000\n", lint.RuleSection},
		// the header
		{"other version", lint.R12, "AC1009", "AC1006", lint.RuleHeader},
		{"inches", lint.R2000, "$INSUNITS\n 70\n4", "$INSUNITS\n 70\n1", lint.RuleHeader},
		{"not metric", lint.R2000, "$MEASUREMENT\n 70\n1", "$MEASUREMENT\n 70\n0", lint.RuleHeader},
		{"unit not stated", lint.R2000, "  9\n$INSUNITS\n 70\n4\n", "", lint.RuleHeader},
		{"unit stated in R12", lint.R12, "  9\n$PDMODE", "  9\n$INSUNITS\n 70\n4\n  9\n$PDMODE", lint.RuleHeader},
		{"variable twice", lint.R12, "$PDMODE\n 70\n3\n", "$PDSIZE\n 40\n3.000000\n", lint.RuleHeader},
		{"no extents", lint.R12, "$EXTMAX", "$EXTMIX", lint.RuleEntity},
		{"no seed", lint.R2000, "  9\n$HANDSEED\n  5\n", "  9\n$HANDFEED\n  5\n", lint.RuleHeader},
		// the tables
		{"row too few", lint.R12, "  0\nLAYER\n  2\nlabels\n 70\n0\n 62\n8\n  6\nCONTINUOUS\n", "", lint.RuleCount},
		{"table lost", lint.R2000, "  2\nUCS\n", "  2\nXCS\n", lint.RuleTable},
		{"ENDTAB lost", lint.R12, "  0\nENDTAB\n", "", lint.RuleTable},
		{"layer twice", lint.R12, "  2\nedge-upper\n", "  2\nOutline\n", lint.RuleTable},
		{"layer name with a blank", lint.R12, "  2\nedge-upper\n", "  2\nedge upper\n", lint.RuleTable},
		{"no layer 0", lint.R12, "  0\nLAYER\n  2\n0\n", "  0\nLAYER\n  2\n1\n", lint.RuleLayer},
		{"layer switched off", lint.R12, " 62\n5\n", " 62\n-5\n", lint.RuleLayer},
		{"line type not defined", lint.R12, " 62\n1\n  6\nCENTER", " 62\n1\n  6\nCENTRE", lint.RuleLinetype},
		{"dash too few", lint.R12, " 49\n24.000000\n", "", lint.RuleCount},
		{"pattern longer than stated", lint.R12, " 49\n24.000000\n", " 49\n25.000000\n", lint.RuleCount},
		{"no model space", lint.R2000, "AcDbBlockTableRecord\n  2\n*Model_Space", "AcDbBlockTableRecord\n  2\n*Modell_Space", lint.RuleTable},
		// handles, owners, markers
		{"handle twice", lint.R2000, "LAYER\n  5\nE\n", "LAYER\n  5\nD\n", lint.RuleHandle},
		{"handle lost", lint.R2000, "LAYER\n  5\nE\n", "LAYER\n", lint.RuleHandle},
		{"handle small", lint.R2000, "LAYER\n  5\nE\n", "LAYER\n  5\ne\n", lint.RuleHandle},
		{"handle beyond the seed", lint.R2000, "LAYER\n  5\nE\n", "LAYER\n  5\nEEEE\n", lint.RuleHandle},
		{"handle in R12", lint.R12, "  0\nPOINT\n", "  0\nPOINT\n  5\n1F\n", lint.RuleHandle},
		{"owner that is not there", lint.R2000, "330\n1\n100\nAcDbEntity\n  8\nstations", "330\nFFF\n100\nAcDbEntity\n  8\nstations", lint.RuleOwner},
		{"owner of another kind", lint.R2000, "330\n1\n100\nAcDbEntity\n  8\nstations", "330\n3\n100\nAcDbEntity\n  8\nstations", lint.RuleOwner},
		{"in paper space", lint.R2000, "330\n1\n100\nAcDbEntity\n  8\nstations", "330\n2\n100\nAcDbEntity\n  8\nstations", lint.RuleOwner},
		{"marker lost", lint.R2000, "100\nAcDbSpline\n", "", lint.RuleMarker},
		{"marker misspelt", lint.R2000, "100\nAcDbPoint\n", "100\nAcDbPunkt\n", lint.RuleMarker},
		{"second text marker lost", lint.R2000, "E1'\n100\nAcDbText\n", "E1'\n", lint.RuleMarker},
		{"marker in R12", lint.R12, "  0\nPOINT\n", "  0\nPOINT\n100\nAcDbPoint\n", lint.RuleMarker},
		{"dictionary entry not there", lint.R2000, "ACAD_GROUP\n350\n", "ACAD_GROUP\n350\nF", lint.RuleOwner},
		{"dictionary without groups", lint.R2000, "ACAD_GROUP", "ACAD_GRUPPE", lint.RuleEntity},
		// entities
		{"layer not defined", lint.R12, "POINT\n  8\nstations", "POINT\n  8\nstation", lint.RuleLayer},
		{"layer lost", lint.R12, "POINT\n  8\nstations\n", "POINT\n", lint.RuleLayer},
		{"line type of an entity", lint.R12, "POINT\n", "POINT\n  6\nHIDDEN\n", lint.RuleLinetype},
		{"other entity", lint.R12, "  0\nPOINT\n", "  0\nARC\n", lint.RuleEntity},
		{"coordinate lost", lint.R12, "POINT\n  8\nstations\n 10\n600.000000\n", "POINT\n  8\nstations\n", lint.RuleEntity},
		{"line without length", lint.R12, " 21\n400.000000\n", " 21\n-400.000000\n", lint.RuleEntity},
		{"radius 0", lint.R12, "CIRCLE\n  8\nstations\n 10\n-600.000000\n 20\n12.000000\n 30\n0.000000\n 40\n4", "CIRCLE\n  8\nstations\n 10\n-600.000000\n 20\n12.000000\n 30\n0.000000\n 40\n0", lint.RuleEntity},
		{"empty text", lint.R12, "E1'", " ", lint.RuleEntity},
		{"escape broken", lint.R12, `Ma\U+00DF`, `Ma\U+00G`, lint.RuleEntity},
		{"vertices miscounted", lint.R2000, " 90\n3", " 90\n4", lint.RuleCount},
		{"vertex half lost", lint.R2000, " 90\n3\n 70\n1\n 43\n0.000000\n 10\n0.000000\n", " 90\n3\n 70\n1\n 43\n0.000000\n", lint.RuleCount},
		{"SEQEND lost", lint.R12, "  0\nSEQEND\n  8\noutline\n", "", lint.RuleEntity},
		{"vertex on another layer", lint.R12, "VERTEX\n  8\ncheck-bar", "VERTEX\n  8\nlabels", lint.RuleLayer},
		{"vertex of the other kind", lint.R12, "VERTEX\n  8\ncheck-bar\n 10\n0.000000\n 20\n-410.000000\n 30\n0.000000\n 70\n0", "VERTEX\n  8\ncheck-bar\n 10\n0.000000\n 20\n-410.000000\n 30\n0.000000\n 70\n32", lint.RuleEntity},
		{"vertex off its plane", lint.R12, " 10\n0.000000\n 20\n-410.000000\n 30\n0.000000\n 70\n", " 10\n0.000000\n 20\n-410.000000\n 30\n1.000000\n 70\n", lint.RuleEntity},
		{"vertices not announced", lint.R12, " 66\n1\n", " 66\n0\n", lint.RuleEntity},
		{"first point repeated", lint.R2000, " 10\n100.000000\n 20\n-405.000000\n", " 10\n0.000000\n 20\n-410.000000\n", lint.RuleClosed},
		{"point repeated", lint.R2000, " 10\n100.000000\n 20\n-405.000000\n", " 10\n100.000000\n 20\n-410.000000\n", lint.RuleEntity},
		{"unknown flag", lint.R2000, " 90\n3\n 70\n1", " 90\n3\n 70\n3", lint.RuleEntity},
		{"outside the extents", lint.R2000, "$EXTMAX\n 10\n600", "$EXTMAX\n 10\n599", lint.RuleExtent},
		{"circle outside the extents", lint.R2000, "$EXTMIN\n 10\n-604", "$EXTMIN\n 10\n-603", lint.RuleExtent},
		// splines
		{"knots miscounted", lint.R2000, " 72\n12", " 72\n13", lint.RuleCount},
		{"control points miscounted", lint.R2000, " 73\n8", " 73\n9", lint.RuleCount},
		{"degree 2", lint.R2000, " 71\n3\n 72\n12", " 71\n2\n 72\n12", lint.RuleCount},
		{"fit points", lint.R2000, " 74\n0\n 42\n", " 74\n2\n 42\n", lint.RuleCount},
		{"knot falls", lint.R2000, " 40\n237.500000000000\n", " 40\n100.000000000000\n", lint.RuleKnots},
		{"knot repeated", lint.R2000, " 40\n237.500000000000\n", " 40\n112.500000000000\n", lint.RuleKnots},
		{"end knot apart", lint.R2000, " 40\n0.000000000000\n", " 40\n-1.000000000000\n", lint.RuleKnots},
		{"ends apart", lint.R2000, " 10\n600.000000\n 20\n0.000000\n 30\n0.000000\n 10\n600.000000", " 10\n599.000000\n 20\n0.000000\n 30\n0.000000\n 10\n600.000000", lint.RuleClosed},
		{"planar, with heights", lint.R2000, " 20\n350.000000\n 30\n0.000000\n", " 20\n350.000000\n 30\n1.000000\n", lint.RuleEntity},
		{"coordinates out of step", lint.R2000, " 10\n0.000000\n 20\n350.000000\n 30\n0.000000\n", " 10\n0.000000\n 30\n0.000000\n 20\n350.000000\n", lint.RuleCount},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			good := stored(t, c.version)
			require.Contains(t, good, c.old, "nothing to damage")
			_, err := lint.Lint(strings.NewReader(strings.Replace(good, c.old, c.new, 1)))
			require.Error(t, err)
			assert.Contains(t, rules(t, err), c.rule, "%v", err)
		})
	}
}

func TestFaultNamesItsLine(t *testing.T) {
	good := stored(t, lint.R12)
	before, _, found := strings.Cut(good, "  8\nstations\n")
	require.True(t, found)
	_, err := lint.Lint(strings.NewReader(strings.Replace(good, "  8\nstations\n", "  8\nst\x01\n", 1)))
	var f *lint.Fault
	require.ErrorAs(t, err, &f)
	assert.Equal(t, lint.RuleASCII, f.Rule)
	assert.Equal(t, strings.Count(before, "\n")+2, f.Line)
}

func TestNotDXF(t *testing.T) {
	for _, text := range []string{"", "\n", "0\n", "  0\nEOF\n", "hello\nworld\n", strings.Repeat("a", 5000), "0\nSECTION\n", "0\nSECTION\n2\nHEADER\n0\nENDSEC\n0\nEOF\n"} {
		_, err := lint.Lint(strings.NewReader(text))
		assert.Error(t, err, "%.20q", text)
	}
}

// TestAt holds the evaluation against a cubic that a B-spline without inner
// knots is: the Bézier curve of its four points.
func TestAt(t *testing.T) {
	e := lint.Entity{Degree: 3, Knots: []float64{0, 0, 0, 0, 2, 2, 2, 2}, Ctrl: []r3.Vec{{}, {X: 1, Y: 3}, {X: 2, Z: 3}, {X: 3}}}
	for _, u := range []float64{0, 0.5, 1, 1.7, 2} {
		s := u / 2
		want := r3.Vec{X: 3 * s, Y: 9 * s * (1 - s) * (1 - s), Z: 9 * s * s * (1 - s)}
		assert.InDelta(t, 0, r3.Norm(r3.Sub(want, e.At(u))), 1e-14, "u = %v", u)
	}
	assert.Len(t, e.Sample(5), 6, "five on the span and the end")
	e.Closed = true
	assert.Len(t, e.Sample(5), 5)
}

// FuzzLint: any bytes are read without a panic; what passes keeps the promises
// that the report makes.
func FuzzLint(f *testing.F) {
	for _, version := range []string{lint.R12, lint.R2000} {
		text := stored(f, version)
		f.Add(text)
		f.Add(text[:len(text)/2])
	}
	f.Add("  0\nSECTION\n  2\nHEADER\n  0\nENDSEC\n  0\nEOF\n")
	f.Fuzz(func(t *testing.T, text string) {
		r, err := lint.Lint(strings.NewReader(text))
		if err != nil {
			return
		}
		for _, e := range r.Entities {
			if e.Type == "SPLINE" {
				if len(e.Knots) != len(e.Ctrl)+e.Degree+1 {
					t.Fatalf("%d knots, %d control points", len(e.Knots), len(e.Ctrl))
				}
				e.Sample(2)
			} else if len(e.Points) == 0 {
				t.Fatalf("%s without points", e.Type)
			}
		}
	})
}
