package simulate

import (
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

// signs holds -1 for each output whose counts are negative per unit: its raw value is turned.
func signs(s *spec.Spec) []float64 {
	out := make([]float64, len(s.Outputs))
	for i, o := range s.Outputs {
		out[i] = float64(o.CountsPerUnit.Sign())
	}
	return out
}

type realController struct {
	run     *program.RealMachine
	p       program.View
	lsb     []float64
	in      []float64
	coefs   []float64
	outSign []float64
	held    []int
	start   []float64
}

func newReal(p *program.Real, s *spec.Spec) *realController {
	c := &realController{run: program.NewRealMachine(p), p: p.View(), in: make([]float64, len(p.Inputs)), outSign: signs(s), held: integralStates(p.View())}
	c.start = append(c.start, c.run.State...)
	for _, in := range p.Inputs {
		x, _ := in.LSB.Float64()
		c.lsb = append(c.lsb, x)
	}
	for _, k := range p.Coefs {
		v, _ := p.Gains[k.Gain].Value.Float64()
		f, _ := k.Factor.Float64()
		c.coefs = append(c.coefs, v*f)
	}
	return c
}

func (c *realController) tick(raw []int64, outputs []float64) {
	for i, r := range raw {
		c.in[i] = float64(r) * c.lsb[i]
	}
	c.run.Tick(c.in, c.coefs, nil)
	for i, o := range c.p.Outputs {
		outputs[i] = c.run.Values[o.Value] * c.outSign[i]
	}
}

func (c *realController) on(section, signal int) bool {
	return c.run.Values[c.p.Sections[section].Signals[signal].Value] != 0
}
func (c *realController) enabled(section int) bool {
	return c.run.Values[c.p.Sections[section].Switched()] != 0
}
func (c *realController) restart() { c.run.Start() }

func (c *realController) integrals() float64 {
	most := 0.0
	for _, i := range c.held {
		most = max(most, c.run.State[i]-c.start[i], c.start[i]-c.run.State[i])
	}
	return most
}

type integerController struct {
	run     *program.FixedMachine
	p       program.View
	coefs   []int64
	lsb     []float64 // of outputs
	outSign []float64
	held    []int
	start   []int64
	units   []float64 // of one count of a state
}

func newInteger(p *program.Fixed, s *spec.Spec) *integerController {
	c := &integerController{run: program.NewFixedMachine(p), p: p.View(), outSign: signs(s), held: integralStates(p.View())}
	c.start = append(c.start, c.run.State...)
	for _, st := range p.States {
		x, _ := st.LSB.Float64()
		c.units = append(c.units, x)
	}
	for _, k := range p.Coefs {
		c.coefs = append(c.coefs, k.Setter.Apply(k.Setter.XStart))
	}
	for _, o := range p.Outputs {
		x, _ := o.LSB.Float64()
		c.lsb = append(c.lsb, x)
	}
	return c
}

func (c *integerController) tick(raw []int64, outputs []float64) {
	c.run.Tick(raw, c.coefs)
	for i, o := range c.p.Outputs {
		outputs[i] = float64(c.run.Values[o.Value]) * c.lsb[i] * c.outSign[i]
	}
}

func (c *integerController) on(section, signal int) bool {
	return c.run.Values[c.p.Sections[section].Signals[signal].Value] != 0
}
func (c *integerController) enabled(section int) bool {
	return c.run.Values[c.p.Sections[section].Switched()] != 0
}
func (c *integerController) restart() { c.run.Start() }

func (c *integerController) integrals() float64 {
	most := 0.0
	for _, i := range c.held {
		off := float64(c.run.State[i]-c.start[i]) * c.units[i]
		most = max(most, off, -off)
	}
	return most
}
