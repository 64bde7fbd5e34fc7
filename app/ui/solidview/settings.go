package solidview

import "math"

// Limits of what can be set.
const (
	mostStretch = 20.0
	mostLift    = 300.0 // mm
)

// SetStretch multiplies heights, so that a shallow curve shows; 1 is true shape.
func (v *View) SetStretch(f float64) {
	v.stretch = min(max(f, 1), mostStretch)
	v.refit()
}

// Stretch is what heights are multiplied by.
func (v *View) Stretch() float64 { return v.stretch }

// SetMap colours the face by a map. The stripes give way to it.
func (v *View) SetMap(m Map) {
	v.kind = min(max(m, Plain), Maps-1)
	v.stripes.On = false
	v.prepare()
	v.refit()
}

// Map is what the face is coloured by.
func (v *View) Map() Map { return v.kind }

// SetStripes shows the reflection of strip lights, or hides it.
func (v *View) SetStripes(s Stripes) {
	v.stripes = s.within()
	v.prepare()
	v.refit()
}

// Stripes are the strip lights as set.
func (v *View) Stripes() Stripes { return v.stripes }

// SetCut cuts the pane at a level, mm from the middle of the pane; beyond its
// edge the level is the last that still cuts it.
func (v *View) SetCut(c Cut, level float64) {
	v.section = c
	v.level = v.inReach(c, level)
	v.refit()
}

// Cut is the way of the section, and its level.
func (v *View) Cut() (Cut, float64) { return v.section, v.level }

// inReach is a level that cuts the pane.
func (v *View) inReach(c Cut, level float64) float64 {
	if v.parts.solid == nil || math.IsNaN(level) {
		return 0
	}
	const rim = 2.0 // mm
	b := v.parts.solid.pane.Outline.Bounds()
	if c == Along {
		return min(max(level, b.Min.X+rim), b.Max.X-rim)
	}
	return min(max(level, b.Min.Y+rim), b.Max.Y-rim)
}

// SetMagnify multiplies the heights of the section's inset.
func (v *View) SetMagnify(f float64) {
	v.magnify = min(max(f, 1), 50)
	v.raster.Refresh()
}

// SetLonger sets how many times longer than they are misses are drawn beside a
// section.
func (v *View) SetLonger(f float64) {
	v.longer = max(f, 1)
	v.raster.Refresh()
}

// SetPocket shows the pocket, or hides it.
func (v *View) SetPocket(on bool) {
	v.pocketOn = on
	v.refit()
}

// Pocket says whether the pocket is wanted, and whether it is drawn.
func (v *View) Pocket() (on, drawn bool) { return v.pocketOn, v.pocketOn && v.pocket != nil }

// Pieces are the names of the tiles that are drawn.
func (v *View) Pieces() (names []string) {
	if _, drawn := v.Pocket(); drawn {
		for _, n := range v.pocket.names {
			names = append(names, n.text)
		}
	}
	return names
}

// SetLift lifts the pane out of the pocket, mm; 0 is its place.
func (v *View) SetLift(mm float64) {
	v.lift = min(max(mm, 0), mostLift)
	v.raster.Refresh()
}

// Lift is how far the pane is lifted out of the pocket, mm.
func (v *View) Lift() float64 { return v.lift }

// Direction is the standard direction that is looked from; ok is false where it
// is none.
func (v *View) Direction() (d Direction, ok bool) { return v.cam.direction() }

// Angles are the turn and the rise of the eye, degrees.
func (v *View) Angles() (turn, rise float64) {
	return v.cam.turn * 180 / math.Pi, v.cam.rise * 180 / math.Pi
}

// Fine says whether the fine picture has taken the place of the quick one.
func (v *View) Fine() bool { return v.image != nil && v.done == v.last }

// Shown says whether the map that is set is drawn; Plain is.
func (v *View) Shown() bool {
	return v.parts.solid != nil && v.parts.of == v.model && v.parts.complete(v.kind, v.stripes.On)
}
