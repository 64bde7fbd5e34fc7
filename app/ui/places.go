package ui

import (
	"cmp"
	"slices"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/app/desk"
	"panewright/board"
)

// trouble is something that is wrong or doubtful, and the cell where it stands.
type trouble struct {
	text    string
	suspect bool // a reading that the solve set aside
	remark  bool // worth knowing; nothing has to be done
	list    int  // -1: it belongs to the job, not to a list
	row     int
	field   string
	reading int // index into Job.Readings; -1: none
}

// codeSuspect is the code of the solve's findings about readings set aside.
const codeSuspect = "suspect"

// troubles are all suspects and findings: what has to be looked at in the order
// of the lists, then the remarks.
func troubles(s desk.State) []trouble {
	var out []trouble
	told := map[int]bool{} // readings that a finding of the solve speaks of
	for _, f := range s.Findings {
		t := findingPlace(s.Job, f)
		if t.suspect {
			told[t.reading] = true
		}
		out = append(out, t)
	}
	for i, r := range s.Job.Readings {
		res := result(s, i)
		if res == nil || res.State != board.Suspect || r.Struck || told[i] {
			continue
		}
		list, row := listPlace(s.Job, i)
		out = append(out, trouble{
			text:    kindWord(r.Kind, r.ID) + ": " + said(res.Reason),
			suspect: true, list: list, row: row, field: fieldX, reading: i,
		})
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

// findingPlace turns a finding of the job's checks into a trouble.
func findingPlace(j *board.Job, f board.Finding) trouble {
	t := trouble{text: said(f.Text), list: -1, row: max(f.Row-1, 0), field: f.Field, reading: -1, remark: f.Remark}
	t.suspect = f.Code == codeSuspect
	if f.List == "tapes" {
		t.list = listTapes
		if f.Row > 0 {
			t.text = lang.L("Taped width {{.N}}", map[string]any{"N": f.Row}) + ": " + said(f.Text)
		}
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
		func(t trouble) bool { return t.suspect },
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
