package board

// farGap is a gap that no glass in its pocket has, mm.
const farGap = 12.0

// cuts tells gaps and check distances that are not understood or cannot be.
func (c *checker) cuts() {
	for i := range c.job.Cuts {
		c.unread(Place{List: "cuts", Row: i + 1, Field: "wall"}, &c.job.Cuts[i].Wall)
	}
	seen := map[[2]any]int{}
	for i := range c.job.Gaps {
		g := &c.job.Gaps[i]
		at := Place{List: "gaps", Row: i + 1}
		for _, f := range []struct {
			field string
			cell  *GapCell
		}{{"wall", &g.Wall}, {"ledge", &g.Ledge}} {
			switch {
			case f.cell.Fault != "":
				c.add(at, f.field, "unread-cell", "%q is not understood and is left out: %s.", f.cell.Text, f.cell.Fault)
			case f.cell.Set && !f.cell.Tight && f.cell.Hi < 0:
				c.add(at, f.field, "gap-below-0", "The gap at station %s is below 0: type tight where the glass touches.", g.Station)
			case f.cell.Set && !f.cell.Tight && f.cell.Lo > farGap:
				c.add(at, f.field, "gap-far", "A gap of %s at station %s is far more than a pocket has: was it read in another unit? Type it with its unit (1.5mm).", c.job.length(f.cell.Lo), g.Station)
			}
		}
		key := [2]any{g.Cut, g.Station}
		if row, twice := seen[key]; twice {
			c.add(at, "station", "gap-twice", "The gap at station %s of cut %d stands in row %d too: the later one counts.", g.Station, g.Cut, row)
		}
		seen[key] = i + 1
		if cut := c.job.CutNumber(g.Cut); cut != nil && cut.Shape != nil {
			if _, ok := cut.Shape.place(g.Station); !ok {
				c.remark(at, "station", "gap-no-station", "Cut %d has no station %s, so its gap explains nothing: the station was set aside or came later.", g.Cut, g.Station)
			}
		}
	}
	for i := range c.job.Distances {
		c.unread(Place{List: "distances", Row: i + 1, Field: "length"}, &c.job.Distances[i].Length)
	}
}
