package chart

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

func finite(x, y float64) bool { return !math.IsNaN(x-x) && !math.IsNaN(y-y) }

// DataRange is the range of the finite points.
func (s Series) DataRange() (x0, x1, y0, y1 float64) {
	x0, x1, y0, y1 = math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
	for i := range s.X {
		if finite(s.X[i], s.Y[i]) {
			x0, x1 = math.Min(x0, s.X[i]), math.Max(x1, s.X[i])
			y0, y1 = math.Min(y0, s.Y[i]), math.Max(y1, s.Y[i])
		}
	}
	return x0, x1, y0, y1
}

// Plot is for package plot.
func (s Series) Plot(c draw.Canvas, p *plot.Plot) {
	toX, toY := p.Transforms(&c)
	var run []vg.Point
	flush := func() {
		if len(run) > 1 {
			c.StrokeLines(s.Look.stroke(), c.ClipLinesXY(run)...)
		}
		run = nil
	}
	for i := range s.X {
		if !finite(s.X[i], s.Y[i]) {
			flush()
			continue
		}
		if at := (vg.Point{X: toX(s.X[i]), Y: toY(s.Y[i])}); s.Dots {
			c.DrawGlyph(s.Look.glyph(), at)
		} else {
			run = append(run, at)
		}
	}
	flush()
}

// circle is the unit circle.
type circle struct{}

// Plot is for package plot.
func (circle) Plot(c draw.Canvas, p *plot.Plot) {
	s := Series{Look: Target}
	for k := range 181 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 90)
		s.X, s.Y = append(s.X, cos), append(s.Y, sin)
	}
	s.Plot(c, p)
}

// Thin keeps of a series what a picture can show: in each of some hundred equal stretches its least and its largest value,
// in their order. Points lie in the order of x. A series that is short already stays as it is.
func (s Series) Thin() Series {
	const stretches = 250
	if len(s.X) <= 3*stretches {
		return s
	}
	first, last := s.X[0], s.X[len(s.X)-1]
	out := s
	out.X, out.Y = nil, nil
	stretch := func(i int) int { return int(stretches * (s.X[i] - first) / (last - first)) }
	for from := 0; from < len(s.X); {
		lo, hi, to := from, from, from
		for ; to < len(s.X) && stretch(to) == stretch(from); to++ {
			if s.Y[to] < s.Y[lo] {
				lo = to
			}
			if s.Y[to] > s.Y[hi] {
				hi = to
			}
		}
		for _, i := range []int{min(lo, hi), max(lo, hi)} {
			if n := len(out.X); n == 0 || out.X[n-1] != s.X[i] {
				out.X, out.Y = append(out.X, s.X[i]), append(out.Y, s.Y[i])
			}
		}
		from = to
	}
	return out
}

// Between keeps the points from one x to another.
func (s Series) Between(from, to float64) Series {
	out := s
	out.X, out.Y = nil, nil
	for i, x := range s.X {
		if x >= from && x <= to {
			out.X, out.Y = append(out.X, x), append(out.Y, s.Y[i])
		}
	}
	return out
}
