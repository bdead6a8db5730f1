package cert_test

import (
	"math/big"
	"testing"

	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// spoil has a copy of the integer program changed and checked against the certificate of the unspoilt one.
func (s *subject) spoil(change func(p *program.Fixed), holds func() bool, what string, args ...any) {
	s.Helper()
	p := s.unit.Integer.Clone()
	change(p)
	s.try(p, s.unit.Certificate, holds, what, args...)
}

// original follows copies of a real value back: a copy stands for what it copies.
func original(p program.View, id program.ID) program.ID {
	for p.Ops[id].Kind == program.Scale && p.Ops[id].K.Cmp(one) == 0 {
		id = p.Ops[id].Args[0]
	}
	return id
}

// same tells whether two integer values are one: copies in one format.
func (s *subject) same(a, b program.ID) bool {
	p := s.unit.Integer
	return original(p.View(), a) == original(p.View(), b) && p.Ops[a].LSB.Cmp(p.Ops[b].LSB) == 0
}

// finer tells whether b is the real value that a stands for before it was rounded to a: what is claimed of the difference
// of a, and proven anew for b, is true of b.
func (s *subject) finer(a, b program.ID) bool {
	p := s.unit.Integer
	return original(s.unit.Stored.View(), p.Ops[a].Real) == original(s.unit.Stored.View(), p.Ops[b].Real) && p.Ops[b].LSB.Cmp(p.Ops[a].LSB) <= 0
}

var swapped = map[program.Kind]program.Kind{program.Add: program.Sub, program.Sub: program.Add, program.Min: program.Max, program.Max: program.Min,
	program.Less: program.LessEqual, program.LessEqual: program.Less, program.And: program.Or, program.Or: program.And, program.Mul: program.Add}

func plus(k *big.Rat, d int64) *big.Rat { return new(big.Rat).Add(k, big.NewRat(d, 1)) }

func twice(k *big.Rat) *big.Rat { return new(big.Rat).Mul(k, big.NewRat(2, 1)) }

// narrower is the next narrower type, or none.
var narrower = map[program.Type]program.Type{program.I64: program.I32, program.I32: program.I16, program.I16: program.I8, program.I8: program.Bool, program.U16: program.U8, program.U8: program.Bool}

// TestSpoiltOperationRefused changes every operation of every starter in every way that a defect of the scale pass could.
func TestSpoiltOperationRefused(t *testing.T) {
	starters(t, func(s *subject) {
		if s.unit.Integer.Name == "cart_log" { // the cart with other scales: the same operations again
			return
		}
		for i := range s.unit.Integer.Ops {
			s.operation(i)
		}
		if s.refused < 6*len(s.unit.Integer.Ops) || s.accepted > s.refused/10 {
			s.Errorf("%d refused, %d accepted", s.refused, s.accepted)
		}
	})
}

func (s *subject) operation(i int) {
	was, real := s.unit.Integer.Ops[i], s.unit.Stored
	id := program.ID(i)
	for _, d := range []int64{-1, 1} {
		if was.K != nil && (was.Kind == program.Const || was.Kind == program.Scale || was.Kind == program.Wrap) {
			s.spoil(func(p *program.Fixed) { p.Ops[i].K = plus(was.K, d) }, nil, "constant of %s by %d", was.Name, d)
		}
		if was.Kind == program.Round {
			s.spoil(func(p *program.Fixed) { p.Ops[i].Shift = uint(int64(was.Shift) + d) }, nil, "shift of %s by %d", was.Name, d)
		}
		other := int(was.Real) + int(d)
		if other >= 0 && other < len(real.Ops) {
			s.spoil(func(p *program.Fixed) { p.Ops[i].Real = program.ID(other) },
				func() bool { return original(real.View(), was.Real) == original(real.View(), program.ID(other)) }, "%s stands for %s", was.Name, real.Ops[other].Name)
		}
		if was.Kind == program.Input || was.Kind == program.Coef || was.Kind == program.State {
			s.spoil(func(p *program.Fixed) { p.Ops[i].Index += int(d) }, nil, "%s reads number %d", was.Name, was.Index+int(d))
		}
		if at := was.Section + int(d); at >= 0 && at < len(real.Sections) {
			s.spoil(func(p *program.Fixed) { p.Ops[i].Section = at }, nil, "%s in section %d", was.Name, at)
		}
	}
	if was.Kind == program.Wrap {
		s.spoil(func(p *program.Fixed) { p.Ops[i].K = twice(was.K) }, nil, "%s by two turns", was.Name)
	}
	s.spoil(func(p *program.Fixed) { p.Ops[i].LSB = twice(was.LSB) }, nil, "twice the lsb of %s", was.Name)
	inside := func(lo, hi int64) func() bool { // a truth value is said in [0, 1] though it may be a constant
		return func() bool { return was.Bool && interval.Ints(lo, hi).Holds(s.unit.Certificate.Ops[i]) }
	}
	s.spoil(func(p *program.Fixed) { p.Ops[i].Lo++ }, inside(was.Lo+1, was.Hi), "low end of %s", was.Name)
	s.spoil(func(p *program.Fixed) { p.Ops[i].Hi-- }, inside(was.Lo, was.Hi-1), "high end of %s", was.Name)
	if t, ok := narrower[was.Type]; ok {
		lo, hi := t.Range()
		s.spoil(func(p *program.Fixed) { p.Ops[i].Type = t }, func() bool { return interval.Ints(lo, hi).Holds(s.unit.Certificate.Ops[i]) }, "%s in %d bits", was.Name, t.Bits())
	}
	s.arguments(id, was)
	if k, ok := swapped[was.Kind]; ok {
		s.spoil(func(p *program.Fixed) { p.Ops[i].Kind = k }, nil, "%s is %v", was.Name, k)
	}
	if was.Kind == program.Angle {
		s.table(i, was)
	}
}

// arguments swaps them, shifts them and has all readers read past the operation.
func (s *subject) arguments(id program.ID, was program.FixedOp) {
	for a := range was.Args {
		for b := range a {
			s.spoil(func(p *program.Fixed) { args := p.Ops[id].Args; args[a], args[b] = args[b], args[a] },
				func() bool { return s.same(was.Args[a], was.Args[b]) }, "arguments %d and %d of %s swapped", b, a, was.Name)
		}
		for _, d := range []program.ID{-1, 1} {
			s.spoil(func(p *program.Fixed) { p.Ops[id].Args[a] += d }, func() bool { return s.same(was.Args[a], was.Args[a]+d) }, "argument %d of %s by %d", a, was.Name, d)
		}
		s.spoil(func(p *program.Fixed) { past(p, id, was.Args[a]) }, func() bool { return s.same(id, was.Args[a]) || !s.read(id) }, "%s passed over for %s", was.Name, s.unit.Integer.Ops[was.Args[a]].Name)
	}
}

// past has everything that reads one value read another.
func past(p *program.Fixed, from, to program.ID) {
	for i := range p.Ops {
		for j, a := range p.Ops[i].Args {
			if a == from {
				p.Ops[i].Args[j] = to
			}
		}
	}
	for i := range p.States {
		for _, v := range []*program.ID{&p.States[i].Next, &p.States[i].Enable, &p.States[i].Reset, &p.States[i].ResetTo} {
			if *v == from {
				*v = to
			}
		}
	}
	for i := range p.Outputs {
		if p.Outputs[i].Value == from {
			p.Outputs[i].Value = to
		}
	}
}

// read tells whether anything reads a value.
func (s *subject) read(id program.ID) bool {
	p := s.unit.Integer.Clone()
	past(p, id, -7)
	for _, op := range p.Ops {
		for _, a := range op.Args {
			if a == -7 {
				return true
			}
		}
	}
	for _, st := range p.States {
		if st.Next == -7 || st.Enable == -7 || st.Reset == -7 || st.ResetTo == -7 {
			return true
		}
	}
	for _, o := range p.Outputs {
		if o.Value == -7 {
			return true
		}
	}
	return false
}

// table spoils the table of an arctangent; an entry may move only where the largest error does not grow by it.
func (s *subject) table(i int, was program.FixedOp) {
	least, err := cert.ArctanError(was.Arctan)
	if err != nil {
		s.Fatal(err)
	}
	change := func(what string, f func(t *program.Arctan)) {
		t := *was.Arctan
		t.Entries = append([]int64(nil), t.Entries...)
		f(&t)
		s.spoil(func(p *program.Fixed) { p.Ops[i].Arctan = &t },
			func() bool { e, err := cert.ArctanError(&t); return err == nil && e.Cmp(least) <= 0 }, "%s of the table of %s", what, was.Name)
	}
	for e := range was.Arctan.Entries {
		for _, d := range []int64{-1, 1} {
			change("an entry", func(t *program.Arctan) { t.Entries[e] += d })
		}
		if e%5 != 0 {
			continue
		}
		change("a wild entry", func(t *program.Arctan) { t.Entries[e] += 5 })
	}
	change("the quarter", func(t *program.Arctan) { t.Quarter++ })
	change("the quotient", func(t *program.Arctan) { t.QuotientBits-- })
}
