package sketch

import (
	"fyne.io/fyne/v2/lang"
	"gonum.org/v1/gonum/spatial/r2"
)

// Board is the pane on its pads over the grid, and the grid held by its diagonals.
func Board(p *Pen) {
	lo, hi := xy(50, 40), xy(290, 200)
	p.lines(lo, hi, 40)
	p.line(wide, lo, xy(hi.X, lo.Y))
	p.line(middle, xy(170, 32), xy(170, 208))
	p.line(hidden, lo, hi)
	p.line(hidden, xy(lo.X, hi.Y), xy(hi.X, lo.Y))
	for i, s := range []string{"−3", "−2", "−1", "0", "1", "2", "3"} {
		p.words(xy(50+40*float64(i), 18), 0.5, s)
	}
	for i, s := range []string{"A", "B", "C", "D", "E"} {
		p.words(xy(36, 40+40*float64(i)), 0.5, s)
	}
	p.words(xy(170, 222), 0.5, lang.L("both diagonals alike: the grid is square"))

	p.wood([]r2.Vec{xy(350, 40), xy(650, 40), xy(650, 56), xy(350, 56)})
	glass(p, xy(380, 100), xy(620, 100), 52)
	for _, x := range []float64{425, 500, 575} {
		top := 97 + 4*52*((x-380)/240)*(1-(x-380)/240)
		p.wood([]r2.Vec{xy(x-7, 56), xy(x+7, 56), xy(x+7, top), xy(x-7, top)})
	}
	p.measure(xy(380, 57), xy(380, 99), xy(-8, 0), 1, lang.L("alike"))
	p.measure(xy(620, 57), xy(620, 99), xy(8, 0), 0, lang.L("alike"))
	p.words(xy(500, 172), 0.5, lang.L("dome up, on soft pads"))
	p.words(xy(500, 22), 0.5, lang.L("board"))
}

// glass is the section of a pane, from edge to edge.
func glass(p *Pen, a, b r2.Vec, sag float64) {
	const thick = 6
	top, under := arc(r2.Add(a, xy(0, thick)), r2.Add(b, xy(0, thick)), sag), arc(a, b, sag)
	var loop []r2.Vec
	loop = append(loop, top...)
	for i := range under {
		loop = append(loop, under[len(under)-1-i])
	}
	p.fill(loop, 0.8)
	p.loop(wide, loop)
}

// Readings is the order of the stations, and the square that carries one to the board.
func Readings(p *Pen) {
	c := xy(170, 112)
	out := pane(c, 120, 72)
	p.lines(xy(30, 32), xy(310, 192), 40)
	p.fill(out, 0.5)
	p.loop(wide, out)
	for i := 0; i < len(out); i += 6 {
		p.dot(out[i])
	}
	for i, at := range []r2.Vec{xy(0, -14), xy(-6, -14), xy(-10, -12)} {
		p.words(r2.Add(out[6*i], at), 0.5, string(rune('1'+i)))
	}
	for _, x := range []float64{110, 150, 190, 230} {
		for _, y := range []float64{72, 112, 152} {
			p.cross(xy(x, y))
		}
	}
	p.arrow(thin, out[16], r2.Add(out[18], xy(-14, -6)), r2.Add(out[26], xy(-14, 0)), r2.Add(out[32], xy(-14, 0)))
	p.words(xy(170, 222), 0.5, lang.L("clockwise from the bottom centre"))

	p.wood([]r2.Vec{xy(350, 30), xy(650, 30), xy(650, 46), xy(350, 46)})
	glass(p, xy(430, 120), xy(700, 150), 40)
	p.line(wide, xy(426, 190), xy(426, 46), xy(376, 46))
	p.line(thin, xy(418, 190), xy(418, 54), xy(376, 54), xy(376, 46))
	p.line(thin, xy(418, 190), xy(426, 190))
	p.dot(xy(429, 46))
	p.measure(xy(462, 47), xy(462, 138), xy(8, -10), 0, lang.L("z, to the upper arris"))
	p.line(thin, xy(432, 126), xy(470, 138))
	p.words(xy(410, 130), 1, lang.L("square"))
	p.words(xy(430, 16), 0.5, lang.L("tick at its foot: x and y"))
}

// Centre is a line that is off, what it makes of the mirrored half, and what proves
// the true one.
func Centre(p *Pen) {
	const off = 7
	out := pane(xy(170, 112), 120, 72)
	n := len(out)
	right := append(append([]r2.Vec{}, out[n/2:]...), out[0])
	made := make([]r2.Vec, len(right))
	for i, v := range right {
		made[i] = xy(2*(170-off)-v.X, v.Y)
	}
	p.line(wide, right...)
	p.line(hidden, out[:n/2+1]...)
	p.line(mark, made...)
	p.line(middle, xy(170, 20), xy(170, 206))
	p.line(mark, xy(170-off, 26), xy(170-off, 200))
	p.words(xy(108, 126), 0.5, lang.L("1 off here"))
	p.arrow(thin, xy(96, 112), xy(160-off, 112))
	p.words(xy(30, 14), 0, lang.L("2 wrong there"))
	p.arrow(thin, xy(52, 24), xy(48, 70))
	p.words(xy(235, 112), 0.5, lang.L("read"))

	c := xy(510, 112)
	out = pane(c, 120, 72)
	right = append(append([]r2.Vec{}, out[n/2:]...), out[0])
	p.line(wide, right...)
	p.line(hidden, out[:n/2+1]...)
	p.line(middle, xy(510, 20), xy(510, 206))
	for _, i := range []int{6, 17, 24, 31, 42} {
		p.square(out[i])
	}
	for _, y := range []float64{84, 140} {
		a, b := at(out[:n/2], y), at(out[n/2:], y)
		p.arrow(thin, a, b)
		p.head(thin, b, a)
	}
	p.words(xy(520, 112), 0, lang.L("two widths taped"))
	p.words(xy(510, 222), 0.5, lang.L("or five check stations on the other half"))
}

// at is the point of a line that lies nearest to a level.
func at(pts []r2.Vec, y float64) (best r2.Vec) {
	away := 1e9
	for _, v := range pts {
		if d := (v.Y - y) * (v.Y - y); d < away {
			best, away = v, d
		}
	}
	return best
}

// Shape is the tape round the glass and across it, and the sag under a straight-edge.
func Shape(p *Pen) {
	out := pane(xy(170, 112), 120, 72)
	p.fill(out, 0.5)
	p.loop(wide, out)
	p.loop(hidden, pane(xy(170, 112), 127, 79))
	a, b := at(out[:48], 100), at(out[48:], 100)
	p.measure(a, b, xy(0, 9), 0.5, lang.L("width"))
	p.line(thin, out[11], out[57])
	p.line(thin, out[85], out[39])
	p.words(xy(170, 214), 0.5, lang.L("girth, with a tape round the edge"))
	p.words(xy(170, 12), 0.5, lang.L("both diagonals"))

	glass(p, xy(390, 70), xy(630, 70), 60)
	p.wood([]r2.Vec{xy(380, 50), xy(640, 50), xy(640, 62), xy(380, 62)})
	p.measure(xy(510, 63), xy(510, 129), xy(8, -6), 0, lang.L("sag"))
	p.words(xy(510, 36), 0.5, lang.L("straight-edge from edge to edge"))
	p.words(xy(510, 160), 0.5, lang.L("compare with the crossbow"))
}

// Fit is the section of a pocket with the glass in it, and gaps round a pane.
func Fit(p *Pen) {
	p.wood([]r2.Vec{xy(30, 30), xy(230, 30), xy(230, 96), xy(120, 86), xy(120, 150), xy(30, 150)})
	edge := []r2.Vec{xy(132, 91), xy(330, 109), xy(330, 123), xy(132, 105)}
	p.fill(edge, 0.8)
	p.loop(wide, edge)
	p.words(xy(74, 162), 0.5, lang.L("wall"))
	p.words(xy(190, 60), 0.5, lang.L("ledge"))
	p.words(xy(270, 138), 0.5, lang.L("glass"))
	p.arrow(mark, xy(150, 186), xy(126, 112))
	p.words(xy(156, 190), 0, lang.L("wall gap: the strip that just slides"))
	p.arrow(mark, xy(290, 70), xy(222, 97))
	p.words(xy(296, 66), 0, lang.L("ledge gap"))

	out := pane(xy(520, 104), 112, 64)
	p.loop(wide, out)
	p.loop(thin, pane(xy(523, 104), 122, 74))
	for _, g := range []struct {
		i    int
		at   r2.Vec
		word string
	}{{0, xy(0, -20), "1.5"}, {24, xy(-16, 0), lang.L("tight")}, {48, xy(0, 24), "1.5"}, {72, xy(22, 0), "3.0"}} {
		anchor := 0.5
		if g.at.X < 0 {
			g.at, anchor = xy(10, 0), 0
		} else if g.at.X > 0 {
			g.at, anchor = xy(-10, 0), 1
		}
		p.dot(out[g.i])
		p.words(r2.Add(out[g.i], g.at), anchor, g.word)
	}
	p.words(xy(520, 214), 0.5, lang.L("walk round the stations"))
}

// Handover is the paper that is measured before it is trusted, and what is made of it.
func Handover(p *Pen) {
	p.loop(thin, []r2.Vec{xy(40, 30), xy(250, 30), xy(250, 190), xy(40, 190)})
	corner := arc(xy(70, 60), xy(220, 90), 60)
	p.line(wide, corner...)
	p.line(wide, xy(70, 160), xy(170, 160))
	for _, x := range []float64{70, 120, 170} {
		p.line(thin, xy(x, 154), xy(x, 166))
	}
	p.words(xy(120, 146), 0.5, "100 mm")
	p.line(thin, xy(62, 170), xy(232, 170), xy(232, 184), xy(62, 184), xy(62, 170))
	for x := 70.0; x < 228; x += 10 {
		p.line(thin, xy(x, 170), xy(x, 176))
	}
	p.words(xy(145, 206), 0.5, lang.L("measure the bar on the paper first"))
	p.words(xy(145, 44), 0.5, lang.L("template"))

	p.arrow(thin, xy(270, 110), xy(320, 110))
	for i, s := range []string{lang.L("outline and drawing"), lang.L("face and glass"), lang.L("pocket, in one piece or in tiles"), lang.L("tables, README, zip")} {
		y := 168 - 40*float64(i)
		p.loop(thin, []r2.Vec{xy(345, y-12), xy(370, y-12), xy(370, y+6), xy(363, y+13), xy(345, y+13)})
		p.line(thin, xy(349, y), xy(364, y))
		p.line(thin, xy(349, y-6), xy(366, y-6))
		p.words(xy(384, y), 0, s)
	}
}
