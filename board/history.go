package board

import "slices"

// Step is a job with the name of the edit that made it.
type Step struct {
	Name string
	Job  *Job
}

// History is the list of all states of a job, the present one and those that can
// be undone or redone, without limit. Published jobs are never changed, so a
// pointer tells states apart: the job is unsaved when History.Job is not the
// pointer that was saved. Lists that an edit did not touch are shared between
// states. For one goroutine.
type History struct {
	steps []Step // steps[0] is the state it began with
	now   int
}

// NewHistory begins with a job and the steps already made from it, oldest first
// (as Replay returns them); the last one is the present. The jobs belong to the
// history from now on.
func NewHistory(j *Job, done ...Step) *History {
	steps := append([]Step{{Job: j}}, done...)
	return &History{steps: steps, now: len(steps) - 1}
}

// Job is the present state. It must not be changed.
func (h *History) Job() *Job { return h.steps[h.now].Job }

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
	clear(h.steps[h.now+1:])
	h.steps = append(h.steps[:h.now+1], Step{Name: name, Job: j})
	h.now++
	return j, nil
}

// Undo goes back one step; ok is false where there is none.
func (h *History) Undo() (j *Job, ok bool) {
	if h.now == 0 {
		return h.Job(), false
	}
	h.now--
	return h.Job(), true
}

// Redo takes back an Undo; ok is false where there is none.
func (h *History) Redo() (j *Job, ok bool) {
	if h.now == len(h.steps)-1 {
		return h.Job(), false
	}
	h.now++
	return h.Job(), true
}

// UndoName is the name of the edit that Undo would take back, empty where none.
func (h *History) UndoName() string { return h.steps[h.now].Name }

// RedoName is the name of the edit that Redo would make again, empty where none.
func (h *History) RedoName() string {
	if h.now == len(h.steps)-1 {
		return ""
	}
	return h.steps[h.now+1].Name
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
		j.Pocket == k.Pocket && j.Tiles == k.Tiles && j.Pack == k.Pack && j.Cut == k.Cut && j.Checks.equal(&k.Checks)
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
