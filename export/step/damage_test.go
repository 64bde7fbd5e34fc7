package step_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/export/step"
	"panewright/export/step/lint"
	"panewright/geom"
)

// bend is a face bent over the radius r both ways.
type bend struct{ r float64 }

func (s bend) Eval(x, y float64) geom.Height {
	w := math.Sqrt(s.r*s.r - x*x - y*y)
	w3 := w * w * w
	return geom.Height{
		Z: w - s.r, Zx: -x / w, Zy: -y / w,
		Zxx: -(w*w + x*x) / w3, Zxy: -x * y / w3, Zyy: -(w*w + y*y) / w3,
	}
}

// disc is a round pane, 300 mm across, bent over 900 mm.
func disc(t testing.TB, p geom.Profile) *geom.Pane {
	t.Helper()
	breaks := make([]float64, 13)
	for i := range breaks {
		breaks[i] = 2 * math.Pi * float64(i) / 12
	}
	plan, err := geom.FitClosed(func(u float64) r2.Vec {
		s, c := math.Sincos(u)
		return r2.Vec{X: 150 * s, Y: -150 * c}
	}, breaks, 1e-5)
	require.NoError(t, err)
	face, err := geom.FaceThrough(bend{900}, r2.Box{Min: r2.Vec{X: -160, Y: -160}, Max: r2.Vec{X: 160, Y: 160}}, 40)
	require.NoError(t, err)
	pane, err := geom.NewPane(face, plan, 5, p)
	require.NoError(t, err)
	return pane
}

// file is the disc as a solid, with a curve, a point and a layer, every entity
// on a line of its own.
func file(t testing.TB, p geom.Profile, inch bool) string {
	t.Helper()
	pane := disc(t, p)
	var b bytes.Buffer
	require.NoError(t, step.Write(&b, step.Document{
		Name: "disc", Notes: []string{"für die Prüfung"}, Inch: inch,
		Solids: []step.Solid{{Name: "disc", Group: "glass", Pane: pane}},
		Curves: []step.Curve{{Name: "edge", Spline: step.Closed(pane.UpperEdge)}, {Name: "line", Spline: step.Straight(r3.Vec{}, r3.Vec{X: 1})}},
		Points: []step.Point{{Name: "E1", Group: "marks", At: r3.Vec{X: 150}}},
	}))
	return strings.ReplaceAll(b.String(), ",\n", ",")
}

// TestCap: volume and area of what is read, in closed form: a shell between
// spheres, and its edge, a cone's frustum (square) or a half torus (round):
// Guldin, with the centroids of a half circle's line and area 2r/π and 4r/3π
// from its diameter.
func TestCap(t *testing.T) {
	const a, r, thick = 150., 900., 5.
	sin := a / r
	cos := math.Sqrt(1 - sin*sin)
	faces := 2 * math.Pi * (1 - cos) * (r*r + (r-thick)*(r-thick))
	shell := 2 * math.Pi / 3 * (1 - cos) * (r*r*r - math.Pow(r-thick, 3))
	middle, half := (r-thick/2)*sin, thick/2
	for profile, want := range map[geom.Profile][2]float64{
		geom.SquareEdge: {shell, faces + 2*math.Pi*middle*thick},
		geom.RoundEdge: {
			shell + math.Pi*half*half/2*2*math.Pi*(middle+4*half/(3*math.Pi)*cos),
			faces + math.Pi*half*2*math.Pi*(middle+2*half/math.Pi*cos),
		},
	} {
		for _, inch := range []bool{false, true} {
			got, err := lint.Lint(strings.NewReader(file(t, profile, inch)))
			require.NoError(t, err)
			assert.InEpsilon(t, want[0], got.Solids[0].Volume, 1e-6, profile.String())
			assert.InEpsilon(t, want[1], got.Solids[0].Area, 1e-6, profile.String())
		}
	}
}

// entity returns the text of the n-th entity of a type, its number and where it
// stands.
func entity(t testing.TB, s, keyword string, n int) (text string, id int) {
	t.Helper()
	all := regexp.MustCompile(`(?s)#(\d+)=`+keyword+`\(.*?\);\n`).FindAllStringSubmatch(s, -1)
	require.Greater(t, len(all), n, keyword)
	id, err := strconv.Atoi(all[n][1])
	require.NoError(t, err)
	return all[n][0], id
}

// alter replaces old by new within the n-th entity of a type.
func alter(t testing.TB, s, keyword string, n int, old, new string) string {
	t.Helper()
	text, _ := entity(t, s, keyword, n)
	changed := strings.Replace(text, old, new, 1)
	require.NotEqual(t, text, changed, "%s has no %s", text, old)
	return strings.Replace(s, text, changed, 1)
}

func swap(t testing.TB, s, old, new string) string {
	t.Helper()
	require.True(t, strings.Contains(s, old), "no %s", old)
	return strings.Replace(s, old, new, 1)
}

// moved moves the k-th control point of the first arris by d mm along z.
func moved(t testing.TB, s string, k int, d float64) string {
	t.Helper()
	text, _ := entity(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0)
	refs := regexp.MustCompile(`#\d+`).FindAllString(text, -1)
	return movedPoint(t, s, refs[1+k], d)
}

func movedPoint(t testing.TB, s, ref string, d float64) string {
	t.Helper()
	at := regexp.MustCompile(`(?m)^` + ref + `=CARTESIAN_POINT\('',\((\S+),(\S+),(\S+)\)\);$`).FindStringSubmatch(s)
	require.Len(t, at, 4)
	z, err := strconv.ParseFloat(at[3], 64)
	require.NoError(t, err)
	return swap(t, s, at[0], fmt.Sprintf("%s=CARTESIAN_POINT('',(%s,%s,%.6f));", ref, at[1], at[2], z+d))
}

// raised moves all control points of the first arris by d mm.
func raised(t testing.TB, s string, d float64) string {
	t.Helper()
	text, _ := entity(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0)
	refs := regexp.MustCompile(`#\d+`).FindAllString(text, -1)
	for _, ref := range refs[1:] {
		s = movedPoint(t, s, ref, d)
	}
	return s
}

// damage is a good file spoilt in every way that importing programs take
// silently or mend, and others, with the rule that must find it.
func damage(t testing.TB, s string) map[string]struct {
	text string
	rule lint.Rule
} {
	t.Helper()
	type spoilt = struct {
		text string
		rule lint.Rule
	}
	band, bandID := entity(t, s, "ADVANCED_FACE", 5)
	bandBound, _ := entity(t, s, "FACE_OUTER_BOUND", 5)
	without := func() string { // the last face of the shell, and what only it needs
		cut := regexp.MustCompile(fmt.Sprintf(`,#%d\)`, bandID)).ReplaceAllString(s, ")")
		cut = swap(t, cut, band, "")
		cut = swap(t, cut, bandBound, "")
		loop, _ := entity(t, cut, "EDGE_LOOP", 5)
		cut = swap(t, cut, loop, "")
		for _, ref := range regexp.MustCompile(`#\d+`).FindAllString(loop, -1)[1:] {
			cut = regexp.MustCompile(`(?m)^`+ref+`=.*\n`).ReplaceAllString(cut, "")
		}
		n := strings.Count(s, "=B_SPLINE_SURFACE_WITH_KNOTS") - 1
		patch, _ := entity(t, cut, "B_SPLINE_SURFACE_WITH_KNOTS", n)
		cut = swap(t, cut, patch, "")
		inner := patch[strings.Index(patch, "(("):strings.Index(patch, "))")]
		for _, ref := range regexp.MustCompile(`#\d+`).FindAllString(inner, -1) {
			cut = regexp.MustCompile(`(?m)^`+ref+`=.*\n`).ReplaceAllString(cut, "")
		}
		return cut
	}
	loopText, _ := entity(t, s, "EDGE_LOOP", 0)
	loopRefs := regexp.MustCompile(`#\d+`).FindAllString(loopText, -1)
	shell, _ := entity(t, s, "CLOSED_SHELL", 0)
	insideOut := s // every face turned, loop and all: consistent, but looking inwards
	for n := range 6 {
		text, _ := entity(t, insideOut, "ADVANCED_FACE", n)
		turned := strings.NewReplacer(".T.)", ".F.)", ".F.)", ".T.)").Replace(text)
		insideOut = swap(t, insideOut, text, turned)
		insideOut = alter(t, insideOut, "FACE_OUTER_BOUND", n, ".T.", ".F.")
	}
	return map[string]spoilt{
		// What programs take without a word.
		"loop reversed":          {alter(t, s, "FACE_OUTER_BOUND", 0, ".T.", ".F."), lint.RuleShell},
		"side's loop reversed":   {alter(t, s, "FACE_OUTER_BOUND", 3, ".T.", ".F."), lint.RuleShell},
		"oriented edge reversed": {alter(t, s, "ORIENTED_EDGE", 0, ".T.", ".F."), lint.RuleLoop},
		"face missing":           {without(), lint.RuleShell},
		"edge 0.5 mm off":        {moved(t, s, 3, 0.5), lint.RuleOnFace},
		"edge 0.02 mm off":       {moved(t, s, 3, 0.02), lint.RuleOnFace},
		"metre":                  {swap(t, s, "SI_UNIT(.MILLI.,.METRE.)", "SI_UNIT($,.METRE.)"), lint.RuleType},
		"integer for real":       {regexp.MustCompile(`\(0\.,0\.,0\.\)`).ReplaceAllString(s, "(0,0.,0.)"), lint.RuleType},
		"raw UTF-8":              {swap(t, s, `f\X2\00FC\X0\r`, "für"), lint.RuleSyntax},
		// What they take with a message.
		"lower face's sense":         {alter(t, s, "ADVANCED_FACE", 1, ".F.", ".T."), lint.RuleOrientation},
		"side's sense":               {alter(t, s, "ADVANCED_FACE", 4, ".T.", ".F."), lint.RuleOrientation},
		"gap of 0.3 mm":              {moved(t, s, 0, 0.3), lint.RuleVertex},
		"gap of 0.005 mm":            {moved(t, s, 0, 0.005), lint.RuleVertex},
		"knots fall":                 {alter(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0, "(0.,", "(9.,"), lint.RuleSpline},
		"small exponent letter":      {swap(t, s, "0.002", "2.0e-3"), lint.RuleSyntax},
		"edge 0.003 mm off":          {raised(t, s, 0.003), lint.RuleVertex},
		"axes moved":                 {regexp.MustCompile(`CARTESIAN_POINT\('',\(0\.,0\.,0\.\)`).ReplaceAllString(s, "CARTESIAN_POINT('',(-800.,0.,0.)"), lint.RuleProduct},
		"inside out":                 {insideOut, lint.RuleOrientation},
		"closed though open":         {alter(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0, ".F.,", ".T.,"), lint.RuleSpline},
		"multiplicities do not sum":  {alter(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0, "(4,1,", "(4,2,"), lint.RuleSpline},
		"shape of nothing":           {regexp.MustCompile(`#\d+=SHAPE_DEFINITION_REPRESENTATION.*\n`).ReplaceAllString(s, ""), lint.RuleUnused},
		"no relationship":            {regexp.MustCompile(`#\d+=SHAPE_REPRESENTATION_RELATIONSHIP.*\n`).ReplaceAllString(s, ""), lint.RuleUnused},
		"reference to nothing":       {alter(t, s, "EDGE_LOOP", 0, loopRefs[2], "#99999"), lint.RuleReference},
		"reference to a later one":   {swap(t, s, "NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.)", "NAMED_UNIT(#7)SI_UNIT(.MILLI.,.METRE.)"), lint.RuleReference},
		"reference to another kind":  {alter(t, s, "EDGE_LOOP", 0, loopRefs[2], "#1"), lint.RuleType},
		"cut short":                  {s[:len(s)/2], lint.RuleSyntax},
		"cut at the end":             {s[:len(s)-3], lint.RuleSyntax},
		"more behind the end":        {s + "\n", lint.RuleSyntax},
		"number given twice":         {regexp.MustCompile(`(?m)^#12=`).ReplaceAllString(s, "#11="), lint.RuleNumber},
		"edges out of order":         {alter(t, s, "EDGE_LOOP", 0, loopRefs[2]+","+loopRefs[3], loopRefs[3]+","+loopRefs[2]), lint.RuleLoop},
		"edge twice in a loop":       {alter(t, s, "EDGE_LOOP", 0, loopRefs[2], loopRefs[1]), lint.RuleUnused},
		"face twice in the shell":    {swap(t, s, shell, strings.Replace(shell, "('',(", fmt.Sprintf("('',(#%d,", bandID), 1)), lint.RuleShell},
		"unused entity":              {swap(t, s, "ENDSEC;\nEND-", "#99999=DIRECTION('',(1.,0.,0.));\nENDSEC;\nEND-"), lint.RuleUnused},
		"unknown entity":             {swap(t, s, "ENDSEC;\nEND-", "#99999=SPHERE('',1.,#1);\nENDSEC;\nEND-"), lint.RuleType},
		"a parameter missing":        {alter(t, s, "VERTEX_POINT", 0, "'',", ""), lint.RuleType},
		"a parameter too many":       {alter(t, s, "VERTEX_POINT", 0, "'',", "'','',"), lint.RuleType},
		"plane point":                {swap(t, s, "CARTESIAN_POINT('E1',(150.,0.,0.)", "CARTESIAN_POINT('E1',(150.,0.)"), lint.RuleType},
		"not a number":               {swap(t, s, "('E1',(150.,", "('E1',(NaN,"), lint.RuleSyntax},
		"infinite":                   {swap(t, s, "('E1',(150.,", "('E1',(1.E999,"), lint.RuleSyntax},
		"minus zero":                 {swap(t, s, "('E1',(150.,0.", "('E1',(150.,-0."), lint.RuleSyntax},
		"decimal comma":              {swap(t, s, "LENGTH_MEASURE(0.002)", "LENGTH_MEASURE(0,002)"), lint.RuleSyntax},
		"string left open":           {swap(t, s, "'disc',", "'disc,"), lint.RuleSyntax},
		"backslash alone":            {swap(t, s, "'E1'", `'E\1'`), lint.RuleSyntax},
		"half a letter":              {swap(t, s, `\X2\00FC\X0\`, `\X2\D83D\X0\`), lint.RuleSyntax},
		"tab":                        {swap(t, s, "DATA;\n", "DATA;\n\t"), lint.RuleSyntax},
		"line ends of two":           {strings.ReplaceAll(s, "\n", "\r\n"), lint.RuleSyntax},
		"header in another order":    {regexp.MustCompile(`(?s)(FILE_DESCRIPTION.*?;\n)(FILE_NAME.*?;\n)`).ReplaceAllString(s, "$2$1"), lint.RuleHeader},
		"another schema":             {swap(t, s, "AUTOMOTIVE_DESIGN {", "CONFIG_CONTROL_DESIGN {"), lint.RuleType},
		"date that is none":          {swap(t, s, "1970-01-01T", "1970-13-01T"), lint.RuleHeader},
		"uncertainty of a metre":     {swap(t, s, "LENGTH_MEASURE(0.002)", "LENGTH_MEASURE(1000.)"), lint.RuleUnit},
		"space of two dimensions":    {swap(t, s, "GEOMETRIC_REPRESENTATION_CONTEXT(3)", "GEOMETRIC_REPRESENTATION_CONTEXT(2)"), lint.RuleUnit},
		"vertex of another edge":     {alter(t, s, "EDGE_CURVE", 0, "'',", "'',#12,"), lint.RuleType},
		"degree 4":                   {alter(t, s, "B_SPLINE_CURVE_WITH_KNOTS", 0, "'',3,", "'',4,"), lint.RuleSpline},
		"edge curve the wrong way":   {alter(t, s, "EDGE_CURVE", 0, ".T.", ".F."), lint.RuleType},
		"layer of what is not there": {swap(t, s, "PRESENTATION_LAYER_ASSIGNMENT('marks','',(#", "PRESENTATION_LAYER_ASSIGNMENT('marks','',(#9999"), lint.RuleReference},
	}
}

// TestDamage: every spoilt file is refused, by the rule meant for it.
func TestDamage(t *testing.T) {
	good := file(t, geom.SquareEdge, false)
	_, err := lint.Lint(strings.NewReader(good))
	require.NoError(t, err)
	for name, d := range damage(t, good) {
		t.Run(name, func(t *testing.T) {
			require.False(t, good == d.text)
			_, err := lint.Lint(strings.NewReader(d.text))
			var fault *lint.Fault
			require.True(t, errors.As(err, &fault), "%v", err)
			assert.Equal(t, d.rule, fault.Rule, "%v", err)
			assert.Positive(t, fault.Line)
		})
	}
}

// TestRoundDamage: what only a rational edge can have wrong.
func TestRoundDamage(t *testing.T) {
	good := file(t, geom.RoundEdge, false)
	third := "0.333333333333333"
	weights := "(1.," + third + "," + third + ",1.)"
	for name, d := range map[string]struct {
		text string
		rule lint.Rule
	}{
		"weight of nought":     {swap(t, good, "RATIONAL_B_SPLINE_CURVE("+weights, "RATIONAL_B_SPLINE_CURVE("+strings.Replace(weights, third, "0.", 1)), lint.RuleSpline},
		"weight missing":       {swap(t, good, "RATIONAL_B_SPLINE_CURVE("+weights, "RATIONAL_B_SPLINE_CURVE("+strings.Replace(weights, ",1.)", ")", 1)), lint.RuleSpline},
		"another bow":          {swap(t, good, "RATIONAL_B_SPLINE_CURVE("+weights, "RATIONAL_B_SPLINE_CURVE("+strings.Replace(weights, third, "0.4", 2)), lint.RuleOnFace},
		"types out of order":   {swap(t, good, "CURVE()GEOMETRIC_REPRESENTATION_ITEM()", "GEOMETRIC_REPRESENTATION_ITEM()CURVE()"), lint.RuleType},
		"type missing":         {swap(t, good, "BOUNDED_CURVE()", ""), lint.RuleType},
		"entity of no type":    {swap(t, good, "DATA;\n", "DATA;\n#0=();\n"), lint.RuleSyntax},
		"number with a nought": {swap(t, good, "DATA;\n#1=", "DATA;\n#01="), lint.RuleSyntax},
	} {
		_, err := lint.Lint(strings.NewReader(d.text))
		var fault *lint.Fault
		require.True(t, errors.As(err, &fault), "%s: %v", name, err)
		assert.Equal(t, d.rule, fault.Rule, "%s: %v", name, err)
	}
}

// TestInchDamage: an inch that is none.
func TestInchDamage(t *testing.T) {
	good := file(t, geom.SquareEdge, true)
	for name, text := range map[string]string{
		"25 mm":      swap(t, good, "LENGTH_MEASURE(25.4)", "LENGTH_MEASURE(25.)"),
		"an area":    swap(t, good, "DIMENSIONAL_EXPONENTS(1.", "DIMENSIONAL_EXPONENTS(2."),
		"its square": swap(t, good, "DIMENSIONAL_EXPONENTS(1.,0.", "DIMENSIONAL_EXPONENTS(1.,1."),
	} {
		_, err := lint.Lint(strings.NewReader(text))
		var fault *lint.Fault
		require.True(t, errors.As(err, &fault), "%s: %v", name, err)
		assert.Equal(t, lint.RuleUnit, fault.Rule, name)
	}
}

// TestExamine proves the other reader's account on what it mends, and on what it
// tells: damage that the acceptance list finds although the file is "valid".
func TestExamine(t *testing.T) {
	pane := disc(t, geom.SquareEdge)
	good := file(t, geom.SquareEdge, false)
	plan := pane.Outline.Bounds()
	want := lint.Expected{Solids: 1, Faces: 6, Wires: 2, Points: 1, Volume: pane.Volume(), Box: r3.Box{
		Min: r3.Vec{X: plan.Min.X, Y: plan.Min.Y, Z: pane.LowerEdge.At(0).Z},
		Max: r3.Vec{X: plan.Max.X, Y: plan.Max.Y},
	}}
	examine := func(text string) lint.Import { return lint.Examine(t, save(t, []byte(text))) }
	assert.Empty(t, examine(good).Misses(want))
	all := damage(t, good)
	for _, name := range []string{
		"face missing", "edge 0.5 mm off", "edge 0.02 mm off", "metre", "lower face's sense", "gap of 0.3 mm",
		"knots fall", "small exponent letter", "multiplicities do not sum", "reference to nothing", "cut short", "axes moved",
	} {
		got := examine(all[name].text)
		assert.NotEmpty(t, got.Misses(want), "%s: %+v", name, got)
	}
}
