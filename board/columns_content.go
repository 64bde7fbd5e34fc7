package board

import (
	"slices"
	"strconv"
	"strings"
)

// content is what the cells of a column look like.
type content int

const (
	blank   content = iota
	kinds           // words of kinds
	numbers         // numbers as they are typed
	words
)

// sampled is of how many rows the content of a column is judged.
const sampled = 200

// fieldsByContent guesses what columns without names hold, by what stands in them:
// a name, x, y, z, a note, in this order.
func (c *Columns) fieldsByContent(j *Job) []string {
	n := len(c.Rows[0])
	is := make([]content, n)
	var figures []int
	for i := range is {
		is[i] = c.content(i, j)
		if is[i] == numbers {
			figures = append(figures, i)
		}
	}
	out := make([]string, n)
	if i := slices.Index(is, kinds); i >= 0 {
		out[i] = "kind"
	}
	if len(figures) == 0 {
		return out
	}
	if i := slices.Index(is[:figures[0]], words); i >= 0 {
		out[i] = "id"
	} else if len(figures) >= 3 && c.counts(figures[0]) {
		out[figures[0]] = "id"
		figures = figures[1:]
	}
	for k, f := range []string{"x", "y", "z"} {
		if k < len(figures) {
			out[figures[k]] = f
		}
	}
	last := figures[min(2, len(figures)-1)]
	if i := slices.Index(is[last:], words); i >= 0 {
		out[last+i] = "note"
	}
	return out
}

// content judges a column by most of its cells.
func (c *Columns) content(col int, j *Job) content {
	filled, figures, named := 0, 0, 0
	for _, r := range c.Rows[:min(sampled, len(c.Rows))] {
		if r[col] == "" {
			continue
		}
		filled++
		figures += oneIf(looksNumber(r[col], j))
		if _, ok := kindOf(r[col]); ok {
			named++
		}
	}
	switch {
	case filled == 0:
		return blank
	case named == filled:
		return kinds
	case 2*figures > filled:
		return numbers
	}
	return words
}

// looksNumber says whether a text is a number in either unit and with either mark,
// or a grid line with an offset.
func looksNumber(text string, j *Job) bool {
	if !strings.ContainsAny(text, "0123456789½¼¾⅛⅜⅝⅞") {
		return false
	}
	for _, comma := range []bool{false, true} {
		for _, a := range []Axis{AxisX, AxisY} {
			if _, err := read(text, a, Inch, comma, j.Grid); err == nil {
				return true
			}
		}
	}
	return false
}

// counts says whether a column counts on from row to row, as names do.
func (c *Columns) counts(col int) bool {
	on := 0
	for i, r := range c.Rows {
		n, err := strconv.Atoi(r[col])
		if err != nil || n < 0 {
			return false
		}
		if i > 0 {
			before, _ := strconv.Atoi(c.Rows[i-1][col])
			on += oneIf(n == before+1)
		}
	}
	return len(c.Rows) > 1 && 10*on >= 8*(len(c.Rows)-1)
}

// kindOf reads the word of a kind as tables write it.
func kindOf(text string) (Kind, bool) {
	word := strings.ToLower(strings.TrimSpace(text))
	if word == "center" {
		word = Centre.String()
	}
	return ParseKind(word)
}
