package board

import (
	"fmt"

	"panewright/geom/fixture"
)

// TileSettings say how a large pocket is cut into tiles. Lengths are in mm; 0 is
// the usual where there is one.
type TileSettings struct {
	Bed    fixture.Bed // of the machine; nought: the pocket is made in one piece
	Margin float64     // stock left round every piece
	Board  float64     // thickness of the boards that pieces are glued up from; 0: solid stock
	Pin    float64     // diameter of the upright pins; 0: 8
	Sheet  fixture.Bed // that boards are cut from; nought: 2440 × 1220
	Kerf   float64     // saw cut between boards; 0: 4
	Trial  bool        // only the tiles that test the made half
}

// Spec is the settings as the fixture takes them.
func (t *TileSettings) Spec() fixture.TileSpec {
	s := fixture.DefaultTileSpec()
	s.Margin, s.Board = t.Margin, t.Board
	if t.Pin != 0 {
		s.Pin = t.Pin
	}
	return s
}

// CutFrom is the sheet that boards are cut from, with the saw cut, mm.
func (t *TileSettings) CutFrom() (sheet fixture.Bed, kerf float64) {
	sheet, kerf = t.Sheet, t.Kerf
	if sheet == (fixture.Bed{}) {
		sheet = fixture.Bed{W: 2440, H: 1220}
	}
	if kerf == 0 {
		kerf = 4
	}
	return sheet, kerf
}

func (t *TileSettings) validate() error {
	for _, v := range []float64{t.Bed.W, t.Bed.H, t.Margin, t.Board, t.Pin, t.Sheet.W, t.Sheet.H, t.Kerf} {
		if !between(v, 0, longest) {
			return fmt.Errorf("board: a size of the tiles, %g mm, is no length", v)
		}
	}
	return nil
}

// fileTiles is TileSettings in the file.
type fileTiles struct {
	Bed    []float64 `json:"bed_mm,omitempty"`
	Margin float64   `json:"margin_mm,omitempty"`
	Board  float64   `json:"board_mm,omitempty"`
	Pin    float64   `json:"pin_mm,omitempty"`
	Sheet  []float64 `json:"sheet_mm,omitempty"`
	Kerf   float64   `json:"saw_cut_mm,omitempty"`
	Trial  bool      `json:"trial,omitempty"`
}

func tilesToFile(t *TileSettings) *fileTiles {
	if *t == (TileSettings{}) {
		return nil
	}
	f := &fileTiles{Margin: t.Margin, Board: t.Board, Pin: t.Pin, Kerf: t.Kerf, Trial: t.Trial}
	if t.Bed != (fixture.Bed{}) {
		f.Bed = []float64{t.Bed.W, t.Bed.H}
	}
	if t.Sheet != (fixture.Bed{}) {
		f.Sheet = []float64{t.Sheet.W, t.Sheet.H}
	}
	return f
}

func (f *fileTiles) tiles() (t TileSettings) {
	if f == nil {
		return t
	}
	bed := func(v []float64) (b fixture.Bed) {
		if len(v) == 2 {
			b = fixture.Bed{W: v[0], H: v[1]}
		} else if len(v) != 0 {
			b.W = -1 // which Validate refuses
		}
		return b
	}
	return TileSettings{Bed: bed(f.Bed), Margin: f.Margin, Board: f.Board, Pin: f.Pin, Sheet: bed(f.Sheet), Kerf: f.Kerf, Trial: f.Trial}
}
