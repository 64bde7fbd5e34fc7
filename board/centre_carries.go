package board

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"panewright/geom/fit"
)

// Carry is readings of one kind and what they contribute to the centre line
// found. Shares are of what all readings say, 0 … 1; what is assumed of the
// shape, that it is smooth, is left out of them.
type Carry struct {
	Code         string  // left, right, checks (stations of the half that is made), heights, tapes or marks
	Text         string  // "5 check stations"
	Offset, Skew float64 // shares of the offset and of the skew
	Readings     []Pull  // its members, that which pulls most first
}

// Pull is what one reading does to the centre line.
type Pull struct {
	ID           string  // of the reading; of a tape its station
	Row          int     // index in Job.Readings, of a tape in Job.Tapes
	Offset, Skew float64 // its shares
	Moves, Turns float64 // mm at the mean edge point, + to the right, and degrees, by which the line would move without it
}

// leastShare is the share below which a kind of reading is not worth a word.
const leastShare = 0.01

// carries says which readings carry the centre line.
func (s *solve) carries() {
	if s.found == nil || s.m.Found == nil {
		return
	}
	kinds := map[string]*Carry{}
	var offset, skew float64
	past := s.checksFrom(s.m.Found.Plane)
	dist := map[int]float64{} // of a reading from the line
	for k, i := range s.edge {
		dist[i] = s.m.Found.Plane.Dist(s.arris[k])
	}
	for _, e := range s.found.Evidence() {
		code, p := s.witness(e, past, dist)
		p.Offset, p.Skew, p.Moves, p.Turns = e.Offset, e.Skew, e.Pull, e.Turn*180/math.Pi
		c := kinds[code]
		if c == nil {
			c = &Carry{Code: code}
			kinds[code] = c
		}
		c.Offset, c.Skew, c.Readings = c.Offset+e.Offset, c.Skew+e.Skew, append(c.Readings, p)
		offset, skew = offset+e.Offset, skew+e.Skew
	}
	for _, code := range []string{"checks", "left", "right", "tapes", "marks", "heights"} {
		c := kinds[code]
		if c == nil || !(offset > 0) || !(skew > 0) {
			continue
		}
		c.Offset, c.Skew = c.Offset/offset, c.Skew/skew
		for i := range c.Readings {
			c.Readings[i].Offset, c.Readings[i].Skew = c.Readings[i].Offset/offset, c.Readings[i].Skew/skew
		}
		slices.SortStableFunc(c.Readings, func(a, b Pull) int { return cmp.Compare(math.Abs(b.Moves), math.Abs(a.Moves)) })
		word := carrierWord[code]
		c.Text = count(len(c.Readings), word[0]) + word[1]
		s.m.Carries = append(s.m.Carries, *c)
	}
	slices.SortStableFunc(s.m.Carries, func(a, b Carry) int { return cmp.Compare(b.Offset, a.Offset) })
	s.m.CarriesText = s.carriesText()
}

var carrierWord = map[string][2]string{"checks": {"check station"}, "left": {"station", " on the left half"}, "right": {"station", " on the right half"},
	"tapes": {"taped width"}, "marks": {"centre mark"}, "heights": {"height"}}

// witness names the reading behind a piece of evidence, and its kind; a check
// station lies past that far on the half that is made. dist is the distance of
// the stations from the line.
func (s *solve) witness(e fit.Evidence, past float64, dist map[int]float64) (code string, p Pull) {
	in := &s.foundIn
	reading := func(i int) Pull { return Pull{ID: s.job.Readings[i].ID, Row: i} }
	switch e.Kind {
	case fit.WidthTaped:
		row := in.tapes[e.Index]
		return "tapes", Pull{ID: s.job.Tapes[row].From, Row: row}
	case fit.CentreSeen:
		return "marks", reading(s.centres[e.Index])
	case fit.HeightRead:
		if k := e.Index - len(in.edges); k >= 0 {
			return "heights", reading(in.faces[k])
		}
		return "heights", reading(in.edges[e.Index])
	}
	i := in.edges[e.Index]
	d := dist[i]
	switch {
	case s.m.Mirror == MirrorRight && d < -past, s.m.Mirror == MirrorLeft && d > past:
		return "checks", reading(i)
	case d < 0:
		return "left", reading(i)
	}
	return "right", reading(i)
}

// carriesText puts it in words: by kind, and the reading that pulls most.
func (s *solve) carriesText() string {
	m := s.m
	var parts []string
	var most Pull
	kind := ""
	for _, c := range m.Carries {
		if c.Offset >= leastShare {
			parts = append(parts, fmt.Sprintf("%s %.0f %%", c.Text, 100*c.Offset))
		}
		if len(c.Readings) > 0 && math.Abs(c.Readings[0].Moves) > math.Abs(most.Moves) {
			most, kind = c.Readings[0], c.Code
		}
	}
	if len(parts) == 0 {
		return ""
	}
	text := "What carries the offset: " + strings.Join(parts, ", ") + "."
	const least = 0.005 // mm
	if kind == "" || math.Abs(most.Moves) < least {
		return text
	}
	name := map[string]string{"tapes": "the width taped at station ", "marks": "centre mark ", "heights": "the height of "}[kind]
	if name == "" {
		name = "station "
	}
	side := "right"
	if most.Moves < 0 {
		side = "left"
	}
	return text + fmt.Sprintf(" %s%s pulls most: without it the line would lie %s farther %s.", capital(name), most.ID, fineLength(s.job, math.Abs(most.Moves)), side)
}

// fineLength is a small length with a digit more than readings have.
func fineLength(j *Job, mm float64) string {
	places := 2
	if j.Unit == Inch {
		places = 3
	}
	return marked(decimals(mm/j.Unit.Millimetres(), places), j.Comma) + " " + j.Unit.String()
}
