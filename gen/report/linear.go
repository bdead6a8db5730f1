package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/gen/report/chart"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/loop"
)

// Linearise takes the linear view of a unit's loop; nil where the spec describes no plant. The error says why a plant has none.
func Linearise(u *model.Unit) (*loop.View, error) {
	if !u.OK() || u.Plant == nil {
		return nil, nil
	}
	return loop.New(summary.Loop(u))
}

func linear(v *loop.View, computing string) (section, error) {
	out := section{ID: "linear", Title: "The closed loop as a linear system", Intro: []string{
		"The machine linearised at rest and sampled at every tick, the controller at its working point: no limit acts, switches stand as they do when it has settled. Asked is with the gains of the spec, stored with those of the integer program.",
	}}
	if computing != "" {
		out.Notes = append(out.Notes, computing)
	}
	for _, n := range v.Notes {
		out.List = append(out.List, "Taken as linear: "+n+".")
	}
	for _, c := range summary.Cuts(v) {
		out.Tables = append(out.Tables, table{Caption: "Margins, the loop cut " + c.Places, Head: columns("", ">asked", ">stored"), Rows: compared(c.Rows)})
	}
	out.Notes = append(out.Notes, summary.Bandwidth)
	out.Tables = append(out.Tables, later(v), poles(v))
	if text := summary.AtZero(v); text != "" {
		out.Notes = append(out.Notes, text)
	}
	deviations(&out, v)
	for _, c := range summary.Cuts(v) { // one picture where several cuts show the same
		i := slices.IndexFunc(v.Cuts, func(x loop.Cut) bool { return c.First == summary.Place(&x) })
		if err := bode(&out, &v.Cuts[i], i); err != nil {
			return out, err
		}
	}
	if len(v.Poles) == 0 {
		return out, nil
	}
	return out, plane(&out, v)
}

func later(v *loop.View) table {
	return table{Caption: "With more delay, of computation or of a bus: size of the largest pole", Head: columns("", ">asked", ">stored"), Rows: compared(summary.Later(v))}
}

func poles(v *loop.View) table {
	t := table{Caption: "Poles of the sampled closed loop", Head: columns("stored", ">asked", ">moved by", ">natural frequency, Hz", ">damping")}
	text := func(z loop.Point, pair bool) string { return strings.Replace(summary.Pole(z, pair), "+-", "± ", 1) }
	for _, p := range v.Poles[:min(len(v.Poles), summary.MostPoles)] {
		t.Rows = append(t.Rows, cells(text(p.Stored, p.Pair), text(p.Asked, p.Pair), fmt.Sprintf("%.2g", p.Moved), fmt.Sprintf("%.4g", p.Hz), fmt.Sprintf("%.3f", p.Damping)))
	}
	return t
}

// deviations shows the closed-loop rounding bound beside what the runs on the linear plant showed.
func deviations(out *section, v *loop.View) {
	if len(v.Deviation) == 0 {
		return
	}
	head := []string{"", ">proven at most", ">found by search"}
	for _, r := range v.Runs {
		head = append(head, ">seen "+r.Kind)
	}
	t := table{Caption: "How far rounding can push the linear plant", Head: columns(head...)}
	for i, d := range v.Deviation {
		row := cells(labelled(d.Name, d.Unit), fmt.Sprintf("%.4g", d.Bound))
		if d.Why != "" {
			row[1].Text = "no bound"
		}
		searched := ""
		if d.Found > 0 {
			searched = fmt.Sprintf("%.3g", d.Found)
		}
		row = append(row, cell{Text: searched})
		for _, r := range v.Runs {
			text := fmt.Sprintf("%.3g", r.Largest[i])
			if !r.Speaks {
				text += ", not covered"
			}
			row = append(row, cell{Text: text})
		}
		t.Rows = append(t.Rows, row)
	}
	out.Tables = append(out.Tables, t)
	out.Notes = append(out.Notes, summary.Deviations(v)...)
}

// bode draws gain and phase of one cut.
func bode(out *section, c *loop.Cut, index int) error {
	if len(c.Bode[0].Hz) < 2 {
		return nil
	}
	out.Figures = append(out.Figures, group{Title: "Open loop, cut " + summary.Place(c)})
	for _, p := range []struct {
		id, title, label string
		of               func(b *loop.Bode) []float64
		step             float64
	}{{"gain", "Gain of the open loop", "gain, dB", decibels, 0}, {"phase", "Phase of the open loop", "phase, deg", func(b *loop.Bode) []float64 { return b.Phase }, 90}} {
		p0 := chart.Picture{ID: fmt.Sprintf("linear-%s-%d", p.id, index+1), Title: p.title + ", cut " + summary.Place(c), X: chart.Axis{Label: "frequency, Hz", Log: true}, Y: chart.Axis{Label: p.label},
			Description: "Over frequency, with the gains as stored and as asked, up to half the rate of the ticks. The margins stand in the table above."}
		for i, look := range []chart.Look{chart.Reference, chart.Integer} {
			s := chart.Series{Name: [2]string{"asked", "stored"}[i], Look: look, X: c.Bode[i].Hz, Y: p.of(&c.Bode[i])}
			p0.Series = append([]chart.Series{s}, p0.Series...)
		}
		if _, _, lo, hi := p0.Series[0].Span(); p.step > 0 && hi-lo > p.step && hi-lo < 8*p.step {
			p0.Y.Step = p.step
		}
		if err := out.picture(p0, p.title); err != nil {
			return err
		}
	}
	return nil
}

func decibels(b *loop.Bode) []float64 {
	var out []float64
	for _, g := range b.Gain {
		out = append(out, 20*math.Log10(g))
	}
	return out
}

// plane draws the poles, with the unit circle in sight.
func plane(out *section, v *loop.View) error {
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
	out.Figures = append(out.Figures, group{Title: "Poles of the sampled closed loop"})
	return out.picture(chart.Picture{ID: "linear-poles", Title: "Poles of the sampled closed loop", Square: true, X: axis("real part"), Y: axis("imaginary part"), Series: series,
		Description: fmt.Sprintf("In the plane of z, with the unit circle: the loop is stable where all poles lie inside it. The largest pole has the size %.6f as stored and %.6f as asked.", radius[0], radius[1])},
		"In the plane of z: the loop is stable where all poles lie inside the circle")
}
