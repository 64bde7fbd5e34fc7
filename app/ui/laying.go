package ui

import (
	"errors"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/lang"

	"panewright/board"
)

// fewestAgain is how many places have to be read again, under the same names, to
// join a laying of the pane to the one before.
const fewestAgain = 4

// severalLayings says whether the pane was read in more than one laying.
func severalLayings(j *board.Job) bool {
	for i := range j.Readings {
		if j.Readings[i].Set != j.Readings[0].Set {
			return true
		}
	}
	return false
}

// nextLaying is the name of the next laying: 2, 3, 4 …
func nextLaying(j *board.Job) string {
	taken := map[string]bool{}
	for i := range j.Readings {
		taken[j.Readings[i].Set] = true
	}
	n := 2
	for taken[strconv.Itoa(n)] {
		n++
	}
	return strconv.Itoa(n)
}

// againStations are stations to read again, spread evenly over those of a job.
func againStations(j *board.Job) []string {
	const most = 6
	var ids []string
	seen := map[string]bool{}
	for _, i := range j.Indices(board.Edge) {
		if r := j.Readings[i]; !r.Struck && r.ID != "" && !seen[r.ID] && r.X.Set && r.Y.Set && r.Z.Set {
			seen[r.ID] = true
			ids = append(ids, r.ID)
		}
	}
	n := min(most, len(ids))
	out := make([]string, n)
	for k := range out {
		out[k] = ids[k*len(ids)/n]
	}
	return out
}

// askLaying begins a new laying: the pane was moved or turned over, and some
// stations are read again to join what follows to what was read before.
func (w *Window) askLaying() {
	if w.busy() || !w.lists.sheet().Commit() {
		return
	}
	j := w.state.Job
	stations := againStations(j)
	if len(stations) < fewestAgain {
		w.report(errors.New(lang.L("read some stations first: a new laying is joined to them")))
		return
	}
	set := nextLaying(j)
	entry := newField(true, nil, w.key)
	entry.SetText(strings.Join(stations, " "))
	entry.shown = entry.Text
	begin := func() bool {
		ids := strings.FieldsFunc(entry.Text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
		if err := w.beginLaying(set, ids); err != nil {
			entry.setFault(plain(err))
			return false
		}
		return true
	}
	w.ask("laying", lang.L("The pane was moved: laying {{.N}}", map[string]any{"N": set}),
		container.NewVBox(
			wrapped(lang.L("Leave the board as it is. Read at least four stations again that lie well apart, with their heights, under the same names: they join this laying to the one before. Whether the pane was turned over is seen from them.")),
			wrapped(lang.L("Stations that can be read again:")), entry, entry.fault,
			dim(lang.L("A row is made ready for each. Whatever is typed behind them belongs to this laying too."))),
		entry, answer{lang.L("Begin laying {{.N}}", map[string]any{"N": set}), begin}, answer{text: cancelWord()})
}

// beginLaying makes rows ready for the stations that are read again, and puts
// the cursor on the first.
func (w *Window) beginLaying(set string, ids []string) error {
	if len(ids) < fewestAgain {
		return errors.New(lang.L("name at least four stations"))
	}
	known := map[string]bool{}
	for _, i := range w.state.Job.Indices(board.Edge) {
		known[w.state.Job.Readings[i].ID] = true
	}
	seen := map[string]bool{}
	for _, id := range ids {
		switch {
		case !known[id]:
			return errors.New(lang.L("there is no station {{.ID}}", map[string]any{"ID": id}))
		case seen[id]:
			return errors.New(lang.L("station {{.ID}} is named twice", map[string]any{"ID": id}))
		}
		seen[id] = true
	}
	first := len(w.state.Job.Readings)
	if err := w.Edit(lang.L("Begin laying {{.N}}", map[string]any{"N": set}), func(j *board.Job) error {
		for _, id := range ids {
			if err := j.Insert(len(j.Readings), board.Reading{ID: id, Kind: board.Edge, Set: set}); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return err
	}
	w.openStep(stepReadings)
	w.setFolded(false)
	w.lists.gotoReading(first, fieldX)
	w.later(w.lists.focus)
	return nil
}
