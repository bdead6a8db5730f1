package chart

import (
	"image/color"
	"strings"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"gonum.org/v1/plot"
)

// Look is how a series is told from others: by colour, and without colour by width, dashes and marks.
type Look int

// The looks, in the order in which they are drawn best: later ones over earlier ones.
const (
	Integer   Look = iota // the integer program: a broad line, or rings
	Reference             // the reference: a thin dashed line, or crosses
	Target                // what was asked for: dotted
	Apart                 // a difference: a thin line
)

// The colours stand for variables of the page's style sheet; none of them is black, which the SVG writer leaves out.
var (
	ink       = color.RGBA{1, 1, 1, 255}
	faint     = color.RGBA{2, 2, 2, 255}
	integer   = color.RGBA{3, 3, 3, 255}
	reference = color.RGBA{4, 4, 4, 255}
	target    = color.RGBA{5, 5, 5, 255}
	apart     = color.RGBA{6, 6, 6, 255}
)

// inks puts the variables in their places. The font is that of the style sheet; the one drawn with has the widths of
// the common sans-serif fonts.
var inks = strings.NewReplacer(
	"#010101", "var(--ink)",
	"#020202", "var(--faint)",
	"#030303", "var(--integer)",
	"#040404", "var(--reference)",
	"#050505", "var(--target)",
	"#060606", "var(--apart)",
	"font-family:Liberation Sans;font-variant:normal;font-weight:normal;font-style:normal;", "",
)

func (l Look) stroke() draw.LineStyle {
	switch l {
	case Integer:
		return draw.LineStyle{Color: integer, Width: 2.4}
	case Reference:
		return draw.LineStyle{Color: reference, Width: 1.1, Dashes: []vg.Length{5, 3}}
	case Target:
		return draw.LineStyle{Color: target, Width: 1.2, Dashes: []vg.Length{1.2, 2.4}}
	}
	return draw.LineStyle{Color: apart, Width: 1}
}

func (l Look) glyph() draw.GlyphStyle {
	if l == Integer {
		return draw.GlyphStyle{Color: integer, Radius: 5, Shape: draw.RingGlyph{}}
	}
	return draw.GlyphStyle{Color: reference, Radius: 4, Shape: draw.CrossGlyph{}}
}

func textStyle() text.Style {
	return text.Style{Color: ink, Font: font.From(font.Font{Typeface: "Liberation", Variant: "Sans"}, small), XAlign: draw.XCenter, YAlign: draw.YBottom, Handler: plot.DefaultTextHandler}
}
