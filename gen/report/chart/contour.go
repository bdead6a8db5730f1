package chart

import (
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg/draw"
)

// Contours are lines of equal value over a grid.
type Contours struct {
	X, Y   []float64   // rising
	Values [][]float64 // by y, then x
	Levels []Level     // rising
}

// Level is one of the lines.
type Level struct {
	Name  string // for the legend
	Value float64
	Look  Look
}

// field is what package plotter reads contours from.
type field struct{ *Contours }

func (f field) Dims() (columns, rows int) { return len(f.Contours.X), len(f.Contours.Y) }
func (f field) Z(column, row int) float64 { return f.Values[row][column] }
func (f field) X(column int) float64      { return f.Contours.X[column] }
func (f field) Y(row int) float64         { return f.Contours.Y[row] }

// lines draws the contours, each level with its look.
func (c *Contours) lines() *plotter.Contour {
	var at []float64
	var styles []draw.LineStyle
	for _, l := range c.Levels {
		at, styles = append(at, l.Value), append(styles, l.Look.stroke())
	}
	out := plotter.NewContour(field{c}, at, nil)
	out.LineStyles = styles
	return out
}

// legend are the names of the levels, as series without points.
func (c *Contours) legend() []Series {
	var out []Series
	for _, l := range c.Levels {
		out = append(out, Series{Name: l.Name, Look: l.Look})
	}
	return out
}
