package loop

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/plant"
	"gainwright/model/program"
)

// live gives the stored program the live gains as the integer program's setters store them at the start.
func (s *System) live() *System {
	out := *s
	out.Stored = s.Stored.Clone()
	for i := range out.Stored.Coefs {
		k := &s.Integer.Coefs[i]
		counts := new(big.Rat).SetInt64(k.Setter.Apply(k.Setter.XStart))
		if asked := out.Stored.Gains[out.Stored.Coefs[i].Gain].Value; asked.Sign() != 0 {
			out.Stored.Coefs[i].Factor = counts.Quo(counts.Mul(counts, k.LSB), asked)
		}
	}
	return &out
}

// materials are what all views of a system share.
type materials struct {
	linear     *plant.Linear
	raw        []int64   // the controller's inputs at rest, in the first of the settings
	settings   []setting // of its switches; none without a scenario
	units      []float64 // of one count of each input
	signs      []float64 // of each output
	quantities []int     // watched
}

func (s *System) materials() *materials {
	m := &materials{linear: s.Plant.Linear(), raw: make([]int64, len(s.Asked.Inputs))}
	for i, in := range s.Asked.Inputs {
		m.units = append(m.units, unit(in.LSB))
		if in.IsSwitch {
			m.raw[i] = 1
		}
	}
	for _, sensor := range s.Plant.Sensors {
		at := 0.0
		for _, part := range sensor.Parts() {
			if m.linear.Rest != nil {
				at += part.Share * m.linear.Rest[part.Quantity]
			}
		}
		clean := sensor
		clean.Bias, clean.Drift, clean.Noise = 0, 0, 0
		m.raw[sensor.Input] = clean.Count(at, 0, 0, 0)
	}
	for _, o := range s.Spec.Outputs {
		m.signs = append(m.signs, float64(o.CountsPerUnit.Sign()))
	}
	if s.Scenario == nil {
		m.settings = []setting{{raw: m.raw}}
		return m
	}
	m.settings = s.settings(m.raw)
	m.raw = m.settings[0].raw
	for _, w := range s.Scenario.Watch {
		m.quantities = append(m.quantities, w.Quantity)
	}
	return m
}

// controller takes a program to its working point, its outputs with the signs of their raw values.
func (s *System) controller(p program.Dialect, m *materials) *controller {
	return s.signed(near(p, m.raw), m)
}

// signed gives a controller's outputs the signs of their raw values.
func (s *System) signed(c *controller, m *materials) *controller {
	for i, sign := range m.signs {
		for _, rows := range []matrix{c.c, c.d, c.f} {
			for j := range rows[i] {
				rows[i][j] *= sign
			}
		}
		if c.cut != program.None {
			c.behind.output[i] *= sign
		}
	}
	return c
}

func (s *System) sampled(m *materials, later int) (*sampled, error) {
	for _, sec := range s.Asked.Sections {
		if sec.Clock.Every != 0 {
			return nil, fmt.Errorf("%s runs every %d ticks, and this view knows loops that do the same at each tick", sec.Name, sec.Clock.Every)
		}
	}
	return sample(s.Plant, m.linear, s.period(), len(s.Asked.Inputs), m.units, len(s.Spec.Outputs), m.quantities, later)
}

// driving lists the outputs that drive the plant.
func (s *System) driving() []int {
	var out []int
	for _, a := range s.Plant.Actuators {
		if !slices.Contains(out, a.Output) {
			out = append(out, a.Output)
		}
	}
	slices.Sort(out)
	return out
}

// notes say what the view takes as linear and is not.
func (s *System) notes(c *controller) []string {
	out := append([]string{}, c.notes...)
	if _, ok := s.Plant.Model.(*plant.Linear); !ok {
		out = append(out, "the plant is linearised at rest, dry friction left out")
	}
	if s.Plant.Values["backlash"] > 0 {
		out = append(out, "the play of the gear counts as closed")
	}
	if s.Plant.Battery != nil {
		out = append(out, "the battery counts as a stiff supply at its open voltage less the drop of the constant load")
	}
	for _, a := range s.Plant.Actuators {
		if least := s.Spec.Outputs[a.Output].LeastEffort; a.DeadBand > 0 || least != nil {
			out = append(out, fmt.Sprintf("%s: its least effort and the actuator's dead band count as overcome", a.From))
		}
		if a.CurrentLimit > 0 {
			out = append(out, fmt.Sprintf("%s: the driver's current limit counts as out of reach", a.From))
		}
	}
	for _, t := range s.Plant.Sensors {
		if t.Dropped > 0 || t.Late > 0 {
			out = append(out, fmt.Sprintf("%s: no sample is dropped or late", t.Name))
		}
		if t.Shakes() {
			out = append(out, fmt.Sprintf("%s: no motor shakes it", t.Name))
		}
	}
	if s.Plant.Jitter > 0 {
		out = append(out, "ticks come at their time, without jitter")
	}
	return out
}
