package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// arity is the number of arguments of each operation.
var arity = map[program.Kind]int{program.Const: 0, program.Input: 0, program.Coef: 0, program.State: 0, program.Add: 2, program.Sub: 2, program.Scale: 1,
	program.Mul: 2, program.Round: 1, program.Clamp: 3, program.Min: 2, program.Max: 2, program.Abs: 1, program.Wrap: 1, program.Angle: 2,
	program.Less: 2, program.LessEqual: 2, program.And: 2, program.Or: 2, program.Not: 1, program.Select: 3}

// checkShape verifies that certificate and programs belong together, and that the integer program is
// one at all: what follows may then index and compute without looking twice.
func checkShape(stored *program.Real, integer *program.Fixed, c *Certificate) error {
	another := fmt.Errorf("the certificate belongs to another program")
	if stored == nil || integer == nil || c == nil {
		return another
	}
	if err := checkReal(stored); err != nil {
		return err
	}
	if len(c.Taps) > len(integer.Sections) || len(c.Local.Taps) > len(integer.Sections) || len(c.Chain.Taps) > len(integer.Sections) {
		return another
	}
	if len(c.States) != len(integer.States) || len(c.Ops) != len(integer.Ops) || len(stored.Sections) != len(integer.Sections) ||
		len(stored.Inputs) != len(integer.Inputs) || len(stored.Outputs) != len(integer.Outputs) || len(stored.Coefs) != len(integer.Coefs) {
		return another
	}
	for s := range integer.Sections {
		if len(stored.Sections[s].Signals) != len(integer.Sections[s].Signals) {
			return fmt.Errorf("section %s has other signals in the real program", integer.Sections[s].Name)
		}
		for _, sig := range integer.Sections[s].Signals {
			if sig.Value < 0 || int(sig.Value) >= len(integer.Ops) {
				return fmt.Errorf("signal %s has no value", sig.Name)
			}
		}
	}
	for _, r := range append(slices.Clone(c.States), c.Ops...) {
		if !ordered(&r) {
			return fmt.Errorf("a claimed range has no two ends in order")
		}
	}
	for _, e := range []*Errors{&c.Local, &c.Chain} {
		if err := e.checkShape(len(integer.States), integer.View()); err != nil {
			return err
		}
	}
	last := 0
	for i := range integer.Ops {
		op := &integer.Ops[i]
		if err := checkOp(stored, integer, program.ID(i)); err != nil {
			return fmt.Errorf("value %s: %w", op.Name, err)
		}
		if op.Section < last || op.Section >= len(integer.Sections) {
			return fmt.Errorf("value %s stands outside its section", op.Name)
		}
		last = op.Section
	}
	return checkFaces(stored, integer)
}

// surplus tells whether an operation has something that its kind has no use for.
func surplus(op *program.Op) bool {
	number, whole := false, false
	switch op.Kind {
	case program.Input, program.Coef, program.State:
		number = true
	case program.Const, program.Scale, program.Wrap:
		whole = true
	}
	return op.Index != 0 && !number || op.K != nil && !whole
}

func ordered(r *interval.Range) bool { return r.Lo != nil && r.Hi != nil && r.Lo.Cmp(r.Hi) <= 0 }

// checkOp verifies the form of one operation.
func checkOp(stored *program.Real, integer *program.Fixed, id program.ID) error {
	op := &integer.Ops[id]
	n, known := arity[op.Kind]
	if !known || len(op.Args) != n || surplus(&op.Op) || op.Shift != 0 && op.Kind != program.Round || op.Table != nil && op.Kind != program.Angle || op.Real < 0 || int(op.Real) >= len(stored.Ops) || op.LSB == nil || op.LSB.Sign() <= 0 {
		return fmt.Errorf("no operation has this form")
	}
	for _, a := range op.Args {
		if a < 0 || a >= id {
			return fmt.Errorf("it reads a value that is not there yet")
		}
	}
	real := &stored.Ops[op.Real]
	if op.Bool != real.Bool || op.Bool && op.LSB.Cmp(big.NewRat(1, 1)) != 0 {
		return fmt.Errorf("numbers and truth values are mixed up")
	}
	top := map[program.Kind]int{program.Input: len(integer.Inputs), program.Coef: len(integer.Coefs), program.State: len(integer.States)}
	if most, ok := top[op.Kind]; ok && (op.Index < 0 || op.Index >= most) {
		return fmt.Errorf("it reads number %d of %d", op.Index, most)
	}
	switch op.Kind {
	case program.Const, program.Scale, program.Wrap:
		if op.K == nil || !op.K.IsInt() || !wide.Holds(interval.Point(op.K)) || op.Kind == program.Wrap && op.K.Sign() <= 0 {
			return fmt.Errorf("its constant is no whole number of at most 62 bits")
		}
	case program.Round:
		if op.Shift < 1 || op.Shift > 61 {
			return fmt.Errorf("it is shifted by %d", op.Shift)
		}
	case program.Angle:
		return checkTable(op.Table)
	}
	return nil
}

// checkFaces verifies what the program shows to the outside, and its states.
func checkFaces(stored *program.Real, integer *program.Fixed) error {
	if err := checkNames(stored.View(), integer.View()); err != nil {
		return err
	}
	if err := checkSetters(stored, integer); err != nil {
		return err
	}
	read := make([]bool, len(integer.States))
	for _, op := range integer.Ops {
		if op.Kind == program.State {
			read[op.Index] = true
		}
	}
	for n, s := range integer.States {
		if !read[n] {
			return fmt.Errorf("nothing reads state %s", s.Name)
		}
		if s.Real < 0 || s.Real >= len(stored.States) || s.Start == nil || s.LSB == nil || s.Next == program.None || (s.Reset == program.None) != (s.ResetTo == program.None) {
			return fmt.Errorf("no state has the form of %s", s.Name)
		}
		for _, v := range []program.ID{s.Next, s.Enable, s.Reset, s.ResetTo} {
			if v < program.None || int(v) >= len(integer.Ops) {
				return fmt.Errorf("state %s takes a value that is not there", s.Name)
			}
		}
		if r := stored.States[s.Real]; s.Section != r.Section || s.Bool != r.Bool || s.Bool && s.LSB.Cmp(big.NewRat(1, 1)) != 0 {
			return fmt.Errorf("state %s differs from that of the real program", s.Name)
		}
	}
	return nil
}

// checkTypes verifies that the types and ranges written into the program, which the emitters go by, hold what the
// certificate claims, and that only truth values decide.
func checkTypes(p *program.Fixed, c *Certificate) error {
	inside := func(what string, r interval.Range, t program.Type, lo, hi int64, truth bool) error {
		if a, b := t.Range(); t == program.NoType || !interval.Ints(a, b).Holds(r) {
			return fmt.Errorf("%s is claimed in %s, its type holds [%d, %d]", what, show(r), a, b)
		}
		if said := interval.Ints(lo, hi); !said.Holds(r) || !r.Holds(said) && !(truth && lo == 0 && hi == 1) {
			return fmt.Errorf("%s is claimed in %s, the program says [%d, %d]", what, show(r), lo, hi)
		}
		return nil
	}
	truth := func(a program.ID) bool { return a == program.None || interval.Ints(0, 1).Holds(c.Ops[a]) }
	for i := range p.Ops {
		op := &p.Ops[i]
		if err := inside("value "+op.Name, c.Ops[i], op.Type, op.Lo, op.Hi, op.Bool); err != nil {
			return err
		}
		if !computed(op.Type) && op.Kind != program.Input {
			return fmt.Errorf("value %s has a type that only raw inputs may have", op.Name)
		}
		if op.Kind == program.Angle {
			if most, err := ArctanError(op.Table); err != nil || op.Table.MaxError == nil || op.Table.MaxError.Cmp(most) < 0 {
				return fmt.Errorf("value %s: the error said of its table is not proven", op.Name)
			}
		}
		decides := 0
		switch op.Kind {
		case program.And, program.Or, program.Not:
			decides = len(op.Args)
		case program.Select:
			decides = 1
		}
		for _, a := range op.Args[:decides] {
			if !truth(a) {
				return fmt.Errorf("value %s is decided by a number", op.Name)
			}
		}
	}
	for n, s := range p.States {
		if err := inside("state "+s.Name, c.States[n], s.Type, s.Lo, s.Hi, s.Bool); err != nil {
			return err
		}
		if !computed(s.Type) {
			return fmt.Errorf("state %s has a type that only raw inputs may have", s.Name)
		}
		if !truth(s.Enable) || !truth(s.Reset) {
			return fmt.Errorf("state %s is decided by a number", s.Name)
		}
	}
	for i := range p.Coefs {
		if !p.Coefs[i].Type.Signed() {
			return fmt.Errorf("coefficient %s has a type that only raw inputs may have", p.Coefs[i].Name)
		}
		r := (&Evaluator{fixed: p, whole: true}).coef(i)
		if err := inside("coefficient "+p.Coefs[i].Name, r, p.Coefs[i].Type, r.Lo.Num().Int64(), r.Hi.Num().Int64(), false); err != nil {
			return err
		}
	}
	for _, o := range p.Outputs {
		lo, hi := o.Type.Range()
		if !interval.Ints(lo, hi).Holds(c.Ops[o.Value]) {
			return fmt.Errorf("output %s is claimed in %s, its type holds [%d, %d]", o.Name, show(c.Ops[o.Value]), lo, hi)
		}
	}
	return checkLimits(p, c)
}

// computed tells whether values of a type are computed with: unsigned ones would change the meaning of what they meet.
func computed(t program.Type) bool { return t.Signed() || t == program.Bool }
