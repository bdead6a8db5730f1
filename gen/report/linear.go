package report

import (
	"fmt"
	"math"

	"gainwright/gen/document"
	"gainwright/gen/document/chart"
	"gainwright/gen/summary"
	"gainwright/model/loop"
)

// bode draws gain and phase of one cut.
func bode(c summary.Cut) []document.Part {
	if len(c.Cut.Bode[0].Hz) < 2 {
		return nil
	}
	at := "cut " + summary.Place(c.Cut)
	f := document.Figures{Title: "Open loop, " + at}
	for _, p := range []struct {
		id, title, label string
		of               func(b *loop.Bode) []float64
		step             float64
	}{{"gain", "Gain of the open loop", "gain, dB", decibels, 0}, {"phase", "Phase of the open loop", "phase, deg", func(b *loop.Bode) []float64 { return b.Phase }, 90}} {
		plot := chart.Picture{ID: fmt.Sprintf("linear-%s-%d", p.id, c.Index+1), Title: p.title + ", " + at, X: chart.Axis{Label: "frequency, Hz",
			Log: true}, Y: chart.Axis{Label: p.label},
			Description: "Over frequency, with the gains as stored and as asked, up to half the rate of the ticks. The margins stand in the table above."}
		for i, look := range []chart.Look{chart.Integer, chart.Reference} {
			b := &c.Cut.Bode[1-i]
			plot.Series = append(plot.Series, chart.Series{Name: [2]string{"stored", "asked"}[i], Look: look, X: b.Hz, Y: p.of(b)})
		}
		if _, _, lo, hi := plot.Series[0].DataRange(); p.step > 0 && hi-lo > p.step && hi-lo < 8*p.step {
			plot.Y.Step = p.step
		}
		f.Pictures = append(f.Pictures, document.Picture{Plot: plot, Caption: p.title})
	}
	return []document.Part{f}
}

func decibels(b *loop.Bode) []float64 {
	var out []float64
	for _, g := range b.Gain {
		out = append(out, 20*math.Log10(g))
	}
	return out
}

// polePlane draws the poles, with the unit circle in sight.
func polePlane(v *loop.View) []document.Part {
	if len(v.Poles) == 0 {
		return nil
	}
	series := []chart.Series{{Name: "stored", Look: chart.Integer, Dots: true}, {Name: "asked", Look: chart.Reference, Dots: true}}
	var radius [2]float64
	for _, p := range v.Poles {
		for i, z := range []loop.Point{p.Stored, p.Asked} {
			s := &series[i]
			s.X, s.Y = append(s.X, z.Re), append(s.Y, z.Im)
			if p.Pair {
				s.X, s.Y = append(s.X, z.Re), append(s.Y, -z.Im)
			}
			radius[i] = math.Max(radius[i], math.Hypot(z.Re, z.Im))
		}
	}
	most := 1.1 * max(1, radius[0], radius[1])
	axis := func(label string) chart.Axis { return chart.Axis{Label: label, Least: -most, Most: most, Fixed: true} }
	plot := chart.Picture{ID: "linear-poles", Title: "Poles of the sampled closed loop", Square: true, X: axis("real part"), Y: axis("imaginary part"), Series: series,
		Description: fmt.Sprintf("In the plane of z, with the unit circle: the loop is stable where all poles lie inside it. The largest pole has the size %.6f as stored and %.6f as asked.", radius[0], radius[1])}
	return []document.Part{document.Figures{Title: plot.Title, Pictures: []document.Picture{{Plot: plot,
		Caption: "In the plane of z: the loop is stable where all poles lie inside the circle"}}}}
}
