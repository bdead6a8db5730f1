package report

import (
	"fmt"
	"math"

	"gainwright/gen/report/chart"
)

// Linear is the closed loop as a linear system sampled at the controller's rate, with the gains as asked and with the
// constants as stored, ready to be shown.
type Linear struct {
	Sentences []string    // what it says, and under which condition
	Figures   []LinearRow // margins, sensitivity, rounding bound
	Asked     Response
	Stored    Response
}

// LinearRow is one figure for both; texts, so that "none" can be said.
type LinearRow struct{ What, Asked, Stored, Unit string }

// Response is one of the two: poles of the closed loop in z, and the open loop by frequency.
type Response struct {
	Poles []complex128
	Hz    []float64 // rising, above 0
	Gain  []float64 // dB
	Phase []float64 // degrees, unwrapped
}

func (l *Linear) section() (section, error) {
	out := section{ID: "linear", Title: "The closed loop as a linear system", Intro: l.Sentences}
	t := table{Caption: "Asked and stored", Head: columns("", ">as asked", ">as stored", "unit")}
	for _, f := range l.Figures {
		t.Rows = append(t.Rows, cells(f.What, f.Asked, f.Stored, f.Unit))
	}
	if len(t.Rows) > 0 {
		out.Tables = append(out.Tables, t)
	}
	if len(l.Stored.Hz) > 1 {
		for _, p := range []struct {
			id, title, label string
			of               func(Response) []float64
			step             float64
		}{{"gain", "Gain of the open loop", "gain, dB", func(r Response) []float64 { return r.Gain }, 0}, {"phase", "Phase of the open loop", "phase, deg", func(r Response) []float64 { return r.Phase }, 90}} {
			err := out.picture(chart.Picture{ID: "linear-" + p.id, Title: p.title, Description: "Over frequency, with the constants as stored and the gains as asked; the margins stand in the table.",
				X: chart.Axis{Label: "frequency, Hz", Log: true}, Y: chart.Axis{Label: p.label, Step: p.step}, Series: []chart.Series{
					{Name: "as stored", Look: chart.Integer, X: l.Stored.Hz, Y: p.of(l.Stored)}, {Name: "as asked", Look: chart.Reference, X: l.Asked.Hz, Y: p.of(l.Asked)}}}, p.title+".")
			if err != nil {
				return out, err
			}
		}
	}
	if len(l.Stored.Poles) > 0 {
		err := out.picture(chart.Picture{ID: "linear-poles", Title: "Poles of the sampled closed loop", Square: true, X: l.plane("real part"), Y: l.plane("imaginary part"),
			Description: fmt.Sprintf("In the plane of z, with the unit circle; the loop is stable where all poles lie inside. As stored, the pole farthest out is at a distance of %.5f from the middle; as asked, at %.5f.", l.Stored.radius(), l.Asked.radius()),
			Series:      []chart.Series{l.Stored.dots("as stored", chart.Integer), l.Asked.dots("as asked", chart.Reference)}},
			"Poles in the plane of z, with the unit circle. Inside it is stable.")
		return out, err
	}
	return out, nil
}

// plane is one axis of the plane of z: the unit circle and every pole are in sight.
func (l *Linear) plane(label string) chart.Axis {
	most := 1.1 * max(1, l.Stored.radius(), l.Asked.radius())
	return chart.Axis{Label: label, Least: -most, Most: most, Fixed: true}
}

func (r Response) radius() float64 {
	most := 0.0
	for _, p := range r.Poles {
		most = max(most, math.Hypot(real(p), imag(p)))
	}
	return most
}

func (r Response) dots(name string, look chart.Look) chart.Series {
	s := chart.Series{Name: name, Look: look, Dots: true}
	for _, p := range r.Poles {
		s.X, s.Y = append(s.X, real(p)), append(s.Y, imag(p))
	}
	return s
}
