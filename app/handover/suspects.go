package handover

import "panewright/board"

// Suspect is a reading that was set aside until the person decides, or a run of
// readings that went wrong together.
type Suspect struct {
	Kind  string   `json:"kind"`
	ID    string   `json:"id"`
	ToID  *string  `json:"to_id"` // last reading of the run that Offer is about; null for a reading alone
	Miss  float64  `json:"miss_mm"`
	OneIn *float64 `json:"one_in"` // one good reading in so many lies this far off; null where it is not
	Offer *Offer   `json:"offer"`  // null where no correction leads clearly
}

// Offer is the correction that fits best.
type Offer struct {
	Field   string  `json:"field"` // x, y, z, xy, row or block
	Typed   string  `json:"typed"`
	Instead string  `json:"instead"` // as it would be typed, in the job's unit
	Why     string  `json:"why"`
	Chance  float64 `json:"chance"` // of all that was tried, something else included
}

// suspects are the readings to look at again, in the order of the job.
func suspects(m *board.Model) []Suspect {
	out := []Suspect{}
	for i, r := range m.Job.Readings {
		res := m.Results[i]
		if state, _ := stateOf(res); r.Struck || state != "suspect" && res.Offer == nil {
			continue
		}
		s := Suspect{Kind: r.Kind.String(), ID: r.ID, Miss: clean(missOf(r, res)), OneIn: known(res.Odds)}
		if o := res.Offer; o != nil {
			s.Offer = &Offer{Field: o.Field, Typed: o.Typed, Instead: o.Instead, Why: o.Why, Chance: clean(o.Chance)}
			if o.Field == "block" {
				s.ToID = &m.Job.Readings[o.To].ID
			}
		}
		out = append(out, s)
	}
	return out
}

// reasonOf is the reason for what became of a reading with the offer as a
// question behind it.
func reasonOf(reason string, o *board.Offer) string {
	switch {
	case o == nil:
		return reason
	case reason == "":
		return o.Ask()
	}
	return reason + "; " + o.Ask()
}
