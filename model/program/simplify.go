package program

import (
	"math/big"
	"slices"
)

// Simplify returns a program as it is emitted: the same numbers in every output and state, without what
// the certified ranges make superfluous. A value that can be one number only is a constant; a limit
// that is never reached, a factor of 1 and the like are the value that they pass on; what is computed
// twice is computed once. Operations that nothing refers to any more stay in the list; same tells which
// one stands for each.
func Simplify(original *Fixed) (p *Fixed, same []ID) {
	p = original.Clone()
	same = make([]ID, len(p.Ops))
	first := map[sameness]ID{}
	var tables []*Arctan
	for i := range p.Ops {
		id, op := ID(i), &p.Ops[i]
		for a := range op.Args {
			op.Args[a] = same[op.Args[a]]
		}
		same[i] = id
		if v, known := settled(p, id); known {
			op.Kind, op.Args, op.K = Const, nil, big.NewRat(v, 1)
			continue
		}
		onesided(p, op)
		if from := passed(p, op); from != None && holds(p.Ops[from].Type, op.Type) {
			same[i] = from
			continue
		}
		if op.Kind == Const {
			continue // each constant keeps its name
		}
		if op.Kind == Angle {
			at := slices.IndexFunc(tables, op.Table.same)
			if at < 0 {
				at, tables = len(tables), append(tables, op.Table)
			}
			op.Table = tables[at]
		}
		k := key(p, op)
		if earlier, ok := first[k]; ok {
			same[i] = earlier
			continue
		}
		first[k] = id
	}
	to := func(id ID) ID {
		if id == None {
			return id
		}
		return same[id]
	}
	for i := range p.States {
		s := &p.States[i]
		s.Next, s.Enable, s.Reset, s.ResetTo = to(s.Next), to(s.Enable), to(s.Reset), to(s.ResetTo)
		settleState(p, s)
	}
	for i := range p.Outputs {
		p.Outputs[i].Value = to(p.Outputs[i].Value)
	}
	for i := range p.Sections {
		for j := range p.Sections[i].Signals {
			p.Sections[i].Signals[j].Value = to(p.Sections[i].Signals[j].Value)
		}
	}
	return p, same
}

// settleState takes out an enable or reset that is always on or always off.
func settleState(p *Fixed, s *FixedState) {
	constant := func(id ID) (on, known bool) {
		if id == None || p.Ops[id].Kind != Const {
			return false, false
		}
		return p.Ops[id].K.Sign() != 0, true
	}
	if on, known := constant(s.Reset); known {
		if on {
			s.Next, s.Enable = s.ResetTo, None
		}
		s.Reset, s.ResetTo = None, None
	}
	if on, known := constant(s.Enable); known && on {
		s.Enable = None
	}
}

// settled tells which number a value always is.
func settled(p *Fixed, id ID) (value int64, known bool) {
	op := p.Ops[id]
	switch op.Kind {
	case Const, Input, State, Coef:
		return 0, false
	case Scale:
		if op.K.Sign() == 0 {
			return 0, true
		}
	case Less, LessEqual:
		a, b := p.Ops[op.Args[0]], p.Ops[op.Args[1]]
		switch {
		case a.Hi < b.Lo || op.Kind == LessEqual && a.Hi == b.Lo:
			return 1, true
		case a.Lo > b.Hi || op.Kind == Less && a.Lo == b.Hi:
			return 0, true
		}
	case And, Or:
		end := int64(0)
		if op.Kind == Or {
			end = 1
		}
		for _, a := range op.Args {
			if p.Is(a, end) {
				return end, true
			}
		}
	case Not:
		if a := p.Ops[op.Args[0]]; a.Kind == Const {
			return 1 - a.K.Num().Int64(), true
		}
	}
	return op.Lo, op.Lo == op.Hi
}

// Is tells whether a value is the constant v.
func (p *Fixed) Is(id ID, v int64) bool {
	op := p.Ops[id]
	return op.Kind == Const && op.K.Num().IsInt64() && op.K.Num().Int64() == v
}

// onesided turns a clamp one of whose limits is never reached into the minimum or maximum that is left of it.
func onesided(p *Fixed, op *FixedOp) {
	if op.Kind != Clamp {
		return
	}
	x, lo, hi := p.Ops[op.Args[0]], p.Ops[op.Args[1]], p.Ops[op.Args[2]]
	switch {
	case x.Lo >= lo.Hi:
		op.Kind, op.Args = Min, []ID{op.Args[0], op.Args[2]}
	case x.Hi <= hi.Lo && lo.Hi <= hi.Lo:
		op.Kind, op.Args = Max, []ID{op.Args[0], op.Args[1]}
	}
}

// passed returns the argument that an operation always passes on as it is, or None.
func passed(p *Fixed, op *FixedOp) ID {
	arg := func(i int) FixedOp { return p.Ops[op.Args[i]] }
	switch op.Kind {
	case Scale:
		if op.K.Cmp(big.NewRat(1, 1)) == 0 {
			return op.Args[0]
		}
	case Round:
		if op.Shift == 0 {
			return op.Args[0]
		}
	case Abs:
		if arg(0).Lo >= 0 {
			return op.Args[0]
		}
	case Wrap:
		half := op.K.Num().Int64() / 2
		if arg(0).Lo >= -half && arg(0).Hi < half {
			return op.Args[0]
		}
	case Min:
		switch {
		case arg(0).Hi <= arg(1).Lo:
			return op.Args[0]
		case arg(1).Hi <= arg(0).Lo:
			return op.Args[1]
		}
	case Max:
		switch {
		case arg(0).Lo >= arg(1).Hi:
			return op.Args[0]
		case arg(1).Lo >= arg(0).Hi:
			return op.Args[1]
		}
	case Select:
		switch {
		case op.Args[1] == op.Args[2]:
			return op.Args[1]
		case p.Is(op.Args[0], 1):
			return op.Args[1]
		case p.Is(op.Args[0], 0):
			return op.Args[2]
		}
	case And, Or:
		pass := int64(1)
		if op.Kind == Or {
			pass = 0
		}
		for i := range op.Args {
			if op.Args[0] == op.Args[1] || p.Is(op.Args[1-i], pass) {
				return op.Args[i]
			}
		}
	case Not:
		if arg(0).Kind == Not {
			return arg(0).Args[0]
		}
	}
	return None
}

// holds tells whether a local of type t may stand for one of type want whose numbers it holds: no
// arithmetic becomes wider by it.
func holds(t, want Type) bool {
	return t == want || t != Bool && want != Bool && t.Bits() <= want.Bits()
}

// same tells whether two tables give the same angles.
func (t *Arctan) same(other *Arctan) bool {
	return t.QuotientBits == other.QuotientBits && t.LogEntries == other.LogEntries && t.Quarter == other.Quarter && slices.Equal(t.Entries, other.Entries)
}

// sameness is equal for two operations that yield the same number.
type sameness struct {
	kind  Kind
	typ   Type
	index int
	shift uint
	k     string
	table *Arctan
	args  [3]argument
}

// argument is a value, or a constant of a type.
type argument struct {
	id    ID
	value int64
	typ   Type
}

func key(p *Fixed, op *FixedOp) sameness {
	k := sameness{kind: op.Kind, typ: op.Type, index: op.Index, shift: op.Shift, table: op.Table}
	if op.K != nil {
		k.k = op.K.RatString()
	}
	for i, a := range op.Args {
		if arg := p.Ops[a]; arg.Kind == Const && arg.K.Num().IsInt64() {
			k.args[i] = argument{None, arg.K.Num().Int64(), arg.Type}
		} else {
			k.args[i] = argument{id: a}
		}
	}
	return k
}
