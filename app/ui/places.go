package ui

import (
	"cmp"
	"regexp"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/app/desk"
	"panewright/board"
)

// trouble is something that is wrong or doubtful, and the cell where it stands.
type trouble struct {
	text    string
	suspect bool // a reading that the solve set aside
	block   bool // a run of rows that went wrong together begins here
	remark  bool // worth knowing; nothing has to be done
	list    int  // -1: it belongs to the job, not to a list
	row     int
	field   string
	reading int     // index into Job.Readings; -1: none
	at      *r2.Vec // where on the board, for what is no reading's; nil: nowhere
}

// Codes of the solve's findings that are more than words here.
const (
	codeSuspect = "suspect"
	codeBlock   = "block"
)

// mild are the codes of findings that nothing has to be done about.
var mild = []string{"sigma-small", "lopsided", "no-mirror", "stands-out"}

// troubles are all suspects and findings: what has to be looked at in the order
// of the lists, then the remarks.
func troubles(s desk.State) []trouble {
	var out []trouble
	for _, f := range s.Findings {
		if f.Code != codeSuspect && f.Code != codeBlock { // told below, with what to do about them
			out = append(out, findingPlace(s.Job, f))
		}
	}
	for i, r := range s.Job.Readings {
		res := result(s, i)
		if !setAside(r, res) && (r.Struck || !startsBlock(res)) {
			continue
		}
		t := trouble{reading: i, field: fieldX}
		t.list, t.row = listPlace(s.Job, i)
		switch {
		case !setAside(r, res):
			t.block, t.text = true, capital(res.Offer.Why)+"."
		default:
			t.suspect, t.text = true, suspectWord(s.Job, r, res)+" "+adviceWord(res)
		}
		if res.BadHeight {
			t.field = fieldZ
		}
		out = append(out, t)
	}
	slices.SortStableFunc(out, func(a, b trouble) int {
		return cmp.Or(cmp.Compare(oneIf(a.remark), oneIf(b.remark)),
			cmp.Compare(rank(a.list), rank(b.list)), cmp.Compare(a.row, b.row))
	})
	return out
}

// rank puts what belongs to the job after what has a row.
func rank(list int) int {
	if list < 0 {
		return listCount
	}
	return list
}

// listPlace is the list and the row of a reading.
func listPlace(j *board.Job, i int) (list, row int) {
	kinds := []board.Kind{j.Readings[i].Kind}
	switch j.Readings[i].Kind {
	case board.Edge:
		list = listEdge
	case board.Face:
		list = listFace
	default:
		list = listOthers
		kinds = []board.Kind{board.Centre, board.Mark}
	}
	return list, slices.Index(j.Indices(kinds...), i)
}

// fieldCuts is the field of a trouble that belongs to a cut, its gaps or its check
// distances as a whole.
const fieldCuts = "cuts"

// findingPlace turns a finding of the job's checks into a trouble.
func findingPlace(j *board.Job, f board.Finding) trouble {
	t := trouble{text: said(f.Text), list: -1, row: max(f.Row-1, 0), field: f.Field, reading: -1, remark: f.Remark || slices.Contains(mild, f.Code)}
	if p, ok := placeIn(f.Text, j); ok {
		t.at = &p
	}
	if f.List == "tapes" {
		t.list = listTapes
		if f.Row > 0 {
			t.text = lang.L("Taped width {{.N}}", map[string]any{"N": f.Row}) + ": " + said(f.Text)
		}
		return t
	}
	if f.List == listKeys[listZero] {
		t.list = listZero
		if f.Row > 0 {
			t.text = lang.L("Empty board, row {{.N}}", map[string]any{"N": f.Row}) + ": " + said(f.Text)
		}
		return t
	}
	if row, ok := gapRow(j, f); ok {
		t.list, t.row = listGaps, row
		return t
	}
	if slices.Contains([]string{"cuts", "gaps", "distances"}, f.List) {
		t.field = fieldCuts
		return t
	}
	k, ok := board.ParseKind(f.List)
	if !ok {
		return t
	}
	t.list = [...]int{board.Edge: listEdge, board.Face: listFace, board.Centre: listOthers, board.Mark: listOthers}[k]
	index := j.Indices(k)
	if f.Row < 1 || f.Row > len(index) {
		return t
	}
	t.reading = index[f.Row-1]
	t.list, t.row = listPlace(j, t.reading)
	if id := j.Readings[t.reading].ID; !strings.Contains(f.Text, id) || id == "" {
		t.text = kindWord(k, id) + ": " + said(f.Text)
	}
	return t
}

// placeWords are a place in words of the board, as board.Grid.Describe has them.
var placeWords = regexp.MustCompile(`line (-?\d+(?: (?:\+|less) \d[\d ./]*)?), line ([A-Z]{1,2}\b(?: (?:\+|less) \d[\d ./]*)?)`)

// placeIn is the place on the board that a sentence names, mm; ok is false where
// it names none.
func placeIn(text string, j *board.Job) (p r2.Vec, ok bool) {
	m := placeWords.FindStringSubmatch(text)
	if m == nil {
		return p, false
	}
	read := func(s string, a board.Axis) (mm float64, err error) {
		if s = strings.Trim(s, " ."); !strings.Contains(s, " ") {
			s += "+0" // a bare number would be a length
		}
		mm, _, err = board.Parse(s, a, j.Unit, false, j.Grid)
		return mm, err
	}
	x, errX := read(m[1], board.AxisX)
	y, errY := read(m[2], board.AxisY)
	return r2.Vec{X: x, Y: y}, errX == nil && errY == nil
}

// attention says which lists have something that must be looked at.
func attention(ts []trouble) (a [listCount]bool) {
	for _, t := range ts {
		if t.list >= 0 && !t.remark {
			a[t.list] = true
		}
	}
	return a
}

// nextTrouble is the first trouble in a list after a place, round to the first
// again: suspects where there are any, else whatever must be looked at; false
// where there is none.
func nextTrouble(ts []trouble, list, row int) (trouble, bool) {
	var at []trouble
	for _, only := range []func(trouble) bool{
		func(t trouble) bool { return t.suspect || t.block },
		func(t trouble) bool { return t.list >= 0 && !t.remark },
	} {
		for _, t := range ts {
			if only(t) {
				at = append(at, t)
			}
		}
		if len(at) > 0 {
			break
		}
	}
	for _, t := range at {
		if t.list > list || t.list == list && t.row > row {
			return t, true
		}
	}
	if len(at) == 0 {
		return trouble{}, false
	}
	return at[0], true
}
