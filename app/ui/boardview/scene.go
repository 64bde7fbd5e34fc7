package boardview

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/board"
	"panewright/geom"
)

// key names a reading across edits, which may move it within the list.
type key struct {
	kind    board.Kind
	id, set string
}

func keyOf(r board.Reading) key { return key{r.Kind, r.ID, r.Set} }

// point is a reading as it is drawn.
type point struct {
	index  int // of Job.Readings
	kind   board.Kind
	id     string
	at     r2.Vec      // where it stands after the corrections and the joining of layings
	typed  r2.Vec      // where it was typed
	back   *geom.Frame // from at to typed, of a further laying; nil of the first
	away   bool        // of a laying that is not joined: at is only where it was typed
	state  board.State
	check  bool   // a station on the half that is made
	out    r2.Vec // unit: where its label goes, away from the pane
	foot   r2.Vec // the point of the outline that it misses
	missed bool   // foot is known
	miss   float64
	fit    r2.Vec  // where a correction that leads would put it
	fits   bool    // fit is known
	sure   bool    // vouched for
	breaks bool    // the edge truly breaks here
	lifted bool    // height is known
	height float64 // its height over the fitted face, mm
}

// scene is what is drawn of a state: everything on the board, in mm, worked out
// once for each state and then drawn through any lens.
type scene struct {
	job          *board.Job
	stale        bool // the shape belongs to an older job
	points       []point
	shape        [][]r2.Vec // finished outline, its measured half or all of it; without a pane, what is known of it
	made         []r2.Vec   // made half
	band         *band      // how sure it is
	socket       *socket    // how it is expected to fit
	advice       []advice   // where to measure next
	line, found  *line      // in use; what the readings say, where another was typed
	lineEnds     [2]float64 // y of the handles, lower and upper
	guessed      bool       // the line is only the board's own middle
	stations     r2.Box     // round the edge readings
	haveStations bool
}

// newScene works out what is drawn of a state. What the scene before it holds of
// the same model is used again; old may be nil.
func newScene(s desk.State, old *scene) *scene {
	sc := &scene{job: s.Job, stale: s.Model != nil && !s.Current()}
	if old != nil && old.band != nil && old.band.of == s.Model {
		sc.band, sc.socket = old.band, old.socket
	} else {
		sc.band = newBand(s.Model)
		sc.socket = newSocket(s.Model, sc.band)
	}
	if s.Job == nil {
		return sc
	}
	results, back := resultsOf(s.Model), turnedBack(s.Model)
	for i, r := range s.Job.Readings {
		if p, ok := newPoint(i, r, results, back[r.Set], s.Job.Grid); ok {
			sc.points = append(sc.points, p)
		}
	}
	sc.measure()
	sc.directions(s.Model)
	if s.Model != nil {
		sc.takeShape(s.Model)
	}
	sc.findLine(s)
	sc.findChecks(s.Model)
	return sc
}

// resultsOf is what a model says of each reading, exactly as it was when solved.
func resultsOf(m *board.Model) map[board.Reading]board.Result {
	if m == nil || m.Job == nil {
		return nil
	}
	all := make(map[board.Reading]board.Result, len(m.Results))
	for i, r := range m.Results {
		if i < len(m.Job.Readings) {
			all[m.Job.Readings[i]] = r
		}
	}
	return all
}

// turnedBack are the motions from the first laying of the pane back to those that
// are joined to it.
func turnedBack(m *board.Model) map[string]*geom.Frame {
	back := map[string]*geom.Frame{}
	if m == nil {
		return back
	}
	for _, j := range m.Joins {
		if j.Joined {
			inverse := j.Motion.Inverse()
			back[j.Set] = &inverse
		}
	}
	return back
}

// newPoint is a reading that can be drawn: its place is known.
func newPoint(i int, r board.Reading, results map[board.Reading]board.Result, back *geom.Frame, g board.Grid) (point, bool) {
	if !r.X.Set || !r.Y.Set {
		return point{}, false
	}
	p := point{index: i, kind: r.Kind, id: r.ID, at: r2.Vec{X: r.X.MM, Y: r.Y.MM}, sure: r.Sure, breaks: r.Break}
	p.typed = p.at
	res, known := results[r]
	if known {
		p.state = res.State
		p.away = !res.Placed && !r.Struck
		if res.Placed {
			p.at, p.back = r2.Vec{X: res.At.X, Y: res.At.Y}, back
		}
		if res.HasMiss {
			p.missed, p.miss = true, res.Miss
			p.foot = r2.Vec{X: res.Foot.X, Y: res.Foot.Y}
		}
		p.lifted, p.height = res.HasHeight, res.HeightMiss
		p.takeOffer(i, res.Offer, g)
	}
	if r.Struck {
		p.state = board.StruckOut
	}
	return p, true
}

// readFrom is where a reading would have to be typed to stand at to.
func (p *point) readFrom(to r2.Vec) r2.Vec {
	d := r3.Vec{X: to.X - p.at.X, Y: to.Y - p.at.Y}
	if p.back != nil {
		d = p.back.Rotate(d)
	}
	return r2.Vec{X: p.typed.X + d.X, Y: p.typed.Y + d.Y}
}

// standsAt is where a reading would stand that was typed at q.
func (p *point) standsAt(q r2.Vec) r2.Vec {
	d := r3.Vec{X: q.X - p.typed.X, Y: q.Y - p.typed.Y}
	if p.back != nil {
		d = p.back.Inverse().Rotate(d)
	}
	return r2.Vec{X: p.at.X + d.X, Y: p.at.Y + d.Y}
}

// takeOffer takes where a correction of this one reading would put it.
func (p *point) takeOffer(i int, o *board.Offer, g board.Grid) {
	if o == nil || o.Field == "block" {
		return
	}
	to := p.typed
	read := func(c board.Cell, a board.Axis, old float64) float64 {
		if mm, _, err := board.Parse(c.Text, a, c.Unit, c.Comma, g); err == nil {
			return mm
		}
		return old
	}
	for _, c := range o.Changes {
		switch {
		case c.Reading != i:
		case c.Field == "x":
			to.X = read(c.To, board.AxisX, to.X)
		case c.Field == "y":
			to.Y = read(c.To, board.AxisY, to.Y)
		}
	}
	p.fit, p.fits = p.standsAt(to), to != p.typed
}

// measure finds the box round the edge readings that count.
func (sc *scene) measure() {
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, p := range sc.points {
		if p.kind != board.Edge || p.state == board.StruckOut || p.state == board.Suspect || p.away {
			continue
		}
		sc.haveStations = true
		lo = r2.Vec{X: min(lo.X, p.at.X), Y: min(lo.Y, p.at.Y)}
		hi = r2.Vec{X: max(hi.X, p.at.X), Y: max(hi.Y, p.at.Y)}
	}
	if sc.haveStations {
		sc.stations = r2.Box{Min: lo, Max: hi}
	}
}

// directions finds where each label goes: square to the outline where there is
// one, else away from the middle of the stations.
func (sc *scene) directions(m *board.Model) {
	middle := r2.Scale(0.5, r2.Add(sc.stations.Min, sc.stations.Max))
	for i := range sc.points {
		p := &sc.points[i]
		d := r2.Sub(p.at, middle)
		switch {
		case p.kind != board.Edge:
			d = r2.Vec{X: 1, Y: 1}
		case m != nil && m.Free != nil && m.Free.Curve != nil:
			u, _ := m.Free.Curve.Nearest(p.at)
			d = m.Free.Curve.Normal(u)
		}
		if n := r2.Norm(d); n > 1e-9 {
			p.out = r2.Scale(1/n, d)
		} else {
			p.out = r2.Vec{Y: 1}
		}
	}
}

// takeShape takes the outline of a model: the finished one, or what is known.
func (sc *scene) takeShape(m *board.Model) {
	sc.made, sc.advice = m.MadeHalf, adviceOf(m)
	sc.shape = sc.band.lines()
	if m.MeasuredHalf != nil {
		sc.shape = [][]r2.Vec{m.MeasuredHalf}
	}
}

// findLine finds the centre line that is in use: as typed, else as found, else
// the middle of the board for a job that will need one.
func (sc *scene) findLine(s desk.State) {
	mirror := s.Job.Mirror
	if s.Model != nil && mirror == board.MirrorAuto {
		mirror = s.Model.Mirror
	}
	if mirror == board.MirrorNone || !sc.haveStations {
		return
	}
	l := line{level: sc.meanLevel()}
	switch {
	case s.Job.Plane != nil:
		l.offset, l.skew, l.roll = s.Job.Plane.Offset.MM, s.Job.Plane.Skew.MM, s.Job.Plane.Roll.MM
	case s.Model != nil && s.Model.Used != nil:
		l.offset, l.skew, l.roll = s.Model.Used.Offset, s.Model.Used.Skew, s.Model.Used.Roll
	default:
		sc.guessed = true
	}
	sc.line = &l
	if s.Job.Plane != nil && s.Model != nil && s.Model.Found != nil {
		sc.found = &line{s.Model.Found.Offset, s.Model.Found.Skew, s.Model.Found.Roll, l.level}
	}
	over := 0.08 * (sc.stations.Max.Y - sc.stations.Min.Y)
	if _, pitch := s.Job.Grid.Pitch(); pitch > 0 {
		over = max(over, 0.55*pitch)
	}
	sc.lineEnds = [2]float64{sc.stations.Min.Y - over, sc.stations.Max.Y + over}
}

// meanLevel is y of the mean unstruck edge reading, where a typed offset holds.
func (sc *scene) meanLevel() float64 {
	sum, n := 0.0, 0
	for _, p := range sc.points {
		if p.kind == board.Edge && p.state != board.StruckOut && !p.away {
			sum, n = sum+p.at.Y, n+1
		}
	}
	return sum / float64(max(n, 1))
}

// findChecks tells the stations on the half that is made.
func (sc *scene) findChecks(m *board.Model) {
	if m == nil || sc.line == nil || (m.Mirror != board.MirrorLeft && m.Mirror != board.MirrorRight) {
		return
	}
	for i := range sc.points {
		p := &sc.points[i]
		right := p.at.X > sc.line.x(p.at.Y)
		p.check = p.kind == board.Edge && right == (m.Mirror == board.MirrorLeft)
	}
}

// find is the point of the reading with that index.
func (sc *scene) find(index int) (point, bool) {
	for _, p := range sc.points {
		if p.index == index {
			return p, true
		}
	}
	return point{}, false
}

// box is what is shown when everything is: the drawn grid and every reading
// that counts.
func (sc *scene) box() r2.Box {
	box := r2.Box{Min: r2.Vec{X: -500, Y: -100}, Max: r2.Vec{X: 500, Y: 700}}
	if sc.job != nil {
		if b, ok := sc.job.Grid.Bounds(); ok {
			box = b
		}
	}
	if sc.haveStations {
		box.Min = r2.Vec{X: min(box.Min.X, sc.stations.Min.X), Y: min(box.Min.Y, sc.stations.Min.Y)}
		box.Max = r2.Vec{X: max(box.Max.X, sc.stations.Max.X), Y: max(box.Max.Y, sc.stations.Max.Y)}
	}
	return box
}
