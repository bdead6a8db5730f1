package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// checkShape verifies that certificate and programs belong together, and that the programs are
// some at all: what follows may then index and compute without looking twice.
func checkShape(stored *program.Real, integer *program.Fixed, c *Certificate) error {
	another := fmt.Errorf("the certificate belongs to another program")
	if stored == nil || integer == nil || c == nil {
		return another
	}
	if err := checkReal(stored); err != nil {
		return fmt.Errorf("of the real program: %w", err)
	}
	if err := checkProgram(integer.View()); err != nil {
		return err
	}
	for _, taps := range [][]int{c.Taps, c.Local.Taps, c.Chain.Taps} {
		if len(taps) > len(integer.Sections) {
			return another
		}
	}
	if len(c.States) != len(integer.States) || len(c.Ops) != len(integer.Ops) {
		return another
	}
	for _, r := range slices.Concat(c.States, c.Ops) {
		if !ordered(&r) {
			return fmt.Errorf("a claimed range has no two ends in order")
		}
	}
	for _, e := range []*Errors{&c.Local, &c.Chain} {
		if err := e.checkShape(len(integer.States), integer.View()); err != nil {
			return err
		}
	}
	if err := checkOutside(stored.View(), integer.View()); err != nil {
		return err
	}
	for i := range integer.Ops {
		if err := checkFixed(stored, &integer.Ops[i]); err != nil {
			return fmt.Errorf("value %s: %w", integer.Ops[i].Name, err)
		}
	}
	if err := checkSetters(integer); err != nil {
		return err
	}
	return checkStates(stored, integer)
}

// checkProgram verifies what makes a program of either dialect one.
func checkProgram(p program.View) error {
	there := func(v program.ID) bool { return v >= 0 && int(v) < len(p.Ops) }
	for i, op := range p.Ops {
		if err := checkOperation(p, program.ID(i)); err != nil {
			return fmt.Errorf("value %s: %w", op.Name, err)
		}
	}
	for _, s := range p.States {
		if s.Start == nil || s.Next == program.None || (s.Reset == program.None) != (s.ResetTo == program.None) || s.Section < 0 || s.Section >= len(p.Sections) {
			return fmt.Errorf("no state has the form of %s", s.Name)
		}
		for _, v := range []program.ID{s.Next, s.Enable, s.Reset, s.ResetTo} {
			if v != program.None && !there(v) {
				return fmt.Errorf("state %s takes a value that is not there", s.Name)
			}
		}
	}
	for _, sec := range p.Sections {
		if !sec.Clock.Valid() {
			return fmt.Errorf("section %s runs at no ticks that can be counted", sec.Name)
		}
		for _, sig := range sec.Signals {
			if !there(sig.Value) {
				return fmt.Errorf("signal %s has no value", sig.Name)
			}
		}
	}
	for _, o := range p.Outputs {
		if !there(o.Value) {
			return fmt.Errorf("output %s has no value", o.Name)
		}
	}
	return nil
}

// checkReal verifies what makes a real program one.
func checkReal(p *program.Real) error {
	if err := checkProgram(p.View()); err != nil {
		return err
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		if shapes[op.Kind].fixed || op.Points != nil && op.Kind != program.Table {
			return fmt.Errorf("value %s: no operation has this form", op.Name)
		}
		if op.Kind == program.Table {
			if err := checkPoints(op.Points); err != nil {
				return fmt.Errorf("value %s: %w", op.Name, err)
			}
		}
	}
	for _, in := range p.Inputs {
		if in.LSB == nil || in.LSB.Sign() <= 0 {
			return fmt.Errorf("input %s has no format", in.Name)
		}
	}
	for i, sec := range p.Sections {
		for _, sig := range sec.Signals {
			if p.Ops[sig.Value].Section != i {
				return fmt.Errorf("signal %s has no value of its section", sig.Name)
			}
		}
	}
	return nil
}

// checkFixed verifies what makes an operation one of an integer program.
func checkFixed(stored *program.Real, op *program.FixedOp) error {
	if op.Shift != 0 && op.Kind != program.Round || op.Arctan != nil && op.Kind != program.Angle || op.Curve != nil && op.Kind != program.Table || op.Real < 0 || int(op.Real) >= len(stored.Ops) || op.LSB == nil || op.LSB.Sign() <= 0 {
		return fmt.Errorf("no operation has this form")
	}
	if op.Bool != stored.Ops[op.Real].Bool || op.Bool && !isOne(op.LSB) {
		return fmt.Errorf("numbers and truth values are mixed up")
	}
	if op.K != nil && (!op.K.IsInt() || !inside62.Holds(interval.Point(op.K))) {
		return fmt.Errorf("its constant is no whole number of at most 62 bits")
	}
	switch op.Kind {
	case program.Round:
		if op.Shift < 1 || op.Shift > 61 {
			return fmt.Errorf("it is shifted by %d", op.Shift)
		}
	case program.Angle:
		return checkArctan(op.Arctan)
	case program.Table:
		return checkCurve(op.Curve)
	}
	return nil
}

// checkStates verifies what makes the states ones of an integer program.
func checkStates(stored *program.Real, integer *program.Fixed) error {
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
		if s.Real < 0 || s.Real >= len(stored.States) || s.LSB == nil {
			return fmt.Errorf("no state has the form of %s", s.Name)
		}
		if r := stored.States[s.Real]; s.Section != r.Section || s.Bool != r.Bool || s.Bool && !isOne(s.LSB) {
			return fmt.Errorf("state %s differs from that of the real program", s.Name)
		}
	}
	return nil
}

func isOne(x *big.Rat) bool { return equal(x, big.NewRat(1, 1)) }
