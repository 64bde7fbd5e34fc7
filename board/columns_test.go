package board

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// gridJob is an empty job whose grid has a pitch of 100 mm.
func gridJob(u Unit) *Job {
	j := NewJob("a")
	j.Unit = u
	return j
}

func TestColumnsAreGuessed(t *testing.T) {
	for _, c := range []struct {
		name, text string
		unit       Unit // of the job
		fields     string
		in         Unit // guessed
		comma      bool
		first      string // id x y z of the first reading, in mm
	}{
		{"as the files have it", "kind,id,x,y,z\nedge,E1,10.5,-20,30\n", MM, "kind id x y z", MM, false, "E1 10.5 -20 30"},
		{"heads with units", "Point,X (mm),Y (mm),Height [mm]\n7,314.3,20,30\n", Inch, "id x y z", MM, false, "7 314.3 20 30"},
		{"heads in two units", "no\tx in\ty in\tz_mm\n7\t1\t2\t30\n", MM, "id x y z", Inch, false, "7 25.4 50.8 30"},
		{"columns that are no readings", "id,colour,x,y,z,miss_mm\n7,red,1,2,3,0.1\n", MM, "id  x y z ", MM, false, "7 1 2 3"},
		{"a title above", "Rear screen\n\nx;y;z\n1,5;2;3\n", MM, "x y z", MM, true, "1 1.5 2 3"},
		{"no head: three numbers", "10.5\t-20\t30\n11\t-21\t31\n", MM, "x y z", MM, false, "1 10.5 -20 30"},
		{"no head: two numbers", "10.5\t-20\n11\t-21\n", MM, "x y", MM, false, "1 10.5 -20 0"},
		{"no head: counted rows", "5\t300\t-20\t30\n6\t11\t-21\t31\n", MM, "id x y z", MM, false, "5 300 -20 30"},
		{"no head: names, a note", "E5\t300\t-20\t30\tchip here\nE6\t500\t-21\t31\t\n", MM, "id x y z note", MM, false, "E5 300 -20 30"},
		{"no head: kinds", "edge;1;300;-20;30\nface;F1;500;-21;31\n", MM, "kind id x y z", MM, false, "1 300 -20 30"},
		{"numbers that only look counted", "1\t2\t3\n2\t500\t7\n9\t3\t3\n", MM, "x y z", MM, false, "1 1 2 3"},
		{"fractions are inches", "x\ty\tz\n12 3/8\t-2\t1\n", MM, "x y z", Inch, false, "1 314.325 -50.8 25.4"},
		{"too far for inches", "x\ty\tz\n612\t-20\t30\n", Inch, "x y z", MM, false, "1 612 -20 30"},
		{"too small for millimetres", "x\ty\tz\n" + strings.Repeat("12\t1\t1\n24\t9\t1\n", 4), MM, "x y z", Inch, false, "1 304.8 25.4 25.4"},
		{"most marks are commas", "x;y;z\n1,5;2,5;3\n4.5;1;2\n", MM, "x y z", MM, true, "1 1.5 2.5 3"},
		{"grid lines", "x\ty\tz\n7+3.5\tC+12\t30\n", MM, "x y z", MM, false, "1 703.5 212 30"},
		{"Windows line ends, quotes", "id,x,y,z,note\r\n\"7\",1,2,3,\"a, b\"\r\n", MM, "id x y z note", MM, false, "7 1 2 3"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := gridJob(c.unit)
			got, err := ReadColumns([]byte(c.text), "a.csv", j, Edge)
			require.NoError(t, err)
			assert.Equal(t, strings.Split(c.fields, " "), got.Fields)
			assert.Equal(t, c.comma, got.Comma)
			for i, f := range got.Fields {
				if f == "x" {
					assert.Equal(t, c.in, got.Units[i])
				}
			}
			assert.Equal(t, c.in != c.unit, got.Why != "" && c.in != c.unit, "a unit that is not the job's is said why")
			rs, _ := got.Readings(j)
			require.NotEmpty(t, rs)
			r := rs[0]
			var x, y, z float64
			var id string
			_, err = fmt.Sscan(c.first, &id, &x, &y, &z)
			require.NoError(t, err)
			assert.Equal(t, id, r.ID)
			assert.InDeltaSlice(t, []float64{x, y, z}, []float64{r.X.MM, r.Y.MM, r.Z.MM}, readTol)
			assert.Empty(t, j.Readings, "the job is not changed")
		})
	}
}

func TestColumnsTellWhatIsNotUnderstood(t *testing.T) {
	text := "id,x,y,z,note\n1,10,20,30,\n2,12..5,1,1,\n3,,1,1,\n4,\"1,5\",1,1,\n5,1.5,1,1,\n6,402.5,3,4,good\nrim,,,,\n"
	j := gridJob(MM)
	c, err := ReadColumns([]byte(text), "a.csv", j, Face)
	require.NoError(t, err)
	rs, faults := c.Readings(j)
	var ids []string
	for _, r := range rs {
		ids = append(ids, r.ID)
		assert.Equal(t, Face, r.Kind)
	}
	assert.Equal(t, []string{"1", "5", "6"}, ids)
	var places []string
	for _, f := range faults {
		places = append(places, fmt.Sprintf("%d %s", f.Row, f.Field))
		assert.NotEmpty(t, f.Reason)
	}
	assert.Equal(t, []string{"3 x", "4 x", "5 x", "8 x"}, places)
	assert.Contains(t, faults[2].Reason, "one mark")

	c.Comma = true // what was guessed may be changed
	rs, _ = c.Readings(j)
	assert.Equal(t, "4", rs[1].ID)
	assert.InDelta(t, 1.5, rs[1].X.MM, readTol)
	c.Comma = false
	c.SetUnit(Inch)
	rs, _ = c.Readings(j)
	assert.InDelta(t, 254, rs[0].X.MM, readTol)
	c.Fields[2], c.Fields[1] = "x", "y"
	rs, _ = c.Readings(j)
	assert.InDelta(t, 20*25.4, rs[0].X.MM, readTol)
	c.Fields[2] = ""
	rs, faults = c.Readings(j)
	assert.Empty(t, rs)
	assert.Len(t, faults, 7, "no reading without an x")
}

func TestColumnsAreRefused(t *testing.T) {
	for _, c := range []struct{ name, text, says string }{
		{"nothing", " \n\n", "empty"},
		{"bytes", "x,y\n\xff,1\n", "no characters"},
		{"quote", "x,y\n\"1,2\n", "never closed"},
		{"wide", strings.Repeat("x,", 80) + "\n", "columns"},
		{"long", "x,y\n" + strings.Repeat("1,1\n", maxReadings+1), "rows"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadColumns([]byte(c.text), "a.csv", gridJob(MM), Edge)
			require.ErrorContains(t, err, c.says)
			var at *PlaceError
			assert.ErrorAs(t, err, &at)
		})
	}
}

func TestNamesColumns(t *testing.T) {
	for text, want := range map[string]bool{
		"x\ty\tz\n1\t2\t3":             true,
		"Kind;Id;X (mm);Y (mm)\na;b;c": true,
		"x,y\n1,2":                     true,
		"x\ty\tz":                      false, // a head alone
		"1\t2\t3\n1\t2\t3":             false,
		"x\n1":                         false,
		"":                             false,
	} {
		assert.Equal(t, want, NamesColumns(text), "%q", text)
	}
}

func TestAddingReadings(t *testing.T) {
	j := gridJob(MM)
	j.Add([]Reading{{ID: "1", X: j.Typed("1"), Note: "chip"}, {ID: "2"}, {ID: "1", Kind: Face}}, false)
	rs := []Reading{{ID: "1", X: j.Typed("5")}, {ID: "3"}}
	assert.Equal(t, 1, j.Known(rs))
	both, over := j.Clone(), j.Clone()
	both.Add(rs, false)
	assert.Len(t, both.Readings, 5)
	over.Add(rs, true)
	require.Len(t, over.Readings, 4)
	assert.Equal(t, "5", over.Readings[0].X.Text)
	assert.Equal(t, "chip", over.Readings[0].Note, "a note stays")
	assert.Equal(t, Face, over.Readings[2].Kind)
}

func TestReadingsWithoutNamesAreCountedOn(t *testing.T) {
	j := gridJob(MM)
	j.Add([]Reading{{ID: "E7"}, {ID: "F1", Kind: Face}}, false)
	c, err := ReadColumns([]byte("kind,id,x,y,z\nedge,,1,2,3\nedge,E9,1,2,3\nedge,,1,2,3\nface,,1,2,3\nmark,,1,2,3\n"), "a", j, Edge)
	require.NoError(t, err)
	rs, faults := c.Readings(j)
	require.Empty(t, faults)
	var ids []string
	for _, r := range rs {
		ids = append(ids, r.ID)
	}
	assert.Equal(t, []string{"E10", "E9", "E11", "F2", "M1"}, ids)
}

// FuzzReadColumns: no table is too strange, and what is taken of it can be kept.
func FuzzReadColumns(f *testing.F) {
	for _, s := range []string{"x,y\n1,2\n", "E1\t7+3/8\tC\t3\tnote\n", "kind;id;x;y;z\nedge;;1,5;2;\n", "\"a\nb\",1,2\n", "a b\n\n1\t2\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		j := gridJob(Inch)
		c, err := ReadColumns(data, "a", j, Edge)
		if err != nil {
			return
		}
		rs, faults := c.Readings(j)
		require.LessOrEqual(t, len(rs)+len(faults), len(c.Rows))
		for _, r := range rs {
			require.NotEmpty(t, r.ID)
			require.True(t, r.X.Set && r.Y.Set)
		}
		j.Add(rs, true)
		j.Evaluate()
		require.NoError(t, j.Validate())
	})
}

// BenchmarkColumns reads a table of 500 rows and makes readings of it.
func BenchmarkColumns(b *testing.B) {
	var text strings.Builder
	text.WriteString("id\tx\ty\tz\n")
	for i := range 500 {
		fmt.Fprintf(&text, "%d\t%.1f\t%d\t30\n", i+1, float64(i)*1.5, i)
	}
	data, j := []byte(text.String()), gridJob(MM)
	for b.Loop() {
		c, err := ReadColumns(data, "a", j, Edge)
		if err != nil {
			b.Fatal(err)
		}
		if rs, _ := c.Readings(j); len(rs) != 500 {
			b.Fatal(len(rs))
		}
	}
}
