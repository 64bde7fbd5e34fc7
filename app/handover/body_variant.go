package handover

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

// variant is one way that the model's files are written. The zero value is the
// glass frame in millimetres, full size: the files themselves. Any other is a
// twin of those.
type variant struct {
	suffix string      // behind the names of the files
	words  string      // what it is, for README.txt
	axes   string      // what its axes are; empty: those of the glass frame
	frame  *geom.Frame // from the glass frame; nil: none
	scale  int         // it is a model to 1:scale; 0: full size
	inch   bool
	own    *geom.Pane // full size, glass frame; nil: the model's
}

const (
	mmPerInch = 25.4
	glassAxes = "X right, Y up the pane, Z off the board"
	boardAxes = "board frame: X across the board, Y up the board, Z off it"
)

// variants are all ways that the model's files are written, the files themselves
// first.
func (p *pack) variants() ([]variant, error) {
	all := []variant{{}}
	if p.body.OnBoard {
		back := p.m.BoardToGlass.Inverse()
		all = append(all, variant{suffix: "-board", words: "in the board frame", axes: boardAxes, frame: &back})
	}
	if c := &p.body.Car; c.By != board.NoCar {
		f, err := carFrame(c, p.m)
		if err != nil {
			return nil, err
		}
		all = append(all, variant{suffix: "-car", words: "in the car frame", axes: "car frame: " + carAxes, frame: f})
	}
	if p.body.Scale > 1 {
		v, err := p.scaled()
		if err != nil {
			return nil, err
		}
		all = append(all, v)
	}
	if p.body.Inch {
		for _, v := range all {
			v.suffix, v.inch, v.words = v.suffix+"-inch", true, strings.TrimPrefix(v.words+", in inches", ", ")
			all = append(all, v)
		}
	}
	return all, nil
}

// scaled is the model to scale. One that keeps the thickness of the glass is made
// of glass so much thicker, and then scaled as a whole.
func (p *pack) scaled() (variant, error) {
	n := p.body.Scale
	v := variant{suffix: fmt.Sprintf("-1to%d", n), scale: n, words: fmt.Sprintf("a model to 1:%d, its thickness to scale too", n)}
	if !p.body.TrueThickness {
		return v, nil
	}
	v.words = fmt.Sprintf("a model to 1:%d: the outer face to scale, the glass as thick as it is", n)
	var err error
	if v.own, err = thicker(p.skins(p.m.Pane)[0], p.m.Pane, float64(n)); err != nil {
		return v, fmt.Errorf("handover: a model to 1:%d cannot keep the thickness of the glass: %s", n, plainly(err))
	}
	return v, nil
}

// thicker is a pane so many times as thick, with the same outer face.
func thicker(outer skin, pane *geom.Pane, times float64) (*geom.Pane, error) {
	thick := times * pane.Thickness
	upper, edge := outer.face, outer.edge
	if outer.away < 0 { // the outer face lies below
		var err error
		if upper, edge, err = outer.parallel(thick); err != nil {
			return nil, err
		}
	}
	plan, err := edge.Plan()
	if err != nil {
		return nil, err
	}
	return geom.NewPane(upper, plan, thick, pane.Profile)
}

// as is the same pack writing the files of a variant.
func (p *pack) as(v variant) *pack {
	q := *p
	q.v = v
	return &q
}

// pane is the pane of the files being written, full size and in the glass frame.
func (p *pack) pane() *geom.Pane {
	if p.v.own != nil {
		return p.v.own
	}
	return p.m.Pane
}

// model are the files of the pane in the variant being written.
func (p *pack) model() []step {
	name := func(stem, ext string) string { return stem + p.v.suffix + ext }
	return []step{
		{name("outline", ".dxf"), p.outlineDXF},
		{name("outline-r12", ".dxf"), p.outlineR12},
		{name("glass", ".stl"), p.glassSTL},
		{name("glass", ".step"), p.glassSTEP},
		{name("faces", ".step"), p.facesSTEP},
	}
}

// by is how many times as large as the pane the files are.
func (v variant) by() float64 { return 1 / float64(max(v.scale, 1)) }

// put is where points of the glass frame go, in mm.
func (v variant) put(pts ...r3.Vec) []r3.Vec {
	f := geom.Identity()
	if v.frame != nil {
		f = *v.frame
	}
	out := make([]r3.Vec, len(pts))
	for i, q := range pts {
		out[i] = r3.Scale(v.by(), f.Apply(q))
	}
	return out
}

// low is the least corner, seen from above, of where a pane goes.
func (v variant) low(pane *geom.Pane) r2.Vec {
	if v.frame == nil {
		return r2.Scale(v.by(), pane.Outline.Bounds().Min)
	}
	low := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}
	for _, c := range []*geom.SpaceCurve{pane.UpperEdge, pane.LowerEdge} {
		for _, q := range v.put(c.Ctrl()...) {
			low = r2.Vec{X: min(low.X, q.X), Y: min(low.Y, q.Y)}
		}
	}
	return low
}

// axisWords says what the axes of the files are.
func (v variant) axisWords() string {
	if v.axes == "" {
		return glassAxes
	}
	return v.axes
}

// level says at which height the silhouette is drawn.
func (v variant) level() string {
	if v.frame == nil {
		return " at z 0"
	}
	return ", seen square to the glass frame"
}

// unit is the unit of the files.
func (v variant) unit() string {
	if v.inch {
		return "inch"
	}
	return "mm"
}

// size is a length with the unit of the files.
func (v variant) size(mm float64) string {
	if v.inch {
		return fmt.Sprintf("%.4f in", mm/mmPerInch)
	}
	return fmt.Sprintf("%.2f mm", mm)
}

// about is a length that is not known closely, with the unit of the files.
func (v variant) about(mm float64) string {
	if v.inch {
		return fmt.Sprintf("%.3f in", mm/mmPerInch)
	}
	return fmt.Sprintf("%.1f mm", mm)
}

// checkBar is the length of the bar to measure, in mm, and its name.
func (v variant) checkBar() (mm float64, name string) {
	if v.inch {
		return 4 * mmPerInch, "4 in"
	}
	return checkLength, "100 mm"
}

// scaleWord says the scale of a model: " 1:4", or nothing.
func (v variant) scaleWord() string {
	if v.scale <= 1 {
		return ""
	}
	return fmt.Sprintf(" 1:%d", v.scale)
}

// plainLetters is a text in at most so many letters that every program reads:
// others become question marks.
func plainLetters(s string, most int) string {
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' {
			return '?'
		}
		return r
	}, s)
	return plain[:min(len(plain), most)]
}

// prepare finds the variants, and notes the car's place in the summary.
func (p *pack) prepare() (err error) {
	if p.m.Pane == nil {
		return nil
	}
	if p.twins, err = p.variants(); err != nil {
		return err
	}
	for _, v := range p.twins {
		if v.suffix == "-car" {
			m := v.frame.Matrix()
			p.sum.Frame.GlassToCar = &m
		}
	}
	return nil
}

// twinLines say in README.txt what the twins of the model's files are.
func (p *pack) twinLines() (lines []struct{ Name, Text string }) {
	for _, v := range p.twins[min(1, len(p.twins)):] {
		for _, s := range p.as(v).model() {
			plain := strings.Replace(s.name, v.suffix+".", ".", 1)
			lines = append(lines, struct{ Name, Text string }{s.name, plain + ", " + v.words})
		}
	}
	return lines
}
