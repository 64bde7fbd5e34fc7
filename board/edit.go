package board

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// errNoRow is an index past the end of a list.
var errNoRow = errors.New("board: there is no such row")

// Indices are the indices into Readings of the readings of these kinds, in order.
func (j *Job) Indices(kinds ...Kind) []int {
	var out []int
	for i := range j.Readings {
		if slices.Contains(kinds, j.Readings[i].Kind) {
			out = append(out, i)
		}
	}
	return out
}

// Place is where reading i stands: its kind's list and its row there.
func (j *Job) Place(i int) Place {
	if i < 0 || i >= len(j.Readings) {
		return Place{}
	}
	k, row := j.Readings[i].Kind, 0
	for n := range j.Readings[:i+1] {
		if j.Readings[n].Kind == k {
			row++
		}
	}
	return Place{List: k.String(), Row: row}
}

// idPrefix is what stands before the number in the ids of a kind.
var idPrefix = [...]string{Edge: "", Face: "F", Centre: "C", Mark: "M"}

// NextID is the next free id of a kind: the last reading's with the number
// counted on past the greatest one used ("12" after "11", "E8" after "E7"); the
// first is 1, F1, C1 or M1.
func (j *Job) NextID(k Kind) string {
	if k < Edge || k > Mark {
		return ""
	}
	prefix := idPrefix[k]
	for i := len(j.Readings) - 1; i >= 0; i-- {
		if r := &j.Readings[i]; r.Kind == k {
			if p, _, ok := splitID(r.ID); ok {
				prefix = p
				break
			}
		}
	}
	greatest := 0
	for i := range j.Readings {
		if r := &j.Readings[i]; r.Kind == k {
			if p, n, ok := splitID(r.ID); ok && p == prefix {
				greatest = max(greatest, n)
			}
		}
	}
	return prefix + strconv.Itoa(greatest+1)
}

// splitID parts an id into what stands before its last digits and their number,
// up to nine digits.
func splitID(id string) (prefix string, n int, ok bool) {
	prefix = strings.TrimRight(id, "0123456789")
	digits := id[len(prefix):]
	if digits == "" || len(digits) > 9 {
		return "", 0, false
	}
	n, _ = strconv.Atoi(digits)
	return prefix, n, true
}

// SetCell types a text into a field of reading i: x, y, z, sd (a number, in the
// unit in force), id, note or set (words, blanks trimmed). A number that is not
// understood is kept with its fault; an error says that the row or the field does
// not exist or that the text cannot be kept at all. A cell that the person left
// as it was must not be set again, because the unit in force may have changed.
func (j *Job) SetCell(i int, field string, text string) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	if err := checkText(field, text, maxCell); field != "note" && err != nil {
		return err
	}
	r := &j.Readings[i]
	switch field {
	case "id":
		r.ID = strings.TrimSpace(text)
	case "note":
		r.Note = strings.TrimSpace(text)
	case "set":
		r.Set = strings.TrimSpace(text)
	default:
		for _, f := range readingCells {
			if f.name == field {
				*f.cell(r), r.Sure = j.Typed(text), false
				return nil
			}
		}
		return fmt.Errorf("board: a reading has no field %q", field)
	}
	return nil
}

// Insert puts a reading before index at; at = len(Readings) appends.
func (j *Job) Insert(at int, r Reading) error {
	if at < 0 || at > len(j.Readings) {
		return errNoRow
	}
	j.Readings = slices.Insert(j.Readings, at, r)
	return nil
}

// Delete takes reading i out. A reading that was a slip is better struck.
func (j *Job) Delete(i int) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	j.Readings = slices.Delete(j.Readings, i, i+1)
	return nil
}

// Strike keeps reading i but takes it out of use, with the reason.
func (j *Job) Strike(i int, reason string) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	j.Readings[i].Struck, j.Readings[i].Reason = true, strings.TrimSpace(reason)
	return nil
}

// Unstrike takes reading i into use again.
func (j *Job) Unstrike(i int) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	j.Readings[i].Struck, j.Readings[i].Reason = false, ""
	return nil
}

// Vouch says that reading i was looked at again and is right, or takes that
// back: a reading that is vouched for is used, however far it lies off. Typing
// another value takes it back too.
func (j *Job) Vouch(i int, sure bool) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	j.Readings[i].Sure = sure
	return nil
}

// SetBreak says whether the edge truly breaks at edge reading i: a corner
// without a radius.
func (j *Job) SetBreak(i int, is bool) error {
	if i < 0 || i >= len(j.Readings) {
		return errNoRow
	}
	if j.Readings[i].Kind != Edge {
		return errors.New("board: only a station on the edge can be a true break")
	}
	j.Readings[i].Break = is
	return nil
}

// SetTape types a text into a field of tape i: how, from, to or length.
func (j *Job) SetTape(i int, field string, text string) error {
	if i < 0 || i >= len(j.Tapes) {
		return errNoRow
	}
	if err := checkText(field, text, maxCell); err != nil {
		return err
	}
	t, word := &j.Tapes[i], strings.TrimSpace(text)
	switch field {
	case "how":
		h, ok := ParseHow(strings.ToLower(word))
		if !ok {
			return fmt.Errorf("board: %q is no way of taping a width: twin, straight or greatest", word)
		}
		t.How = h
	case "from":
		t.From = word
	case "to":
		t.To = word
	case "length":
		t.Length = j.Typed(text)
	default:
		return fmt.Errorf("board: a taped width has no field %q", field)
	}
	return nil
}

// SetComma changes the decimal mark in force. Cells that were understood keep
// their reading; those that were not are read again with the new mark.
func (j *Job) SetComma(comma bool) {
	j.Comma = comma
	j.eachCell(func(c *Cell, _ Place, _ Axis, _ sense) {
		if c.Fault != "" {
			c.Comma = comma
		}
	})
}

// checkText refuses a text that a file could not keep unchanged.
func checkText(field, text string, limit int) error {
	if err := textFault(text, limit); err != nil {
		return fmt.Errorf("board: %s: %w", field, err)
	}
	return nil
}

// textFault says why a text cannot be kept.
func textFault(text string, limit int) error {
	switch {
	case len(text) > limit:
		return fmt.Errorf("the text is too long (%d bytes, at most %d)", len(text), limit)
	case !utf8.ValidString(text):
		return errors.New("the text holds bytes that are no characters")
	case limit < maxText && strings.ContainsFunc(text, unicode.IsControl):
		return errors.New("the text holds a line break, a tab or another control character")
	}
	return nil
}
