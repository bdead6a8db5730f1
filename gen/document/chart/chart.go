// Package chart draws pictures for the report: plots as inline SVG whose colours are CSS
// variables of the page, so that one picture serves light, dark and print, and whose text stays text.
package chart

import (
	"bytes"
	"fmt"
	"html"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Picture is one plot, ready to be drawn. All texts may hold anything.
type Picture struct {
	ID          string // unique on the page: letters, digits and hyphens
	Title       string
	Description string // what a person who does not see the picture must know
	X, Y        Axis
	Series      []Series
	Square      bool // as high as wide, with a circle of radius 1: for poles
}

// Axis is one axis. Least and Most bound it where Fixed says so; elsewhere the series do.
type Axis struct {
	Label       string // with its unit
	Least, Most float64
	Fixed       bool
	Log         bool
	Step        float64 // distance of its marks; 0: chosen
}

// Series is one set of points. Points that are not finite are left out, and break a line.
type Series struct {
	Name string
	Look Look
	X, Y []float64
	Dots bool // points with no line between them
}

// Size of a picture in its own units: small, so that its text can still be read on a telephone.
const (
	width  = 400
	height = 240
	legend = 18 // height of the strip above the plot
	small  = 12 // size of all text
)

// SVG draws the picture, the same bytes every time.
func (p Picture) SVG() (string, error) {
	h := vg.Length(height)
	if p.Square {
		h = width
	}
	canvas := vgsvg.NewWith(vgsvg.UseWH(width, h))
	area := draw.New(canvas)
	pl := plot.New()
	pl.BackgroundColor = nil
	p.X.prepare(&pl.X, false)
	p.Y.prepare(&pl.Y, true)
	pl.Add(grid{})
	for _, s := range p.Series {
		pl.Add(s)
	}
	if p.Square {
		pl.Add(circle{})
	}
	p.X.fit(&pl.X)
	p.Y.fit(&pl.Y)
	pl.Draw(draw.Crop(area, 4, -8, 0, -legend))
	p.drawLegend(area)
	var out bytes.Buffer
	if _, err := canvas.WriteTo(&out); err != nil {
		return "", fmt.Errorf("picture %s: %w", p.ID, err)
	}
	return p.dress(out.String(), int(h))
}

// fit gives an axis its ends once the series are known.
func (a Axis) fit(to *plot.Axis) {
	if a.Fixed {
		to.Min, to.Max = a.Least, a.Most
	}
	if math.IsInf(to.Min, 0) || math.IsInf(to.Max, 0) {
		to.Min, to.Max = 0, 1
		if a.Log {
			to.Min = 0.1
		}
	}
	if !a.Fixed && !a.Log && to.Max-to.Min < 1e-9*math.Max(math.Abs(to.Max), math.Abs(to.Min))+1e-300 {
		by := math.Max(1e-3*math.Abs(to.Max), 1e-3) // a flat line stands in the middle
		to.Min, to.Max = to.Min-by, to.Max+by
	}
	if !a.Fixed && !a.Log {
		room := 0.04 * (to.Max - to.Min)
		to.Min, to.Max = to.Min-room, to.Max+room
	}
}

func (p Picture) drawLegend(c draw.Canvas) {
	x, y := c.Min.X+6, c.Max.Y-legend/2
	style := textStyle()
	style.XAlign, style.YAlign = draw.XLeft, draw.YCenter
	for _, s := range p.Series {
		if s.Name == "" {
			continue
		}
		if s.Dots {
			c.DrawGlyph(s.Look.glyph(), vg.Point{X: x + 11, Y: y})
		} else {
			c.StrokeLine2(s.Look.stroke(), x, y, x+22, y)
		}
		c.FillText(style, vg.Point{X: x + 27, Y: y}, s.Name)
		x += 27 + style.Width(s.Name) + 14
	}
}

// dress makes the drawing part of a page: no prologue, no sizes and no font of its own, a title and a description.
func (p Picture) dress(svg string, h int) (string, error) {
	_, body, found := strings.Cut(svg, "<svg ")
	_, body, more := strings.Cut(body, ">")
	if !found || !more {
		return "", fmt.Errorf("picture %s: the drawing has another form than expected", p.ID)
	}
	body = inks.Replace(body)
	if i := strings.Index(body, "font-family"); i >= 0 {
		return "", fmt.Errorf("picture %s: a font of its own: %.80s", p.ID, body[i:])
	}
	return fmt.Sprintf("<svg role=\"img\" viewBox=\"0 0 %d %d\" aria-labelledby=\"%s-title\" aria-describedby=\"%s-text\">\n<title id=\"%s-title\">%s</title>\n<desc id=\"%s-text\">%s</desc>%s",
		width, h, p.ID, p.ID, p.ID, html.EscapeString(p.Title), p.ID, html.EscapeString(p.Description), body), nil
}
