package boardview

import (
	"panewright/app/ui/paint"
	"panewright/geom"
)

// Photo is a picture laid over the board under everything that is read.
type Photo struct {
	Pixels *paint.Picture
	To     geom.Homography // board, mm, to Pixels
}

// photoOpacity is how strongly a photo is drawn: the readings stand out from it.
const photoOpacity = 105 // of 255

// SetPhoto lays a photo under the readings; nil takes it away.
func (v *View) SetPhoto(p *Photo) {
	if v.photo == p {
		return
	}
	v.photo = p
	v.redraw()
}

// photo lays a photo over the board.
func (f *frame) photo(p *Photo) {
	if p == nil {
		return
	}
	h := p.To.Rows()
	var m [3][3]float64 // of the picture's pixels: mm = (px - o) / s, y turned over
	for i := range m {
		m[i] = [3]float64{h[i][0] / f.l.s, -h[i][1] / f.l.s, h[i][2] + (h[i][1]*f.l.o.Y-h[i][0]*f.l.o.X)/f.l.s}
	}
	f.c.Project(p.Pixels, m, photoOpacity)
}
