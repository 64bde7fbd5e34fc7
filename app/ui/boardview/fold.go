package boardview

import (
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"

	"panewright/board"
	"panewright/geom"
)

// fold is both halves of a pane laid over each other about a centre line, on the
// right of it.
type fold struct {
	half    bool         // one half was read: stations of the other are held against it
	made    bool         // and the edge is its mirror image
	edge    []r2.Vec     // board, mm: what is held against, from the lower crossing to the upper
	line    []foldPlace  // the left half folded over, along the edge; none of half a pane
	marks   []foldMark   // stations of both halves
	most    [2]foldPlace // where the difference is greatest, outside and inside
	typical float64      // mm RMS
}

// foldPlace is a place of the edge and how far what is held against it lies off.
type foldPlace struct {
	at, out r2.Vec
	off     float64 // mm, + outside
	id      string  // of a station there
}

// foldMark is a station laid over the edge.
type foldMark struct {
	foldPlace
	reading int  // index of Job.Readings
	folded  bool // of the left half
	against bool // of the half that is made, which half a pane is held against
}

// foldParts is how many parts the way from one fold point to the next is drawn in.
const foldParts = 4

// newFold folds a model's pane over a plane; nil where that cannot be done.
func newFold(m *board.Model, plane geom.Plane) *fold {
	edge, marks := m.FoldMarks(plane)
	if len(edge) == 0 {
		return nil
	}
	d := &fold{half: m.Mirror == board.MirrorRight || m.Mirror == board.MirrorLeft, made: m.Mirror == board.MirrorLeft, edge: edge}
	for _, k := range marks {
		d.marks = append(d.marks, foldMark{foldPlace{k.At, k.Out, k.Off, k.ID}, k.Reading, k.Folded, d.half && k.Folded != d.made})
	}
	if !d.half {
		d.take(m.FoldOver(plane))
		d.sum(d.line)
		return d
	}
	var against []foldPlace
	for _, k := range d.marks {
		if k.against {
			against = append(against, k.foldPlace)
		}
	}
	d.sum(against)
	return d
}

// take lays the fold points along the edge, with more between them so that
// corners are round, out to its ends.
func (d *fold) take(points []board.FoldPoint) {
	if len(points) == 0 {
		return
	}
	var all []foldPlace
	for _, p := range points {
		id := p.RightAt
		if id == "" {
			id = p.LeftAt
		}
		all = append(all, foldPlace{p.At, p.Out, p.Difference, id})
	}
	first, last := all[0], all[len(all)-1]
	first.at, last.at = d.edge[0], d.edge[len(d.edge)-1]
	d.line = append(d.line, first)
	for i, p := range all {
		d.line = append(d.line, p)
		if i+1 < len(all) {
			for k := 1; k < foldParts; k++ {
				d.line = append(d.line, foldBetween(p, all[i+1], float64(k)/foldParts))
			}
		}
	}
	d.line = append(d.line, last)
}

// foldBetween is a share t of the way from a to b along the edge, which leaves a and
// reaches b square to their outward directions.
func foldBetween(a, b foldPlace, t float64) foldPlace {
	long := r2.Norm(r2.Sub(b.at, a.at))
	from, to := r2.Vec{X: -a.out.Y * long, Y: a.out.X * long}, r2.Vec{X: -b.out.Y * long, Y: b.out.X * long}
	t2, t3 := t*t, t*t*t
	p := r2.Add(r2.Scale(2*t3-3*t2+1, a.at), r2.Scale(3*t2-2*t3, b.at))
	p = r2.Add(p, r2.Add(r2.Scale(t3-2*t2+t, from), r2.Scale(t3-t2, to)))
	return foldPlace{at: p, out: r2.Unit(r2.Add(r2.Scale(1-t, a.out), r2.Scale(t, b.out))), off: (1-t)*a.off + t*b.off}
}

// sum finds where the difference is greatest, and its size as a whole.
func (d *fold) sum(all []foldPlace) {
	for _, p := range all {
		if p.off > d.most[0].off {
			d.most[0] = p
		}
		if p.off < d.most[1].off {
			d.most[1] = p
		}
		d.typical += p.off * p.off / float64(len(all))
	}
	d.typical = math.Sqrt(d.typical)
}

// greatest is the greatest difference, mm.
func (d *fold) greatest() float64 { return max(d.most[0].off, -d.most[1].off) }

// foldScales are how many times larger than they are differences are drawn where
// that is not chosen.
var foldScales = []float64{1, 2, 5, 10, 20, 50}

// foldRoom is how far from the edge the greatest difference is drawn then, logical
// pixels.
const foldRoom = 48.0

// scaleFor is the largest scale that leaves a difference within its room, s pixels
// to a millimetre.
func scaleFor(mm, s float64) float64 {
	best := foldScales[0]
	for _, n := range foldScales {
		if n*mm*s <= foldRoom {
			best = n
		}
	}
	return best
}

// SetFold chooses whether both halves are drawn laid over each other about the
// centre line, in place of the misses and of how sure the outline is.
func (v *View) SetFold(on bool) {
	if v.foldShown != on {
		v.foldShown = on
		v.refold()
		v.redraw()
	}
}

// SetFoldScale chooses how many times their size differences of the halves are
// drawn; 0 as large as there is room.
func (v *View) SetFoldScale(n float64) {
	v.foldScale = max(n, 0)
	v.redraw()
}

// refold folds the pane over the line in use.
func (v *View) refold() {
	sc := v.scene
	switch {
	case !v.foldShown || sc.line == nil || sc.guessed || sc.band.of == nil:
		v.foldUsed, v.foldOf = nil, foldKey{}
		return
	case v.foldOf == foldKey{sc.band.of, *sc.line}:
		return
	}
	v.foldUsed, v.foldOf = nil, foldKey{sc.band.of, *sc.line}
	if c, ok := v.door.Consequence(sc.line.offset, sc.line.skew, sc.line.roll); ok {
		v.foldUsed = newFold(sc.band.of, c.Plane)
	}
}

// foldKey is what a fold was made of.
type foldKey struct {
	of   *board.Model
	line line
}

// folded is the fold that is drawn: about the line being dragged, else about the
// one in use; nil where none is.
func (v *View) folded() *fold {
	if v.foldUsed == nil || v.showsFit() || v.bars != nil {
		return nil
	}
	if g, ok := v.gesture.(*turning); ok && g.moved && g.known {
		return g.fold
	}
	return v.foldUsed
}

// foldTimes is the scale that differences are drawn at. It stays while the line
// is dragged, so that they can be seen to grow.
func (v *View) foldTimes() float64 {
	if v.foldScale > 0 || v.foldUsed == nil {
		return max(v.foldScale, 1)
	}
	return scaleFor(v.foldUsed.greatest(), v.lens.s)
}

// hitFold is the station of the fold at a logical position.
func (v *View) hitFold(at r2.Vec) *foldMark {
	d := v.folded()
	if d == nil || v.mode != Select || v.scene.stale {
		return nil
	}
	scale := v.foldTimes()
	best := pointReach * 1.0
	var hit *foldMark
	for i := range d.marks {
		if l := r2.Norm(r2.Sub(offAt(v.lens, d.marks[i].foldPlace, scale, longestMiss), at)); l < best {
			best, hit = l, &d.marks[i]
		}
	}
	return hit
}

// offAt is where something that lies off the edge is drawn, magnified, at most so
// many pixels from it.
func offAt(l lens, p foldPlace, scale, most float64) r2.Vec {
	by := min(max(p.off*scale*l.s, -most), most)
	return r2.Add(l.px(p.at), r2.Vec{X: by * p.out.X, Y: -by * p.out.Y})
}

// words say what a station of the fold is.
func (k *foldMark) words(j *board.Job) []string {
	name := lang.L("station {{.ID}}", map[string]any{"ID": k.id})
	if k.folded {
		name = lang.L("station {{.ID}}, folded over", map[string]any{"ID": k.id})
	}
	data := map[string]any{"Miss": exact(math.Abs(k.off), j)}
	if k.off < 0 {
		return []string{name, lang.L("{{.Miss}} inside the edge that it is laid over", data)}
	}
	return []string{name, lang.L("{{.Miss}} outside the edge that it is laid over", data)}
}

// exact is a small length to a hundredth of a millimetre or a thousandth of an
// inch, with its unit.
func exact(mm float64, j *board.Job) string {
	places := 2
	if j.Unit == board.Inch {
		places = 3
	}
	s := strconv.FormatFloat(mm/j.Unit.Millimetres(), 'f', places, 64)
	if j.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return s + " " + j.Unit.String()
}
