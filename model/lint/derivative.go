package lint

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// derivativeNoise tells how much one count of the sensor moves the effort through the D term.
func derivativeNoise(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		d := sec.Facts.Derivative
		if d == nil {
			continue
		}
		k := l.Stored.Ops[d.Term].K
		if d.Coef != program.None {
			c := l.Integer.Coefs[l.Stored.Ops[d.Coef].Index]
			k = new(big.Rat).Mul(new(big.Rat).SetInt64(c.Setter.Apply(c.Setter.XStart)), c.LSB)
		}
		lsb := 0.0
		counts, _ := l.sensorCounts(d.Of)
		for _, c := range counts {
			lsb = math.Max(lsb, c)
		}
		effort := sec.Signals[0].Value
		span := l.Reach[effort]
		full := f64(span.Hi) - f64(span.Lo)
		if lsb == 0 || full == 0 {
			continue
		}
		if jump := math.Abs(f64(k)) * lsb; jump > full/50 {
			say(s, finding.Warning, "steps."+sec.Name+".kd", "a smaller kd, a slower derivative_filter, or a measured rate",
				fmt.Sprintf("one count of the sensor moves the effort by %.3g %s through the D term, %.2g %% of its span", jump, l.Stored.Ops[d.Term].Unit, 100*jump/full))
		}
	}
}

// sensorCounts is how much one count of each input that a value of the real program reads at once moves it, in the value's unit: through
// sums, fixed factors, limits and turns. whole tells that nothing else goes into it, such as a state or a live gain.
func (l *linter) sensorCounts(id program.ID) (counts map[int]float64, whole bool) {
	type gains struct {
		by    map[int]float64 // by input, with the sign
		whole bool
	}
	known := map[program.ID]gains{}
	var look func(id program.ID) gains
	look = func(id program.ID) gains {
		if g, ok := known[id]; ok {
			return g
		}
		op := &l.Stored.Ops[id]
		g := gains{map[int]float64{}, true}
		add := func(arg program.ID, k float64) {
			a := look(arg)
			g.whole = g.whole && a.whole
			for i, c := range a.by {
				g.by[i] += k * c
			}
		}
		switch op.Kind {
		case program.Const:
		case program.Input:
			g.by[op.Index] = f64(l.Stored.Inputs[op.Index].LSB)
		case program.Scale:
			add(op.Args[0], f64(op.K))
		case program.Clamp, program.Wrap:
			add(op.Args[0], 1)
		case program.Add:
			add(op.Args[0], 1)
			add(op.Args[1], 1)
		case program.Sub:
			add(op.Args[0], 1)
			add(op.Args[1], -1)
		default:
			g.whole = false
		}
		known[id] = g
		return g
	}
	g := look(id)
	for i, c := range g.by {
		g.by[i] = math.Abs(c)
	}
	return g.by, g.whole
}
