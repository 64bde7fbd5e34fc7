package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Mode says which variant is shown.
type Mode int

// The modes.
const (
	System Mode = iota // as the desktop says
	Light
	Dark
)

// Sizes of normal type, in logical pixels; Scale makes them larger. Bench is for
// figures read across the shop.
const (
	Body   = 13
	Small  = 11
	Figure = 22
	Bench  = 48
)

// Type says how large words are. The zero value is normal.
type Type int

// The types.
const (
	TypeSmall Type = iota - 1
	TypeNormal
	TypeLarge
	TypeVeryLarge
)

// Scale is how many times as large as normal.
func (t Type) Scale() float32 {
	switch t {
	case TypeSmall:
		return 0.9
	case TypeLarge:
		return 1.25
	case TypeVeryLarge:
		return 1.5
	}
	return 1
}

// Spaces between things, in logical pixels; nothing between the two.
const (
	Gap     = 4
	WideGap = 8
)

// Number is the text style of figures: columns stand still.
var Number = fyne.TextStyle{Monospace: true}

// Theme is the program's theme: Fyne's own with our colours, sizes and density.
type Theme struct {
	Mode     Mode
	Contrast bool // high contrast: thick lines, no tints
	Type     Type
}

var _ fyne.Theme = Theme{}

// variant is the variant shown when the desktop asks for v.
func (t Theme) variant(v fyne.ThemeVariant) fyne.ThemeVariant {
	switch t.Mode {
	case Light:
		return theme.VariantLight
	case Dark:
		return theme.VariantDark
	}
	return v
}

// Colours is the table of picture colours when the desktop asks for v.
func (t Theme) Colours(v fyne.ThemeVariant) Colours { return ColoursFor(t.variant(v), t.Contrast) }

// Scale is how many times as large as normal the running program's words are.
func Scale() float32 {
	if t, ok := fyne.CurrentApp().Settings().Theme().(Theme); ok {
		return t.Type.Scale()
	}
	return 1
}

// Current is the table of picture colours of the running program's theme.
func Current() Colours {
	s := fyne.CurrentApp().Settings()
	if t, ok := s.Theme().(Theme); ok {
		return t.Colours(s.ThemeVariant())
	}
	return ColoursFor(s.ThemeVariant(), false)
}

// Color implements fyne.Theme.
func (t Theme) Color(n fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	v = t.variant(v)
	if c, ok := t.own(n, v); ok {
		return c
	}
	return theme.DefaultTheme().Color(n, v)
}

// own is the colour of the names that we set; the rest are Fyne's.
func (t Theme) own(n fyne.ThemeColorName, v fyne.ThemeVariant) (color.NRGBA, bool) {
	if t.Contrast {
		if c, ok := contrastChrome[v][n]; ok {
			return c, true
		}
	}
	c, ok := chrome[v][n]
	return c, ok
}

// chrome are the colours of widgets.
var chrome = map[fyne.ThemeVariant]map[fyne.ThemeColorName]color.NRGBA{
	theme.VariantLight: {
		theme.ColorNameBackground:          rgb(0xFAF8F3),
		theme.ColorNameForeground:          rgb(0x23282C),
		theme.ColorNameButton:              rgb(0xECE7DB),
		theme.ColorNameDisabledButton:      rgb(0xF1EEE6),
		theme.ColorNameDisabled:            rgb(0x6F6A5F),
		theme.ColorNamePlaceHolder:         rgb(0x756F62),
		theme.ColorNameInputBackground:     rgb(0xFFFFFF),
		theme.ColorNameInputBorder:         rgb(0xCFC8B8),
		theme.ColorNameSeparator:           rgb(0xDDD7C9),
		theme.ColorNameHeaderBackground:    rgb(0xF1EDE3),
		theme.ColorNameMenuBackground:      rgb(0xFFFFFF),
		theme.ColorNameOverlayBackground:   rgb(0xFDFCF9),
		theme.ColorNameHover:               rgba(0x000000, 0.06),
		theme.ColorNamePressed:             rgba(0x000000, 0.14),
		theme.ColorNamePrimary:             rgb(0x0072B2),
		theme.ColorNameHyperlink:           rgb(0x0072B2),
		theme.ColorNameForegroundOnPrimary: rgb(0xFFFFFF),
		theme.ColorNameFocus:               rgba(0x0072B2, 0.45),
		theme.ColorNameSelection:           rgba(0x0072B2, 0.20),
		theme.ColorNameScrollBar:           rgba(0x23282C, 0.35),
		theme.ColorNameShadow:              rgba(0x000000, 0.22),
		theme.ColorNameSuccess:             light.Good,
		theme.ColorNameWarning:             light.Attention,
		theme.ColorNameError:               light.Wrong,
	},
	theme.VariantDark: {
		theme.ColorNameBackground:          rgb(0x191E22),
		theme.ColorNameForeground:          rgb(0xE4E9ED),
		theme.ColorNameButton:              rgb(0x2A333A),
		theme.ColorNameDisabledButton:      rgb(0x20272C),
		theme.ColorNameDisabled:            rgb(0x8B979F),
		theme.ColorNamePlaceHolder:         rgb(0x94A0A8),
		theme.ColorNameInputBackground:     rgb(0x11161A),
		theme.ColorNameInputBorder:         rgb(0x3E4951),
		theme.ColorNameSeparator:           rgb(0x323C43),
		theme.ColorNameHeaderBackground:    rgb(0x222A2F),
		theme.ColorNameMenuBackground:      rgb(0x222A2F),
		theme.ColorNameOverlayBackground:   rgb(0x1E2429),
		theme.ColorNameHover:               rgba(0xFFFFFF, 0.07),
		theme.ColorNamePressed:             rgba(0xFFFFFF, 0.16),
		theme.ColorNamePrimary:             rgb(0x56B4E9),
		theme.ColorNameHyperlink:           rgb(0x56B4E9),
		theme.ColorNameForegroundOnPrimary: rgb(0x10161A),
		theme.ColorNameFocus:               rgba(0x56B4E9, 0.45),
		theme.ColorNameSelection:           rgba(0x56B4E9, 0.26),
		theme.ColorNameScrollBar:           rgba(0xE4E9ED, 0.35),
		theme.ColorNameShadow:              rgba(0x000000, 0.5),
		theme.ColorNameSuccess:             dark.Good,
		theme.ColorNameWarning:             dark.Attention,
		theme.ColorNameError:               dark.Wrong,
	},
}

// contrastChrome are the widget colours that high contrast changes.
var contrastChrome = map[fyne.ThemeVariant]map[fyne.ThemeColorName]color.NRGBA{
	theme.VariantLight: inkOn(rgb(0x000000), rgb(0x4A4A4A), rgb(0xFFFFFF), sharpLight),
	theme.VariantDark:  inkOn(rgb(0xFFFFFF), rgb(0xC0C0C0), rgb(0x000000), sharpDark),
}

// inkOn is one ink on one ground; dim is for words of lesser weight.
func inkOn(ink, dim, ground color.NRGBA, words Colours) map[fyne.ThemeColorName]color.NRGBA {
	m := map[fyne.ThemeColorName]color.NRGBA{}
	for _, n := range []fyne.ThemeColorName{theme.ColorNameForeground, theme.ColorNamePlaceHolder, theme.ColorNameInputBorder,
		theme.ColorNameSeparator, theme.ColorNameScrollBar} {
		m[n] = ink
	}
	m[theme.ColorNameDisabled] = dim
	m[theme.ColorNameSuccess], m[theme.ColorNameWarning], m[theme.ColorNameError] = words.Good, words.Attention, words.Wrong
	for _, n := range []fyne.ThemeColorName{theme.ColorNameBackground, theme.ColorNameInputBackground, theme.ColorNameHeaderBackground,
		theme.ColorNameMenuBackground, theme.ColorNameOverlayBackground} {
		m[n] = ground
	}
	return m
}

// Font implements fyne.Theme.
func (t Theme) Font(s fyne.TextStyle) fyne.Resource { return theme.DefaultTheme().Font(s) }

// Icon implements fyne.Theme.
func (t Theme) Icon(n fyne.ThemeIconName) fyne.Resource { return theme.DefaultTheme().Icon(n) }

// Size implements fyne.Theme: denser than Fyne's own, with square corners.
func (t Theme) Size(n fyne.ThemeSizeName) float32 {
	switch n {
	case theme.SizeNameText:
		return Body * t.Type.Scale()
	case theme.SizeNameCaptionText:
		return Small * t.Type.Scale()
	case theme.SizeNameSubHeadingText:
		return 16 * t.Type.Scale()
	case theme.SizeNameHeadingText:
		return Figure * t.Type.Scale()
	case theme.SizeNameInnerPadding:
		return 5
	case theme.SizeNamePadding:
		return 3
	case theme.SizeNameLineSpacing:
		return 3
	case theme.SizeNameInlineIcon:
		return 16 * t.Type.Scale()
	case theme.SizeNameScrollBar:
		return 10
	case theme.SizeNameInputRadius, theme.SizeNameButtonRadius, theme.SizeNameSelectionRadius, theme.SizeNameMenuRadius:
		return 2
	case theme.SizeNamePopupRadius, theme.SizeNameCardRadius, theme.SizeNameDialogRadius:
		return 4
	}
	return theme.DefaultTheme().Size(n)
}
