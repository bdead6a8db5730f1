package trial

import (
	"math"
	"math/big"
	"slices"

	"gainwright/model/program"
)

// precise runs a real program with 300 bits, by rules too plain to be wrong: an oracle for float64.
type precise struct {
	p             *program.Real
	values, state []*big.Float
	now           int // the tick, counted from 0 since the start or the last restart
}

const digits = 300 // binary ones

func number() *big.Float { return new(big.Float).SetPrec(digits) }

func newPrecise(p *program.Real) *precise {
	m := &precise{p: p, values: make([]*big.Float, len(p.Ops)), state: make([]*big.Float, len(p.States))}
	for i, s := range m.p.States {
		m.state[i] = number().SetRat(s.Start)
	}
	return m
}

func (m *precise) restart(kept []int) {
	m.now = 0
	for i, s := range m.p.States {
		if !s.Latch && !slices.Contains(kept, i) {
			m.state[i] = number().SetRat(s.Start)
		}
	}
}

func (m *precise) tick(in, coefs, fed []*big.Float) {
	v := m.values
	for i, op := range m.p.Ops {
		if !m.p.At(op.Section).Runs(m.now) {
			continue // it holds
		}
		arg := func(n int) *big.Float {
			if a := op.Args[n]; fed == nil || m.p.Ops[a].Section == op.Section {
				return v[a]
			}
			return fed[op.Args[n]]
		}
		truth := func(b bool) *big.Float {
			if b {
				return number().SetInt64(1)
			}
			return number()
		}
		switch op.Kind {
		case program.Const:
			v[i] = number().SetRat(op.K)
		case program.Input:
			v[i] = in[op.Index]
		case program.Coef:
			v[i] = coefs[op.Index]
		case program.State:
			v[i] = m.state[op.Index]
		case program.Add:
			v[i] = number().Add(arg(0), arg(1))
		case program.Sub:
			v[i] = number().Sub(arg(0), arg(1))
		case program.Scale:
			v[i] = number().Mul(number().SetRat(op.K), arg(0))
		case program.Mul:
			v[i] = number().Mul(arg(0), arg(1))
		case program.Min:
			v[i] = least(arg(0), arg(1))
		case program.Max:
			v[i] = most(arg(0), arg(1))
		case program.Clamp:
			v[i] = least(most(arg(0), arg(1)), arg(2))
		case program.Abs:
			v[i] = number().Abs(arg(0))
		case program.Wrap:
			v[i] = wrapped(arg(0), number().SetRat(op.K))
		case program.Angle:
			turn := number().SetRat(program.Turn(op.Unit))
			v[i] = number().Quo(number().Mul(direction(arg(0), arg(1)), turn), number().Mul(pi, number().SetInt64(2)))
		case program.Root:
			v[i] = number().Sqrt(most(arg(0), number()))
		case program.Table:
			at := func(k *big.Rat) *big.Float { return number().SetRat(k) }
			x, last := arg(0), len(op.Points)-1
			x = least(most(x, at(op.Points[0].X)), at(op.Points[last].X))
			n := 0
			for n < last-1 && x.Cmp(at(op.Points[n+1].X)) >= 0 {
				n++
			}
			rise := number().Mul(at(program.Chord(op.Points, n)), number().Sub(x, at(op.Points[n].X)))
			v[i] = number().Add(at(op.Points[n].Y), rise)
		case program.Less:
			v[i] = truth(arg(0).Cmp(arg(1)) < 0)
		case program.LessEqual:
			v[i] = truth(arg(0).Cmp(arg(1)) <= 0)
		case program.And:
			v[i] = truth(arg(0).Sign() != 0 && arg(1).Sign() != 0)
		case program.Or:
			v[i] = truth(arg(0).Sign() != 0 || arg(1).Sign() != 0)
		case program.Not:
			v[i] = truth(arg(0).Sign() == 0)
		case program.Select:
			if v[i] = arg(2); arg(0).Sign() != 0 {
				v[i] = arg(1)
			}
		default:
			panic(op.Kind.String())
		}
	}
	next := make([]*big.Float, len(m.state))
	for i, s := range m.p.States {
		if next[i] = m.state[i]; !m.p.At(s.Section).Runs(m.now) {
			continue
		}
		at := func(id program.ID) *big.Float {
			if fed == nil || m.p.Ops[id].Section == s.Section {
				return v[id]
			}
			return fed[id]
		}
		if s.Reset != program.None && at(s.Reset).Sign() != 0 {
			next[i] = at(s.ResetTo)
		} else if s.Enable == program.None || at(s.Enable).Sign() != 0 {
			next[i] = at(s.Next)
		}
	}
	m.state = next
	m.now++
}

func least(a, b *big.Float) *big.Float {
	if a.Cmp(b) < 0 {
		return a
	}
	return b
}

func most(a, b *big.Float) *big.Float {
	if a.Cmp(b) > 0 {
		return a
	}
	return b
}

func wrapped(a, turn *big.Float) *big.Float {
	half := number().Quo(turn, number().SetInt64(2))
	v := number().Set(a)
	for v.Cmp(half) >= 0 {
		v.Sub(v, turn)
	}
	for v.Cmp(number().Neg(half)) < 0 {
		v.Add(v, turn)
	}
	return v
}

// pi has 100 digits: the published ones.
var pi, _ = number().SetString("3.1415926535897932384626433832795028841971693993751058209749445923078164062862089986280348253421170679")

// direction is atan2(y, x).
func direction(y, x *big.Float) *big.Float {
	if x.Sign() == 0 && y.Sign() == 0 {
		return number()
	}
	half := number().Quo(pi, number().SetInt64(2))
	a := number().Abs(y)
	b := number().Abs(x)
	var r *big.Float
	if a.Cmp(b) > 0 {
		r = number().Sub(half, arctan(number().Quo(b, a)))
	} else {
		r = arctan(number().Quo(a, b))
	}
	if x.Sign() < 0 {
		r = number().Sub(pi, r)
	}
	if y.Sign() < 0 {
		r = number().Neg(r)
	}
	return r
}

// arctan of x in [0, 1]: the angle is halved eight times, then the power series.
func arctan(x *big.Float) *big.Float {
	one := number().SetInt64(1)
	for range 8 {
		root := number().Sqrt(number().Add(one, number().Mul(x, x)))
		x = number().Quo(x, root.Add(root, one))
	}
	sum, power, square := number(), number().Set(x), number().Mul(x, x)
	for n := int64(1); n < 60; n += 2 {
		term := number().Quo(power, number().SetInt64(n))
		if n%4 == 3 {
			term.Neg(term)
		}
		sum.Add(sum, term)
		power.Mul(power, square)
	}
	return sum.Mul(sum, number().SetInt64(256))
}

// beyond is |x - y|, the short way round a circle.
func beyond(x float64, y *big.Float, around *big.Rat) float64 {
	turn := 0.0
	if around != nil {
		turn, _ = around.Float64()
	}
	d, _ := number().Sub(number().SetFloat64(x), y).Float64()
	if turn != 0 && math.Abs(d) > turn/2 {
		d = math.Remainder(d, turn)
	}
	return math.Abs(d)
}
