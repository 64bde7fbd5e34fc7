package handover

import (
	"panewright/board"
	"panewright/geom/fit"
)

// GapCorrection is what explains the gaps noted in the last cut, and what the
// next one is made different by.
type GapCorrection struct {
	Cut     int      `json:"of_cut"`
	Offset  *float64 `json:"centre_offset_mm"` // to add to the assumed line, at the mean of the edge readings
	Skew    *float64 `json:"centre_skew_deg"`
	OffsetU *float64 `json:"offset_u_mm"`
	SkewU   *float64 `json:"skew_u_deg"`
	Roll    *float64 `json:"centre_roll_deg"`
	RollU   *float64 `json:"roll_u_deg"`

	Explained       []Explained `json:"explained"`
	LeftOver        float64     `json:"left_over_rms_mm"`
	NotIdentifiable []string    `json:"not_identifiable"` // a cause, a colon and a sentence
	Why             *string     `json:"why"`              // nothing is explained; null where it is
	Causes          []Cause     `json:"causes"`
	Next            []NextGap   `json:"next_gaps"` // forecast for the next cut
	NotOnTheCut     []string    `json:"not_on_the_cut"`
}

// Explained is what one cause explains.
type Explained struct {
	Cause string  `json:"cause"`
	Share float64 `json:"share"` // of the sum of squares, beside what stands before it
	Name  string  `json:"name"`  // with the joint or station
}

// Cause is one thing found, accepted or not.
type Cause struct {
	Name     string   `json:"name"`
	Value    *float64 `json:"value"`
	U        *float64 `json:"u"`
	Unit     string   `json:"unit"`
	Share    float64  `json:"share"`
	PutRight bool     `json:"put_right"` // in the next cut
	Text     string   `json:"text"`
}

// NextGap is a gap to expect at the next cut.
type NextGap struct {
	Station string  `json:"station"`
	Wall    float64 `json:"wall_mm"`
	WallU   float64 `json:"wall_u_mm"`
	Ledge   float64 `json:"ledge_mm"`
	LedgeU  float64 `json:"ledge_u_mm"`
}

// Proved says whether a cut proved the model.
type Proved struct {
	ByCut *int   `json:"by_cut"` // null: not proved
	Text  string `json:"text"`
	Why   string `json:"why"` // not, or not in all
}

func provedOf(m *board.Model) Proved {
	p := Proved{Text: m.Proof.Words(), Why: m.Proof.Reason}
	if n := m.Proof.Cut; n > 0 {
		p.ByCut = &n
	}
	return p
}

// correctionOf is the explanation of the last cut's gaps; nil where none were
// noted.
func correctionOf(m *board.Model) *GapCorrection {
	g := m.Gaps
	if g == nil {
		return nil
	}
	c := &GapCorrection{Cut: g.Cut, LeftOver: clean(g.LeftOver), Explained: []Explained{}, NotIdentifiable: append([]string{}, g.Doubts...),
		Causes: []Cause{}, Next: []NextGap{}, NotOnTheCut: append([]string{}, g.Unknown...)}
	if g.Why != "" {
		c.Why = &g.Why
	}
	for _, p := range []struct {
		part board.Part
		v, u **float64
	}{{g.Offset, &c.Offset, &c.OffsetU}, {g.Skew, &c.Skew, &c.SkewU}, {g.Roll, &c.Roll, &c.RollU}} {
		if p.part.Known {
			*p.v, *p.u = number(p.part.Value), number(p.part.U)
		}
	}
	for _, e := range g.Causes {
		if e.Kind != board.RestCause && e.Clear {
			c.Explained = append(c.Explained, Explained{e.Kind, clean(e.Share), e.Name})
		}
		out := Cause{Name: e.Name, Unit: e.Unit, Share: clean(e.Share), PutRight: e.Accepted, Text: e.Text}
		if e.Unit != "" {
			out.Value, out.U = number(e.Value), number(e.U)
		}
		c.Causes = append(c.Causes, out)
	}
	for _, s := range g.Stations {
		if s.HasNext {
			c.Next = append(c.Next, nextGap(s.ID, s.Next))
		}
	}
	return c
}

func nextGap(id string, f fit.Forecast) NextGap {
	return NextGap{id, clean(f.Wall), clean(f.WallU), clean(f.Ledge), clean(f.LedgeU)}
}

// Percent is the share for a table.
func (c Cause) Percent() float64 { return 100 * c.Share }
