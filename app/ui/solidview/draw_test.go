package solidview

import (
	"context"
	"image"
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/desk"
	"panewright/app/ui/look"
	"panewright/board"
	"panewright/geom"
	"panewright/testdata/demo"
)

// beginning is a picture of what a view shows, ready to be written on.
func beginning(v *View) *picture {
	f := v.frame(640, 480)
	v.quick.paint(f, 1)
	return &picture{frame: f, painter: v.quick, v: f.cam.view(640, 480), level: f.box().Min.Z}
}

// differ is in how many pixels two pictures differ inside a box.
func differ(a, b *image.RGBA, in image.Rectangle) (n int) {
	for y := in.Min.Y; y < in.Max.Y; y++ {
		for x := in.Min.X; x < in.Max.X; x++ {
			if a.RGBAAt(x, y) != b.RGBAAt(x, y) {
				n++
			}
		}
	}
	return n
}

func TestGroundLiesUnderTheBox(t *testing.T) {
	box := r3.Box{Min: r3.Vec{X: -611, Y: -302, Z: -80}, Max: r3.Vec{X: 598, Y: 310, Z: 4}}
	for _, unit := range []float64{10, inch} {
		g := groundUnder(box, unit)
		assert.Less(t, g.level, box.Min.Z)
		assert.Less(t, g.box.Min.X, box.Min.X)
		assert.Greater(t, g.box.Max.Y, box.Max.Y)
		squares := (g.box.Max.X - g.box.Min.X) / g.pitch
		assert.InDelta(t, math.Round(squares), squares, 1e-9, "whole squares")
		assert.LessOrEqual(t, squares, 18.0)
		assert.InDelta(t, math.Round(g.pitch/unit), g.pitch/unit, 1e-9, "of whole units")
	}
}

// TestBoxHoldsWhatIsDrawn: stretched, lifted, with a pocket under it.
func TestBoxHoldsWhatIsDrawn(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	f := v.frame(640, 480)
	plain := f.box()
	f.stretch = 3
	assert.InDelta(t, 3*(plain.Max.Z-plain.Min.Z), f.box().Max.Z-f.box().Min.Z, 1e-9)
	assert.Equal(t, plain.Min, f.box().Min, "stretched from the bottom")
	f.stretch, f.lift = 1, 50
	assert.Equal(t, plain, f.box(), "nothing to be lifted out of")
	f.pocket = &pocket{box: r3.Box{Min: r3.Vec{X: -400, Y: -300, Z: -90}, Max: r3.Vec{X: 400, Y: 300, Z: -10}}}
	got := f.box()
	assert.Equal(t, r3.Vec{X: -400, Y: -300, Z: -90}, got.Min)
	assert.InDelta(t, plain.Max.Z+50, got.Max.Z, 1e-9)
}

// TestNothingLiesUnderLegendAndInset: the camera that fits keeps both clear.
func TestNothingLiesUnderLegendAndInset(t *testing.T) {
	v, q := show(t, state(dome(t)))
	v.SetMap(Heights)
	q.until(t, v.Shown)
	v.SetCut(Across, 0)
	for d := range Directions {
		v.Look(d)
		p := beginning(v)
		for _, c := range p.box().Vertices() {
			at := r2.Vec{}
			at.X, at.Y, _ = p.v.project(c)
			assert.Less(t, at.Y, 480-insetTall, "%d", d)
			assert.False(t, at.X > 640-legendRoom+10 && at.Y < legendTall+50, "%d: %v", d, at)
		}
	}
}

// TestWordsDoNotStandOnEachOther: the second of two at one place is left out, and
// so is one that is hidden or has no room.
func TestWordsDoNotStandOnEachOther(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.Look(Top)
	p := beginning(v)
	face := p.face13()
	require.NotNil(t, face)
	assert.True(t, p.nameAt(face, "one", r3.Vec{X: 20, Z: 5}))
	assert.False(t, p.nameAt(face, "two", r3.Vec{X: 21, Z: 5}))
	assert.True(t, p.nameAt(face, "two", r3.Vec{X: 150, Z: 5}))
	assert.False(t, p.nameAt(face, "under the glass", r3.Vec{X: -100, Z: -200}))
	assert.False(t, p.nameAt(face, "outside", r3.Vec{X: 1e4}))
	p.painter = newPainter([]byte("no font"))
	assert.Nil(t, p.face13(), "then nothing is written")
	p.write("nothing")
}

// TestMissesHaveForms: up and down are told apart by form, more is larger, and a
// reading that was not used is crossed.
func TestMissesHaveForms(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	v.Look(Top)
	blank := beginning(v)
	was := image.NewRGBA(blank.out.Image().Rect)
	copy(was.Pix, blank.out.Image().Pix)
	drawn := func(m mark) (n int, reach float64) { // how much farther up than down it reaches
		p := beginning(v)
		p.field = &field{kind: Misses, low: -1, high: 1, marks: []mark{m}}
		p.misses()
		at := p.shown(m.at)
		above, below := 0.0, 0.0
		for y := int(at.Y) - 12; y < int(at.Y)+12; y++ {
			for x := int(at.X) - 12; x < int(at.X)+12; x++ {
				if p.out.Image().RGBAAt(x, y) != was.RGBAAt(x, y) {
					n++
					above, below = math.Max(above, at.Y-float64(y)), math.Max(below, float64(y)+1-at.Y)
				}
			}
		}
		return n, above - below
	}
	top := r3.Vec{}
	up, upward := drawn(mark{at: top, miss: 0.9, used: true})
	down, downward := drawn(mark{at: top, miss: -0.9, used: true})
	small, _ := drawn(mark{at: top, miss: 0.1, used: true})
	assert.Greater(t, upward, 1.5, "pixels")
	assert.Less(t, downward, -1.5)
	assert.InDelta(t, up, down, 30)
	assert.Greater(t, up, 2*small)
	n, _ := drawn(mark{at: r3.Vec{Z: -300}, miss: 1, used: true})
	assert.Zero(t, n, "behind the glass")
	n, _ = drawn(mark{at: top, miss: 40})
	assert.Positive(t, n)
}

// TestHoverNamesTheReading of the map of misses.
func TestHoverNamesTheReading(t *testing.T) {
	m, err := board.Solve(context.Background(), demo.A().Job, nil)
	require.NoError(t, err)
	v, q := show(t, desk.State{Job: m.Job, Model: m})
	v.SetMap(Misses)
	q.until(t, v.Shown)
	v.Look(Top)
	v.paint(640, 480)
	p := v.logical()
	said := 0
	for _, k := range v.parts.fields[Misses].marks {
		at := p.shown(k.at)
		if text := v.under(fyne.NewPos(float32(at.X), float32(at.Y))); text != "" {
			said++
			assert.Contains(t, text, "reading ")
			assert.Contains(t, text, " in")
		}
	}
	assert.Greater(t, said, 30)
	assert.Equal(t, inch/2, v.step(keyLevel, inch/2), "keys step by the job's unit")
}

func TestStraightGlassHasNoRadius(t *testing.T) {
	j := board.NewJob("")
	assert.Equal(t, "straight", leastRadius(geom.Height{}, j))
	assert.Equal(t, "1500 mm", leastRadius(sphere{1500}.Eval(0, 0), j))
	j.Unit = board.Inch
	assert.Equal(t, "59.1 in", leastRadius(sphere{1500}.Eval(100, 50), j))
}

// TestPicturesFollowTheTheme: the same frame in four looks gives four pictures,
// the dark ones darker; what is out of date is paler.
func TestPicturesFollowTheTheme(t *testing.T) {
	v, q := show(t, state(dome(t)))
	v.SetMap(MeanBend)
	q.until(t, v.Shown)
	v.Look(Top)
	mean := func(f frame) (sum float64) {
		img := newPainter(theme.DefaultTextFont().Content()).paint(f, 1).(*image.RGBA)
		for i := 0; i < len(img.Pix); i += 4 {
			sum += float64(img.Pix[i]) / float64(len(img.Pix)/4)
		}
		return sum
	}
	f := v.frame(640, 480)
	var got [4]float64
	for i := range got {
		f.col = look.ColoursFor(fyne.ThemeVariant(i%2), i > 1)
		got[i] = mean(f)
	}
	dark, light := int(theme.VariantDark), int(theme.VariantLight)
	assert.Less(t, got[dark], got[light]-80)
	assert.Less(t, got[dark+2], got[light+2]-80)
	assert.NotEqual(t, got[dark], got[dark+2])
	f.col = look.ColoursFor(theme.VariantLight, false)
	f.stale = true
	assert.Greater(t, mean(f), got[light])
}

// TestMargins: stripes need no legend.
func TestMargins(t *testing.T) {
	f := frame{field: &field{}, words: 1.5}
	right, low := f.margins()
	assert.Equal(t, legendRoom*1.5, right)
	assert.Zero(t, low)
	f.stripes.On, f.cut = true, &cut{}
	right, low = f.margins()
	assert.Zero(t, right)
	assert.Equal(t, insetTall*1.5, low)
}

// TestInsetIsDrawn at the lower left, and nowhere else.
func TestInsetIsDrawn(t *testing.T) {
	v, _ := show(t, state(dome(t)))
	f := v.frame(640, 480)
	a := newPainter(theme.DefaultTextFont().Content())
	b := newPainter(theme.DefaultTextFont().Content())
	without := a.paint(f, 1).(*image.RGBA)
	f.cut = newCut(v.model, Across, 0)
	f.cut.near = []near{{along: 0, miss: 0.5, kept: true}, {along: 50}}
	f.cut.round = f.cut.round[:1] // not on the solid
	with := b.paint(f, 1).(*image.RGBA)
	box := image.Rect(int(insetPad), int(480-insetPad-insetTall), int(insetPad+insetWide)+1, int(480-insetPad)+1)
	assert.Greater(t, differ(with, without, box), box.Dx()*box.Dy()*9/10)
	assert.Equal(t, differ(with, without, with.Rect), differ(with, without, box))
	blue := look.ColoursFor(theme.VariantLight, false).Selected
	found := 0
	for y := box.Min.Y; y < box.Max.Y; y++ {
		for x := box.Min.X; x < box.Max.X; x++ {
			if with.RGBAAt(x, y) == (color.RGBA{blue.R, blue.G, blue.B, 255}) {
				found++
			}
		}
	}
	assert.Greater(t, found, 150, "the section's line")
}
