package board

import (
	"slices"
	"weak"
)

// Step is a job with the name of the edit that made it.
type Step struct {
	Name string
	Job  *Job
}

// History is the list of all states of a job, the present one and those that can
// be undone or redone, without limit. Published jobs are never changed, so a
// pointer tells states apart: the job is unsaved when History.Job is not the
// pointer that was saved. Lists that an edit did not touch are shared between
// states, and of the readings a state that is not the present keeps only what
// differs from its neighbour: 1,500 edits of 500 readings hold 3 MB. For one
// goroutine.
type History struct {
	states []state // states[0] is the one it began with
	now    int
}

// state is a job of the history with the name of the edit that made it.
type state struct {
	name string
	job  *Job // the present state; nil: packed
	head *Job // of a packed one: all but the readings
	// differs makes the readings of a packed state of those of its neighbour on the
	// present's side; nil: they are the same.
	differs *splice[Reading]
	was     weak.Pointer[Job] // the packed job itself, where somebody still has it
}

// pack keeps of the state what differs from its neighbour.
func (s *state) pack(neighbour *Job) {
	head := *s.job
	head.Readings = nil
	same := func(a, b *Reading) bool { return *a == *b }
	s.differs = cutOut(neighbour.Readings, s.job.Readings, same, itself)
	if s.differs != nil {
		s.differs.Put = slices.Clip(slices.Clone(s.differs.Put))
	}
	s.was, s.head, s.job = weak.Make(s.job), &head, nil
}

// unpack makes the state whole again: the very job that was packed where it is still
// about, so that a pointer tells what was saved.
func (s *state) unpack(neighbour *Job) {
	s.job = s.was.Value()
	if s.job == nil {
		s.job = s.head
		s.job.Readings = neighbour.Readings
		if s.differs != nil {
			s.job.Readings, _ = paste(slices.Clone(neighbour.Readings), s.differs, itself) // fits: it was cut out there
		}
	}
	s.head, s.differs = nil, nil
}

// itself is a reading as it is.
func itself(r *Reading) Reading { return *r }

// NewHistory begins with a job and the steps already made from it, oldest first
// (as Replay returns them); the last one is the present. The jobs belong to the
// history from now on.
func NewHistory(j *Job, done ...Step) *History {
	h := &History{states: []state{{job: j}}}
	for _, s := range done {
		h.add(s)
	}
	return h
}

// add makes a step the present state; what had been undone is forgotten.
func (h *History) add(s Step) {
	h.states[h.now].pack(s.Job)
	clear(h.states[h.now+1:])
	h.states = append(h.states[:h.now+1], state{name: s.Name, job: s.Job})
	h.now++
}

// goTo makes the state before or behind the present one the present.
func (h *History) goTo(next int) *Job {
	here := h.Job()
	h.states[next].unpack(here)
	h.states[h.now].pack(h.states[next].job)
	h.now = next
	return h.Job()
}

// Job is the present state. It must not be changed.
func (h *History) Job() *Job { return h.states[h.now].job }

// Edit makes a new state: f changes a clone of the present one, which is then
// evaluated, validated and published; what had been undone is forgotten. name is
// what Undo will offer. On an error nothing has changed. Where f changed
// nothing, the present state stays and no step is added.
func (h *History) Edit(name string, f func(*Job) error) (*Job, error) {
	old := h.Job()
	j := old.Clone()
	if err := f(j); err != nil {
		return nil, err
	}
	j.Evaluate()
	if err := j.Validate(); err != nil {
		return nil, err
	}
	if j.Equal(old) {
		return old, nil
	}
	j.share(old)
	h.add(Step{name, j})
	return j, nil
}

// Undo goes back one step; ok is false where there is none.
func (h *History) Undo() (j *Job, ok bool) {
	if h.now == 0 {
		return h.Job(), false
	}
	return h.goTo(h.now - 1), true
}

// Redo takes back an Undo; ok is false where there is none.
func (h *History) Redo() (j *Job, ok bool) {
	if h.now == len(h.states)-1 {
		return h.Job(), false
	}
	return h.goTo(h.now + 1), true
}

// UndoName is the name of the edit that Undo would take back, empty where none.
func (h *History) UndoName() string { return h.states[h.now].name }

// RedoName is the name of the edit that Redo would make again, empty where none.
func (h *History) RedoName() string {
	if h.now == len(h.states)-1 {
		return ""
	}
	return h.states[h.now+1].name
}

// Names are the names of all edits, oldest first; the first done of them are those
// that can be undone, the rest those that can be redone.
func (h *History) Names() (names []string, done int) {
	for _, s := range h.states[1:] {
		names = append(names, s.name)
	}
	return names, h.now
}

// Equal says whether two jobs hold the same, values and faults included.
func (j *Job) Equal(k *Job) bool {
	return j.equalHead(k) && slices.Equal(j.Readings, k.Readings) && slices.Equal(j.Tapes, k.Tapes) &&
		sameCuts(j.Cuts, k.Cuts) && slices.Equal(j.Gaps, k.Gaps) && slices.Equal(j.Distances, k.Distances)
}

// sameCuts compares lists of cuts.
func sameCuts(a, b []Cut) bool {
	return slices.EqualFunc(a, b, func(c, d Cut) bool { return c.equal(&d) })
}

// equalHead compares everything but the lists.
func (j *Job) equalHead(k *Job) bool {
	samePlane := j.Plane == k.Plane || j.Plane != nil && k.Plane != nil && *j.Plane == *k.Plane
	return samePlane && j.Name == k.Name && j.Date == k.Date && j.Notes == k.Notes &&
		j.Unit == k.Unit && j.Comma == k.Comma && j.Grid == k.Grid && j.Pane == k.Pane &&
		j.Sigma == k.Sigma && j.SigmaZ == k.SigmaZ && j.Pencil == k.Pencil && j.Mirror == k.Mirror &&
		j.Pocket == k.Pocket && j.Tiles == k.Tiles && j.Pack == k.Pack && j.Photo == k.Photo && j.Cut == k.Cut && j.Checks.equal(&k.Checks)
}

// share replaces lists that are the same as those of an older state by them.
func (j *Job) share(old *Job) {
	if slices.Equal(j.Readings, old.Readings) {
		j.Readings = old.Readings
	} else {
		j.Readings = slices.Clone(j.Readings) // what an insertion left room for is given back
	}
	if slices.Equal(j.Tapes, old.Tapes) {
		j.Tapes = old.Tapes
	}
	if sameCuts(j.Cuts, old.Cuts) {
		j.Cuts = old.Cuts
	}
	if slices.Equal(j.Gaps, old.Gaps) {
		j.Gaps = old.Gaps
	}
	if slices.Equal(j.Checks.Zero.Points, old.Checks.Zero.Points) {
		j.Checks.Zero.Points = old.Checks.Zero.Points
	}
}
