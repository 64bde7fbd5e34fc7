// Package look is how the window looks: the colours and lines of the board
// picture, the sizes of type and space, and the theme that gives every widget
// the same. Category colours are the colour-blind-safe set of Okabe and Ito
// (2008); line types follow ISO 128. Colour is never the only carrier of a
// meaning: each thing has its own form too.
package look

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Colours are the colours of the pictures for one variant, and the widths of
// their lines in logical pixels.
type Colours struct {
	Table                        color.NRGBA // round the board
	Board                        color.NRGBA
	Grid, GridFifth, GridLabel   color.NRGBA
	Outline, Made                color.NRGBA // measured half; mirrored half
	Band                         color.NRGBA // uncertainty
	Centre                       color.NRGBA
	Station, Selected, Face      color.NRGBA // check stations and marks are of the station's colour
	Suspect, Struck              color.NRGBA
	Outside, Inside              color.NRGBA // signed misses: outside and inside the outline
	Good, Attention, Wrong       color.NRGBA // words
	Label, LabelBack, LabelFrame color.NRGBA // the small label at the pointer
	Glass, GlassEdge, GlassUnder color.NRGBA // solid view: upper face, edge band, lower face
	Fixture, Wall                color.NRGBA // the pocket; the line of its wall
	SkyTop, SkyBottom            color.NRGBA // background of the solid view
	StripeLight, StripeDark      color.NRGBA // reflected lights, and what lies between them
	Sharp                        bool        // high contrast
	Line, Thin                   float64     // outline and centre line; everything finer
}

func rgb(hex uint32) color.NRGBA {
	return color.NRGBA{uint8(hex >> 16), uint8(hex >> 8), uint8(hex), 255}
}

func rgba(hex uint32, opacity float64) color.NRGBA {
	c := rgb(hex)
	c.A = uint8(opacity*255 + 0.5)
	return c
}

var light = Colours{
	Table: rgb(0xE9E4D8), Board: rgb(0xF6F3EC),
	Grid: rgb(0xD9D4C7), GridFifth: rgb(0xBDB6A4), GridLabel: rgb(0x6B6557),
	Outline: rgb(0x1F3A5F), Made: rgba(0x1F3A5F, 0.45), Band: rgba(0x1F3A5F, 0.15),
	Centre:  rgb(0xB5452C),
	Station: rgb(0x1F3A5F), Selected: rgb(0x0072B2), Face: rgb(0x5F7F52),
	Suspect: rgb(0xD55E00), Struck: rgba(0x000000, 0.4),
	Outside: rgb(0xC25700), Inside: rgb(0x0072B2),
	Good: rgb(0x2E6B4F), Attention: rgb(0x9A6B00), Wrong: rgb(0xA33A24),
	Label: rgb(0x23282C), LabelBack: rgba(0xFFFFFF, 0.94), LabelFrame: rgb(0xBDB6A4),
	Glass: rgb(0x9DB9CC), GlassEdge: rgb(0x5F8296), GlassUnder: rgb(0x86A2B4),
	Fixture: rgb(0xD8C7A3), Wall: rgb(0x7A5B2B),
	SkyTop: rgb(0xF6F3EC), SkyBottom: rgb(0xE4DECF),
	StripeLight: rgb(0xF7FAFC), StripeDark: rgb(0x3B566B),
	Line: 2, Thin: 1.25,
}

var dark = Colours{
	Table: rgb(0x14191C), Board: rgb(0x1C2226),
	Grid: rgb(0x2E373D), GridFifth: rgb(0x46525A), GridLabel: rgb(0x9AA7AF),
	Outline: rgb(0xDCE6F0), Made: rgba(0xDCE6F0, 0.45), Band: rgba(0xDCE6F0, 0.18),
	Centre:  rgb(0xE8895F),
	Station: rgb(0xDCE6F0), Selected: rgb(0x56B4E9), Face: rgb(0x9DBF8E),
	Suspect: rgb(0xE69F00), Struck: rgba(0xFFFFFF, 0.4),
	Outside: rgb(0xE69F00), Inside: rgb(0x56B4E9),
	Good: rgb(0x7CC29B), Attention: rgb(0xE3B341), Wrong: rgb(0xF08A70),
	Label: rgb(0xE4E9ED), LabelBack: rgba(0x11161A, 0.94), LabelFrame: rgb(0x46525A),
	Glass: rgb(0x7F9FB5), GlassEdge: rgb(0xB4CBD9), GlassUnder: rgb(0x5F7C90),
	Fixture: rgb(0xA8946B), Wall: rgb(0xD6BC86),
	SkyTop: rgb(0x1C2226), SkyBottom: rgb(0x11161A),
	StripeLight: rgb(0xD9E6EF), StripeDark: rgb(0x2B4253),
	Line: 2, Thin: 1.25,
}

// sharp is the high-contrast form: one ink on one ground, thick lines, no tints
// but those that tell kinds of things apart.
func sharp(c Colours, ink, ground color.NRGBA, line color.NRGBA) Colours {
	c.Table, c.Board = ground, ground
	c.Grid, c.GridFifth, c.GridLabel = line, ink, ink
	c.Outline, c.Made, c.Station, c.Label, c.Wall = ink, ink, ink, ink, ink
	c.LabelBack, c.LabelFrame = ground, ink
	c.Struck.A = 178
	c.SkyTop, c.SkyBottom = ground, ground
	c.StripeLight, c.StripeDark = rgb(0xFFFFFF), rgb(0x000000)
	c.Sharp = true
	c.Line, c.Thin = 3, 2
	return c
}

// spoken gives the words that judge their colours.
func spoken(c Colours, good, attention, wrong color.NRGBA) Colours {
	c.Good, c.Attention, c.Wrong = good, attention, wrong
	return c
}

var (
	sharpLight = spoken(sharp(light, rgb(0x000000), rgb(0xFFFFFF), rgb(0xB0B0B0)), rgb(0x0F5132), rgb(0x6B4700), rgb(0x8A1C0A))
	sharpDark  = spoken(sharp(dark, rgb(0xFFFFFF), rgb(0x000000), rgb(0x5A5A5A)), rgb(0xA6E3C4), rgb(0xFFD166), rgb(0xFFB3A0))
)

// ColoursFor is the table for a variant, in high contrast where asked.
func ColoursFor(v fyne.ThemeVariant, contrast bool) Colours {
	switch {
	case v == theme.VariantDark && contrast:
		return sharpDark
	case v == theme.VariantDark:
		return dark
	case contrast:
		return sharpLight
	}
	return light
}

// tints tell pieces apart beside their names; neighbours in the list differ the
// most.
var tints = [...]color.NRGBA{rgb(0x56B4E9), rgb(0xE69F00), rgb(0x009E73), rgb(0xCC79A7), rgb(0xF0E442), rgb(0x0072B2), rgb(0xD55E00)}

// Tint is the tint of piece i.
func Tint(i int) color.NRGBA { return tints[i%len(tints)] }
