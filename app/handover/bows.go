package handover

import "panewright/board"

// Bow is one upright section of the upper face, from edge to edge, and the
// circle nearest it.
type Bow struct {
	Level   float64  `json:"level_mm"`    // Y of a section across, X of one fore and aft
	Radius  *float64 `json:"radius_mm"`   // null where the section is straight
	RadiusU *float64 `json:"radius_u_mm"` // null where not known
	Sag     float64  `json:"sag_mm"`
	Miss    float64  `json:"miss_mm"` // largest distance from the circle
}

// straight is the radius beyond which a section is called straight, mm: over a
// metre it bows by an eighth of a millimetre.
const straight = 1e6

func newBow(c board.Crossbow) Bow {
	b := Bow{Level: clean(c.Level), Sag: clean(c.Sag), Miss: clean(c.Miss)}
	if c.Radius < straight {
		b.Radius, b.RadiusU = number(c.Radius), known(c.RadiusU)
	}
	return b
}

// bows tells how the upper face of a pane bows across, level by level, and fore
// and aft down the middle.
func (s *Summary) bows(m *board.Model) {
	for _, c := range m.Crossbows() {
		s.Crossbow = append(s.Crossbow, newBow(c))
	}
	if c, ok := m.MiddleBow(); ok {
		b := newBow(c)
		s.ForeAftBow = &b
	}
}
