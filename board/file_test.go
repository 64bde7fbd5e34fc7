package board

import (
	"fmt"
	"math/rand"
	"testing"
)

// surveyed is a job with n readings of all kinds, invented, in a fixed order.
func surveyed(n int) *Job {
	rng := rand.New(rand.NewSource(int64(n)))
	j := NewJob("Workshop coupe – rear screen")
	j.Date, j.Notes, j.Unit = "2025-03-01", "two people\nread \"aloud\" <b>", Inch
	j.Grid = Grid{PitchX: j.Typed("2"), ColFirst: -13, ColLast: 13, Rows: 14, RowA: -1}
	j.Pane.Thickness, j.Pencil = j.Typed("5/32"), j.Typed("1/64")
	j.Mirror = MirrorRight
	j.Plane = &TypedPlane{Offset: j.Typed("-1/16"), Skew: j.Typed("0.15"), Roll: j.Typed("")}
	for i := range n {
		k := Edge
		if i%3 == 2 {
			k = Face
		}
		r := Reading{Kind: k, ID: fmt.Sprintf("%s%d", idPrefix[k], i+1), X: j.Typed(fmt.Sprintf("%d+%d/16", rng.Intn(20)-10, rng.Intn(16))),
			Y: j.Typed(fmt.Sprintf("%d %d/32", rng.Intn(20), rng.Intn(32))), Z: j.Typed(fmt.Sprintf("%.3f", 3*rng.Float64()))}
		switch i % 50 {
		case 7:
			r.Note, r.Struck, r.Reason = "by the wiper", true, "slipped"
		case 8:
			r.Z = j.Typed("3 9/8")
		case 9:
			r.SD, r.Set, r.Z = j.Typed("1mm"), "B", Cell{}
		}
		j.Readings = append(j.Readings, r)
	}
	j.Tapes = []Tape{{How: Twin, From: "1", Length: j.Typed("47 1/2")}, {How: Straight, From: "1", To: "2", Length: j.Typed("1200mm"), Struck: true, Reason: "sagged"}}
	j.Evaluate()
	return j
}

func BenchmarkEncode(b *testing.B) {
	j := surveyed(20_000)
	for range b.N {
		data, err := Encode(j)
		if err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(len(data)))
	}
}

func BenchmarkDecode(b *testing.B) {
	data, err := Encode(surveyed(20_000))
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(len(data)))
	for range b.N {
		if _, _, err := Decode("x", data); err != nil {
			b.Fatal(err)
		}
	}
}
