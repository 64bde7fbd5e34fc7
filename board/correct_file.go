package board

// fileChecks is what was measured of the board as the file holds it; the file
// of a job without any of it has no such member.
type fileChecks struct {
	Grid     fileGridCheck `json:"grid,omitzero"`
	Zero     fileZeroMap   `json:"zero_map,omitzero"`
	Gauge    fileGauge     `json:"gauge,omitzero"`
	UseDrift bool          `json:"use_drift,omitempty"`
	UseScale bool          `json:"use_scale,omitempty"`
}

type fileGridCheck struct {
	BaseDrawn    fileCell `json:"base_drawn,omitzero"`
	BaseMeasured fileCell `json:"base_measured,omitzero"`
	SideDrawn    fileCell `json:"side_drawn,omitzero"`
	SideMeasured fileCell `json:"side_measured,omitzero"`
	Rising       fileCell `json:"diagonal_rising,omitzero"`
	Falling      fileCell `json:"diagonal_falling,omitzero"`
	SD           fileCell `json:"sd,omitzero"`
	Off          bool     `json:"off,omitempty"`
}

type fileZeroMap struct {
	Points []fileZeroPoint `json:"points,omitempty"`
	Off    bool            `json:"off,omitempty"`
}

type fileZeroPoint struct {
	X fileCell `json:"x,omitzero"`
	Y fileCell `json:"y,omitzero"`
	Z fileCell `json:"z,omitzero"`
}

type fileGauge struct {
	Height fileCell `json:"height,omitzero"`
	Face   fileCell `json:"face,omitzero"`
	Off    bool     `json:"off,omitempty"`
}

// IsZero says whether there is nothing to write.
func (f fileGridCheck) IsZero() bool {
	return f.BaseDrawn.IsZero() && f.BaseMeasured.IsZero() && f.SideDrawn.IsZero() && f.SideMeasured.IsZero() &&
		f.Rising.IsZero() && f.Falling.IsZero() && f.SD.IsZero() && !f.Off
}

// IsZero says whether there is nothing to write.
func (f fileZeroMap) IsZero() bool { return len(f.Points) == 0 && !f.Off }

// IsZero says whether there is nothing to write.
func (f fileGauge) IsZero() bool { return f.Height.IsZero() && f.Face.IsZero() && !f.Off }

// checksToFile is the checks as the file holds them; nil where there are none.
func checksToFile(b *BoardChecks) *fileChecks {
	if b.equal(&BoardChecks{}) {
		return nil
	}
	g := &b.Grid
	f := &fileChecks{
		Grid: fileGridCheck{g.Base.Drawn.toFile(), g.Base.Measured.toFile(), g.Side.Drawn.toFile(), g.Side.Measured.toFile(),
			g.Rising.toFile(), g.Falling.toFile(), g.SD.toFile(), g.Off},
		Zero:     fileZeroMap{Off: b.Zero.Off},
		Gauge:    fileGauge{b.Gauge.Height.toFile(), b.Gauge.Face.toFile(), b.Gauge.Off},
		UseDrift: b.UseDrift, UseScale: b.UseScale,
	}
	for i := range b.Zero.Points {
		p := &b.Zero.Points[i]
		f.Zero.Points = append(f.Zero.Points, fileZeroPoint{p.X.toFile(), p.Y.toFile(), p.Z.toFile()})
	}
	return f
}

// checks is what the file holds.
func (f *fileChecks) checks() (b BoardChecks) {
	if f == nil {
		return b
	}
	g := &f.Grid
	b = BoardChecks{
		Grid: GridCheck{Base: Stretch{g.BaseDrawn.cell(), g.BaseMeasured.cell()}, Side: Stretch{g.SideDrawn.cell(), g.SideMeasured.cell()},
			Rising: g.Rising.cell(), Falling: g.Falling.cell(), SD: g.SD.cell(), Off: g.Off},
		Zero:     ZeroMap{Off: f.Zero.Off},
		Gauge:    Gauge{f.Gauge.Height.cell(), f.Gauge.Face.cell(), f.Gauge.Off},
		UseDrift: f.UseDrift, UseScale: f.UseScale,
	}
	for i := range f.Zero.Points {
		p := &f.Zero.Points[i]
		b.Zero.Points = append(b.Zero.Points, ZeroPoint{p.X.cell(), p.Y.cell(), p.Z.cell()})
	}
	return b
}
