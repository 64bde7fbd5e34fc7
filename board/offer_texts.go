package board

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// variant is another text that may have been meant where a cell was typed.
type variant struct {
	text   string  // as typed into the job as it stands
	mm     float64 // what it means
	weight float64 // how common the slip is; two digits swapped are 1
	why    string  // of the commonest slip that leads here
	most   float64 // that slip's weight
}

// variants gathers what may have been meant by one typed cell.
type variants struct {
	job  *Job
	cell Cell
	axis Axis
	written
	found []variant
}

// meant lists the texts that may have been meant where c was typed into a field
// of axis a, each of another value than c, the weights of slips that lead to
// the same value added up.
func (j *Job) meant(c Cell, a Axis) []variant {
	if !c.Set {
		return nil
	}
	v := &variants{job: j, cell: c, axis: a, written: takeApart(c.Text)}
	v.swappedDigits()
	v.wrongDigit()
	v.wrongSign()
	v.wrongStep()
	v.wrongFraction()
	v.wrongPlace()
	v.wrongUnit()
	return v.found
}

// try adds a text if it is understood and means something else than the cell.
// why says what went wrong.
func (v *variants) try(text string, weight float64, why string) {
	m, err := read(text, v.axis, v.cell.Unit, v.cell.Comma, v.job.Grid)
	same := func(mm float64) bool { return math.Abs(m.value-mm) < 1e-6 }
	if err != nil || same(v.cell.MM) || v.axis == AxisZ && m.value < 0 {
		return
	}
	k := slices.IndexFunc(v.found, func(f variant) bool { return same(f.mm) })
	if k < 0 {
		if text = v.inForce(text, m.value); text == "" {
			return
		}
		k = len(v.found)
		v.found = append(v.found, variant{text: text, mm: m.value})
	}
	f := &v.found[k]
	f.weight += weight
	if weight > f.most {
		f.most, f.why = weight, why
	}
}

// inForce is a text as it must be typed now to mean mm, where the cell was typed
// under another unit or decimal mark; empty where it cannot be.
func (v *variants) inForce(text string, mm float64) string {
	if v.cell.Unit == v.job.Unit && v.cell.Comma == v.job.Comma {
		return text
	}
	if v.cell.Comma != v.job.Comma {
		text = strings.NewReplacer(".", ",", ",", ".").Replace(text)
	}
	for _, t := range []string{text, text + " " + v.cell.Unit.String()} {
		m, err := read(t, v.axis, v.job.Unit, v.job.Comma, v.job.Grid)
		if err == nil && math.Abs(m.value-mm) < 1e-6 {
			return t
		}
	}
	return ""
}

// another tries another body behind the same line and sign.
func (v *variants) another(body string, weight float64, why string) {
	v.try(v.line+v.sign+unpadded(body), weight, why)
}

// swappedDigits tries neighbours exchanged, also where a nought that came to
// the front was then left out.
func (v *variants) swappedDigits() {
	at := v.digits()
	for n := 1; n < len(at); n++ {
		i, k := at[n-1], at[n]
		weight := 1.0
		switch between := v.body[i+1 : k]; between {
		case "":
		case ".", ",":
			weight = 0.3
		default:
			continue
		}
		b := []byte(v.body)
		b[i], b[k] = b[k], b[i]
		v.another(string(b), weight, "the digits are swapped")
	}
	if len(at) > 0 && at[0] == 0 {
		v.another(v.body[:1]+"0"+v.body[1:], 0.5, "a digit is missing")
	}
}

// handwriting are the digits that are taken for one another.
var handwriting = []string{"69", "17", "38", "56", "06"}

// wrongDigit tries one digit misread.
func (v *variants) wrongDigit() {
	for _, i := range v.digits() {
		for d := byte('0'); d <= '9'; d++ {
			if d == v.body[i] {
				continue
			}
			weight := 0.04
			if slices.ContainsFunc(handwriting, func(p string) bool {
				return strings.IndexByte(p, d) >= 0 && strings.IndexByte(p, v.body[i]) >= 0
			}) {
				weight = 0.2
			}
			body := v.body[:i] + string(d) + v.body[i+1:]
			if !onRule(body) {
				continue
			}
			v.another(body, weight, "a "+v.body[i:i+1]+" was typed for a "+string(d))
		}
	}
}

// wrongSign tries the other side of the grid's zero or of the grid line.
func (v *variants) wrongSign() {
	switch {
	case v.axis != AxisX && v.axis != AxisY:
	case strings.HasSuffix(v.line, "+"):
		v.try(strings.TrimSuffix(v.line, "+")+" less "+v.body, 0.5, "the wrong side of the grid line")
	case strings.HasSuffix(v.line, " less "):
		v.try(strings.TrimSuffix(v.line, " less ")+"+"+v.body, 0.5, "the wrong side of the grid line")
	case v.line != "":
	case v.sign == "":
		v.try("-"+v.body, 0.5, "the minus is missing")
	default:
		v.try(v.body, 0.5, "the sign is wrong")
	}
}

// wrongStep tries one grid line, one inch, and ten or a hundred millimetres off.
func (v *variants) wrongStep() {
	if v.line != "" {
		v.nextLine()
	}
	if v.body != "" {
		v.steps()
	}
}

// nextLine tries the grid lines beside the one that was typed.
func (v *variants) nextLine() {
	name, join := v.line, ""
	if i := strings.IndexAny(v.line, "+ "); i > 0 {
		name, join = v.line[:i], v.line[i:]
	}
	for _, d := range []int{-1, 1} {
		next := ""
		if n, err := strconv.Atoi(name); err == nil {
			next = v.job.Grid.ColLabel(n + d)
		} else {
			next = v.job.Grid.RowLabel(rowOf(name) + d)
		}
		if next != "" {
			v.try(next+join+v.sign+v.body, 1, "counted from the wrong grid line")
		}
	}
}

// steps tries the usual steps up and down.
func (v *variants) steps() {
	type step struct {
		mm, weight float64
		why        string
	}
	steps := []step{{10, 1, "ten millimetres off"}, {100, 1, "a hundred millimetres off"}}
	if v.cell.Unit == Inch {
		steps = []step{{25.4, 1, "an inch off"}, {254, 0.3, "ten inches off"}}
	}
	if px, py := v.job.Grid.Pitch(); v.line == "" && v.axis == AxisX {
		steps = append(steps, step{px, 1, "one grid line off"}, step{2 * px, 0.1, "two grid lines off"})
	} else if v.line == "" && v.axis == AxisY {
		steps = append(steps, step{py, 1, "one grid line off"}, step{2 * py, 0.1, "two grid lines off"})
	}
	for _, s := range steps {
		if s.mm > 0 {
			v.moved(s.mm, s.weight, s.why)
			v.moved(-s.mm, s.weight, s.why)
		}
	}
}

// moved tries the body's value changed by a length, written as the body is.
func (v *variants) moved(by, weight float64, why string) {
	q, u, err := readQuantity(v.body, v.cell.Unit, v.cell.Comma)
	if err != nil || strings.Trim(v.body, "0123456789., -/") != "" {
		return
	}
	q *= u.Millimetres()
	if v.sign == "-" {
		q = -q
	}
	text := v.cell.like(q + by)
	if v.line != "" && strings.HasPrefix(text, "-") {
		return // that is the other side of the line
	}
	v.try(v.line+text, weight, why)
}

// wrongFraction tries the fraction read from the wrong end of its inch and the
// usual marks of the rule beside it.
func (v *variants) wrongFraction() {
	whole, up, low, ok := v.fraction()
	if !ok {
		return
	}
	write := func(u, l int) string {
		if whole == 0 {
			return fmt.Sprintf("%d/%d", u, l)
		}
		return fmt.Sprintf("%d %d/%d", whole, u, l)
	}
	if 2*up != low {
		weight := 0.3
		if low <= 16 && up*4 >= low && up*4 <= 3*low { // 3/8 and 5/8, 1/4 and 3/4, 7/16 and 9/16
			weight = 1
		}
		v.another(write(low-up, low), weight, fmt.Sprintf("%d/%d was typed for %d/%d", up, low, low-up, low))
	}
	for _, l := range []int{2 * low, low / 2} {
		if up < l && l > 1 {
			v.another(write(up, l), 0.1, fmt.Sprintf("%d/%d was typed for %d/%d", up, low, up, l))
		}
	}
	for _, m := range []struct {
		part   float64
		weight float64
		why    string
	}{{8, 0.3, "an eighth off"}, {16, 0.3, "a sixteenth off"}, {4, 0.15, "a quarter off"}, {2, 0.1, "half an inch off"}} {
		v.moved(25.4/m.part, m.weight, m.why)
		v.moved(-25.4/m.part, m.weight, m.why)
	}
}

// wrongPlace tries the decimal mark one or two places to either side.
func (v *variants) wrongPlace() {
	if !v.plain() || v.body == "" {
		return
	}
	q, err := readDecimal(v.body, v.cell.Comma)
	if err != nil {
		return
	}
	places := 0
	if i := strings.LastIndexAny(v.body, ".,"); i >= 0 {
		places = len(v.body) - i - 1
	}
	for _, s := range []struct {
		times  float64
		more   int
		weight float64
	}{{10, 0, 0.3}, {100, 0, 0.15}, {0.1, 1, 0.3}, {0.01, 2, 0.15}} {
		why := "the decimal point is in the wrong place"
		if s.times == 10 && v.cell.Unit == MM {
			why = "typed in cm, or the decimal point is in the wrong place"
		}
		v.try(v.line+v.sign+marked(trimmed(q*s.times, places+s.more), v.cell.Comma), s.weight, why)
	}
}

// wrongUnit tries millimetres in an inch job and the other way round.
func (v *variants) wrongUnit() {
	if v.body == "" || strings.Trim(v.body, "0123456789., -/") != "" {
		return
	}
	if v.cell.Unit == Inch {
		v.try(v.line+v.sign+v.body+" mm", 0.2, "typed in millimetres in an inch job")
		v.try(v.line+v.sign+v.body+" cm", 0.05, "typed in centimetres in an inch job")
		return
	}
	v.try(v.line+v.sign+v.body+" in", 0.2, "typed in inches in a millimetre job")
}
