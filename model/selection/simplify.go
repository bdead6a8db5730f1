package selection

import (
	"math/big"
	"slices"

	"gainwright/model/program"
)

// simplify returns a program as it is emitted: the same numbers in every output and state, without what
// the certified ranges make superfluous. A value that can be one number only is a constant; a limit
// that is never reached, a factor of 1 and the like are the value that they pass on; what is computed
// twice is computed once. Operations that nothing refers to any more stay in the list; same tells which
// one stands for each.
func simplify(original *program.Fixed) (p *program.Fixed, same []program.ID) {
	p = original.Clone()
	same = make([]program.ID, len(p.Ops))
	first := map[sameness]program.ID{}
	var tables []*program.Arctan
	var curves []*program.Curve
	for i := range p.Ops {
		id, op := program.ID(i), &p.Ops[i]
		for a := range op.Args {
			op.Args[a] = same[op.Args[a]]
		}
		same[i] = id
		if v, known := settled(p, id); known {
			op.Kind, op.Args, op.K = program.Const, nil, big.NewRat(v, 1)
			continue
		}
		onesided(p, op)
		if from := passed(p, op); from != program.None && holds(p.Ops[from].Type, op.Type) && (p.Ops[from].Kind == program.Const || p.ClockOf(from) == p.ClockOf(id)) {
			same[i] = from
			continue
		}
		if op.Kind == program.Const {
			continue // each constant keeps its name
		}
		if op.Kind == program.Angle {
			at := slices.IndexFunc(tables, func(t *program.Arctan) bool { return sameAngles(t, op.Arctan) })
			if at < 0 {
				at, tables = len(tables), append(tables, op.Arctan)
			}
			op.Arctan = tables[at]
		}
		if op.Kind == program.Table {
			at := slices.IndexFunc(curves, func(c *program.Curve) bool { return sameCurve(c, op.Curve) })
			if at < 0 {
				at, curves = len(curves), append(curves, op.Curve)
			}
			op.Curve = curves[at]
		}
		k := key(p, op)
		if earlier, ok := first[k]; ok {
			same[i] = earlier
			continue
		}
		first[k] = id
	}
	for i := range p.States {
		p.States[i].Renumber(same)
		settleState(p, &p.States[i])
	}
	p.Frame.Renumber(same)
	return p, same
}

// settleState takes out an enable or reset that is always on or always off.
func settleState(p *program.Fixed, s *program.FixedState) {
	constant := func(id program.ID) (on, known bool) {
		if id == program.None || p.Ops[id].Kind != program.Const {
			return false, false
		}
		return p.Ops[id].K.Sign() != 0, true
	}
	if on, known := constant(s.Reset); known {
		if on {
			s.Next, s.Enable = s.ResetTo, program.None
		}
		s.Reset, s.ResetTo = program.None, program.None
	}
	if on, known := constant(s.Enable); known && on {
		s.Enable = program.None
	}
}

// settled tells which number a value always is.
func settled(p *program.Fixed, id program.ID) (value int64, known bool) {
	op := p.Ops[id]
	switch op.Kind {
	case program.Const, program.Input, program.State, program.Coef:
		return 0, false
	case program.Scale:
		if op.K.Sign() == 0 {
			return 0, true
		}
	case program.Less, program.LessEqual:
		a, b := p.Ops[op.Args[0]], p.Ops[op.Args[1]]
		switch {
		case a.Hi < b.Lo || op.Kind == program.LessEqual && a.Hi == b.Lo:
			return 1, true
		case a.Lo > b.Hi || op.Kind == program.Less && a.Lo == b.Hi:
			return 0, true
		}
	case program.And, program.Or:
		end := int64(0)
		if op.Kind == program.Or {
			end = 1
		}
		for _, a := range op.Args {
			if is(p, a, end) {
				return end, true
			}
		}
	case program.Not:
		if a := p.Ops[op.Args[0]]; a.Kind == program.Const {
			return 1 - a.K.Num().Int64(), true
		}
	}
	return op.Lo, op.Lo == op.Hi
}

// is tells whether a value is the constant v.
func is(p *program.Fixed, id program.ID, v int64) bool {
	op := p.Ops[id]
	return op.Kind == program.Const && op.K.Num().IsInt64() && op.K.Num().Int64() == v
}

// onesided turns a clamp one of whose limits is never reached into the minimum or maximum that is left of it.
func onesided(p *program.Fixed, op *program.FixedOp) {
	if op.Kind != program.Clamp {
		return
	}
	x, lo, hi := p.Ops[op.Args[0]], p.Ops[op.Args[1]], p.Ops[op.Args[2]]
	switch {
	case x.Lo >= lo.Hi:
		op.Kind, op.Args = program.Min, []program.ID{op.Args[0], op.Args[2]}
	case x.Hi <= hi.Lo && lo.Hi <= hi.Lo:
		op.Kind, op.Args = program.Max, []program.ID{op.Args[0], op.Args[1]}
	}
}

// passed returns the argument that an operation always passes on as it is, or None.
func passed(p *program.Fixed, op *program.FixedOp) program.ID {
	arg := func(i int) program.FixedOp { return p.Ops[op.Args[i]] }
	switch op.Kind {
	case program.Scale:
		if op.K.Cmp(big.NewRat(1, 1)) == 0 {
			return op.Args[0]
		}
	case program.Round:
		if op.Shift == 0 {
			return op.Args[0]
		}
	case program.Abs:
		if arg(0).Lo >= 0 {
			return op.Args[0]
		}
	case program.Wrap:
		half := op.K.Num().Int64() / 2
		if arg(0).Lo >= -half && arg(0).Hi < half {
			return op.Args[0]
		}
	case program.Min:
		switch {
		case arg(0).Hi <= arg(1).Lo:
			return op.Args[0]
		case arg(1).Hi <= arg(0).Lo:
			return op.Args[1]
		}
	case program.Max:
		switch {
		case arg(0).Lo >= arg(1).Hi:
			return op.Args[0]
		case arg(1).Lo >= arg(0).Hi:
			return op.Args[1]
		}
	case program.Select:
		switch {
		case op.Args[1] == op.Args[2]:
			return op.Args[1]
		case is(p, op.Args[0], 1):
			return op.Args[1]
		case is(p, op.Args[0], 0):
			return op.Args[2]
		}
	case program.And, program.Or:
		pass := int64(1)
		if op.Kind == program.Or {
			pass = 0
		}
		for i := range op.Args {
			if op.Args[0] == op.Args[1] || is(p, op.Args[1-i], pass) {
				return op.Args[i]
			}
		}
	case program.Not:
		if arg(0).Kind == program.Not {
			return arg(0).Args[0]
		}
	}
	return program.None
}

// holds tells whether a local of type t may stand for one of type want whose numbers it holds: no
// arithmetic becomes wider by it.
func holds(t, want program.Type) bool {
	return t == want || t != program.Bool && want != program.Bool && t.Bits() <= want.Bits()
}

// sameAngles tells whether two tables give the same angles.
func sameAngles(t, other *program.Arctan) bool {
	return t.QuotientBits == other.QuotientBits && t.LogEntries == other.LogEntries && t.Quarter == other.Quarter && slices.Equal(t.Entries, other.Entries)
}

// sameCurve tells whether two tables give the same numbers.
func sameCurve(c, other *program.Curve) bool {
	return c.Shift == other.Shift && slices.Equal(c.X, other.X) && slices.Equal(c.Y, other.Y) && slices.Equal(c.Slope, other.Slope)
}

// sameness is equal for two operations that yield the same number.
type sameness struct {
	kind  program.Kind
	clock program.Clock // at other ticks it may yield another
	typ   program.Type
	index int
	shift uint
	k     string
	table *program.Arctan
	curve *program.Curve
	args  [3]argument
}

// argument is a value, or a constant of a type.
type argument struct {
	id    program.ID
	value int64
	typ   program.Type
}

func key(p *program.Fixed, op *program.FixedOp) sameness {
	k := sameness{kind: op.Kind, clock: p.At(op.Section), typ: op.Type, index: op.Index, shift: op.Shift, table: op.Arctan, curve: op.Curve}
	if op.K != nil {
		k.k = op.K.RatString()
	}
	for i, a := range op.Args {
		if arg := p.Ops[a]; arg.Kind == program.Const && arg.K.Num().IsInt64() {
			k.args[i] = argument{program.None, arg.K.Num().Int64(), arg.Type}
		} else {
			k.args[i] = argument{id: a}
		}
	}
	return k
}
