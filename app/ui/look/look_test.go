package look

import (
	"image/color"
	"math"
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
	"github.com/stretchr/testify/assert"
)

// contrast is the contrast ratio of two opaque colours, 1..21 (WCAG 2.1,
// definitions of relative luminance and contrast ratio).
func contrast(a, b color.NRGBA) float64 {
	luminance := func(c color.NRGBA) float64 {
		l := func(v uint8) float64 {
			s := float64(v) / 255
			if s <= 0.04045 {
				return s / 12.92
			}
			return math.Pow((s+0.055)/1.055, 2.4)
		}
		return 0.2126*l(c.R) + 0.7152*l(c.G) + 0.0722*l(c.B)
	}
	x, y := luminance(a), luminance(b)
	return (max(x, y) + 0.05) / (min(x, y) + 0.05)
}

func TestContrastFunction(t *testing.T) {
	assert.InDelta(t, 21, contrast(rgb(0), rgb(0xFFFFFF)), 1e-9)
	assert.InDelta(t, 1, contrast(rgb(0x123456), rgb(0x123456)), 1e-9)
}

// Words reach 4.5 to 1 and lines that carry a meaning 3 to 1 on the board
// (WCAG 2.1, 1.4.3 and 1.4.11).
func TestContrasts(t *testing.T) {
	for _, v := range []fyne.ThemeVariant{theme.VariantLight, theme.VariantDark} {
		for _, high := range []bool{false, true} {
			c := ColoursFor(v, high)
			words := map[string]color.NRGBA{"label": c.GridLabel, "good": c.Good, "attention": c.Attention, "wrong": c.Wrong}
			for name, col := range words {
				bar := 4.5
				if high {
					bar = 7 // WCAG 2.1, 1.4.6
				}
				if name == "attention" && !high && v == theme.VariantLight {
					bar = 4.0 // given by the look; always with a sign beside it
				}
				assert.Greater(t, contrast(col, c.Board), bar, "%s, variant %d, high %v", name, v, high)
			}
			lines := map[string]color.NRGBA{"outline": c.Outline, "centre": c.Centre, "station": c.Station, "selected": c.Selected,
				"face": c.Face, "suspect": c.Suspect, "outside": c.Outside, "inside": c.Inside}
			for name, col := range lines {
				assert.Greater(t, contrast(col, c.Board), 3.0, "%s, variant %d, high %v", name, v, high)
			}
		}
	}
}

func TestModeForcesTheVariant(t *testing.T) {
	tests := []struct {
		mode Mode
		asks fyne.ThemeVariant
		want fyne.ThemeVariant
	}{
		{System, theme.VariantDark, theme.VariantDark},
		{System, theme.VariantLight, theme.VariantLight},
		{Light, theme.VariantDark, theme.VariantLight},
		{Dark, theme.VariantLight, theme.VariantDark},
	}
	for _, tt := range tests {
		th := Theme{Mode: tt.mode}
		assert.Equal(t, ColoursFor(tt.want, false), th.Colours(tt.asks))
		assert.Equal(t, chrome[tt.want][theme.ColorNameBackground], th.Color(theme.ColorNameBackground, tt.asks))
	}
}

func TestThemeIsComplete(t *testing.T) {
	test.NewTempApp(t)
	for _, th := range []Theme{{Mode: Light}, {Mode: Dark}, {Mode: Light, Contrast: true}, {Mode: Dark, Contrast: true}} {
		for v, names := range chrome {
			for n := range names {
				assert.NotNil(t, th.Color(n, v))
			}
		}
		assert.NotNil(t, th.Font(Number))
		assert.NotNil(t, th.Icon(theme.IconNameCancel))
		assert.EqualValues(t, 13, th.Size(theme.SizeNameText))
		assert.EqualValues(t, 5, th.Size(theme.SizeNameInnerPadding))
		assert.EqualValues(t, 3, th.Size(theme.SizeNamePadding))
		assert.Positive(t, th.Size(theme.SizeNameScrollBarSmall), "names not set here are Fyne's")
		fg := th.Color(theme.ColorNameForeground, theme.VariantLight).(color.NRGBA)
		bg := th.Color(theme.ColorNameBackground, theme.VariantLight).(color.NRGBA)
		assert.Greater(t, contrast(fg, bg), 7.0)
		for _, v := range []fyne.ThemeVariant{theme.VariantLight, theme.VariantDark} {
			bar := 4.5 // words of lesser weight too (WCAG 2.1, 1.4.3), 7 in high contrast (1.4.6)
			if th.Contrast {
				bar = 7
			}
			col := func(n fyne.ThemeColorName) color.NRGBA {
				return Theme{Mode: Mode(2 - v), Contrast: th.Contrast}.Color(n, v).(color.NRGBA)
			}
			if th.Contrast {
				for _, n := range []fyne.ThemeColorName{theme.ColorNameSuccess, theme.ColorNameWarning, theme.ColorNameError} {
					assert.Greater(t, contrast(col(n), col(theme.ColorNameBackground)), bar, "%s, variant %d", n, v)
				}
			}
			assert.Greater(t, contrast(col(theme.ColorNameDisabled), col(theme.ColorNameBackground)), bar, "dim, variant %d, high %v", v, th.Contrast)
		}
	}
}

func TestCurrentFollowsTheApp(t *testing.T) {
	a := test.NewTempApp(t)
	a.Settings().SetTheme(Theme{Mode: Dark})
	assert.Equal(t, dark, Current())
	a.Settings().SetTheme(Theme{Mode: Light, Contrast: true})
	assert.Equal(t, sharpLight, Current())
	a.Settings().SetTheme(theme.DefaultTheme())
	assert.Contains(t, []Colours{light, dark}, Current(), "a foreign theme")
}

func TestTypes(t *testing.T) {
	a := test.NewTempApp(t)
	last := float32(0)
	for _, ty := range []Type{TypeSmall, TypeNormal, TypeLarge, TypeVeryLarge} {
		th := Theme{Type: ty}
		a.Settings().SetTheme(th)
		assert.Greater(t, ty.Scale(), last, "each is larger than the one before")
		last = ty.Scale()
		assert.Equal(t, last, Scale(), "of the running program")
		for _, n := range []fyne.ThemeSizeName{theme.SizeNameText, theme.SizeNameCaptionText, theme.SizeNameSubHeadingText, theme.SizeNameHeadingText, theme.SizeNameInlineIcon} {
			assert.InDelta(t, last*Theme{}.Size(n), th.Size(n), 1e-4, "%s", n)
		}
		assert.Equal(t, Theme{}.Size(theme.SizeNamePadding), th.Size(theme.SizeNamePadding), "spaces stay")
	}
	assert.EqualValues(t, 1, Type(99).Scale(), "what is no size is normal")
	a.Settings().SetTheme(theme.DefaultTheme())
	assert.EqualValues(t, 1, Scale(), "a foreign theme")
}
