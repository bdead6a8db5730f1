package chart

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// prepare gives an axis its style and marks.
func (a Axis) prepare(to *plot.Axis, upright bool) {
	label, tick := textStyle(), to.Tick.Label
	mark := textStyle()
	mark.XAlign, mark.YAlign = tick.XAlign, tick.YAlign
	to.Label.Text, to.Label.TextStyle, to.Label.Padding = a.Label, label, vg.Points(3)
	to.Tick.Label, to.Tick.Length, to.Padding = mark, 4, 2
	to.LineStyle = draw.LineStyle{Color: ink, Width: 0.7}
	to.Tick.LineStyle = draw.LineStyle{Color: ink, Width: 0.7}
	switch {
	case a.Log:
		to.Scale, to.Tick.Marker = plot.LogScale{}, decades{}
	default:
		to.Tick.Marker = marks{a.Step, upright}
	}
}

// marks are at round numbers, step apart; where that is 0, about five of them. Room leaves a blank behind each label, so
// that it does not touch the axis where the reader's font is wider than the one measured with.
type marks struct {
	step float64
	room bool
}

// Ticks is for package plot.
func (m marks) Ticks(least, most float64) []plot.Tick {
	if span := most - least; !(span > 0) || math.IsInf(span, 0) {
		return nil
	}
	step := m.step
	if step == 0 {
		step = roundStep((most - least) / 5)
	}
	digits := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var out []plot.Tick
	for k := math.Ceil(least/step - 1e-9); k*step <= most+1e-9*step && len(out) < 40; k++ {
		label := number(k*step, digits)
		if m.room {
			label += " "
		}
		out = append(out, plot.Tick{Value: k * step, Label: label})
	}
	return out
}

// roundStep is the next 1, 2 or 5 times a power of ten that is not below s.
func roundStep(s float64) float64 {
	if !(s > 0) || math.IsInf(s, 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(s)))
	for _, f := range []float64{1, 2, 5} {
		if f*power >= s*(1-1e-9) {
			return f * power
		}
	}
	return 10 * power
}

func number(v float64, digits int) string {
	if v == 0 {
		return "0"
	}
	if digits > 4 || math.Abs(v) >= 1e6 {
		return strconv.FormatFloat(v, 'g', 3, 64)
	}
	return strconv.FormatFloat(v, 'f', digits, 64)
}

// decades are marks at powers of ten, with lesser ones between them.
type decades struct{}

// Ticks is for package plot.
func (decades) Ticks(least, most float64) []plot.Tick {
	var out []plot.Tick
	for e := math.Floor(math.Log10(least)); e <= math.Ceil(math.Log10(most)) && len(out) < 200; e++ {
		for f := 1; f < 10; f++ {
			t := plot.Tick{Value: float64(f) * math.Pow(10, e)}
			if f == 1 {
				t.Label = strconv.FormatFloat(t.Value, 'g', 3, 64)
			}
			if t.Value >= least*(1-1e-9) && t.Value <= most*(1+1e-9) {
				out = append(out, t)
			}
		}
	}
	return out
}

// grid draws faint lines at the marks.
type grid struct{}

// Plot is for package plot.
func (grid) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	style := draw.LineStyle{Color: faint, Width: 0.6}
	for _, t := range p.X.Tick.Marker.Ticks(p.X.Min, p.X.Max) {
		if at := x(t.Value); !t.IsMinor() && c.ContainsX(at) {
			c.StrokeLine2(style, at, c.Min.Y, at, c.Max.Y)
		}
	}
	for _, t := range p.Y.Tick.Marker.Ticks(p.Y.Min, p.Y.Max) {
		if at := y(t.Value); !t.IsMinor() && c.ContainsY(at) {
			c.StrokeLine2(style, c.Min.X, at, c.Max.X, at)
		}
	}
}
