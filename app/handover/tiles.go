package handover

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/dxf"
	"panewright/export/stl"
	"panewright/geom/fixture"
)

// Tile is one piece of a pocket cut into tiles.
type Tile struct {
	Name   string    `json:"name"`
	Size   []float64 `json:"size_mm"`
	Packer float64   `json:"packer_mm"` // to be laid under it on the base sheet
	File   *string   `json:"file"`      // null where this export leaves it out
	Stock  []float64 `json:"stock_mm"`
	Boards int       `json:"boards"` // that the stock is glued up from; 1: solid
	Turned bool      `json:"turned"` // a quarter turn on the bed
	Shift  []float64 `json:"shift_mm"`

	ShopFile  *string   `json:"shop_file"`     // in the frame of the machine; null: none
	ShopShift []float64 `json:"shop_shift_mm"` // added after the turn
}

// CheckDistance is a distance between two marks on the assembled tiles.
type CheckDistance struct {
	Name   string  `json:"name"`
	Length float64 `json:"length_mm"`
}

// Tiles cuts a pocket into the tiles that the job asks for; nil where it asks
// for none. A refusal says why there are none.
func Tiles(ctx context.Context, m *board.Model, pocket *fixture.Pocket) (*fixture.Tiling, *fixture.Refusal, error) {
	t := &m.Job.Tiles
	if pocket == nil || t.Bed == (fixture.Bed{}) {
		return nil, nil, nil
	}
	tiling, err := pocket.Tiles(ctx, t.Bed, t.Spec())
	var refused *fixture.Refusal
	if errors.As(err, &refused) {
		return nil, refused, nil
	}
	return tiling, nil, err
}

// TellCut adds to the summary what takes a while to find out: the tiles that the
// job asks for, which are returned, and how those of the last cut were put
// together.
func (s *Summary) TellCut(ctx context.Context, m *board.Model, pocket *fixture.Pocket) (*fixture.Tiling, error) {
	t, refusal, err := Tiles(ctx, m, pocket)
	if err != nil {
		return nil, err
	}
	s.tellTiles(m, t, refusal)
	a, err := m.Job.Assembly(ctx)
	if err != nil {
		return nil, err
	}
	s.tellAssembly(a)
	return t, nil
}

// tellTiles adds the tiles of a pocket to the summary, with the files that an
// export writes them to.
func (s *Summary) tellTiles(m *board.Model, t *fixture.Tiling, refusal *fixture.Refusal) {
	if refusal != nil {
		s.Warnings = append(s.Warnings, Warning{"no-tiles", refusal.Reason})
	}
	if t == nil {
		return
	}
	for i := range t.Tiles {
		tile := &t.Tiles[i]
		out := Tile{Name: tile.Name, Size: vec(tile.Size), Packer: clean(tile.Packer), Stock: vec(tile.Blank), Boards: tile.Layers,
			Turned: tile.Turned, Shift: vec(tile.Shift)}
		if exported(m, tile) {
			name := tileFile(tile)
			out.File = &name
		}
		s.Tiles = append(s.Tiles, out)
	}
	for _, c := range t.Checks {
		s.CheckDistances = append(s.CheckDistances, CheckDistance{c.Name, clean(c.Length)})
	}
	for _, w := range t.Warnings {
		s.Warnings = append(s.Warnings, Warning{w.Code, w.Text})
	}
}

func tileFile(t *fixture.Tile) string { return "pocket-" + t.Name + ".stl" }

// exported says whether a tile is written: for a trial cut only those that test
// the half that was made.
func exported(m *board.Model, t *fixture.Tile) bool {
	const over = 5.0 // mm past the centre line
	box := t.Mesh.Box()
	switch {
	case !m.Job.Tiles.Trial:
		return true
	case m.Mirror == board.MirrorRight:
		return box.Min.X < -over
	case m.Mirror == board.MirrorLeft:
		return box.Max.X > over
	}
	return true
}

// tileSteps cut the pocket into tiles and write them.
func (p *pack) tileSteps() (steps []step) {
	t, err := p.sum.TellCut(p.ctx, p.m, p.pocket)
	if err != nil {
		return []step{{"tiles", func(*bytes.Buffer) error { return err }}}
	}
	p.tiling = t
	if t == nil {
		return nil
	}
	for i := range t.Tiles {
		if tile := &t.Tiles[i]; exported(p.m, tile) {
			steps = append(steps, step{tileFile(tile), func(buf *bytes.Buffer) error {
				return stl.Write(buf, tile.Mesh, p.header("tile "+tile.Name))
			}})
		}
	}
	return steps
}

// drawTiles draws the joints, the tiles' names, the holes of the pins and the
// marks with their check distances.
func (p *pack) drawTiles(d *dxf.Drawing) {
	t := p.tiling
	if t == nil {
		return
	}
	d.Layer("marks", dxf.Yellow, dxf.Continuous)
	for _, j := range t.Joints {
		d.Line("tiles", at(j.From), at(j.To))
		for _, pin := range j.Pins {
			if pin.Slot == 0 {
				d.Circle("holes", at(pin.At), pin.Diameter/2)
			} else {
				d.Polyline("holes", flat(pin.Loop), true)
			}
		}
	}
	for i := range t.Tiles {
		d.Text("tiles", at(t.Tiles[i].Label), labelHeight, t.Tiles[i].Name)
	}
	for _, m := range t.Marks {
		q := at(r2.Vec{X: m.At.X, Y: m.At.Y})
		d.Point("marks", q)
		d.Text("marks", q, stationHeight, m.Name)
	}
	x, y := p.pocket.Stock.Max.X+20, p.pocket.Stock.Max.Y
	for i, c := range t.Checks {
		d.Text("marks", r3.Vec{X: x, Y: y - 2*stationHeight*float64(i)}, stationHeight, fmt.Sprintf("%s %.1f mm", c.Name, c.Length))
	}
}

// cutList is the tiles in words, for README.txt.
type cutList struct {
	Bed      fixture.Bed
	Tiles    []Tile
	Pin      float64
	Checks   []fixture.Check
	Sheet    fixture.Bed
	Sheets   int
	Boards   []fixture.Placed
	NoSheets string
	Trial    bool
}

func (p *pack) cutList() *cutList {
	if p.tiling == nil {
		return nil
	}
	sheet, kerf := p.m.Job.Tiles.CutFrom()
	c := &cutList{Bed: p.tiling.Bed, Tiles: p.sum.Tiles, Pin: p.tiling.Spec.Pin, Checks: p.tiling.Checks, Sheet: sheet, Trial: p.m.Job.Tiles.Trial}
	list, err := p.tiling.CutList(sheet, kerf)
	var no *fixture.Refusal
	switch {
	case errors.As(err, &no):
		c.NoSheets = no.Reason
	case err == nil:
		c.Sheets, c.Boards = list.Count, list.Boards
	}
	return c
}

// moisture is how far board stock moves for one per cent of moisture, mm on a
// metre (as makers of medium-density fibreboard state it).
const moisture = 0.5

// Reference is the distance to measure on the day, with its name.
func (p *pack) reference() (name string, length float64) {
	if p.tiling != nil && len(p.tiling.Checks) > 0 {
		c := p.tiling.Checks[0]
		return c.Name, c.Length
	}
	size := r2.Sub(p.pocket.Stock.Max, p.pocket.Stock.Min)
	return "the stock from corner to corner", math.Hypot(size.X, size.Y)
}

// Assembly is what the typed check distances say of the last cut's tiles.
type Assembly struct {
	Cut      int         `json:"of_cut"`
	Scale    *float64    `json:"scale_mm_per_m"` // by which it is too large
	ScaleU   *float64    `json:"scale_u_mm_per_m"`
	Shear    *float64    `json:"shear_mm_per_m"`
	ShearU   *float64    `json:"shear_u_mm_per_m"`
	Joints   []JointOpen `json:"joints"`
	LeftOver float64     `json:"left_over_rms_mm"`
	Why      *string     `json:"why"` // nothing is told; null where it is
	Texts    []string    `json:"text"`
}

// JointOpen is how far a joint of the assembled tiles stands open.
type JointOpen struct {
	Between []string `json:"between"`
	Open    *float64 `json:"open_mm"`
	U       *float64 `json:"u_mm"`
}

// tellAssembly adds how the tiles of the last cut were put together.
func (s *Summary) tellAssembly(a *board.Assembly) {
	if a == nil {
		return
	}
	out := &Assembly{Cut: a.Cut, LeftOver: clean(a.LeftRMS), Joints: []JointOpen{}, Texts: append([]string{}, a.Texts...)}
	if a.Why != "" {
		out.Why = &a.Why
	}
	figure := func(e fixture.Estimate, unit float64) (v, u *float64) {
		if !e.Known {
			return nil, nil
		}
		return number(e.Value * unit), number(e.SD * unit)
	}
	const perMetre = 1000
	out.Scale, out.ScaleU = figure(a.Scale, perMetre)
	out.Shear, out.ShearU = figure(a.Shear, perMetre)
	for _, j := range a.Joints {
		g := JointOpen{Between: j.Between[:]}
		g.Open, g.U = figure(j.Open, 1)
		out.Joints = append(out.Joints, g)
	}
	s.Assembly = out
}
