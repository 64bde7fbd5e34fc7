package board

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/geom"
	"panewright/geom/fit"
)

// Join is how the readings of a further laying of the pane were brought onto
// the first one: by the places that were read in both.
type Join struct {
	Set       string
	Joined    bool       // its readings are used
	Turned    bool       // the pane was turned over: its other face is up
	Repeats   int        // places read in both
	Aside     []string   // of them, those that the others contradict
	RMS       float64    // mm, misfit of the others in x, y and z
	Worst     string     // the repeat that misfits most
	WorstMiss float64    // mm
	Motion    geom.Frame // from the places read in this laying to those of the first
	UXY, UZ   float64    // mm, the most that the join adds to a reading's standard uncertainty, in plan per axis and in height
	Text      string     // what was found, in the job's unit
}

// Limits of a join (our own figures).
const (
	worstJoin  = 3.0 // mm, misfit of the repeats beyond which they are not the same places
	unsureJoin = 3.0 // mm, uncertainty added to a reading beyond which a join is no use
	mostSets   = 12  // layings beside the first that are joined
	likelier   = 1.5 // how much better the pane must fit turned over to be taken as that
)

// laying is a set of readings that was joined to the first.
type laying struct {
	fit    *fit.Rigid
	turned bool
}

// firstSet is the laying that the others are joined to: the readings without a
// set, or the set that stands first where all have one.
func (j *Job) firstSet() string {
	first, any := "", false
	for i := range j.Readings {
		switch r := &j.Readings[i]; {
		case r.Set == "":
			return ""
		case !any:
			first, any = r.Set, true
		}
	}
	return first
}

// layings are the sets beside the first, in the order of the list.
func (j *Job) layings() (sets []string) {
	seen := map[string]bool{j.firstSet(): true}
	for i := range j.Readings {
		if s := j.Readings[i].Set; !seen[s] {
			seen[s] = true
			sets = append(sets, s)
		}
	}
	return sets
}

// join brings every further laying onto the first, the one with the most repeats
// before the others, and places its readings. It is done again once a face is
// known, since silhouettes and faces pass into one another by the slope.
func (s *solve) join() {
	s.joined, s.m.Joins = map[string]*laying{}, nil
	left := s.job.layings()
	if rest := len(left) - mostSets; rest > 0 {
		s.m.Joins = append(s.m.Joins, Join{Set: left[mostSets], Text: fmt.Sprintf("The pane was read in %d layings: %s and those behind it are not used, since %d are joined to the first at most.", len(left)+1, left[mostSets], mostSets)})
		left = left[:mostSets:mostSets]
	}
	for len(left) > 0 {
		known := s.known()
		next, most := 0, -1
		for n, set := range left {
			if k := len(s.repeats(set, known)); k > most {
				next, most = n, k
			}
		}
		s.m.Joins = append(s.m.Joins, s.joinOne(left[next], known))
		left = append(left[:next:next], left[next+1:]...)
	}
}

// placeKey names a place on the pane.
type placeKey struct {
	kind Kind
	id   string
}

// known are the places that are joined already, each by its first reading.
func (s *solve) known() map[placeKey]int {
	out := map[placeKey]int{}
	for i := range s.job.Readings {
		r := &s.job.Readings[i]
		key := placeKey{r.Kind, r.ID}
		if _, ok := out[key]; !ok && r.ID != "" && s.m.Results[i].Placed && !r.Struck && unread(r) == "" {
			out[key] = i
		}
	}
	return out
}

// repeat is a place read in two layings, by the indices of its readings.
type repeat struct{ known, again int }

// repeats are the places of a set that are known already.
func (s *solve) repeats(set string, known map[placeKey]int) (out []repeat) {
	seen := map[placeKey]bool{}
	for i := range s.job.Readings {
		r := &s.job.Readings[i]
		key := placeKey{r.Kind, r.ID}
		k, ok := known[key]
		if !ok || r.Set != set || r.Struck || unread(r) != "" || seen[key] {
			continue
		}
		seen[key] = true
		out = append(out, repeat{k, i})
	}
	return out
}

// joinOne joins one set.
func (s *solve) joinOne(set string, known map[placeKey]int) Join {
	pairs := s.repeats(set, known)
	j := Join{Set: set, Repeats: len(pairs)}
	if len(pairs) < leastRepeats {
		j.Text = fmt.Sprintf("Laying %s has %d of its places read in another laying too, and it takes %d to join them: read some stations again that carry the same names.", set, len(pairs), leastRepeats)
		return j
	}
	best := s.bestMotion(pairs)
	if best == nil {
		j.Text = fmt.Sprintf("Laying %s cannot be joined: the places read again lie on one line, or too few have a height. Read some again that lie well apart, with their heights.", set)
		return j
	}
	j.Turned, j.Motion, j.RMS = best.turned, best.fit.Motion, best.fit.RMS
	for n, p := range pairs {
		d, id := r3.Norm(best.fit.Miss[n]), s.job.Readings[p.again].ID
		if best.fit.Suspect[n] {
			j.Aside = append(j.Aside, id)
		} else if d > j.WorstMiss {
			j.Worst, j.WorstMiss = id, d
		}
	}
	sxy, sz := s.job.sigmas()
	if j.RMS > max(worstJoin, 5*max(sxy, sz)) {
		j.Text = fmt.Sprintf("Laying %s cannot be joined: the places read again miss one another by %s, the most at %s. Look whether they carry the right names.", set, s.job.length(j.RMS), j.Worst)
		return j
	}
	s.place(set, best, &j)
	if max(j.UXY, j.UZ) > unsureJoin {
		s.unplace(set)
		j.Text = fmt.Sprintf("Laying %s cannot be joined: the places read again lie so near one another or one line that its readings would be unsure by %s. Read some again that lie well apart.", set, s.job.length(max(j.UXY, j.UZ)))
		return j
	}
	s.joined[set] = best
	j.Joined = true
	how := "as it lay"
	if j.Turned {
		how = "turned over"
	}
	j.Text = fmt.Sprintf("Laying %s, %s, is joined by %d places read again, which miss one another by %s, the most at %s by %s.", set, how, j.Repeats-len(j.Aside), s.job.length(j.RMS), j.Worst, s.job.length(j.WorstMiss))
	if len(j.Aside) > 0 {
		j.Text += fmt.Sprintf(" Left out as not fitting the others: %s.", strings.Join(j.Aside, ", "))
	}
	return j
}

// bestMotion is the motion that joins the pairs best, as the pane lay or turned
// over; nil where there is none.
func (s *solve) bestMotion(pairs []repeat) *laying {
	var lay [2]*laying
	for n, turned := range []bool{false, true} {
		l := &laying{turned: turned}
		// the slopes are turned into the laying by the motion of the round before
		for range 3 {
			f, err := fit.FitRigid(s.pairs(pairs, l), turned)
			if err != nil {
				l.fit = nil
				break
			}
			l.fit = f
			if s.m.FreeFace == nil {
				break
			}
		}
		if l.fit != nil {
			lay[n] = l
		}
	}
	switch as, over := lay[0], lay[1]; {
	case as == nil:
		return over
	case over == nil, as.fit.Scatter <= likelier*over.fit.Scatter && as.aside() <= over.aside():
		return as
	case over.aside() > as.aside() && over.fit.Scatter*likelier > as.fit.Scatter:
		return as
	default:
		return over
	}
}

// aside is how many repeats were left out.
func (l *laying) aside() (n int) {
	for _, off := range l.fit.Suspect {
		if off {
			n++
		}
	}
	return n
}

// pairs are the repeats as points of the glass: the arris or face point that
// the further laying touched, there and in the first.
func (s *solve) pairs(repeats []repeat, l *laying) (out []fit.Pair) {
	for _, p := range repeats {
		a, b := &s.job.Readings[p.known], &s.job.Readings[p.again]
		at := s.m.Results[p.known].At
		n, outward := s.slopeAt(r2.Vec{X: at.X, Y: at.Y})
		to := at
		if a.Kind == Edge {
			u, _ := geom.Arrises(r2.Vec{X: at.X, Y: at.Y}, outward, n, s.thick(), s.profile())
			to.X, to.Y = u.X, u.Y
		}
		if l.turned { // the point through the glass
			to = r3.Sub(to, r3.Scale(s.through(a.Kind), n))
		}
		if !a.Z.Set {
			to.Z = math.NaN()
		}
		from := s.touched(p.again, l, n, outward)
		if !b.Z.Set {
			from.Z = math.NaN()
		}
		sxy, sz := s.sds(p.known)
		oxy, oz := s.job.sigmas()
		out = append(out, fit.Pair{From: from, To: to, SXY: math.Hypot(sxy, oxy), SZ: math.Hypot(sz, oz)})
	}
	return out
}

// thick is the thickness of the glass, 0 where it is not known.
func (s *solve) thick() float64 { return max(s.job.Pane.Thickness.MM, 0) }

// profile is the shape of the edge; until the slopes are known all edges pass
// for square, since only then the way outward is known.
func (s *solve) profile() geom.Profile {
	if s.m.FreeFace == nil {
		return geom.SquareEdge
	}
	return s.job.Pane.Profile
}

// through is the way through the glass from where the first laying reads a kind
// to where a turned one does, along the downward normal.
func (s *solve) through(k Kind) float64 {
	if k == Face && s.job.Pane.ReadLower {
		return -s.thick()
	}
	return s.thick()
}

// slopeAt is the upward normal of the upper face and the way outward from the
// outline near a place, as far as they are known.
func (s *solve) slopeAt(p r2.Vec) (n r3.Vec, outward r2.Vec) {
	n, outward = r3.Vec{Z: 1}, r2.Vec{X: 1}
	if s.m.FreeFace != nil {
		n = s.m.FreeFace.Face.Eval(p.X, p.Y).Normal()
	}
	if s.m.Free != nil {
		u, _ := s.m.Free.Curve.Nearest(p)
		outward = s.m.Free.Curve.Normal(u)
	}
	return n, outward
}

// touched is the point of the glass that a reading of a further laying touched,
// in that laying's own places; n and outward are the slopes in the first.
func (s *solve) touched(i int, l *laying, n r3.Vec, outward r2.Vec) r3.Vec {
	r := &s.job.Readings[i]
	p := s.fix.at(i, r)
	if r.Kind != Edge || l.fit == nil {
		return p
	}
	back := l.fit.Motion.Inverse()
	n = back.Rotate(n)
	if l.turned {
		n = r3.Scale(-1, n)
	}
	o := back.Rotate(r3.Vec{X: outward.X, Y: outward.Y})
	u, _ := geom.Arrises(r2.Vec{X: p.X, Y: p.Y}, r2.Unit(r2.Vec{X: o.X, Y: o.Y}), n, s.thick(), s.profile())
	return r3.Vec{X: u.X, Y: u.Y, Z: p.Z}
}

// carried is where a reading of a further laying would have been read in the
// first.
func (s *solve) carried(i int, l *laying) r3.Vec {
	r := &s.job.Readings[i]
	near := l.fit.Motion.Apply(s.level(s.fix.at(i, r), r, l))
	n, outward := s.slopeAt(r2.Vec{X: near.X, Y: near.Y})
	p := l.fit.Motion.Apply(s.level(s.touched(i, l, n, outward), r, l))
	if l.turned {
		p = r3.Add(p, r3.Scale(s.through(r.Kind), n))
	}
	if r.Kind == Edge {
		sil := geom.Silhouette(p, outward, n, s.thick(), s.profile())
		p.X, p.Y = sil.X, sil.Y
	}
	if !r.Z.Set {
		p.Z = 0
	}
	return p
}

// level gives a reading without a height the one of the middle of the repeats, or
// that of the face.
func (s *solve) level(p r3.Vec, r *Reading, l *laying) r3.Vec {
	if r.Z.Set {
		return p
	}
	q := l.fit.Motion.Apply(p)
	q.Z = s.m.mean.Z
	if s.m.FreeFace != nil {
		q.Z = s.m.FreeFace.Face.At(q.X, q.Y)
	}
	p.Z = l.fit.Motion.Inverse().Apply(q).Z
	return p
}

// place puts the readings of a set where they would have been read in the first
// laying, and says in j how unsure the join leaves them.
func (s *solve) place(set string, l *laying, j *Join) {
	for i := range s.job.Readings {
		r := &s.job.Readings[i]
		if r.Set != set || !r.located() {
			continue
		}
		res := &s.m.Results[i]
		res.At, res.Placed = s.carried(i, l), true
		uxy, uz := l.fit.SD(res.At)
		j.UXY, j.UZ = max(j.UXY, uxy), max(j.UZ, uz)
	}
}

// unplace takes that back.
func (s *solve) unplace(set string) {
	for i := range s.job.Readings {
		if s.job.Readings[i].Set == set {
			s.m.Results[i].At, s.m.Results[i].Placed = r3.Vec{}, false
		}
	}
}

// sds are the standard uncertainties of reading i in plan and height: the job's,
// and what the join of its laying adds.
func (s *solve) sds(i int) (xy, z float64) {
	xy, z = s.job.sigmas()
	if l := s.joined[s.job.Readings[i].Set]; l != nil {
		uxy, uz := l.fit.SD(s.m.Results[i].At)
		xy, z = math.Hypot(xy, uxy), math.Hypot(z, uz)
	}
	return xy, z
}

// firstOnly is the solve with the edge and face readings of the first laying,
// which stand before the others; it shares everything.
func (s *solve) firstOnly() *solve {
	first := *s
	set := s.job.firstSet()
	cut := func(list []int) int {
		for n, i := range list {
			if s.job.Readings[i].Set != set {
				return n
			}
		}
		return len(list)
	}
	n := cut(s.edge)
	first.edge, first.marks, first.face = s.edge[:n], s.marks[:n], s.face[:cut(s.face)]
	return &first
}

// joinFindings tells what is wrong with the joins.
func (s *solve) joinFindings(add func(list string, row int, field, code, text string)) {
	at := func(set, id string) Place {
		for i := range s.job.Readings {
			if r := &s.job.Readings[i]; r.Set == set && (id == "" || r.ID == id) {
				return s.job.Place(i)
			}
		}
		return Place{}
	}
	for _, j := range s.m.Joins {
		p := at(j.Set, "")
		if !j.Joined {
			add(p.List, p.Row, "set", "laying-not-joined", j.Text)
			continue
		}
		for _, id := range j.Aside {
			p := at(j.Set, id)
			add(p.List, p.Row, "x", "repeat-differs", fmt.Sprintf("%s was read in laying %s too and does not fit the other places read again: one of the two readings, or its name, is wrong.", id, j.Set))
		}
		sxy, sz := s.job.sigmas()
		if j.RMS > 3*max(sxy, sz) {
			add(p.List, p.Row, "set", "laying-misfit", j.Text+" That is more than readings repeat to: the pane may have bent otherwise, or the grid be out of square.")
		}
	}
}
