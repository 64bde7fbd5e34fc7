package board

import (
	"errors"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withCut is a job whose cut 7 has the stations 1 to 5, right half measured.
func withCut() *Job {
	j := NewJob("demo")
	for _, id := range []string{"1", "2", "3", "4", "5"} {
		j.Readings = append(j.Readings, Reading{ID: id})
	}
	addCuts(j)
	j.Gaps = nil
	return j
}

func TestReadGaps(t *testing.T) {
	got, err := ReadGaps(strings.NewReader("note;ledge;wall;station\nchalk;;1,2;1\n;tight;0,6..0,7;3'\n;;;2\n"), "gaps.csv", withCut())
	require.NoError(t, err)
	require.Len(t, got, 3)
	assert.Equal(t, GapNote{Cut: 7, Station: "1", Note: "chalk", Wall: GapCell{Text: "1,2", Comma: true, Set: true, Lo: 1.2, Hi: 1.2}, Ledge: GapCell{Comma: true}}, got[0])
	assert.Equal(t, "3'", got[1].Station)
	assert.Equal(t, [2]float64{0.6, 0.7}, [2]float64{got[1].Wall.Lo, got[1].Wall.Hi})
	assert.True(t, got[1].Ledge.Tight)
	assert.False(t, got[2].Wall.Set)
}

func TestReadGapsNamesThePlace(t *testing.T) {
	for _, c := range []struct {
		name, text string
		row        int
		field      string
		says       string
	}{
		{"nothing", "", 0, "", "empty"},
		{"no station", "wall\n1\n", 1, "station", "does not name"},
		{"no gap", "station,note\n1,x\n", 1, "wall", "neither"},
		{"a column more", "station,wall,roof\n1,1,1\n", 1, "roof", "not known"},
		{"unknown station", "station,wall\n1,1\n9,1\n", 3, "station", `no station "9"`},
		{"unknown twin", "station,wall\n9',1\n", 2, "station", `no station "9'"`},
		{"empty station", "station,wall\n,1\n", 2, "station", "no station"},
		{"twice", "station,wall\n1,1\n2,1\n1,2\n", 4, "station", "row 2"},
		{"no gap at all", "station,wall\n1,wide\n", 2, "wall", "tight, or 0.6..0.7"},
		{"turned round", "station,ledge\n1,0.7..0.6\n", 2, "ledge", "thicker"},
		{"two marks", "station,wall\n1,1.25\n2,\"1,25\"\n", 3, "wall", "one mark"},
		{"far too much", "station,wall\n1,1e9\n", 2, "wall", ""},
	} {
		_, err := ReadGaps(strings.NewReader(c.text), "gaps.csv", withCut())
		var at *PlaceError
		require.True(t, errors.As(err, &at), "%s: %v", c.name, err)
		assert.Equal(t, c.row, at.Row, c.name)
		assert.Equal(t, c.field, at.Field, c.name)
		assert.Contains(t, at.Reason, c.says, c.name)
		assert.Contains(t, err.Error(), "gaps.csv")
	}
	_, err := ReadGaps(strings.NewReader("station,wall\n1,1\n"), "gaps.csv", NewJob("none"))
	assert.ErrorContains(t, err, "no cut")
}

// FuzzReadGaps: whatever is read is kept by the job's file as it was.
func FuzzReadGaps(f *testing.F) {
	f.Add("station,wall,ledge,note\n1,1.2,tight,\n2',0.6..0.7,,x\n")
	f.Add("station;wall\n1;0,6..\n2;..0,7\n")
	f.Add("station\twall\n1\tt\n")
	f.Fuzz(func(t *testing.T, text string) {
		j := withCut()
		gaps, err := ReadGaps(strings.NewReader(text), "gaps.csv", j)
		if err != nil {
			var at *PlaceError
			require.True(t, errors.As(err, &at))
			return
		}
		j.Gaps = gaps
		j.Evaluate()
		data, err := Encode(j)
		require.NoError(t, err)
		back, _, err := Decode("a", data)
		require.NoError(t, err)
		require.True(t, j.Equal(back))
		for i := range gaps {
			for _, c := range []*GapCell{&gaps[i].Wall, &gaps[i].Ledge} {
				g := c.gap()
				require.Equal(t, c.Set, g.Read())
				require.False(t, g.Lo > g.Hi)
			}
		}
	})
}
