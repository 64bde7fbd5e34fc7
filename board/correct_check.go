package board

import "math"

// leastRepeats is how many repeated stations join a laying of the pane to the
// first.
const leastRepeats = 4

// boardChecks tells what is amiss in the measures of the board.
func (c *checker) boardChecks() {
	c.gridCheck()
	c.zeroMap()
}

// blindToPitch says whether nothing measured on the board proves its pitch.
func (b *BoardChecks) blindToPitch() bool {
	_, ok, err := fitGrid(&b.Grid)
	return err != nil || !ok || !b.Grid.Base.Measured.Set
}

// gridCheck tells lengths of the grid that cannot be used or do not agree.
func (c *checker) gridCheck() {
	g := &c.job.Checks.Grid
	for _, s := range []struct {
		word, field     string
		drawn, measured Cell
	}{
		{"base line", "base", g.Base.Drawn, g.Base.Measured},
		{"side", "side", g.Side.Drawn, g.Side.Measured},
	} {
		switch {
		case s.measured.Set && !s.drawn.Set && s.drawn.Fault == "":
			c.add(jobPlace, s.field+"_drawn", "grid-check", "The %s of the grid was measured, and it is not said how long it was to be: type the length it was drawn to.", s.word)
		case s.drawn.Set && s.measured.Set && math.Abs(s.measured.MM/s.drawn.MM-1) > 0.02:
			c.add(jobPlace, s.field+"_measured", "grid-check", "The %s of the grid was drawn to %s and measures %s, too far apart for a drawing: check both.", s.word, c.length(s.drawn.MM), c.length(s.measured.MM))
		}
	}
	diagonals := 0
	for _, d := range []Cell{g.Rising, g.Falling} {
		if d.Set {
			diagonals++
		}
	}
	switch {
	case diagonals > 0 && (!g.Base.Drawn.Set || !g.Side.Drawn.Set):
		c.add(jobPlace, "diagonal_rising", "grid-check", "A diagonal of the grid was measured: type how long base line and side were drawn, or it tells nothing.")
	case diagonals == 1 && (!g.Base.Measured.Set || !g.Side.Measured.Set):
		c.add(jobPlace, "diagonal_falling", "grid-check", "One diagonal alone does not tell a grid out of square from a wrong pitch: measure the other too.")
	}
	if fix, ok, err := fitGrid(g); err == nil && ok && fix.misfit > 3 {
		c.add(jobPlace, "diagonal_rising", "grid-check", "Base line, side and diagonals of the grid do not go together: one of them is misread by some %s. Measure them again.", c.length(fix.misfit*g.sd()*2))
	}
}

// zeroMap tells points of the zero map that cannot be used.
func (c *checker) zeroMap() {
	points := c.job.Checks.Zero.Points
	whole := 0
	for i := range points {
		missing := ""
		for _, f := range zeroCells {
			if cell := f.cell(&points[i]); !cell.Set && cell.Fault == "" && missing == "" {
				missing = f.name
			}
		}
		if missing != "" {
			c.add(Place{List: "zero", Row: i + 1}, missing, "zero-point", "This point of the zero map has no %s and is left out: type it, or delete the row.", missing)
		}
		if points[i].set() {
			whole++
		}
	}
	if whole > 0 && whole < 3 {
		c.remark(Place{List: "zero"}, "", "zero-few", "The zero map was read at fewer than three places: their mean is taken off every height. Read the empty board at nine places or more to see how it bends.")
	}
}
