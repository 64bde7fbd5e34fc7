package solidview

import (
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/board"
)

// mostLevels is about how many levels a map names.
const mostLevels = 9

// An inch and a foot in mm: the curvatures of an inch job are told by the foot.
const (
	inch = 25.4
	foot = 12 * inch
)

// unitOf is what a map's values are multiplied by to be told in the job's unit;
// of the least radius, the mm in it.
func unitOf(kind Map, j *board.Job) float64 {
	per := 1000.0 // mm
	if j.Unit == board.Inch {
		per = foot
	}
	switch kind {
	case MeanBend:
		return per
	case GaussBend:
		return per * per
	}
	return 1 / j.Unit.Millimetres()
}

// heading is what a legend says above its scale.
func heading(kind Map, j *board.Job) string {
	unit, per := j.Unit.String(), "m"
	if j.Unit == board.Inch {
		per = "ft"
	}
	data := map[string]any{"Unit": unit, "Per": per}
	switch kind {
	case Heights:
		return lang.L("height over the plane of the edge, {{.Unit}}", data)
	case Misses:
		return lang.L("misses, + outside or above, {{.Unit}}", data)
	case Unsure:
		return lang.L("height known to ±, {{.Unit}}", data)
	case MeanBend:
		return lang.L("mean curvature, + domed, 1/{{.Per}}", data)
	case GaussBend:
		return lang.L("Gaussian curvature, + bowl or dome, 1/{{.Per}}²", data)
	case LeastRound:
		return lang.L("least radius, {{.Unit}}", data)
	}
	return ""
}

// name chooses the levels of a map: round figures in the job's unit.
func (d *field) name() {
	j, k := d.of.Job, unitOf(d.kind, d.of.Job)
	if d.kind == LeastRound {
		radii, step := roundRadii(1/math.Max(d.high, 1e-12)*k, 1/math.Max(d.low, 1e-12)*k)
		for _, r := range radii {
			d.levels = append(d.levels, level{value: k / r, text: figure(r, step, j.Comma)})
		}
		return
	}
	step := roundStep((d.high - d.low) * k / mostLevels)
	if d.kind == Heights && j.Unit == board.Inch && step < 1 {
		step = math.Exp2(math.Ceil(math.Log2((d.high - d.low) * k / mostLevels)))
		step = math.Max(step, 1.0/64)
	}
	for n := math.Ceil(d.low*k/step - 1e-9); n*step <= d.high*k*(1+1e-9)+1e-12; n++ {
		text := figure(n*step, step, j.Comma)
		if d.kind == Heights && j.Unit == board.Inch {
			text = j.Format(n * step / k)
		}
		if d.kind.signed() && n > 0 {
			text = "+" + text
		}
		d.levels = append(d.levels, level{value: n * step / k, text: text})
	}
}

// roundStep is the first of 1, 2, 5, 10 … or their tenths that is not less than v.
func roundStep(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 1) {
		return 1
	}
	ten := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 2, 5} {
		if m*ten >= v*(1-1e-9) {
			return m * ten
		}
	}
	return 10 * ten
}

// roundRadii are round figures from the least radius to the greatest, such that
// their inverses lie some distance apart, and the step that they are multiples of.
func roundRadii(least, greatest float64) (out []float64, step float64) {
	if !(least > 0) || math.IsInf(least, 1) {
		return nil, 1
	}
	apart := (1/least - 1/greatest) / mostLevels
	step = roundStep((math.Min(greatest, 4*least) - least) / (2 * mostLevels))
	last := math.Inf(1)
	for n := math.Ceil(least/step - 1e-9); n*step <= greatest*(1+1e-9) && 1/(n*step) > apart/4; n++ {
		if r := n * step; last-1/r >= apart*(1-1e-9) {
			out, last = append(out, r), 1/r
		}
	}
	return out, step
}

// figure is a number with as many decimals as a step needs.
func figure(v, step float64, comma bool) string {
	places := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	s := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	if comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s
}
