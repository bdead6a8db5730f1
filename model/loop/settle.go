package loop

import (
	"math/big"

	"gainwright/model/program"
	"gainwright/model/simulate"
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
	var values []float64
	switch p := of.(type) {
	case *program.Fixed:
		m := program.NewFixedMachine(p)
		coefs := simulate.CoefCounts(p)
		rest(p.View(), m.State, func() { m.Tick(raw, coefs) })
		for i, v := range m.Values {
			values = append(values, float64(v)*unit(p.Ops[i].LSB))
		}
	case *program.Real:
		m := program.NewRealMachine(p)
		in, coefs := make([]float64, len(raw)), simulate.Coefs(p)
		for i, r := range raw {
			in[i] = float64(r) * unit(p.Inputs[i].LSB)
		}
		rest(p.View(), m.State, func() { m.Tick(in, coefs, nil) })
		values = m.Values
	}
	return values
}

// rest runs ticks of a program until its counters and switches stand still.
func rest[T int64 | float64](p program.View, state []T, tick func()) {
	const least, most = 50, 200_000
	still, before := 0, make([]T, len(state))
	for k := 0; k < most && (k < least || still < least); k++ {
		tick()
		still++
		for i, s := range p.States {
			if s.Freeze {
				state[i] = 0
			}
			if (s.Bool || s.Purpose == program.Counter) && state[i] != before[i] {
				still = 0
			}
			before[i] = state[i]
		}
	}
}
