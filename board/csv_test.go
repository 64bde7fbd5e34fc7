package board

import (
	"fmt"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestReadReadings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		unit       Unit
		x, y, z    float64 // mm, of the first reading
	}{
		{"comma", "kind,id,x,y,z\nedge,1,10.5,-20,30\n", MM, 10.5, -20, 30},
		{"no line's end at the end", "kind,id,x,y,z\nedge,1,10.5,-20,30", MM, 10.5, -20, 30},
		{"columns in another order", "z,y,x,id,kind\n30,-20,10.5,1,edge\n", MM, 10.5, -20, 30},
		{"semicolon and decimal comma", "kind;id;x;y;z\nedge;1;10,5;-20;30\n", MM, 10.5, -20, 30},
		{"commas and quoted decimal commas", "kind,id,x,y,z\nedge,1,\"10,5\",\"-20,0\",30\n", MM, 10.5, -20, 30},
		{"tab", "kind\tid\tx\ty\tz\nedge\t1\t10.5\t-20\t30\n", MM, 10.5, -20, 30},
		{"byte order mark, CR LF, capitals, blank rows", "\ufeffKind,ID,X,Y,Z\r\n\r\nEdge,1,10.5,-20,30\r\n,,,,\r\n", MM, 10.5, -20, 30},
		{"a spreadsheet's hint and blank lines first", "sep=;\n\nkind;id;x;y;z\nedge;1;10.5;-20;30\n", MM, 10.5, -20, 30},
		{"an empty column at the end", "kind,id,x,y,z,\nedge,1,10.5,-20,30,\n", MM, 10.5, -20, 30},
		{"cells left off", "kind,id,x,y,z,note,set\nedge,1,10.5,-20,30\n", MM, 10.5, -20, 30},
		{"blanks round everything", "kind , id ,x, y ,z\n edge, 1 ,10.5 , \"-20\" ,30\n", MM, 10.5, -20, 30},
		{"fractions", "kind,id,x,y,z\nedge,1,12 3/8,-1/2,1' 2\n", Inch, 314.325, -12.7, 355.6},
		{"inch marks and a stray unit", "kind,id,x,y,z\nedge,1,12\",254mm,1\n", Inch, 304.8, 254, 25.4},
		{"inch marks in quotes", "kind,id,x,y,z\nedge,1,\"12 3/8\"\"\",254mm,1\n", Inch, 314.325, 254, 25.4},
		{"three decimals, shown to be commas by another row", "kind;id;x;y;z\nedge;1;314,325;-20;30\nedge;2;1,5;0;0\n", MM, 314.325, -20, 30},
		{"three decimals with a point", "kind,id,x,y,z\nedge,1,12.375,-20,30\n", MM, 12.375, -20, 30},
		{"thousands", "kind;id;x;y;z\nedge;1;1.234,5;-20;30\n", MM, 1234.5, -20, 30},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := NewJob("a")
			j.Unit = c.unit
			got, err := ReadReadings(strings.NewReader(c.text), "a.csv", j)
			require.NoError(t, err)
			assert.Empty(t, j.Readings, "the job is not changed")
			r := got[0]
			for range 2 {
				assert.Equal(t, "1", r.ID)
				assert.InDelta(t, c.x, r.X.MM, readTol)
				assert.InDelta(t, c.y, r.Y.MM, readTol)
				assert.InDelta(t, c.z, r.Z.MM, readTol)
				j.Readings, j.Unit, j.Comma = got, MM, !j.Comma
				j.Evaluate() // and the same in a job of another unit and mark
				r = j.Readings[0]
			}
		})
	}
}

func TestReadReadingsUTF16(t *testing.T) {
	data := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune("kind\tid\tx\ty\tz\tnote\r\nedge\t1\t12⅜\t2\t3\tGerät\r\n")) {
		data = append(data, byte(u), byte(u>>8))
	}
	got, err := ReadReadings(strings.NewReader(string(data)), "a.csv", NewJob("a"))
	require.NoError(t, err)
	assert.InDelta(t, 12.375, got[0].X.MM, readTol)
	assert.Equal(t, "Gerät", got[0].Note)
}

func TestReadReadingsOptionalColumns(t *testing.T) {
	text := "kind,id,x,y,z,note,set,sd\nedge,1,1,2,,\"chip, \"\"small\"\"\",B,\ncenter,C1,0,5,,,,2\nmark,M1,3,4,5,hole,,\nface,F1,3,4,5\n"
	got, err := ReadReadings(strings.NewReader(text), "a.csv", NewJob("a"))
	require.NoError(t, err)
	require.Len(t, got, 4)
	assert.Equal(t, `chip, "small"`, got[0].Note)
	assert.Equal(t, "B", got[0].Set)
	assert.Equal(t, Cell{}, got[0].Z)
	assert.Equal(t, 2.0, got[1].SD.MM)
	assert.Equal(t, Centre, got[1].Kind)
	assert.Equal(t, Mark, got[2].Kind)
	assert.Equal(t, Face, got[3].Kind)
	got, err = ReadReadings(strings.NewReader("kind,id,x,y,z\n"), "a.csv", NewJob("a"))
	require.NoError(t, err)
	assert.Empty(t, got)
}

func TestTablesRefuseWithThePlace(t *testing.T) {
	const head = "kind,id,x,y,z\n"
	for _, c := range []struct {
		name, text, field string
		row               int
		says              string
	}{
		{"empty", "", "", 0, "empty"},
		{"blank", "\n \r\n\n", "", 0, "empty"},
		{"no x", "kind,id,y,z\n", "x", 1, "does not name"},
		{"column twice", "kind,id,x,x,y,z\n", "x", 1, "twice"},
		{"column unknown", "kind,id,x,y,z,w\n", "w", 1, "not known"},
		{"column of two lines", "\"a\nb\",id,x,y,z\n", "", 1, "no name of a column"},
		{"kind unknown", head + "rim,1,2,3,4\n", "kind", 2, `"rim"`},
		{"no kind", head + ",1,2,3,4\n", "kind", 2, "no kind"},
		{"no id", head + "edge,,2,3,4\n", "id", 2, "no name"},
		{"not a number", head + "edge,1,2,3,4\nedge,2,NaN,3,4\n", "x", 3, "not a number"},
		{"row counted with blank ones", head + "\n\nedge,2,inf,3,4\n", "x", 4, "not a number"},
		{"no number", head + "edge,1,,3,4\n", "x", 2, "nothing"},
		{"cut row", head + "edge,1,2\n", "y", 2, "nothing"},
		{"face without height", head + "face,1,2,3,\n", "z", 2, "nothing"},
		{"too long", head + "edge,1,2,1e300,4\n", "y", 2, "longer than any board"},
		{"grid line", head + "edge,1,7+3/8,3,4\n", "x", 2, "grid lines need the job's grid"},
		{"lettered line", head + "edge,1,7,C,4\n", "y", 2, "grid lines need the job's grid"},
		{"sd of nothing", "kind,id,x,y,z,sd\nedge,1,2,3,4,0\n", "sd", 2, "more than 0"},
		{"two meanings", head + "edge,1,\"1,234\",3,4\n", "x", 2, "could be"},
		{"two marks", "kind;id;x;y;z\nedge;1;2,5;3;4\nedge;2;3;4.5;5\n", "y", 3, "one mark"},
		{"too many cells", head + "edge,1,2,3,4,5\n", "", 2, "6 cells"},
		{"decimal commas unquoted among commas", head + "edge,1,2,5,3,5,4\n", "", 2, "must stand in quotes"},
		{"open quote", head + "edge,1,2,3,4\nedge,2,\"2,3,4\nedge,3,2,3,4\n", "", 3, "never closed"},
		{"behind a quote", head + "edge,1,\"2\"x,3,4\n", "", 2, "behind its closing quote"},
		{"line break in a note", "kind,id,x,y,z,note\nedge,1,2,3,4,\"a\nb\"\n", "note", 2, "line break"},
		{"row behind a line break", head + "edge,1,2,\"\n3\",4\nedge,2,2,3,x\n", "z", 4, "not a number"},
		{"bytes", head + "edge,\xff,2,3,4\n", "", 0, "line 2"},
		{"absurd cell", head + "edge,1," + strings.Repeat("1", 1000) + ",3,4\n", "x", 2, "too long"},
		{"absurd id", head + "edge," + strings.Repeat("1", 1000) + ",2,3,4\n", "id", 2, "too long"},
		{"absurd size", head + strings.Repeat("\n", maxTable), "", 0, "larger than"},
	} {
		t.Run(c.name, func(t *testing.T) {
			got, err := ReadReadings(strings.NewReader(c.text), "a.csv", NewJob("a"))
			var p *PlaceError
			require.ErrorAs(t, err, &p)
			assert.Nil(t, got)
			assert.Equal(t, "a.csv", p.File)
			assert.Equal(t, c.row, p.Row)
			assert.Equal(t, c.field, p.Field)
			assert.Contains(t, p.Reason, c.says)
			assert.NotContains(t, err.Error(), "\n")
			assert.Less(t, len(err.Error()), 300)
		})
	}
	_, err := ReadReadings(strings.NewReader(head+strings.Repeat("edge,1,2,3,4\n", maxReadings+1)), "a.csv", NewJob("a"))
	assert.ErrorContains(t, err, "a.csv, row 100002: the table has more than 100000 rows")
	_, err = ReadReadings(strings.NewReader(head+"face,F1,2,3,x\n"), "readings.csv", NewJob("a"))
	assert.EqualError(t, err, `readings.csv, row 2, column z: "x": this is not a number: type digits, as in 314.5 or 12 3/8`)
	assert.Equal(t, "face", err.(*PlaceError).List)
}

// A table in a job with the decimal comma: its own numbers tell the mark first.
func TestReadReadingsMarkOfTheJob(t *testing.T) {
	j := NewJob("a")
	j.Comma = true
	got, err := ReadReadings(strings.NewReader("kind,id,x,y,z\nedge,1,\"1,234\",3,4\n"), "a.csv", j)
	require.NoError(t, err)
	assert.InDelta(t, 1.234, got[0].X.MM, readTol)
	got, err = ReadReadings(strings.NewReader("kind,id,x,y,z\nedge,1,1.234,3.5,4\n"), "a.csv", j)
	require.NoError(t, err)
	assert.InDelta(t, 1.234, got[0].X.MM, readTol)
	_, err = ReadReadings(strings.NewReader("kind,id,x,y,z\nedge,1,1.234,3,4\n"), "a.csv", j)
	assert.ErrorContains(t, err, "could be 1,234 or 1234")
}

func TestReadTapes(t *testing.T) {
	j := NewJob("a")
	j.Readings = []Reading{{ID: "1"}, {ID: "2"}, {ID: "F1", Kind: Face}}
	got, err := ReadTapes(strings.NewReader("how,station,from,to,length\ntwin,1,,,900\nStraight,,1,2,450.5\ngreatest,,2,,910\n"), "t.csv", j)
	require.NoError(t, err)
	assert.Equal(t, []Tape{
		{How: Twin, From: "1", Length: Cell{Text: "900", MM: 900, Set: true}},
		{How: Straight, From: "1", To: "2", Length: Cell{Text: "450.5", MM: 450.5, Set: true}},
		{How: Greatest, From: "2", Length: Cell{Text: "910", MM: 910, Set: true}},
	}, got)
	got, err = ReadTapes(strings.NewReader("length;how;station\n450,5;twin;2\n"), "t.csv", j)
	require.NoError(t, err)
	assert.InDelta(t, 450.5, got[0].Length.MM, readTol)

	for _, c := range []struct{ text, field, says string }{
		{"how,station,length\nround,1,9\n", "how", "no way of taping"},
		{"how,station,length\ntwin,F1,9\n", "station", `no station "F1"`},
		{"how,station,length\ntwin,,9\n", "station", "missing"},
		{"how,from,to,length\nstraight,,1,9\n", "from", "missing"},
		{"how,station,length\ntwin,1,0\n", "length", "more than 0"},
		{"how,station,length\ntwin,1,-9\n", "length", "more than 0"},
		{"how,station,length\ntwin,1,\n", "length", "nothing"},
		{"how,from,to,length\nstraight,1,7,9\n", "to", `no station "7"`},
		{"how,from,to,length\nstraight,1,1,9\n", "to", "different"},
		{"how,from,to,length\ntwin,1,2,9\n", "to", "only a straight width"},
		{"how,station,from,length\ntwin,1,2,9\n", "from", "both"},
		{"how,station,length,note\n", "note", "not known"},
		{"how,station\ntwin,1\n", "length", "does not name"},
	} {
		_, err := ReadTapes(strings.NewReader(c.text), "t.csv", j)
		var p *PlaceError
		require.ErrorAs(t, err, &p, c.text)
		assert.Equal(t, c.field, p.Field, c.text)
		assert.Contains(t, p.Reason, c.says, c.text)
	}
}

func FuzzReadReadings(f *testing.F) {
	f.Add("kind,id,x,y,z\nedge,1,12 3/8,-1/2,\"1' 2\"\n", true)
	f.Add("kind;id;x;y;z\nedge;1;10,5;-20;30\n", false)
	f.Add("\xff\xfek\x00i\x00", false)
	f.Fuzz(func(t *testing.T, text string, inch bool) {
		j := NewJob("a")
		if inch {
			j.Unit = Inch
		}
		got, err := ReadReadings(strings.NewReader(text), "a.csv", j)
		if err != nil {
			if _, ok := err.(*PlaceError); !ok || got != nil || strings.Contains(err.Error(), "\n") {
				t.Fatalf("%#v", err)
			}
			return
		}
		j.Readings = got
		before := j.Clone()
		j.Evaluate()
		if err := j.Validate(); err != nil || !j.Equal(before) {
			t.Fatalf("read as one thing, evaluated as another: %v", err)
		}
		for _, r := range j.Readings {
			if !r.located() || r.ID == "" || r.X.Fault+r.Y.Fault+r.Z.Fault+r.SD.Fault != "" {
				t.Fatalf("%+v", r)
			}
		}
	})
}

func FuzzReadTapes(f *testing.F) {
	f.Add("how,station,length\ntwin,1,900\n")
	f.Add("how;from;to;length\nstraight;1;2;900,5\n")
	f.Fuzz(func(t *testing.T, text string) {
		j := NewJob("a")
		j.Readings = []Reading{{ID: "1"}, {ID: "2"}}
		tapes, err := ReadTapes(strings.NewReader(text), "t.csv", j)
		if _, ok := err.(*PlaceError); err != nil && !ok {
			t.Fatalf("%#v", err)
		}
		j.Tapes = tapes
		j.Evaluate()
		for i, tape := range j.Tapes {
			if !(tape.Length.MM > 0) || tape != tapes[i] || j.Validate() != nil {
				t.Fatalf("%+v", tape)
			}
		}
	})
}

func BenchmarkReadReadings(b *testing.B) {
	var s strings.Builder
	s.WriteString("kind,id,x,y,z\n")
	for i := range 20_000 {
		fmt.Fprintf(&s, "edge,%d,%d.5,%d 3/8,12.25\n", i, i%1000, i%500)
	}
	b.SetBytes(int64(s.Len()))
	for b.Loop() {
		_, err := ReadReadings(strings.NewReader(s.String()), "a.csv", NewJob("a"))
		require.NoError(b, err)
	}
}
