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

// integralStates finds the states that are held at a constant until a switch lets them go.
func integralStates(p program.View) []int {
	var out []int
	for i, s := range p.States {
		if s.Form == program.Wide && !s.Bool && s.Reset != program.None {
			out = append(out, i)
		}
	}
	return out
}

// either is what the two controllers have in common. T is what their programs count in.
type either[T int64 | float64] struct {
	p             program.View
	values, state []T // of the machine
	start         []T
	held          []int     // states
	units         []float64 // of one count of a state
	scale         []float64 // of one count of an output; below 0 where its counts are negative per unit: its raw value is turned
}

func newEither[T int64 | float64](p program.View, s *spec.Spec, values, state []T) either[T] {
	c := either[T]{p: p, values: values, state: state, start: slices.Clone(state), held: integralStates(p), units: slices.Repeat([]float64{1}, len(state))}
	for _, o := range s.Outputs {
		c.scale = append(c.scale, float64(o.CountsPerUnit.Sign()))
	}
	return c
}

func (c *either[T]) give(outputs []float64) {
	for i, o := range c.p.Outputs {
		outputs[i] = float64(c.values[o.Value]) * c.scale[i]
	}
}

func (c *either[T]) on(section, signal int) bool {
	return c.values[c.p.Sections[section].Signals[signal].Value] != 0
}

func (c *either[T]) enabled(section int) bool { return c.values[c.p.Sections[section].Switched()] != 0 }

func (c *either[T]) integrals() float64 {
	most := 0.0
	for _, i := range c.held {
		off := float64(c.state[i]-c.start[i]) * c.units[i]
		most = max(most, off, -off)
	}
	return most
}

type realController struct {
	either[float64]
	run   *program.RealMachine
	lsb   []float64 // of inputs
	in    []float64
	coefs []float64
}

func newReal(p *program.Real, s *spec.Spec) *realController {
	run := program.NewRealMachine(p)
	c := &realController{either: newEither(p.View(), s, run.Values, run.State), run: run, in: make([]float64, len(p.Inputs)), coefs: Coefs(p)}
	for _, in := range p.Inputs {
		x, _ := in.LSB.Float64()
		c.lsb = append(c.lsb, x)
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

func (c *realController) tick(raw []int64, outputs []float64) {
	for i, r := range raw {
		c.in[i] = float64(r) * c.lsb[i]
	}
	c.run.Tick(c.in, c.coefs, nil)
	c.give(outputs)
}

func (c *realController) restart() { c.run.Start() }

type integerController struct {
	either[int64]
	run   *program.FixedMachine
	coefs []int64
}

func newInteger(p *program.Fixed, s *spec.Spec) *integerController {
	run := program.NewFixedMachine(p)
	c := &integerController{either: newEither(p.View(), s, run.Values, run.State), run: run, coefs: CoefCounts(p)}
	for i, st := range p.States {
		c.units[i], _ = st.LSB.Float64()
	}
	for i, o := range p.Outputs {
		x, _ := o.LSB.Float64()
		c.scale[i] *= x
	}
	return c
}

func (c *integerController) tick(raw []int64, outputs []float64) {
	c.run.Tick(raw, c.coefs)
	c.give(outputs)
}

func (c *integerController) restart() { c.run.Start() }
