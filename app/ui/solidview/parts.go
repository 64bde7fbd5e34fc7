package solidview

import (
	"context"

	"panewright/board"
)

// parts are what is made of a model for its pictures. Those that are made are
// kept as long as the model is shown.
type parts struct {
	of     *board.Model
	solid  *solid
	face   *face
	fields [Maps]*field
}

// complete says whether all is there for a map, or for the stripes.
func (p *parts) complete(kind Map, stripes bool) bool {
	return p.solid != nil && (kind == Plain || p.fields[kind] != nil) && (!stripes || p.face != nil)
}

// make makes what is missing for a map or for the stripes.
func (p *parts) make(ctx context.Context, kind Map, stripes bool) (err error) {
	if p.solid == nil {
		if p.solid, err = newSolid(p.of.Pane, meshSteps); err != nil {
			return err
		}
	}
	if p.face == nil && (stripes || kind != Plain) {
		if p.face, err = newFace(ctx, p.of); err != nil {
			return err
		}
	}
	if kind != Plain && p.fields[kind] == nil {
		p.fields[kind], err = newField(ctx, p.face, kind)
	}
	return err
}
