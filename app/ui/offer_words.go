package ui

import (
	"math"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/lang"

	"panewright/board"
)

// What is said of a correction by its chance, as board.Offer has it.
const (
	likely = 0.9  // from it on a correction is likely
	hardly = 0.1  // below it hardly so
	remote = 0.01 // below it a second correction is not shown
)

// setAside says whether a reading, or its height alone, waits for a decision.
func setAside(r board.Reading, res *board.Result) bool {
	return res != nil && !r.Struck && !r.Sure && (res.State == board.Suspect || res.BadHeight)
}

// startsBlock says whether a run of rows that went wrong together begins with a
// reading.
func startsBlock(res *board.Result) bool {
	return res != nil && res.Offer != nil && res.Offer.Field == "block"
}

// offersOf are the corrections that are shown for a reading: the likeliest, and
// the next that would change something else. leads says whether the first leads
// clearly.
func offersOf(r board.Reading, res *board.Result) (offers []board.Offer, leads bool) {
	if r.Struck || res == nil || res.Offer == nil && !setAside(r, res) {
		return nil, false
	}
	leads = res.Offer != nil
	for _, o := range res.Offers {
		switch {
		case len(offers) == 0:
			offers = append(offers, o)
		case o.Chance >= remote && !sameChanges(o, offers[0]):
			return append(offers, o), leads
		}
	}
	return offers, leads
}

// sameChanges says whether two corrections would leave the same cells behind.
func sameChanges(a, b board.Offer) bool {
	if len(a.Changes) != len(b.Changes) {
		return false
	}
	for i, c := range a.Changes {
		if d := b.Changes[i]; c.Reading != d.Reading || c.Field != d.Field || c.To.Text != d.To.Text {
			return false
		}
	}
	return true
}

// suspectWord says where a reading that was set aside lies.
func suspectWord(j *board.Job, r board.Reading, res *board.Result) string {
	data := map[string]any{"R": kindWord(r.Kind, r.ID), "ID": r.ID, "M": length(j, math.Abs(res.Miss))}
	switch {
	case res.BadHeight && res.HasHeight:
		data["M"] = length(j, math.Abs(res.HeightMiss))
		if res.HeightMiss < 0 {
			return lang.L("The height of {{.ID}} lies {{.M}} below the face that its neighbours make.", data)
		}
		return lang.L("The height of {{.ID}} lies {{.M}} above the face that its neighbours make.", data)
	case res.HasMiss && res.Miss < 0:
		return lang.L("{{.R}} lies {{.M}} inside the edge that its neighbours make.", data)
	case res.HasMiss:
		return lang.L("{{.R}} lies {{.M}} outside the edge that its neighbours make.", data)
	}
	return kindWord(r.Kind, r.ID) + ": " + said(res.Reason)
}

// adviceWord says what to do about a reading that was set aside: the correction
// that leads, or to look again.
func adviceWord(res *board.Result) string {
	o := res.Offer
	if o == nil {
		return lang.L("Read it again, or strike it.")
	}
	data := map[string]any{"F": o.Field, "New": o.Instead, "Old": o.Typed}
	switch o.Field {
	case "x", "y", "z":
		return lang.L("{{.F}} {{.New}} would fit (typed {{.Old}}).", data)
	case "xy":
		return lang.L("It fits with x and y the other way round.")
	}
	return capital(o.Why) + "."
}

// useWord is what the button of a correction says.
func useWord(o board.Offer) string {
	data := map[string]any{"F": o.Field, "New": o.Instead, "What": rowsOf(o)}
	switch o.Field {
	case "x", "y", "z":
		return lang.L("Use {{.F}} {{.New}}", data)
	case "xy":
		return lang.L("Exchange x and y")
	case "block":
		return lang.L("Correct {{.What}}…", data)
	}
	return lang.L("Use {{.New}}", data)
}

// whyWord is how likely a correction is, and what would have gone wrong.
func whyWord(o board.Offer) string {
	how := lang.L("Possible")
	switch {
	case o.Chance >= likely:
		how = lang.L("Likely")
	case o.Chance < hardly:
		how = lang.L("Less likely")
	}
	if o.Field == "block" { // its reason is said above
		return how + ". " + lang.L("What it would change is shown first.")
	}
	return how + ": " + said(o.Why) + "."
}

// rowsOf names what a correction of several rows corrects: "rows 41 to 46",
// "x of 12 to 18".
func rowsOf(o board.Offer) string {
	if strings.Contains(o.Typed, " of ") {
		return o.Typed
	}
	return lang.L("rows {{.Rows}}", map[string]any{"Rows": o.Typed})
}

// correctName names the edit that makes a correction.
func correctName(j *board.Job, o board.Offer) string {
	if o.Field == "block" || len(o.Changes) == 0 {
		return lang.L("Correct {{.What}}", map[string]any{"What": rowsOf(o)})
	}
	r := j.Readings[o.Changes[0].Reading]
	name := lang.L("Correct {{.What}}", map[string]any{"What": thing(r.Kind, r.ID)})
	switch o.Field {
	case "x", "y", "z":
		name += " " + o.Field
	}
	return name
}

// goodWord says how seldom a good reading lies as far off as one does.
func goodWord(odds float64) string {
	switch {
	case odds <= 1:
		return ""
	case odds >= board.MostOdds:
		return lang.L("Fewer than one good reading in a million million lies so far off.")
	case odds >= 1e6:
		return lang.L("One good reading in {{.N}} million lies so far off.", map[string]any{"N": rough(odds / 1e6)})
	}
	return lang.L("One good reading in {{.N}} lies so far off.", map[string]any{"N": rough(odds)})
}

// rough is a count to two figures, its thousands apart.
func rough(n float64) string {
	digits := strconv.FormatFloat(n, 'f', 0, 64)
	if len(digits) > 2 {
		digits = digits[:2] + strings.Repeat("0", len(digits)-2)
	}
	out := ""
	for len(digits) > 3 {
		out = "\u00a0" + digits[len(digits)-3:] + out
		digits = digits[:len(digits)-3]
	}
	return digits + out
}

// changeLines are what a correction of several rows would change, a line for
// each reading: as it stands, and as it would be.
func changeLines(j *board.Job, o board.Offer) (lines [][3]string) {
	for n := 0; n < len(o.Changes); {
		i := o.Changes[n].Reading
		now := j.Readings[i]
		then := now
		for ; n < len(o.Changes) && o.Changes[n].Reading == i; n++ {
			*coordinate(&then, o.Changes[n].Field) = o.Changes[n].To
		}
		lines = append(lines, [3]string{now.ID, triple(now, j.Unit), triple(then, j.Unit)})
	}
	return lines
}

// triple is a reading's x, y and z in one text, a dash where there is none.
func triple(r board.Reading, u board.Unit) string {
	var parts []string
	for _, c := range []board.Cell{r.X, r.Y, r.Z} {
		text := typed(c, u)
		if strings.TrimSpace(text) == "" {
			text = "–"
		}
		parts = append(parts, text)
	}
	return strings.Join(parts, ", ")
}
