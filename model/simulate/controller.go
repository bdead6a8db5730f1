package simulate

import (
	"slices"

	"gainwright/model/program"
	"gainwright/model/spec"
)

// controller is one of the two programs at work.
type controller interface {
	tick(raw []int64, outputs []float64) // outputs in their units
	on(section, signal int) bool         // a switch signal, which stands at the same place in both programs
	enabled(section int) bool            // a step that a condition switches on and off
	restart()
	// integrals returns how far each integral that a switch holds is from its start.
	integrals() float64
}

// running is a program at work. T is what it counts in.
type running[T int64 | float64] struct {
	p             program.View
	values, state []T // of the machine
	start         []T
	held          []int     // states that are held at a constant until a switch lets them go
	units         []float64 // of one count of a state
	scale         []float64 // of one count of an output; below 0 where its counts are negative per unit: its raw value is turned
	step          func(raw []int64)
	again         func()
}

func newRunning[T int64 | float64](p program.View, s *spec.Spec, values, state []T, step func(raw []int64), again func()) *running[T] {
	c := &running[T]{p: p, values: values, state: state, start: slices.Clone(state), units: slices.Repeat([]float64{1}, len(state)), step: step, again: again}
	for i, st := range p.States {
		if st.Purpose == program.Accumulator && !st.Bool && st.Reset != program.None {
			c.held = append(c.held, i)
		}
	}
	for _, o := range s.Outputs {
		c.scale = append(c.scale, float64(o.CountsPerUnit.Sign()))
	}
	return c
}

func (c *running[T]) tick(raw []int64, outputs []float64) {
	c.step(raw)
	for i, o := range c.p.Outputs {
		outputs[i] = float64(c.values[o.Value]) * c.scale[i]
	}
}

func (c *running[T]) restart() { c.again() }

func (c *running[T]) on(section, signal int) bool {
	return c.values[c.p.Sections[section].Signals[signal].Value] != 0
}

func (c *running[T]) enabled(section int) bool {
	return c.values[c.p.Sections[section].Switched()] != 0
}

func (c *running[T]) integrals() float64 {
	most := 0.0
	for _, i := range c.held {
		off := float64(c.state[i]-c.start[i]) * c.units[i]
		most = max(most, off, -off)
	}
	return most
}

// inReal runs a real program.
func inReal(m *program.RealMachine, p *program.Real, s *spec.Spec) controller {
	in, lsb, coefs := make([]float64, len(p.Inputs)), make([]float64, len(p.Inputs)), Coefs(p)
	for i := range p.Inputs {
		lsb[i], _ = p.Inputs[i].LSB.Float64()
	}
	return newRunning(p.View(), s, m.Values, m.State, func(raw []int64) {
		for i, r := range raw {
			in[i] = float64(r) * lsb[i]
		}
		m.Tick(in, coefs, nil)
	}, func() { m.Start() })
}

func newReal(p *program.Real, s *spec.Spec) controller {
	return inReal(program.NewRealMachine(p), p, s)
}

// inIntegers runs an integer program.
func inIntegers(m *program.FixedMachine, p *program.Fixed, s *spec.Spec) controller {
	coefs := CoefCounts(p)
	c := newRunning(p.View(), s, m.Values, m.State, func(raw []int64) { m.Tick(raw, coefs) }, func() { m.Start() })
	for i, st := range p.States {
		c.units[i], _ = st.LSB.Float64()
	}
	for i, o := range p.Outputs {
		x, _ := o.LSB.Float64()
		c.scale[i] *= x
	}
	return c
}

// Coefs are the live coefficients of a real program at its start.
func Coefs(p *program.Real) (out []float64) {
	for _, k := range p.Coefs {
		v, _ := p.Gains[k.Gain].Value.Float64()
		f, _ := k.Factor.Float64()
		out = append(out, v*f)
	}
	return out
}

// CoefCounts are those of an integer program, in counts.
func CoefCounts(p *program.Fixed) (out []int64) {
	for _, k := range p.Coefs {
		out = append(out, k.Setter.Apply(k.Setter.XStart))
	}
	return out
}
