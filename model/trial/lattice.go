package trial

import (
	"math/big"

	"gainwright/model/program"
)

// lattice is where the exact values of an operation lie: origin + n*step for whole n. A step of 0 is one value.
type lattice struct{ origin, step *big.Rat }

// lattices finds those of all operations of a program, in units; nil: not known. An integer value that nothing more is known of lies on its counts.
func lattices(of program.Dialect) []*lattice {
	p := of.View()
	fixed, whole := of.(*program.Fixed)
	out := make([]*lattice, len(p.Ops))
	for i := range p.Ops {
		op := p.Ops[i]
		in := make([]*lattice, 0, 2)
		known := true
		for _, a := range op.Args {
			in, known = append(in, out[a]), known && out[a] != nil
		}
		switch {
		case op.Bool || !known:
		case op.Kind == program.Const:
			out[i] = &lattice{op.K, new(big.Rat)}
			if whole {
				out[i].origin = new(big.Rat).Mul(op.K, fixed.Ops[i].LSB)
			}
		case op.Kind == program.Input:
			out[i] = &lattice{new(big.Rat), p.Inputs[op.Index].LSB}
		case op.Kind == program.State && !whole:
			out[i] = kept(p, out, program.ID(i))
		case op.Kind == program.Scale:
			k := op.K
			if whole {
				k = new(big.Rat).Mul(k, new(big.Rat).Quo(fixed.Ops[i].LSB, fixed.Ops[op.Args[0]].LSB))
			}
			out[i] = in[0].times(k)
		case op.Kind == program.Add:
			out[i] = in[0].plus(in[1])
		case op.Kind == program.Sub:
			out[i] = in[0].plus(in[1].times(big.NewRat(-1, 1)))
		}
		if whole && out[i] == nil && !op.Bool {
			out[i] = &lattice{new(big.Rat), fixed.Ops[i].LSB}
		}
	}
	return out
}

// kept is the lattice of a state that only ever becomes one earlier value: that of the value, if it starts there.
func kept(p program.View, of []*lattice, id program.ID) *lattice {
	s := p.States[p.Ops[id].Index]
	if s.Reset != program.None || s.Next >= id || of[s.Next] == nil {
		return nil
	}
	from := &lattice{s.Start, new(big.Rat)}
	if from.apart(of[s.Next]).Sign() != 0 {
		return nil
	}
	return of[s.Next]
}

func (l *lattice) times(k *big.Rat) *lattice {
	step := new(big.Rat).Mul(l.step, k)
	return &lattice{new(big.Rat).Mul(l.origin, k), step.Abs(step)}
}

func (l *lattice) plus(m *lattice) *lattice {
	return &lattice{new(big.Rat).Add(l.origin, m.origin), common(l.step, m.step)}
}

// apart is the least distance of a value on one lattice from a value on the other.
func (l *lattice) apart(m *lattice) *big.Rat {
	off, step := new(big.Rat).Sub(l.origin, m.origin), common(l.step, m.step)
	if step.Sign() == 0 {
		return off.Abs(off)
	}
	turns := new(big.Rat).Quo(off, step)
	below := new(big.Int).Div(turns.Num(), turns.Denom()) // down, the denominator is positive
	off.Sub(off, new(big.Rat).Mul(new(big.Rat).SetInt(below), step))
	if rest := new(big.Rat).Sub(step, off); rest.Cmp(off) < 0 {
		return rest
	}
	return off
}

// common is the largest number that two numbers, not negative, are both multiples of.
func common(x, y *big.Rat) *big.Rat {
	a, b := new(big.Int).Mul(x.Num(), y.Denom()), new(big.Int).Mul(y.Num(), x.Denom())
	return new(big.Rat).SetFrac(a.GCD(nil, nil, a, b), new(big.Int).Mul(x.Denom(), y.Denom()))
}

// decided tells whether a comparison comes out as that of exact values: they are never closer than the errors of both together.
func (a *allowances) decided(op *program.RealOp, x, y flaw) bool {
	if x.slopes != nil || y.slopes != nil {
		return false
	}
	l, m := a.lattice(op.Args[0], op.Section), a.lattice(op.Args[1], op.Section)
	if l == nil || m == nil {
		return false
	}
	apart, _ := l.apart(m).Float64()
	return x.fresh+y.fresh < apart*(1-1e-9)
}

// lattice is where a value lies as a section reads it.
func (a *allowances) lattice(id program.ID, section int) *lattice {
	if !a.chain && a.p.Ops[id].Section != section {
		return a.twinLattices[a.twins[id]]
	}
	return a.lattices[id]
}
