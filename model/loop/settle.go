package loop

import "math/big"

import (
	"gainwright/model/program"
)

// unit is what one count stands for.
func unit(lsb *big.Rat) float64 {
	v, _ := lsb.Float64()
	return v
}

// units is what one count of each operation stands for; 1 in a real program, which has none.
func units(of program.Dialect) []float64 {
	out := make([]float64, len(of.View().Ops))
	fixed, whole := of.(*program.Fixed)
	for i := range out {
		if out[i] = 1; whole {
			out[i] = unit(fixed.Ops[i].LSB)
		}
	}
	return out
}

// settled runs a program on constant raw inputs until its counters and switches stand still, and returns the value of every operation in units.
func settled(of program.Dialect, raw []int64) []float64 {
	const least, most = 50, 200_000
	states := of.View().States
	still, before := 0, make([]float64, len(states))
	values := make([]float64, len(of.View().Ops))
	var tick func() []float64 // states
	switch p := of.(type) {
	case *program.Fixed:
		m := program.NewFixedMachine(p)
		coefs := make([]int64, len(p.Coefs))
		for i, k := range p.Coefs {
			coefs[i] = k.Setter.Apply(k.Setter.XStart)
		}
		tick = func() []float64 {
			m.Tick(raw, coefs)
			for i, v := range m.Values {
				values[i] = float64(v) * unit(p.Ops[i].LSB)
			}
			out := make([]float64, len(m.State))
			for i, s := range p.States {
				if s.Freeze {
					m.State[i] = 0
				}
			}
			for i, v := range m.State {
				out[i] = float64(v)
			}
			return out
		}
	case *program.Real:
		m := program.NewRealMachine(p)
		in, coefs := make([]float64, len(raw)), realCoefs(p)
		for i, r := range raw {
			in[i] = float64(r) * unit(p.Inputs[i].LSB)
		}
		tick = func() []float64 {
			m.Tick(in, coefs, nil)
			copy(values, m.Values)
			for i, s := range p.States {
				if s.Freeze {
					m.State[i] = 0
				}
			}
			return m.State
		}
	}
	for k := 0; k < most && (k < least || still < least); k++ {
		now := tick()
		still++
		for i, s := range states {
			if (s.Bool || s.Form == program.Counter) && now[i] != before[i] {
				still = 0
			}
			before[i] = now[i]
		}
	}
	return values
}

func realCoefs(p *program.Real) []float64 {
	var out []float64
	for _, k := range p.Coefs {
		v, _ := p.Gains[k.Gain].Value.Float64()
		f, _ := k.Factor.Float64()
		out = append(out, v*f)
	}
	return out
}
