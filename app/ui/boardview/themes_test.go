package boardview

import (
	"image"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
)

// Every mark is drawn in its own colour on the board of each look.
func TestMarksOfEveryLook(t *testing.T) {
	for _, th := range []look.Theme{{Mode: look.Light}, {Mode: look.Dark}, {Mode: look.Light, Contrast: true}, {Mode: look.Dark, Contrast: true}} {
		v, d := show(t, mixed(), nil)
		fyne.CurrentApp().Settings().SetTheme(th)
		v.resized(fyneSize(image.Point{800, 600}))
		col := look.Current()
		read := coloursAt(v, 2, -300, 500, 8)[col.Station]
		require.NoError(t, d.Edit("strike", func(j *board.Job) error { return j.Strike(3, "slip") }))
		for _, tt := range []struct {
			name string
			x, y float64
			want colour
		}{
			{"station", 300, 100, col.Station},
			{"face point", 100, 300, col.Face},
			{"mark", 0, 700, col.Station},
			{"board", 650, 850, col.Board},
			{"grid", 650, 900, col.Grid},
		} {
			assert.Contains(t, coloursAt(v, 2, tt.x, tt.y, 8), tt.want, "%s, %+v", tt.name, th)
		}
		assert.Less(t, coloursAt(v, 2, -300, 500, 8)[col.Station], read, "struck is paler, %+v", th)
		v.Select(3)
		assert.Contains(t, coloursAt(v, 2, -300, 500, 8), col.Selected, "%+v", th)
	}
}

func TestPointerTakesTheNearestStationBeforeAFacePoint(t *testing.T) {
	j := mixed()
	j.Readings[4].X, j.Readings[4].Y = board.Cell{Text: "305"}, board.Cell{Text: "100"}
	j.Evaluate()
	v, _ := show(t, j, nil)
	px := 1 / v.lens.s // mm to a pixel
	for _, tt := range []struct {
		name string
		x, y float64
		want int
	}{
		{"on it", 300, 500, 2},
		{"within reach", 300 + (pointReach-1)*px, 500, 2},
		{"past reach", 300 + (pointReach+2)*px, 500, None},
		{"station under a face point", 304, 100, 1},
		{"face point alone", 100, 300, 5},
		{"bare board", 650, 850, None},
	} {
		assert.Equal(t, tt.want, v.hit(vec(at(v, tt.x, tt.y))), tt.name)
	}
}

func TestWordsOfAReading(t *testing.T) {
	j := mixed()
	for i, want := range []string{"station 1", "station 2", "station 3", "station 4", "face point F1", "face point F2", "mark M1"} {
		sc := newScene(desk.State{Job: j}, nil)
		p, ok := sc.find(i)
		require.True(t, ok)
		assert.Equal(t, want, name(p))
		words := strings.Join(about(p, j), "|")
		assert.Equal(t, p.kind == board.Face, strings.Contains(words, "no height yet"), words)
	}
	for _, tt := range []struct {
		index []int
		want  string
	}{{[]int{0, 1}, "2 stations"}, {[]int{4, 5}, "2 face points"}, {nil, "0 stations"}} {
		assert.Equal(t, tt.want, many(j, tt.index))
	}
}
