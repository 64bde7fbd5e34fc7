package handover

import (
	"panewright/board"
	"panewright/geom/fixture"
)

// FitCheck is how the real pane will fit before anything is cut: panes drawn
// from the readings' uncertainty, each placed and settled. Each chance counts
// only panes that pass the one before. Lengths are mm, places glass frame.
type FitCheck struct {
	Wall       float64       `json:"wall_mm"`
	DropsIn    float64       `json:"chance_drops_in"`
	Snug       float64       `json:"chance_snug"`
	Sits       float64       `json:"chance_sits"`
	LeastGap   float64       `json:"least_gap_p5_mm"`
	LargestGap float64       `json:"largest_gap_p95_mm"`
	LedgeGap   float64       `json:"ledge_gap_p95_mm"`
	Rock       float64       `json:"rock_p95_mm"`
	Enough     float64       `json:"wall_for_95_mm"` // clearance with which 95 of 100 panes would be snug
	BindsAt    []string      `json:"binds_at"`
	Contacts   []Contact     `json:"contacts"`
	TooBigAt   []TightCorner `json:"cutter_too_big_at"`
	WallGaps   []WallGap     `json:"wall_gaps"`
}

// Contact is a place where the likeliest pane rests, taken as rigid.
type Contact struct {
	At   []float64 `json:"at"`
	Load float64   `json:"load"` // share of the weight
}

// TightCorner is a corner of the wall that the cutter does not get into.
type TightCorner struct {
	At     []float64 `json:"at"`
	Radius float64   `json:"radius_mm"`
}

// WallGap is the wall gap to expect at a station: 5, 50 and 95 of 100.
type WallGap struct {
	Station string  `json:"station"`
	Low     float64 `json:"p5_mm"`
	Mid     float64 `json:"p50_mm"`
	High    float64 `json:"p95_mm"`
}

// Advice is a place where one more reading would make the pane surer.
type Advice struct {
	Kind string    `json:"kind"`
	At   []float64 `json:"at_mm"` // board frame
	Text string    `json:"text"`
	Gain float64   `json:"gain"` // share by which the typical uncertainty falls
}

// fitOf is the prediction of a model; nil where there is none. pocket may be
// nil.
func fitOf(m *board.Model, pocket *fixture.Pocket) *FitCheck {
	f := m.Fit
	if f == nil {
		return nil
	}
	out := &FitCheck{Wall: clean(f.Wall), DropsIn: clean(f.DropsIn), Snug: clean(f.Snug), Sits: clean(f.Sits),
		LeastGap: clean(f.LeastGap), LargestGap: clean(f.LargestGap), LedgeGap: clean(f.LedgeGap), Rock: clean(f.Rock), Enough: clean(f.Enough),
		BindsAt: append([]string{}, f.BindsAt...), Contacts: []Contact{}, TooBigAt: []TightCorner{}, WallGaps: []WallGap{}}
	for _, c := range f.Contacts {
		out.Contacts = append(out.Contacts, Contact{[]float64{clean(c.At.X), clean(c.At.Y)}, clean(c.Load)})
	}
	if pocket != nil {
		for _, c := range pocket.TooBigAt {
			out.TooBigAt = append(out.TooBigAt, TightCorner{[]float64{clean(c.At.X), clean(c.At.Y)}, clean(c.Radius)})
		}
	}
	for _, g := range f.Stations {
		out.WallGaps = append(out.WallGaps, WallGap{g.ID, clean(g.Low), clean(g.Mid), clean(g.High)})
	}
	return out
}

// adviceOf is where to measure next.
func adviceOf(m *board.Model) []Advice {
	out := []Advice{}
	for _, a := range m.Next {
		out = append(out, Advice{a.Kind.String(), vec(a.At), a.Text, clean(a.Gain)})
	}
	return out
}
