package handover

import "fmt"

// Body says which further files and shapes the body designer wants. The zero
// value wants none. Lengths are mm; nought leaves the shape out.
type Body struct {
	// Shapes in faces.step.
	Glue     float64 // a face at the glue line: so far from the inner face, away from the glass
	Extend   float64 // the outer face continued so far past its edge, seen from above
	Flange   float64 // a strip of the face at the glue line (without one, of the inner face), so wide from its edge inward
	PanelGap float64 // the aperture line of the body: so far from the edge of the glass, in the line of its outer face
	Sections float64 // both faces cut across and down, so far apart

	// Twins of the model's files.
	Inch          bool // in inches
	Scale         int  // a model to 1:Scale; 0 and 1: none
	TrueThickness bool // the model keeps the thickness of the glass, and its outer face
	OnBoard       bool // in the board frame
	Car           *Car // in the car frame
}

// limits of what is taken for a wish and not for a slip, in mm.
const (
	mostGlue      = 50
	mostExtend    = 50
	mostFlange    = 100
	mostPanelGap  = 50
	leastSections = 5
	mostScale     = 100
)

// Check refuses what nobody can mean.
func (b *Body) Check() error {
	for _, f := range []struct {
		name        string
		value, most float64
	}{
		{"glue line", b.Glue, mostGlue}, {"extended face", b.Extend, mostExtend},
		{"flange", b.Flange, mostFlange}, {"panel gap", b.PanelGap, mostPanelGap},
	} {
		if !(f.value >= 0 && f.value <= f.most) {
			return fmt.Errorf("handover: a %s of %g mm, want 0 to %g mm", f.name, f.value, f.most)
		}
	}
	if b.Sections != 0 && !(b.Sections >= leastSections && b.Sections <= 1e4) {
		return fmt.Errorf("handover: sections every %g mm, want %d mm or more", b.Sections, leastSections)
	}
	if b.Scale < 0 || b.Scale > mostScale {
		return fmt.Errorf("handover: a model to 1:%d, want 1:2 to 1:%d", b.Scale, mostScale)
	}
	if b.Car != nil {
		return b.Car.check()
	}
	return nil
}
