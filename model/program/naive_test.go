package program

import (
	"fmt"
	"math/big"
	"math/rand/v2"
)

// naive runs a program by the definitions of its operations and nothing else, in numbers without end.
// near rounds each result to what the machine under test holds.
type naive struct {
	p      View
	fixed  *Fixed // nil: a real program
	state  []*big.Rat
	values []*big.Rat
	near   func(*big.Rat) *big.Rat
}

func newNaive(of Dialect, near func(*big.Rat) *big.Rat) *naive {
	p := of.View()
	fixed, _ := of.(*Fixed)
	m := &naive{p: p, fixed: fixed, near: near, values: make([]*big.Rat, len(p.Ops))}
	for _, s := range p.States {
		m.state = append(m.state, near(s.Start))
	}
	return m
}

func yes(b bool) *big.Rat {
	if b {
		return big.NewRat(1, 1)
	}
	return new(big.Rat)
}

func floor(x *big.Rat) *big.Rat {
	return new(big.Rat).SetInt(new(big.Int).Div(x.Num(), x.Denom())) // Euclid's division is floor: denominators are positive
}

func (m *naive) op(id int, in, coefs []*big.Rat) *big.Rat {
	op := m.p.Ops[id]
	arg := func(i int) *big.Rat { return m.values[op.Args[i]] }
	k := op.K
	if k != nil {
		k = m.near(k)
	}
	switch op.Kind {
	case Const:
		return k
	case Input:
		return in[op.Index]
	case Coef:
		return coefs[op.Index]
	case State:
		return m.state[op.Index]
	case Add:
		return new(big.Rat).Add(arg(0), arg(1))
	case Sub:
		return new(big.Rat).Sub(arg(0), arg(1))
	case Scale:
		return new(big.Rat).Mul(k, arg(0))
	case Mul:
		return new(big.Rat).Mul(arg(0), arg(1))
	case Quotient:
		x := new(big.Rat).Quo(arg(0), arg(1))
		if m.fixed != nil {
			x = floor(x.Add(x, big.NewRat(1, 2)))
		}
		return x
	case Root:
		x := arg(0)
		if x.Sign() <= 0 {
			return new(big.Rat)
		}
		if m.fixed == nil {
			f := new(big.Float).SetPrec(200).SetRat(x)
			x, _ = f.Sqrt(f).Rat(nil)
			return x
		}
		r := new(big.Int).Sqrt(x.Num())
		if new(big.Int).Sub(x.Num(), new(big.Int).Mul(r, r)).Cmp(r) > 0 {
			r.Add(r, big.NewInt(1))
		}
		return new(big.Rat).SetInt(r)
	case Round:
		unit := new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), m.fixed.Ops[id].Shift))
		x := new(big.Rat).Quo(arg(0), unit)
		return floor(x.Add(x, big.NewRat(1, 2)))
	case Clamp:
		x := arg(0)
		if x.Cmp(arg(1)) < 0 {
			x = arg(1)
		}
		if x.Cmp(arg(2)) > 0 {
			x = arg(2)
		}
		return x
	case Min, Max:
		if (arg(0).Cmp(arg(1)) < 0) == (op.Kind == Min) {
			return arg(0)
		}
		return arg(1)
	case Abs:
		return new(big.Rat).Abs(arg(0))
	case Wrap: // whole turns; an integer program's arguments are less than a turn outside
		turns := new(big.Rat).Quo(arg(0), k)
		turns = floor(turns.Add(turns, big.NewRat(1, 2)))
		return new(big.Rat).Sub(arg(0), turns.Mul(turns, k))
	case Less:
		return yes(arg(0).Cmp(arg(1)) < 0)
	case LessEqual:
		return yes(arg(0).Cmp(arg(1)) <= 0)
	case And:
		return yes(arg(0).Sign() != 0 && arg(1).Sign() != 0)
	case Or:
		return yes(arg(0).Sign() != 0 || arg(1).Sign() != 0)
	case Not:
		return yes(arg(0).Sign() == 0)
	case Select:
		if arg(0).Sign() != 0 {
			return arg(1)
		}
		return arg(2)
	}
	panic("naive: " + op.Kind.String())
}

func (m *naive) tick(in, coefs []*big.Rat) {
	for i := range m.p.Ops {
		m.values[i] = m.near(m.op(i, in, coefs))
	}
	next := make([]*big.Rat, len(m.state))
	for i, s := range m.p.States {
		on := func(id ID) bool { return m.values[id].Sign() != 0 }
		switch {
		case s.Reset != None && on(s.Reset):
			next[i] = m.values[s.ResetTo]
		case s.Enable != None && !on(s.Enable):
			next[i] = m.state[i]
		default:
			next[i] = m.values[s.Next]
		}
	}
	m.state = next
}

// maker makes random programs of every operation but the arctangent.
type maker struct {
	*rand.Rand
	p       Fixed
	numbers []ID
	bools   []ID
	whole   bool
}

func (g *maker) add(op Op) ID { return g.append(FixedOp{Op: op}) }

func (g *maker) append(op FixedOp) ID {
	op.Name = fmt.Sprintf("v%d", len(g.p.Ops))
	g.p.Ops = append(g.p.Ops, op)
	id := ID(len(g.p.Ops) - 1)
	if op.Bool {
		g.bools = append(g.bools, id)
	} else {
		g.numbers = append(g.numbers, id)
	}
	return id
}

// constant is a whole number in an integer program, else anything with three decimals.
func (g *maker) constant(n int64) *big.Rat {
	if g.whole {
		return big.NewRat(g.Int64N(2*n+1)-n, 1)
	}
	return big.NewRat(g.Int64N(2000*n+1)-1000*n, 1000)
}

func (g *maker) limits(a ID) ID {
	k := g.constant(500)
	lo := g.add(Op{Kind: Const, K: new(big.Rat).Sub(k, new(big.Rat).Abs(g.constant(500)))})
	hi := g.add(Op{Kind: Const, K: k})
	return g.add(Op{Kind: Clamp, Args: []ID{a, lo, hi}})
}

func (g *maker) number() ID { return g.numbers[g.IntN(len(g.numbers))] }
func (g *maker) truth() ID  { return g.bools[g.IntN(len(g.bools))] }

func (g *maker) random(ops int) *Fixed {
	for i := range 3 {
		g.p.Inputs = append(g.p.Inputs, InputInfo{})
		g.add(Op{Kind: Input, Index: i, Bool: i == 2})
	}
	g.p.Coefs = append(g.p.Coefs, FixedCoef{})
	g.add(Op{Kind: Coef})
	for i := range 4 {
		s := FixedState{StateInfo: StateInfo{Bool: i == 3, Start: g.constant(100), Enable: None, Reset: None, ResetTo: None}}
		if s.Bool {
			s.Start = yes(g.IntN(2) == 0)
		}
		g.p.States = append(g.p.States, s)
		g.add(Op{Kind: State, Index: i, Bool: s.Bool})
	}
	for range ops {
		g.operation()
	}
	for i := range g.p.States {
		s := &g.p.States[i]
		pick := func() ID { return g.limits(g.number()) }
		if s.Bool {
			pick = g.truth
		}
		s.Next = pick()
		if g.IntN(2) == 0 {
			s.Enable = g.truth()
		}
		if g.IntN(2) == 0 {
			s.Reset, s.ResetTo = g.truth(), pick()
		}
	}
	return &g.p
}

func (g *maker) operation() {
	a, b := g.number(), g.number()
	switch kind := Kind(g.IntN(int(Select) + 1)); kind {
	case Add, Sub, Min, Max:
		g.add(Op{Kind: kind, Args: []ID{a, b}})
	case Const:
		g.add(Op{Kind: Const, K: g.constant(300)})
	case Scale:
		g.limits(g.add(Op{Kind: Scale, K: g.constant(60), Args: []ID{a}}))
	case Mul:
		g.limits(g.add(Op{Kind: Mul, Args: []ID{a, b}}))
	case Round:
		if g.whole {
			g.append(FixedOp{Op: Op{Kind: Round, Args: []ID{a}}, Shift: uint(1 + g.IntN(9))})
		}
	case Clamp:
		g.add(Op{Kind: Clamp, Args: []ID{a, b, g.number()}})
	case Abs:
		g.add(Op{Kind: Abs, Args: []ID{a}})
	case Wrap:
		if g.whole {
			g.add(Op{Kind: Wrap, Args: []ID{g.limits(a)}, K: big.NewRat(2*(400+g.Int64N(300)), 1)}) // limits are inside +-1000
		}
	case Less, LessEqual:
		g.add(Op{Kind: kind, Args: []ID{a, b}, Bool: true})
	case And, Or:
		g.add(Op{Kind: kind, Args: []ID{g.truth(), g.truth()}, Bool: true})
	case Not:
		g.add(Op{Kind: kind, Args: []ID{g.truth()}, Bool: true})
	case Select:
		g.add(Op{Kind: kind, Args: []ID{g.truth(), a, b}})
	}
}

// real takes what a program has in common with a real one.
func real(p *Fixed) *Real {
	q := &Real{Frame: p.Frame}
	v := p.View()
	for _, c := range v.Coefs {
		q.Coefs = append(q.Coefs, *c)
	}
	for _, s := range v.States {
		q.States = append(q.States, RealState{StateInfo: *s})
	}
	for _, op := range v.Ops {
		q.Ops = append(q.Ops, RealOp{Op: *op})
	}
	return q
}
