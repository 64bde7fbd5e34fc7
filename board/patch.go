package board

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
)

// patch is the difference between two jobs as the journal holds it.
type patch struct {
	Name     string                     `json:"name"`
	Set      map[string]json.RawMessage `json:"set,omitempty"` // settings, by their names in the job file
	Readings *splice[fileReading]       `json:"readings,omitempty"`
	Tapes    *splice[fileTape]          `json:"tapes,omitempty"`

	Cuts      *splice[fileCut]      `json:"cuts,omitempty"`
	Gaps      *splice[fileGap]      `json:"gaps,omitempty"`
	Distances *splice[fileDistance] `json:"check_distances,omitempty"`
}

// splice is a replaced stretch of a list.
type splice[T any] struct {
	At  int `json:"at"`  // first element replaced
	Cut int `json:"cut"` // how many are taken out
	Put []T `json:"put"` // what comes in
}

// difference is the patch that makes after out of before. Values and faults are
// no part of it: they follow from the texts.
func difference(name string, before, after *Job) (p patch, err error) {
	p = patch{Name: name}
	if !before.equalHead(after) {
		if p.Set, err = changedSettings(before, after); err != nil {
			return p, err
		}
	}
	p.Readings = cutOut(before.Readings, after.Readings, sameReading, readingToFile)
	p.Tapes = cutOut(before.Tapes, after.Tapes, sameTape, tapeToFile)
	p.Cuts = cutOut(before.Cuts, after.Cuts, sameCut, cutToFile)
	p.Gaps = cutOut(before.Gaps, after.Gaps, sameGap, gapToFile)
	p.Distances = cutOut(before.Distances, after.Distances, sameDistance, distanceToFile)
	return p, nil
}

// changedSettings are the members of the job's JSON, lists apart, that differ.
func changedSettings(before, after *Job) (map[string]json.RawMessage, error) {
	old, err := settings(before)
	if err != nil {
		return nil, err
	}
	now, err := settings(after)
	if err != nil {
		return nil, err
	}
	for name, v := range now {
		if bytes.Equal(old[name], v) {
			delete(now, name)
		}
	}
	return now, nil
}

// settings are the members of the job's JSON but the lists.
func settings(j *Job) (m map[string]json.RawMessage, err error) {
	body, err := marshal(headToFile(j))
	if err != nil {
		return nil, err
	}
	if err := json.Unmarshal(body, &m); err != nil {
		return nil, err
	}
	for _, name := range []string{"board_checks", "tiles", "pack", "photo"} {
		if _, ok := m[name]; !ok {
			m[name] = json.RawMessage("null") // the file leaves it out
		}
	}
	return m, nil
}

// cutOut finds the stretch between the common front and the common end of two
// lists; nil where they are the same.
func cutOut[T, F any](before, after []T, same func(a, b *T) bool, toFile func(*T) F) *splice[F] {
	front := 0
	for front < min(len(before), len(after)) && same(&before[front], &after[front]) {
		front++
	}
	end := 0
	for end < min(len(before), len(after))-front && same(&before[len(before)-1-end], &after[len(after)-1-end]) {
		end++
	}
	s := &splice[F]{At: front, Cut: len(before) - front - end}
	for i := front; i < len(after)-end; i++ {
		s.Put = append(s.Put, toFile(&after[i]))
	}
	if s.Cut == 0 && len(s.Put) == 0 {
		return nil
	}
	return s
}

// sameCell compares what was typed.
func sameCell(a, b *Cell) bool { return a.Text == b.Text && a.Unit == b.Unit && a.Comma == b.Comma }

// sameReading compares readings as they were typed.
func sameReading(a, b *Reading) bool {
	return a.ID == b.ID && a.Kind == b.Kind && a.Note == b.Note && a.Set == b.Set && a.Struck == b.Struck && a.Reason == b.Reason &&
		a.Sure == b.Sure && a.Break == b.Break &&
		sameCell(&a.X, &b.X) && sameCell(&a.Y, &b.Y) && sameCell(&a.Z, &b.Z) && sameCell(&a.SD, &b.SD)
}

// sameTape compares taped widths as they were typed.
func sameTape(a, b *Tape) bool {
	return a.How == b.How && a.From == b.From && a.To == b.To && a.Struck == b.Struck && a.Reason == b.Reason && sameCell(&a.Length, &b.Length)
}

// apply makes the edit on a clone of j, evaluated and validated.
func (p *patch) apply(j *Job) (*Job, error) {
	next := j.Clone()
	if len(p.Set) > 0 {
		m, err := settings(j)
		if err != nil {
			return nil, err
		}
		for name, v := range p.Set {
			if _, ok := m[name]; !ok {
				return nil, fmt.Errorf("unknown setting %q", name)
			}
			m[name] = v
		}
		body, err := json.Marshal(m)
		if err != nil {
			return nil, err
		}
		var h fileHead
		if err := json.Unmarshal(body, &h); err != nil {
			return nil, err
		}
		next = h.job()
		next.Readings, next.Tapes = slices.Clone(j.Readings), slices.Clone(j.Tapes)
		next.Cuts, next.Gaps, next.Distances = slices.Clone(j.Cuts), slices.Clone(j.Gaps), slices.Clone(j.Distances)
	}
	var err error
	if next.Readings, err = paste(next.Readings, p.Readings, (*fileReading).reading); err != nil {
		return nil, err
	}
	if next.Tapes, err = paste(next.Tapes, p.Tapes, (*fileTape).tape); err != nil {
		return nil, err
	}
	if next.Cuts, err = paste(next.Cuts, p.Cuts, (*fileCut).cut); err != nil {
		return nil, err
	}
	if next.Gaps, err = paste(next.Gaps, p.Gaps, (*fileGap).gap); err != nil {
		return nil, err
	}
	if next.Distances, err = paste(next.Distances, p.Distances, (*fileDistance).distance); err != nil {
		return nil, err
	}
	next.Evaluate()
	return next, next.Validate()
}

// paste replaces the stretch.
func paste[T, F any](list []T, s *splice[F], from func(*F) T) ([]T, error) {
	if s == nil {
		return list, nil
	}
	if s.At < 0 || s.Cut < 0 || s.At > len(list) || s.Cut > len(list)-s.At {
		return nil, fmt.Errorf("rows %d to %d are not there", s.At+1, s.At+s.Cut)
	}
	put := make([]T, len(s.Put))
	for i := range s.Put {
		put[i] = from(&s.Put[i])
	}
	return slices.Replace(list, s.At, s.At+s.Cut, put...), nil
}
