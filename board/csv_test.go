package board

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestReadReadings(t *testing.T) {
	for _, c := range []struct {
		name, text string
		unit       Unit
		x, y, z    float64 // mm, of the first reading
	}{
		{"comma", "kind,id,x,y,z\nedge,1,10.5,-20,30\n", MM, 10.5, -20, 30},
		{"columns in another order", "z,y,x,id,kind\n30,-20,10.5,1,edge\n", MM, 10.5, -20, 30},
		{"semicolon and decimal comma", "kind;id;x;y;z\nedge;1;10,5;-20;30\n", MM, 10.5, -20, 30},
		{"tab", "kind\tid\tx\ty\tz\nedge\t1\t10.5\t-20\t30\n", MM, 10.5, -20, 30},
		{"byte order mark, CR LF, capitals, blank rows", "\ufeffKind,ID,X,Y,Z\r\n\r\nEdge,1,10.5,-20,30\r\n,,,,\r\n", MM, 10.5, -20, 30},
		{"fractions", "kind,id,x,y,z\nedge,1,12 3/8,-1/2,1' 2\n", Inch, 314.325, -12.7, 355.6},
		{"inch marks and a stray unit", "kind,id,x,y,z\nedge,1,12\",254mm,1\n", Inch, 304.8, 254, 25.4},
	} {
		t.Run(c.name, func(t *testing.T) {
			j := NewJob("a")
			j.Unit = c.unit
			got, err := ReadReadings(strings.NewReader(c.text), "a.csv", j)
			require.NoError(t, err)
			require.Len(t, got, 1)
			j.Readings = got
			j.Evaluate()
			r := j.Readings[0]
			require.Equal(t, "1", r.ID)
			require.InDelta(t, c.x, r.X.MM, 1e-9)
			require.InDelta(t, c.y, r.Y.MM, 1e-9)
			require.InDelta(t, c.z, r.Z.MM, 1e-9)
		})
	}
}

func TestReadReadingsOptionalColumns(t *testing.T) {
	text := "kind,id,x,y,z,note,set,sd\nedge,1,1,2,,\"chip, small\",B,\ncentre,C1,0,5,,,,2\nmark,M1,3,4,5,hole,,\n"
	got, err := ReadReadings(strings.NewReader(text), "a.csv", NewJob("a"))
	require.NoError(t, err)
	require.Equal(t, "chip, small", got[0].Note)
	require.Equal(t, "B", got[0].Set)
	require.False(t, got[0].Z.Set)
	require.Equal(t, 2.0, got[1].SD.MM)
	require.Equal(t, Mark, got[2].Kind)
}

func TestTablesRefuseWithThePlace(t *testing.T) {
	const head = "kind,id,x,y,z\n"
	for _, c := range []struct {
		name, text, field string
		row               int
	}{
		{"empty", "", "", 0},
		{"no x", "kind,id,y,z\n", "x", 1},
		{"column twice", "kind,id,x,x,y,z\n", "x", 1},
		{"column unknown", "kind,id,x,y,z,w\n", "w", 1},
		{"kind unknown", head + "rim,1,2,3,4\n", "kind", 2},
		{"no id", head + "edge,,2,3,4\n", "id", 2},
		{"not a number", head + "edge,1,2,3,4\nedge,2,NaN,3,4\n", "x", 3},
		{"no number", head + "edge,1,,3,4\n", "x", 2},
		{"face without height", head + "face,1,2,3,\n", "z", 2},
		{"too long", head + "edge,1,2,1e300,4\n", "y", 2},
		{"grid line", head + "edge,1,7+3/8,3,4\n", "x", 2},
		{"two meanings", head + "edge,1,\"1,234\",3,4\n", "x", 2},
		{"too many cells", head + "edge,1,2,3,4,5\n", "", 2},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadReadings(strings.NewReader(c.text), "a.csv", NewJob("a"))
			var p *PlaceError
			require.True(t, errors.As(err, &p), "%v", err)
			require.Equal(t, "a.csv", p.File)
			require.Equal(t, c.row, p.Row)
			require.Equal(t, c.field, p.Field)
			require.NotContains(t, err.Error(), "\n")
		})
	}
}

func TestReadTapes(t *testing.T) {
	j := NewJob("a")
	j.Readings = []Reading{{ID: "1"}, {ID: "2"}, {ID: "F1", Kind: Face}}
	got, err := ReadTapes(strings.NewReader("how,station,from,to,length\ntwin,1,,,900\nstraight,,1,2,450.5\ngreatest,2,,,910\n"), "t.csv", j)
	require.NoError(t, err)
	require.Len(t, got, 3)
	require.Equal(t, Tape{How: Straight, From: "1", To: "2", Length: Cell{Text: "450.5", MM: 450.5, Set: true}}, got[1])
	for _, bad := range []string{"how,station,length\nround,1,9\n", "how,station,length\ntwin,F1,9\n", "how,station,length\ntwin,1,0\n",
		"how,from,to,length\nstraight,1,7,9\n", "how,station\ntwin,1\n", "how,station,length\ntwin,1,\n"} {
		_, err := ReadTapes(strings.NewReader(bad), "t.csv", j)
		var p *PlaceError
		require.True(t, errors.As(err, &p), bad)
	}
}

func FuzzReadReadings(f *testing.F) {
	f.Add("kind,id,x,y,z\nedge,1,12 3/8,-1/2,\"1' 2\"\n", true)
	f.Add("kind;id;x;y;z\nedge;1;10,5;-20;30\n", false)
	f.Fuzz(func(t *testing.T, text string, inch bool) {
		j := NewJob("a")
		if inch {
			j.Unit = Inch
		}
		got, err := ReadReadings(strings.NewReader(text), "a.csv", j)
		if err != nil {
			return
		}
		before := len(got)
		j.Readings = got
		j.Evaluate()
		for _, r := range j.Readings {
			if r.X.Fault != "" || !r.X.Set || r.ID == "" {
				t.Fatalf("%+v", r)
			}
		}
		if len(j.Readings) != before {
			t.Fatal("a reading was lost")
		}
	})
}

func FuzzReadTapes(f *testing.F) {
	f.Add("how,station,length\ntwin,1,900\n")
	f.Fuzz(func(t *testing.T, text string) {
		j := NewJob("a")
		j.Readings = []Reading{{ID: "1"}}
		tapes, err := ReadTapes(strings.NewReader(text), "t.csv", j)
		for _, tape := range tapes {
			if err == nil && !(tape.Length.MM > 0) {
				t.Fatalf("%+v", tape)
			}
		}
	})
}
