package board

import (
	"fmt"
	"math/rand"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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

func TestFileRoundTrip(t *testing.T) {
	for name, j := range map[string]*Job{"new": NewJob(""), "small": surveyed(1), "all sorts": surveyed(300)} {
		data, err := Encode(j)
		require.NoError(t, err, name)
		got, notes, err := Decode("a.pane", data)
		require.NoError(t, err, name)
		require.Empty(t, notes, name)
		require.True(t, j.Equal(got), name)
		again, err := Encode(got)
		require.NoError(t, err)
		require.Equal(t, string(data), string(again), "the same job, the same bytes")
	}
}

// A field added to the job, a reading, a tape or the pocket cannot be forgotten
// in the file: each is changed in turn and must come back changed.
func TestFileKeepsEveryField(t *testing.T) {
	full := func() *Job {
		j := NewJob("demo")
		j.Plane = &TypedPlane{}
		j.Readings = []Reading{{ID: "1"}}
		j.Tapes = []Tape{{From: "1"}}
		j.Photo = Photo{Path: "board.jpg", Size: [2]int{400, 300}}
		addCuts(j)
		return j
	}
	derived := regexp.MustCompile(`\.(MM|Set|Fault|Tight|Lo|Hi)$`)
	never := regexp.MustCompile(`^\.(Cuts|Gaps|Distances|Frame\.R.*|Plan|Face|Shape)$`) // no such file, or tried one by one
	try := func(root func(*Job) reflect.Value) {
		var paths []string
		leaves(root(full()), "", func(path string, _ reflect.Value) { paths = append(paths, path) })
		for _, changed := range paths {
			if derived.MatchString(changed) && changed != ".Set" || never.MatchString(changed) {
				continue // follows from the text
			}
			j := full()
			leaves(root(j), "", func(path string, v reflect.Value) {
				if path == changed {
					spoil(t, v)
				}
			})
			j.Evaluate()
			data, err := Encode(j)
			require.NoError(t, err, changed)
			got, notes, err := Decode("a", data)
			require.NoError(t, err, changed)
			require.Empty(t, notes, changed)
			require.True(t, got.Equal(j), "%s is lost in the file", changed)
			require.False(t, got.Equal(full()), "%s was not changed", changed)
		}
	}
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Readings[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Tapes[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Plane).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Cuts[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(j.Cuts[0].Shape).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Gaps[0]).Elem() })
	try(func(j *Job) reflect.Value { return reflect.ValueOf(&j.Distances[0]).Elem() })
}

func TestFileIsReadable(t *testing.T) {
	j := NewJob("demo")
	j.Unit = Inch
	j.Readings = []Reading{edgeAt(j, "12", "12 3/8", "7-1/8", "")}
	j.Readings[0].Struck, j.Readings[0].Reason = true, "moved"
	j.Evaluate()
	data, err := Encode(j)
	require.NoError(t, err)
	text := string(data)
	assert.True(t, strings.HasPrefix(text, "{\n\t\"format\": \"panewright job\",\n\t\"version\": 1,\n\t\"sha256\": \""))
	assert.Contains(t, text, "\n\t\t\t{\"kind\": \"edge\", \"id\": \"12\", \"x\": {\"text\": \"12 3/8\", \"unit\": \"in\", \"value\": 314.325}, ")
	assert.Contains(t, text, `"struck": true, "reason": "moved"}`)
	assert.True(t, strings.HasSuffix(text, "}\n"))
}

func TestDecodeTellsWhatWasEditedOutside(t *testing.T) {
	data, err := Encode(surveyed(20))
	require.NoError(t, err)
	for _, c := range []struct {
		name, old, new string
		says           []string // in the notes
	}{
		{"spacing", "\n", "\n\n   ", nil},
		{"a text", `"text": "5/32"`, `"text": "3/16"`, []string{"checksum", `"3/16" means 4.7625, the file says 3.9688`}},
		{"a text that is not understood", `"text": "5/32"`, `"text": "5/0"`, []string{"checksum", "not understood"}},
		{"a value", `"value": 3.96875`, `"value": 4`, []string{"checksum", "the text counts"}},
		{"a field more", `"name":`, `"colour": {"a": [1, {"b": 2}]}, "name":`, []string{"checksum", `"job.colour" is not known`}},
		{"a field more in a reading", `"id": "1"`, `"id": "1", "tape": "blue"`, []string{"checksum", `"job.readings.tape" is not known`}},
		{"a field more outside the job", `"format":`, `"by": "hand", "format":`, []string{`"by" is not known`}},
		{"a field twice", `"name":`, `"name": "x", "name":`, []string{"checksum", `"job.name" is given twice`}},
	} {
		t.Run(c.name, func(t *testing.T) {
			text := strings.Replace(string(data), c.old, c.new, 1)
			require.NotEqual(t, string(data), text)
			j, notes, err := Decode("a.pane", []byte(text))
			require.NoError(t, err)
			require.Len(t, j.Readings, 20)
			require.Len(t, notes, len(c.says), "%v", notes)
			for i, s := range c.says {
				assert.Contains(t, notes[i], s)
			}
		})
	}
	// many of one kind are counted, not listed
	text := strings.ReplaceAll(string(data), `"kind":`, `"glue": 1, "kind":`)
	_, notes, err := Decode("a", []byte(text))
	require.NoError(t, err)
	assert.Len(t, notes, 2, "one note for a name")
	j := surveyed(100)
	big, err := Encode(j)
	require.NoError(t, err)
	_, notes, err = Decode("a", regexp.MustCompile(`"value": [-\d.]+`).ReplaceAll(big, []byte(`"value": 1`)))
	require.NoError(t, err)
	assert.Len(t, notes, 1+maxNotes+1)
	assert.Contains(t, notes[len(notes)-1], "more cells")
}

func TestDecodeRefuses(t *testing.T) {
	good, err := Encode(surveyed(5))
	require.NoError(t, err)
	swap := func(old, new string) string {
		text := strings.Replace(string(good), old, new, 1)
		require.NotEqual(t, string(good), text)
		return text
	}
	for _, c := range []struct {
		name, text string
		is         error
		says       string
	}{
		{"nothing", "", ErrNotJob, "not whole"},
		{"no JSON", "x,y,z\n1,2,3\n", ErrNotJob, "line 1"},
		{"other JSON", `{"a": 1}`, ErrNotJob, "does not say"},
		{"a list", `[1]`, ErrNotJob, "a.pane"},
		{"cut", string(good[:len(good)/2]), ErrNotJob, "not whole"},
		{"rubbish behind", string(good) + "x", ErrNotJob, "invalid character"},
		{"newer", swap(`"version": 1`, `"version": 2`), ErrNewer, "has version 2, this program reads up to 1"},
		{"version 0", swap(`"version": 1`, `"version": 0`), ErrNotJob, "version 0"},
		{"no job", `{"format": "panewright job", "version": 1}`, ErrNotJob, "holds no job"},
		{"null job", `{"format": "panewright job", "version": 1, "job": null}`, ErrNotJob, "holds no job"},
		{"wrong kind of value", swap(`"name": "Workshop coupe – rear screen"`, `"name": 5`), ErrNotJob, "line 6: the field name cannot hold a number"},
		{"unknown word", swap(`"kind": "edge"`, `"kind": "rim"`), ErrNotJob, `unknown kind of reading "rim"`},
		{"unknown unit", swap(`"unit": "in", "value"`, `"unit": "ell", "value"`), nil, "unknown unit"},
		{"unknown lay", swap(`"lay": "dome"`, `"lay": "flat"`), ErrNotJob, "dome"},
		{"number past float64", swap(`"sigma_mm": 0.5`, `"sigma_mm": 1e999`), ErrNotJob, "sigma_mm"},
		{"impossible", swap(`"cut": 1`, `"cut": 0`), nil, "cuts are counted from 1"},
		{"absurd grid", swap(`"lettered_lines": 14`, `"lettered_lines": 100000000`), nil, "lettered lines"},
		{"absurd size", strings.Repeat(" ", maxFile+1), ErrNotJob, "more than any job"},
	} {
		t.Run(c.name, func(t *testing.T) {
			j, _, err := Decode("a.pane", []byte(c.text))
			require.Error(t, err)
			assert.Nil(t, j)
			assert.ErrorContains(t, err, c.says)
			assert.NotContains(t, err.Error(), "\n")
			if c.is != nil {
				assert.ErrorIs(t, err, c.is)
			}
		})
	}
}

func TestSum(t *testing.T) {
	a, err := Sum(surveyed(5))
	require.NoError(t, err)
	b, err := Sum(surveyed(5))
	require.NoError(t, err)
	assert.Equal(t, a, b)
	assert.Len(t, a, 64)
	other := surveyed(5)
	other.Readings[2].Note = "x"
	c, err := Sum(other)
	require.NoError(t, err)
	assert.NotEqual(t, a, c)
	_, err = Sum(&Job{})
	assert.Error(t, err)
}

func FuzzDecode(f *testing.F) {
	for _, n := range []int{0, 1, 12} {
		data, err := Encode(surveyed(n))
		require.NoError(f, err)
		f.Add(data)
	}
	j := NewJob("cuts")
	addCuts(j)
	data, err := Encode(j)
	require.NoError(f, err)
	f.Add(data)
	f.Add([]byte(`{"format":"panewright job","version":1,"job":{"readings":[{"x":{"text":"1e300"}}]}}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		j, _, err := Decode("a.pane", data)
		if err != nil {
			if j != nil {
				t.Fatal("a job beside an error")
			}
			return
		}
		again, err := Encode(j)
		if err != nil {
			t.Fatalf("what was read cannot be written: %v", err)
		}
		k, notes, err := Decode("a.pane", again)
		if err != nil || len(notes) > 0 || !j.Equal(k) {
			t.Fatalf("not the same after a round: %v %v", err, notes)
		}
	})
}
