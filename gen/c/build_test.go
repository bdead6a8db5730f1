package c

import (
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// builder makes small integer programs by hand. Ranges of values follow from those of inputs, gains
// and states by plain interval arithmetic; nothing may leave 64 bits.
type builder struct {
	t       testing.TB
	p       *program.Fixed
	section int
}

func newBuilder(t testing.TB, name string) *builder {
	return &builder{t: t, p: &program.Fixed{Frame: program.Frame{Name: name, Rate: big.NewRat(200, 1)}}, section: -1}
}

func (b *builder) begin(name, kind, sentence, equation string) {
	b.section++
	b.p.Sections = append(b.p.Sections, program.Section{Name: name, Kind: kind, Sentence: sentence, Equation: equation})
}

func (b *builder) signal(name string, id program.ID) {
	s := &b.p.Sections[b.section]
	s.Signals = append(s.Signals, program.Signal{Name: name, Value: id})
}

func (b *builder) add(op program.FixedOp, lo, hi int64) program.ID {
	op.Section, op.Lo, op.Hi, op.Real = b.section, lo, hi, program.None
	if op.Type == program.NoType {
		op.Type = program.Holding(lo, hi)
	}
	op.Bool = op.Type == program.Bool
	b.p.Ops = append(b.p.Ops, op)
	return program.ID(len(b.p.Ops) - 1)
}

func (b *builder) input(name string, t program.Type, unit string, lsb *big.Rat) program.ID {
	lo, hi := t.Range()
	b.p.Inputs = append(b.p.Inputs, program.InputInfo{Name: name, Unit: unit, Type: t, LSB: lsb, IsSwitch: t == program.Bool})
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Input, Index: len(b.p.Inputs) - 1, Name: name, Doc: "raw", Unit: unit}, Type: t, LSB: lsb}, lo, hi)
}

// gain adds a live gain of one coefficient.
func (b *builder) gain(name, key string, s program.Setter, lsb *big.Rat) program.ID {
	per := s.Step()
	value := func(x int64) *big.Rat { return new(big.Rat).Mul(new(big.Rat).SetInt64(x), per) }
	b.p.Gains = append(b.p.Gains, program.Gain{Name: name, Key: key, Unit: "duty/deg", Value: value(s.XStart), Lo: value(s.XLo), Hi: value(s.XHi)})
	return b.coef(len(b.p.Gains)-1, name, s, lsb)
}

func (b *builder) coef(gain int, name string, s program.Setter, lsb *big.Rat) program.ID {
	lo, hi := min(s.Apply(s.XLo), s.Apply(s.XHi)), max(s.Apply(s.XLo), s.Apply(s.XHi))
	t := program.Holding(lo, hi)
	b.p.Coefs = append(b.p.Coefs, program.FixedCoef{CoefInfo: program.CoefInfo{Gain: gain, Factor: big.NewRat(1, 1), Name: name}, Setter: s, Type: t, LSB: lsb})
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Coef, Index: len(b.p.Coefs) - 1, Name: name, Doc: "live gain"}, Type: t, LSB: lsb}, lo, hi)
}

// state adds a state with the range that it must keep; contract sets what it becomes.
func (b *builder) state(name, doc string, start, lo, hi int64, t program.Type) program.ID {
	if t == program.NoType {
		t = program.Holding(lo, hi)
	}
	b.p.States = append(b.p.States, program.FixedState{StateInfo: program.StateInfo{Name: name, Doc: doc, Section: b.section, Start: big.NewRat(start, 1),
		Bool: t == program.Bool, Enable: program.None, Reset: program.None, ResetTo: program.None}, Type: t, Lo: lo, Hi: hi})
	return b.add(program.FixedOp{Op: program.Op{Kind: program.State, Index: len(b.p.States) - 1, Name: name + "_before", Doc: doc + ", from the last tick"}, Type: t}, lo, hi)
}

func (b *builder) contract(state program.ID, next, enable, reset, resetTo program.ID) {
	s := &b.p.States[b.p.Ops[state].Index]
	s.Next, s.Enable, s.Reset, s.ResetTo = next, enable, reset, resetTo
	for _, id := range []program.ID{next, resetTo} {
		if id != program.None && (b.p.Ops[id].Lo < s.Lo || b.p.Ops[id].Hi > s.Hi) {
			b.t.Fatalf("%s: %s leaves the range of state %s", b.p.Name, b.p.Ops[id].Name, s.Name)
		}
	}
}

func (b *builder) output(name string, t program.Type, id program.ID) {
	b.p.Outputs = append(b.p.Outputs, program.Output{Name: name, Unit: "duty", Type: t, LSB: big.NewRat(1, 1), Value: id})
	if lo, hi := t.Range(); b.p.Ops[id].Lo < lo || b.p.Ops[id].Hi > hi {
		b.t.Fatalf("%s: output %s does not fit", b.p.Name, name)
	}
}

// op adds an operation. ok is false, and nothing is added, where its range leaves 64 bits.
func (b *builder) try(kind program.Kind, name, doc string, k int64, shift uint, args ...program.ID) (id program.ID, ok bool) {
	op := program.FixedOp{Op: program.Op{Kind: kind, Name: name, Doc: doc, Args: args}, Shift: shift}
	if kind == program.Const || kind == program.Scale || kind == program.Wrap {
		op.K = big.NewRat(k, 1)
	}
	at := func(i int) (lo, hi *big.Int) {
		return big.NewInt(b.p.Ops[args[i]].Lo), big.NewInt(b.p.Ops[args[i]].Hi)
	}
	var lo, hi *big.Int
	hull := func(vs ...*big.Int) {
		lo, hi = vs[0], vs[0]
		for _, v := range vs[1:] {
			if v.Cmp(lo) < 0 {
				lo = v
			}
			if v.Cmp(hi) > 0 {
				hi = v
			}
		}
	}
	times := func(x, y *big.Int) *big.Int { return new(big.Int).Mul(x, y) }
	plus := func(x, y *big.Int) *big.Int { return new(big.Int).Add(x, y) }
	minus := func(x, y *big.Int) *big.Int { return new(big.Int).Sub(x, y) }
	lower := func(x, y *big.Int) *big.Int {
		if x.Cmp(y) < 0 {
			return x
		}
		return y
	}
	upper := func(x, y *big.Int) *big.Int {
		if x.Cmp(y) > 0 {
			return x
		}
		return y
	}
	switch kind {
	case program.Const:
		hull(big.NewInt(k))
	case program.Add, program.Sub, program.Mul, program.Min, program.Max:
		al, ah := at(0)
		bl, bh := at(1)
		switch kind {
		case program.Add:
			lo, hi = plus(al, bl), plus(ah, bh)
		case program.Sub:
			lo, hi = minus(al, bh), minus(ah, bl)
		case program.Mul:
			hull(times(al, bl), times(al, bh), times(ah, bl), times(ah, bh))
		case program.Min:
			lo, hi = lower(al, bl), lower(ah, bh)
		case program.Max:
			lo, hi = upper(al, bl), upper(ah, bh)
		}
	case program.Quotient:
		al, ah := at(0)
		bl, bh := at(1)
		if bl.Sign()*bh.Sign() <= 0 {
			return program.None, false
		}
		nearest := func(x, y *big.Int) *big.Int { // floor((2x + y) / 2y)
			q := new(big.Rat).SetFrac(plus(times(x, big.NewInt(2)), y), times(y, big.NewInt(2)))
			return new(big.Int).Div(q.Num(), q.Denom())
		}
		hull(nearest(al, bl), nearest(al, bh), nearest(ah, bl), nearest(ah, bh))
	case program.Scale:
		al, ah := at(0)
		hull(times(al, big.NewInt(k)), times(ah, big.NewInt(k)))
	case program.Round:
		al, ah := at(0)
		half := new(big.Int).Lsh(big.NewInt(1), shift-1)
		if !plus(ah, half).IsInt64() {
			return program.None, false
		}
		lo, hi = new(big.Int).Rsh(plus(al, half), shift), new(big.Int).Rsh(plus(ah, half), shift)
	case program.Clamp:
		al, ah := at(0)
		bl, bh := at(1)
		cl, ch := at(2)
		lo, hi = lower(upper(al, bl), cl), lower(upper(ah, bh), ch)
	case program.Abs:
		al, ah := at(0)
		na, nh := new(big.Int).Neg(al), new(big.Int).Neg(ah)
		hull(upper(al, na), upper(ah, nh))
		if al.Sign() <= 0 && ah.Sign() >= 0 {
			lo = big.NewInt(0)
		}
		if !na.IsInt64() {
			return program.None, false
		}
	case program.Wrap:
		al, ah := at(0)
		if al.Cmp(big.NewInt(-k/2-k)) < 0 || ah.Cmp(big.NewInt(k/2-1+k)) > 0 {
			return program.None, false
		}
		lo, hi = big.NewInt(k/2-k), big.NewInt(k-k/2-1)
		lo, hi = lower(lo, big.NewInt(0)), upper(hi, big.NewInt(0))
	case program.Select:
		bl, bh := at(1)
		cl, ch := at(2)
		lo, hi = lower(bl, cl), upper(bh, ch)
		if b.p.Ops[args[1]].Type == program.Bool && b.p.Ops[args[2]].Type == program.Bool {
			op.Type = program.Bool
		}
	default: // truths
		op.Type = program.Bool
		lo, hi = big.NewInt(0), big.NewInt(1)
	}
	if !lo.IsInt64() || !hi.IsInt64() {
		return program.None, false
	}
	return b.add(op, lo.Int64(), hi.Int64()), true
}

func (b *builder) op(kind program.Kind, name, doc string, args ...program.ID) program.ID {
	b.t.Helper()
	return b.must(b.try(kind, name, doc, 0, 0, args...))
}

func (b *builder) constant(name string, k int64) program.ID {
	b.t.Helper()
	return b.must(b.try(program.Const, name, "limit", k, 0))
}

func (b *builder) scale(name, doc string, k int64, a program.ID) program.ID {
	b.t.Helper()
	return b.must(b.try(program.Scale, name, doc, k, 0, a))
}

func (b *builder) wrap(name, doc string, k int64, a program.ID) program.ID {
	b.t.Helper()
	return b.must(b.try(program.Wrap, name, doc, k, 0, a))
}

func (b *builder) round(name, doc string, shift uint, a program.ID) program.ID {
	b.t.Helper()
	return b.must(b.try(program.Round, name, doc, 0, shift, a))
}

// truth is a constant truth, which has the type of one.
func (b *builder) truth(name string, k int64) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Const, Name: name, K: big.NewRat(k, 1)}, Type: program.Bool}, k, k)
}

func (b *builder) angle(name, doc string, table *program.Arctan, y, x program.ID) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Angle, Name: name, Doc: doc, Args: []program.ID{y, x}, Unit: "deg"}, Arctan: table}, -2*table.Quarter, 2*table.Quarter)
}

func (b *builder) must(id program.ID, ok bool) program.ID {
	b.t.Helper()
	if !ok {
		b.t.Fatalf("%s: an operation leaves 64 bits", b.p.Name)
	}
	return id
}

// unit wraps the program up as the compiler would.
func (b *builder) unit() *model.Unit {
	return &model.Unit{
		Spec: &spec.Spec{File: "specs/" + b.p.Name + ".yaml", Name: b.p.Name, About: "A program made by hand for a test.", Target: "avr8",
			Hash: "9f3a12b47d01c2e39f3a12b47d01c2e39f3a12b47d01c2e39f3a12b47d01c2e3", Rate: b.p.Rate},
		Integer: b.p,
	}
}

// arctanTable is a table of the arctangent: exact enough for a test, which compares with the same table.
func arctanTable(quotient, log uint, quarter int64) *program.Arctan {
	t := &program.Arctan{QuotientBits: quotient, LogEntries: log, Quarter: quarter, MaxError: big.NewRat(3, 4)}
	for i := range int64(1)<<log + 1 {
		t.Entries = append(t.Entries, atanCounts(i, 1<<log, quarter))
	}
	t.Entries = append(t.Entries, t.Entries[1<<log])
	return t
}
