package handover

import (
	"bytes"
	"fmt"
	"path"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/board"
	"panewright/export/stl"
	"panewright/geom"
	"panewright/geom/fixture"
)

// shopFolder holds the tiles, and the whole pocket, in the frame of the machine.
const shopFolder = "shop"

// Shop says where the frame of the machine begins, and how the whole pocket was
// moved into it.
type Shop struct {
	Origin string    `json:"origin"` // the lower left corner of the stock on its: top or bottom
	File   string    `json:"file"`
	Shift  []float64 `json:"shift_mm"` // from the glass frame
}

// shopShift is what is added to a tile's places in the glass frame, after the
// quarter turn of one that lies turned on the bed, to have them from the lower left
// corner of its stock. The piece lies on the underside of the stock.
func (p *pack) shopShift(t *fixture.Tile) r3.Vec {
	shift := t.Shift
	margin := (t.Blank.X - t.Size.X) / 2 // all round
	shift.X, shift.Y = shift.X+margin, shift.Y+margin
	if p.m.Job.Pack.Shop == board.ShopTop {
		shift.Z -= t.Blank.Z
	}
	return shift
}

// wholeShift is what is added to the places of the whole pocket.
func (p *pack) wholeShift() r3.Vec {
	k := p.pocket
	shift := r3.Vec{X: -k.Stock.Min.X, Y: -k.Stock.Min.Y, Z: -k.Bottom}
	if p.m.Job.Pack.Shop == board.ShopTop {
		shift.Z = -k.Top
	}
	return shift
}

// shopSteps write the pocket and its tiles in the frame of the machine, where the
// job asks for them, and tell the summary.
func (p *pack) shopSteps() (steps []step) {
	origin := p.m.Job.Pack.Shop
	if origin == board.NoShop {
		return nil
	}
	add := func(name, what string, mesh *geom.Mesh, place func(r3.Vec) r3.Vec) string {
		file := path.Join(shopFolder, name+".stl")
		steps = append(steps, step{file, func(buf *bytes.Buffer) error {
			m := &geom.Mesh{V: make([]r3.Vec, len(mesh.V)), T: mesh.T}
			for i, v := range mesh.V {
				m.V[i] = place(v)
			}
			return stl.Write(buf, m, p.header(fmt.Sprintf("%s, machine frame, z0 %s of stock", what, origin)))
		}})
		return file
	}
	whole := p.wholeShift()
	p.sum.Shop = &Shop{Origin: origin.String(), Shift: vec(whole),
		File: add("pocket", "pocket", p.pocket.Mesh, func(q r3.Vec) r3.Vec { return r3.Add(q, whole) })}
	if p.tiling == nil {
		return steps
	}
	for i := range p.tiling.Tiles {
		t := &p.tiling.Tiles[i]
		if !exported(p.m, t) {
			continue
		}
		shift := p.shopShift(t)
		more := r3.Sub(shift, t.Shift)
		file := add(t.Name, "tile "+t.Name, t.Mesh, func(q r3.Vec) r3.Vec { return r3.Add(t.OnBed(q), more) })
		p.sum.Tiles[i].ShopFile, p.sum.Tiles[i].ShopShift = &file, vec(shift)
	}
	return steps
}
