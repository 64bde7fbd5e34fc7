package solidview

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/ui/look"
	"panewright/app/ui/paint"
	"panewright/geom/fixture"
)

// pocket is the fit-check pocket ready to be drawn, in one piece or in its tiles.
// It is not changed once made.
type pocket struct {
	of     *fixture.Pocket
	tiles  *fixture.Tiling // nil: one piece
	bodies []*body
	names  []name
	box    r3.Box
	wall   []r3.Vec // the upper edge of the wall
}

// name is a text at a place.
type name struct {
	text string
	at   r3.Vec
}

// newPocket prepares a pocket, or the tiles of it where it is cut into more than
// one.
func newPocket(p *fixture.Pocket, t *fixture.Tiling) *pocket {
	q := &pocket{of: p, tiles: t, box: p.Mesh.Box()}
	if t == nil || len(t.Tiles) < 2 {
		q.bodies = []*body{newBody(p.Mesh)}
	} else {
		for i := range t.Tiles {
			tile := &t.Tiles[i]
			b := newBody(tile.Mesh)
			q.bodies = append(q.bodies, b)
			q.names = append(q.names, name{tile.Name, r3.Vec{X: tile.Label.X, Y: tile.Label.Y, Z: b.box.Max.Z}})
			q.box.Min.Z = min(q.box.Min.Z, b.box.Min.Z)
		}
	}
	lo, hi := p.Wall.Period()
	const steps = 240
	for i := range steps + 1 {
		at := p.Wall.At(lo + (hi-lo)*float64(i%steps)/steps)
		q.wall = append(q.wall, r3.Vec{X: at.X, Y: at.Y, Z: p.RimHeight(r2.Vec{X: at.X, Y: at.Y})})
	}
	return q
}

// pocketBodies paints the pocket, tiles told apart by tint.
func (p *picture) pocketBodies() {
	q := p.frame.pocket
	for i, b := range q.bodies {
		col := p.col.Fixture
		if len(q.bodies) > 1 {
			col = paint.Mix(col, look.Tint(i), 0.4)
		}
		c := p.corners(b, p.stretched)
		for _, t := range b.tri {
			if u, v, w := &c[t[0]], &c[t[1]], &c[t[2]]; facing(u, v, w) {
				p.scene.Triangle(*u, *v, *w, col)
			}
		}
	}
	behind := paint.Fade(p.col.Wall, faint)
	var a paint.Vertex
	for i, at := range q.wall {
		var b paint.Vertex
		b.X, b.Y, b.Z = p.v.project(p.stretched(at))
		if i > 0 {
			p.scene.Line(a, b, p.col.Thin*p.k, bias, p.col.Wall, behind)
		}
		a = b
	}
}
