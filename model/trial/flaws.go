package trial

import (
	"math"
	"math/big"
	"slices"

	"gainwright/model/bound"
	"gainwright/model/program"
)

// op is the error that an operation of the real program yields, from those of its arguments.
func (a *allowances) op(id program.ID, states int) flaw {
	op := &a.p.Ops[id]
	in := make([]flaw, len(op.Args))
	least, around := exact, false
	for i, arg := range op.Args {
		in[i] = a.seen(arg, op.Section)
		if math.IsInf(in[i].fresh, 1) {
			return lost()
		}
		least, around = min(least, in[i].trust), around || in[i].around
	}
	last := epsilon * a.most(id)              // half a unit in the last place of the result
	rounded := func(f flaw, grid uint) flaw { // a result of exact values, on that grid, is exact where it fits
		if f.fresh += last; least == exact && a.most(id) < math.Ldexp(1, 53-int(grid)) {
			return flaw{trust: exact, grid: grid}
		}
		return f
	}
	switch op.Kind {
	case program.Const:
		return a.constant(op.K)
	case program.Input:
		s := a.p.Inputs[op.Index]
		lo, hi := s.Type.Range()
		return converted(newScale(s.LSB, lo, hi), s.LSB, a.most(id))
	case program.Coef:
		return flaw{fresh: 4 * last}
	case program.State:
		s := a.p.States[op.Index]
		if a.trusts[op.Index] == exact {
			return flaw{trust: exact}
		}
		if a.trusts[op.Index] == nearest {
			return flaw{trust: nearest, fresh: last}
		}
		if next := s.Next; s.Purpose == program.Copy && s.Reset == program.None && next < id && a.p.Ops[next].Section == op.Section && a.flaws[next].slopes == nil && !a.flaws[next].around {
			return flaw{fresh: max(a.flaws[next].fresh, a.constant(s.Start).fresh)} // a value of this tick or of one before: nothing adds up
		}
		f := flaw{slopes: make([]slope, states), around: a.p.Ops[s.Next].Kind == program.Wrap}
		f.slopes[a.column[op.Index]] = slope{1, 1}
		return f
	case program.Less, program.LessEqual:
		if least == rough && (around || !a.decided(op, in[0], in[1])) {
			return lost()
		}
		return flaw{trust: exact}
	case program.And, program.Or, program.Not:
		if least != exact {
			return lost()
		}
		return flaw{trust: exact}
	case program.Add, program.Sub:
		sign := map[program.Kind]float64{program.Add: 1, program.Sub: -1}[op.Kind]
		f := rounded(combine(states, in[0], 1, in[1], sign), max(in[0].grid, in[1].grid))
		f.around = around
		return f
	case program.Wrap:
		return a.wrap(op, in[0], last)
	case program.Select:
		if in[0].trust != exact {
			return lost()
		}
		if a.later && bound.IsFirstTick(a.p, op.Args[0]) {
			return in[2]
		}
		return join(states, in[1], in[2])
	case program.Scale:
		if one := big.NewRat(1, 1); new(big.Rat).Abs(op.K).Cmp(one) == 0 {
			k, _ := op.K.Float64()
			f := combine(states, in[0], k, flaw{}, 0)
			f.trust, f.grid, f.around = in[0].trust, in[0].grid, around
			return f
		}
	}
	if around { // what follows tells one side of the seam from the other
		return lost()
	}
	switch op.Kind {
	case program.Scale:
		k, _ := op.K.Float64()
		f := combine(states, in[0], k, flaw{}, 0)
		f.fresh += last // of the factor
		grid, dyadic := gridOf(op.K)
		if !dyadic || op.K.Num().BitLen() > 53 {
			least = rough
		}
		return rounded(f, in[0].grid+grid)
	case program.Mul:
		x, y := op.Args[0], op.Args[1]
		f := flaw{fresh: in[0].fresh*a.most(y) + in[1].fresh*a.most(x) + in[0].fresh*in[1].fresh, slopes: make([]slope, states)}
		addTimes(f.slopes, in[0].slopes, a.interval(y))
		addTimes(f.slopes, in[1].slopes, a.interval(x))
		return rounded(f, in[0].grid+in[1].grid)
	case program.Angle:
		if least == rough {
			return lost()
		}
		// Arguments off by epsilon each turn the vector by epsilon at most; atan2 is taken to be within
		// four units in the last place of half a turn, its change to units to add two.
		half, _ := program.Turn(op.Unit).Float64()
		return flaw{fresh: 8 * epsilon * half / 2}
	case program.Root:
		x := a.interval(op.Args[0])
		f, steep := flaw{fresh: math.Sqrt(in[0].fresh)}, math.Inf(1)
		if low := x.lo - in[0].fresh; low > 0 {
			steep = 1 / math.Sqrt(low) // twice the slope, which leaves room for what the states have gone astray
			f.fresh = min(f.fresh, in[0].fresh*steep)
		}
		if in[0].slopes != nil {
			if math.IsInf(steep, 1) {
				return lost()
			}
			f.slopes = make([]slope, states)
			addTimes(f.slopes, in[0].slopes, slope{0, steep})
		}
		f.fresh += last
		return f
	case program.Table:
		xs, ys, slopes := program.Corners(op.Points)
		steep, high := slope{}, 0.0
		for i, y := range ys {
			if high = max(high, math.Abs(y)); i < len(slopes) {
				steep = slope{min(steep.lo, slopes[i]), max(steep.hi, slopes[i])}
			}
		}
		most := max(steep.hi, -steep.lo)
		far := max(math.Abs(xs[0]), math.Abs(xs[len(xs)-1]))
		f := flaw{slopes: make([]slope, states)}
		addTimes(f.slopes, in[0].slopes, steep)
		// The corners and slopes are rounded once each, and so are the distance from a corner, its product and the sum.
		f.fresh = most*in[0].fresh*(1+4*epsilon) + 4*epsilon*(2*most*far+high) + last
		return f
	case program.Clamp, program.Min, program.Max:
		return join(states, in...)
	case program.Abs:
		f := join(states, in[0], combine(states, in[0], -1, flaw{}, 0))
		f.trust, f.grid = in[0].trust, in[0].grid
		return f
	}
	return lost()
}

// lost is a value of which nothing is known.
func lost() flaw { return flaw{fresh: math.Inf(1)} }

// constant is rounded once.
func (a *allowances) constant(k *big.Rat) flaw {
	if grid, dyadic := gridOf(k); dyadic && k.Num().BitLen() <= 53 {
		return flaw{trust: exact, grid: grid}
	}
	return flaw{trust: nearest, fresh: epsilon * up(new(big.Rat).Abs(k))}
}

// wrap takes off whole turns. The real program takes a value within 1e-12 turns of the seam as on it: a
// smaller error does not choose the side.
func (a *allowances) wrap(op *program.RealOp, in flaw, last float64) flaw {
	turn, _ := op.K.Float64()
	in.trust, in.grid, in.around = rough, 0, in.around || in.slopes != nil || in.fresh > turn*4e-13
	in.fresh += epsilon*a.most(op.Args[0]) + 4*epsilon*turn + last
	return in
}

func (a *allowances) interval(id program.ID) slope {
	r := a.ranges.Ranges[id]
	lo, _ := r.Lo.Float64()
	hi, _ := r.Hi.Float64()
	return slope{lo - math.Abs(lo)*1e-9, hi + math.Abs(hi)*1e-9}
}

// combine is j*f + k*g, the roundings left out.
func combine(states int, f flaw, j float64, g flaw, k float64) flaw {
	out := flaw{fresh: math.Abs(j)*f.fresh + math.Abs(k)*g.fresh}
	if f.slopes != nil || g.slopes != nil {
		out.slopes = make([]slope, states)
		addTimes(out.slopes, f.slopes, slope{j, j})
		addTimes(out.slopes, g.slopes, slope{k, k})
	}
	return out
}

// addTimes adds k*d to sum.
func addTimes(sum, d []slope, k slope) {
	for i, s := range d {
		a, b, c, e := s.lo*k.lo, s.lo*k.hi, s.hi*k.lo, s.hi*k.hi
		sum[i].lo += min(a, b, c, e)
		sum[i].hi += max(a, b, c, e)
	}
}

// join is the error of a value that is one of several.
func join(states int, of ...flaw) flaw {
	out := flaw{trust: exact}
	bent := slices.ContainsFunc(of, func(f flaw) bool { return f.slopes != nil })
	for i, f := range of {
		out.fresh, out.trust, out.grid, out.around = max(out.fresh, f.fresh), min(out.trust, f.trust), max(out.grid, f.grid), out.around || f.around
		slopes := f.slopes
		if slopes == nil && bent {
			slopes = make([]slope, states)
		}
		if i == 0 {
			out.slopes = slices.Clone(slopes)
		}
		for j, s := range slopes {
			out.slopes[j] = slope{min(out.slopes[j].lo, s.lo), max(out.slopes[j].hi, s.hi)}
		}
	}
	return out
}
