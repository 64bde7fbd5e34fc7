package demo

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/geom"
)

const in = 25.4

func text(s string, u board.Unit) board.Cell { return board.Cell{Text: s, Unit: u} }

// A is "Workshop coupe - rear screen": inches and fractions, right half
// measured and mirrored, dome up, a centre line that is not where it was drawn.
func A() Demo {
	shape := newOutline([]corner{
		{r2.Vec{X: -23.75 * in}, 2.5 * in, 1.125 * in},
		{r2.Vec{X: 23.75 * in}, 2.5 * in, 0.25 * in},
		{r2.Vec{X: 19.5 * in, Y: 19.75 * in}, 3 * in, 0.875 * in},
		{r2.Vec{X: -19.5 * in, Y: 19.75 * in}, 3 * in, 0.25 * in},
	})
	face := newArch(r2.Vec{Y: 9.875 * in}, 5*in, 1, 88.404*in, 130.208*in, 0)
	// the drawn line is 1/16 in left of the true one and turned 0.15° against it
	skew := -0.15 * math.Pi / 180
	plane := geom.NewPlane(r3.Vec{X: in / 16, Y: 13 * in}, skew, 0)
	frame := onBoard(skew, 0, r3.Vec{Y: 9.875 * in}, r3.Vec{X: in / 16, Y: 13 * in})

	j := board.NewJob("Workshop coupe - rear screen")
	j.Date = "2031-03-08"
	j.Unit = board.Inch
	j.Notes = "Toughened, dome up on four felts. Right half read all round, three stations past the centre at each end, five check stations on the left."
	j.Grid = board.Grid{PitchX: text("2", board.Inch), ColFirst: -13, ColLast: 13, RowA: 0, Rows: 14}
	j.Pane = board.PaneData{Thickness: text("5/32", board.Inch), Lay: board.Dome}
	j.Pencil = text("1/64", board.Inch)
	j.Mirror = board.MirrorRight
	m := newMaker(11, "workshop-coupe-rear-screen.pane", j, Truth{Outline: shape, Face: face, Board: frame, Plane: &plane},
		5*in/32, func(mm float64) string { return fraction(mm, 32) })
	m.sd, m.sdZ, m.tip = in/64, in/64, in/64

	id := 0
	station := func(arcNo int, f float64) {
		id++
		p, n := shape.on(arcNo, f)
		m.edge(strconv.Itoa(id), p, n, "")
	}
	atX := func(arcNo int, x float64) { station(arcNo, shape.fractionAtX(arcNo, x*in)) }
	for k := -3; k <= 13; k++ { // along the bottom; station 12 at 12 3/8
		atX(0, float64(k)*12.375/8)
	}
	for k := range 6 { // bottom right corner
		station(1, float64(k)/5)
	}
	for k := 1; k <= 5; k++ { // right side
		station(2, float64(k)/6)
	}
	for k := range 5 { // top right corner
		station(3, float64(k)/4)
	}
	for _, x := range []float64{13, 9.5, 6, 2.5, -1.5, -3, -4.5} { // along the top
		atX(4, x)
	}
	for _, f := range []float64{0.15, 0.5, 0.85} { // check stations: left side, top, bottom
		id++
		p, n := shape.on(6, f)
		m.edge(strconv.Itoa(id), p, n, "check")
	}
	for _, c := range [][2]float64{{4, -12}, {0, -14}} {
		id++
		p, n := shape.on(int(c[0]), shape.fractionAtX(int(c[0]), c[1]*in))
		m.edge(strconv.Itoa(id), p, n, "check")
	}
	id = 0
	for row := 5; row <= 24 && id < 45; row += 2 { // every second line up, every line across, right half
		for col := 0; col <= 22 && id < 45; col += 4 {
			x, y := float64(col+(row/2)%2*2)*in, float64(row-row%2)*in
			if inside(m.d.Truth, x, y, 1.2*in) {
				id++
				m.face("F"+strconv.Itoa(id), x, y)
			}
		}
	}
	m.plant(board.Edge, "12", "x", "21 3/8")
	nineteen := m.reading(board.Edge, "19")
	m.plant(board.Edge, "19", "y", fraction(parseInches(nineteen.Y.Text)*in-2*in, 32))
	m.misreadHeight("3/8", "5/8")
	sign := m.reading(board.Edge, "42")
	m.plant(board.Edge, "42", "x", sign.X.Text[1:])
	return m.done()
}

// B is "Touring saloon - windscreen": millimetres, read all round, large, a
// little asymmetric, lying with a little roll.
func B() Demo {
	shape := newOutline([]corner{
		{r2.Vec{X: -740, Y: 62}, 70, 62},
		{r2.Vec{X: 740, Y: 62}, 70, 12},
		{r2.Vec{X: 655, Y: 742}, 95, 48},
		{r2.Vec{X: -655, Y: 742}, 95, 12},
	})
	shape.bump = func(p r2.Vec) float64 { // 1.2 mm wider at the bottom left corner
		return 1.2 * math.Exp(-((p.X+725)*(p.X+725)+(p.Y-90)*(p.Y-90))/(2*90*90))
	}
	face := newArch(r2.Vec{Y: 395}, 150, 1, 2900.1, 5579.3, 0)
	face.wrap, face.r3 = 590, 1500
	roll := -0.0006
	plane := geom.NewPlane(r3.Vec{X: 3, Y: 500, Z: 100}, 0.0012, roll)
	frame := onBoard(0.0012, roll, r3.Vec{Y: 395, Z: 100}, r3.Vec{X: 3, Y: 500, Z: 100})

	j := board.NewJob("Touring saloon - windscreen")
	j.Date = "2031-05-20"
	j.Notes = "Laminated 2.1 + 0.76 + 2.1, dome up on eight pads. Read all round; every fifth station read twice."
	j.Grid = board.Grid{PitchX: text("100", board.MM), ColFirst: -9, ColLast: 9, Rows: 12}
	j.Pane = board.PaneData{Thickness: text("4.96", board.MM), Lay: board.Dome}
	j.Pocket.Wall = 1
	m := newMaker(22, "touring-saloon-windscreen.pane", j, Truth{Outline: shape, Face: face, Board: frame, Plane: &plane}, 4.96, halves)
	m.sd, m.sdZ = 0.35, 0.3

	places := spread(shape, 64, 5)
	for k, s := range places {
		p, n := shape.At(s)
		m.edge(strconv.Itoa(k+1), p, n, "")
	}
	for k := 4; k < len(places); k += 5 {
		p, n := shape.At(places[k])
		m.edge(strconv.Itoa(k+1)+"b", p, n, "second reading")
	}
	id := 0
	for y := 100.0; y <= 950 && id < 118; y += 75 {
		for x := -700.0; x <= 700 && id < 118; x += 100 {
			if inside(m.d.Truth, x, y, 25) {
				id++
				m.face("F"+strconv.Itoa(id), x, y)
			}
		}
	}
	m.skipRow(41, 6)
	m.plant(board.Face, "F40", "z", lostPoint(m.reading(board.Face, "F40").Z.Text))
	return m.done()
}

// C is "Estate - small quarter window": millimetres, three-cornered, bowl up,
// no mirror.
func C() Demo {
	rear := 81 * math.Pi / 180
	shape := newOutline([]corner{
		{r2.Vec{}, 18, 2},
		{r2.Vec{X: 412}, 35, 2},
		{r2.Vec{X: 412 - 268*math.Cos(rear), Y: 268 * math.Sin(rear)}, 60, 9},
	})
	face := newArch(r2.Vec{X: 230, Y: 110}, 30, -1, 1850.8, 0, 12*math.Pi/180)
	frame := geom.Identity()
	frame.T = r3.Vec{X: 90, Y: 75}

	j := board.NewJob("Estate - small quarter window")
	j.Date = "2031-09-14"
	j.Notes = "Toughened, bowl up in a cradle, inner face read. Left-hand pane."
	j.Grid = board.Grid{PitchX: text("25", board.MM), ColFirst: 0, ColLast: 24, Rows: 18}
	j.Pane = board.PaneData{Thickness: text("3.15", board.MM), Lay: board.Bowl}
	j.Mirror = board.MirrorNone
	j.Sigma, j.SigmaZ = 0.3, 0.3
	j.Pocket.Seat = 14
	m := newMaker(33, "estate-quarter-window.pane", j, Truth{Outline: shape, Face: face, Board: frame}, 3.15, halves)
	m.sd, m.sdZ = 0.25, 0.25

	id := 0
	station := func(arcNo int, f float64) {
		id++
		p, n := shape.on(arcNo, f)
		m.edge(strconv.Itoa(id), p, n, "")
	}
	run := func(arcNo, n int, ends bool) {
		for k := range n {
			f := (float64(k) + 0.5) / float64(n)
			if ends {
				f = float64(k) / float64(n-1)
			}
			station(arcNo, f)
		}
	}
	run(0, 7, false) // bottom
	run(1, 5, true)  // rear bottom corner
	run(2, 5, false) // rear edge
	run(3, 5, true)  // rear top corner
	run(4, 6, false) // top edge
	run(5, 13, true) // the nose
	id = 0
	for y := 100.0; y <= 350 && id < 22; y += 50 {
		for x := 125.0; x <= 500 && id < 22; x += 37.5 {
			if inside(m.d.Truth, x, y, 8) {
				id++
				m.face("F"+strconv.Itoa(id), x, y)
			}
		}
	}
	swapped := m.reading(board.Edge, "15")
	m.plant(board.Edge, "15", "x", swapped.Y.Text)
	m.plant(board.Edge, "15", "y", swapped.X.Text)
	m.reverse("24", "25")
	outer := m.reading(board.Face, "F9")
	z, _ := strconv.ParseFloat(outer.Z.Text, 64)
	m.plant(board.Face, "F9", "z", halves(z-3.15))
	return m.done()
}

// onBoard is the motion from a pane's own frame, whose centre plane is x = 0
// and which is held at the point from, to the board, turned by skew and
// rolled, with that point at to.
func onBoard(skew, roll float64, from, to r3.Vec) geom.Frame {
	n := geom.NewPlane(to, skew, roll).Normal
	z := r3.Unit(r3.Sub(r3.Vec{Z: 1}, r3.Scale(n.Z, n)))
	y := r3.Cross(z, n)
	f := geom.Frame{R: [3][3]float64{{n.X, y.X, z.X}, {n.Y, y.Y, z.Y}, {n.Z, y.Z, z.Z}}}
	f.T = r3.Sub(to, f.Rotate(from))
	return f
}

// inside says whether a point of the board lies over the pane and at least
// margin mm from its edge.
func inside(t Truth, x, y, margin float64) bool {
	q := t.Board.Inverse().Apply(r3.Vec{X: x, Y: y})
	return t.Outline.Distance(r2.Vec{X: q.X, Y: q.Y}) < -margin
}

// fractionAtX is the fraction along an arc where its x is x.
func (o *Outline) fractionAtX(i int, x float64) float64 {
	lo, hi := 0.0, 1.0
	pl, _ := o.on(i, lo)
	for range 60 {
		mid := (lo + hi) / 2
		if p, _ := o.on(i, mid); (p.X < x) == (pl.X < x) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// spread are n places round an outline, each corner with perCorner of them and
// the rest evenly on the sides.
func spread(o *Outline, n, perCorner int) (s []float64) {
	sides := len(o.arcs) / 2
	left := n - sides*perCorner
	total := 0.0
	for i := 0; i < len(o.arcs); i += 2 {
		total += o.arcs[i].length()
	}
	at, used, run := 0.0, 0, 0.0
	for i, a := range o.arcs {
		if i%2 == 1 {
			for k := range perCorner {
				s = append(s, at+a.length()*float64(k)/float64(perCorner-1))
			}
		} else {
			run += a.length()
			m := int(math.Round(float64(left)*run/total)) - used
			used += m
			for k := range m {
				s = append(s, at+a.length()*(float64(k)+0.5)/float64(m))
			}
		}
		at += a.length()
	}
	return s
}

// misreadHeight types the fraction other for the first height that ends in
// fraction.
func (m *maker) misreadHeight(fraction, other string) {
	for _, r := range m.d.Job.Readings {
		n := len(r.Z.Text) - len(fraction)
		if r.Kind == board.Face && n > 0 && r.Z.Text[n:] == fraction && r.Z.Text[n-1] == ' ' {
			m.plant(r.Kind, r.ID, "z", r.Z.Text[:n]+other)
			return
		}
	}
	panic("demo: no height ends in " + fraction)
}

// skipRow types, from station first on, the values of the next station, for
// rows rows.
func (m *maker) skipRow(first, rows int) {
	var take []board.Reading
	for k := range rows {
		take = append(take, m.reading(board.Edge, strconv.Itoa(first+k+1)))
	}
	for k, r := range take {
		id := strconv.Itoa(first + k)
		m.plant(board.Edge, id, "x", r.X.Text)
		m.plant(board.Edge, id, "y", r.Y.Text)
		m.plant(board.Edge, id, "z", r.Z.Text)
	}
}

// reverse exchanges the values of two stations.
func (m *maker) reverse(a, b string) {
	ra, rb := m.reading(board.Edge, a), m.reading(board.Edge, b)
	for _, f := range []struct{ field, va, vb string }{{"x", ra.X.Text, rb.X.Text}, {"y", ra.Y.Text, rb.Y.Text}, {"z", ra.Z.Text, rb.Z.Text}} {
		m.plant(board.Edge, a, f.field, f.vb)
		m.plant(board.Edge, b, f.field, f.va)
	}
}

// lostPoint is a number of millimetres typed as if it were centimetres.
func lostPoint(s string) string {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		panic(err)
	}
	return strconv.FormatFloat(math.Round(v)/10, 'f', -1, 64)
}

// parseInches reads what fraction writes.
func parseInches(s string) float64 {
	var whole, num, den float64
	if n, _ := fmt.Sscanf(s, "%f %f/%f", &whole, &num, &den); n == 3 {
		return whole + math.Copysign(num/den, whole)
	}
	if n, _ := fmt.Sscanf(s, "%f/%f", &num, &den); n == 2 {
		return num / den
	}
	fmt.Sscanf(s, "%f", &whole)
	return whole
}
