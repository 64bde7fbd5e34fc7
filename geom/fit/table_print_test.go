package fit_test

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"text/tabwriter"

	"github.com/stretchr/testify/assert"
)

// figure is a number of the table. Its bar is the range it must lie in; where
// only one end is told the other is infinite.
type figure struct {
	value    float64
	digits   int
	low, top float64
	barred   bool
	none     bool // nothing to tell
}

func number(v float64, digits int) figure { return figure{value: v, digits: digits} }

func (f figure) most(top float64) figure {
	f.low, f.top, f.barred = math.Inf(-1), top, true
	return f
}

func (f figure) least(low float64) figure {
	f.low, f.top, f.barred = low, math.Inf(1), true
	return f
}

func (f figure) between(low, top float64) figure {
	f.low, f.top, f.barred = low, top, true
	return f
}

// when puts the bar aside where it is not for this row.
func (f figure) when(barred bool) figure {
	f.barred = f.barred && barred
	return f
}

func (f figure) ok() bool { return f.value >= f.low && f.value <= f.top }

func (f figure) String() string {
	if f.none {
		return "-"
	}
	s := strconv.FormatFloat(f.value, 'f', f.digits, 64)
	if !f.barred {
		return s
	}
	verdict := "MISS"
	if f.ok() {
		verdict = "ok"
	}
	return fmt.Sprintf("%s (%s %s)", s, f.bar(), verdict)
}

func (f figure) bar() string {
	short := func(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }
	switch {
	case math.IsInf(f.low, -1):
		return "<=" + short(f.top)
	case math.IsInf(f.top, 1):
		return ">=" + short(f.low)
	}
	return short(f.low) + "-" + short(f.top)
}

// table is a list of sections, each with rows of figures.
type table struct {
	title string
	head  []string
	rows  []row
}

type row struct {
	name    string
	figures []figure
}

func (t *table) add(name string, f ...figure) { t.rows = append(t.rows, row{name, f}) }

func (t *table) print(w io.Writer) error {
	tab := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(tab, "%s\n", t.title)
	fmt.Fprintf(tab, "  %s\n", strings.Join(t.head, "\t"))
	for _, r := range t.rows {
		fmt.Fprintf(tab, "  %s", r.name)
		for _, f := range r.figures {
			fmt.Fprintf(tab, "\t%s", f)
		}
		fmt.Fprintln(tab)
	}
	fmt.Fprintln(tab)
	return tab.Flush()
}

// check asserts that every row has its figures, and the bars where binding.
func (t *table) check(tb testing.TB, binding bool) {
	for _, r := range t.rows {
		assert.Len(tb, r.figures, len(t.head)-1, "%s: %s", t.title, r.name)
		for i, f := range r.figures {
			name := fmt.Sprintf("%s: %s: %s", t.title, r.name, t.head[i+1])
			assert.False(tb, !f.none && (math.IsNaN(f.value) || math.IsInf(f.value, 0)), "%s is %g", name, f.value)
			if binding && f.barred {
				assert.True(tb, f.ok(), "%s is %s", name, f)
			}
		}
	}
}
