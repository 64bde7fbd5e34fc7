package benchview

import (
	"image/color"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"panewright/app/ui/sheet"
)

var demo = Face{
	Station: "Station 12", Column: "x, across", Text: "12 3/8", Typing: true, Echo: "12.375 in = 314.3 mm",
	Last: []Line{
		{"11", [3]string{"10 1/8", "20", "3 7/16"}, "look again", sheet.Suspicious, false},
		{"10", [3]string{"9 1/8", "20", "3 7/16"}, "fits: +0.002 in", sheet.Plain, true},
	},
	Advice: strings.Repeat("Station 11 lies far off the others. ", 6), Hint: "Enter: next",
}

// drawn are the texts in view, at a size of the view.
func drawn(t *testing.T, f Face, width, height float32) (*View, []*canvas.Text) {
	t.Helper()
	test.NewTempApp(t)
	v := New()
	win := test.NewTempWindow(t, v)
	win.SetPadded(false)
	win.Resize(fyne.NewSize(width, height))
	v.Display(f)
	var out []*canvas.Text
	for _, o := range test.WidgetRenderer(v).Objects() {
		if x, ok := o.(*canvas.Text); ok && x.Visible() && x.Text != "" {
			out = append(out, x)
		}
	}
	return v, out
}

func textNamed(t *testing.T, texts []*canvas.Text, s string) *canvas.Text {
	t.Helper()
	for _, x := range texts {
		if x.Text == s {
			return x
		}
	}
	require.Fail(t, "not drawn", s)
	return nil
}

func TestViewIsReadFromAfar(t *testing.T) {
	for _, size := range [][2]float32{{1280, 720}, {1920, 1000}, {800, 480}} {
		v, texts := drawn(t, demo, size[0], size[1])
		cell := textNamed(t, texts, "12 3/8")
		assert.GreaterOrEqual(t, cell.TextSize, float32(48), "the cell at %v", size)
		if size[0] >= 1280 {
			for _, x := range texts {
				if x.Text != demo.Hint {
					assert.GreaterOrEqual(t, x.TextSize, float32(28), "%s at %v", x.Text, size)
				}
			}
		}
		for i, x := range texts {
			assert.LessOrEqual(t, x.Position().X+x.MinSize().Width, v.Size().Width, "%s at %v", x.Text, size)
			assert.LessOrEqual(t, x.Position().Y+x.MinSize().Height, v.Size().Height, "%s at %v", x.Text, size)
			for _, y := range texts[:i] {
				assert.False(t, overlap(x, y), "%q lies over %q at %v", x.Text, y.Text, size)
			}
		}
	}
}

// overlap says whether the letters of two texts lie over one another; what stands
// above and below them may.
func overlap(a, b *canvas.Text) bool {
	const air = 0.2 // of the height of a line
	ap, as, bp, bs := a.Position(), a.MinSize(), b.Position(), b.MinSize()
	return ap.X < bp.X+bs.Width && bp.X < ap.X+as.Width &&
		ap.Y+air*as.Height < bp.Y+(1-air)*bs.Height && bp.Y+air*bs.Height < ap.Y+(1-air)*as.Height
}

func TestWordsHaveTheirColour(t *testing.T) {
	_, texts := drawn(t, demo, 1280, 720)
	is := func(s string, name fyne.ThemeColorName) {
		var want color.Color = theme.Color(name)
		assert.Equal(t, want, textNamed(t, texts, s).Color, s)
	}
	is("look again", theme.ColorNameWarning)
	is("fits: +0.002 in", theme.ColorNameSuccess)
	is(demo.Echo, theme.ColorNameForeground)
	wrong := demo
	wrong.Tint = sheet.Wrong
	_, texts = drawn(t, wrong, 1280, 720)
	is(demo.Echo, theme.ColorNameError)
}

func TestLongTextsAreCut(t *testing.T) {
	long := demo
	long.Text = strings.Repeat("1234567890", 10)
	v, texts := drawn(t, long, 1280, 720)
	cut := false
	for _, x := range texts {
		cut = cut || strings.HasPrefix(x.Text, "…") && strings.HasSuffix(x.Text, "0")
		assert.LessOrEqual(t, x.Position().X+x.MinSize().Width, v.Size().Width)
	}
	assert.True(t, cut, "its end is in view")
}

func TestKeysAreHandedOn(t *testing.T) {
	v, _ := drawn(t, demo, 1280, 720)
	var got []string
	v.OnRune = func(r rune) { got = append(got, string(r)) }
	v.OnKey = func(ev *fyne.KeyEvent) { got = append(got, string(ev.Name)) }
	v.OnShortcut = func(sc fyne.Shortcut) { got = append(got, sc.ShortcutName()) }
	assert.True(t, v.AcceptsTab())
	test.Tap(v)
	f := fyne.CurrentApp().Driver().CanvasForObject(v).Focused()
	require.Same(t, v, f, "a click takes the keys")
	f.TypedRune('7')
	f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEnter})
	v.TypedShortcut(&fyne.ShortcutCopy{})
	assert.Equal(t, []string{"7", string(fyne.KeyEnter), "Copy"}, got)
	assert.Equal(t, demo, v.Shown())
}
