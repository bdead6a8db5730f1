package cert

import (
	"fmt"

	"gainwright/model/program"
)

// checkReal verifies that the real program is one, as checkShape does for the integer program.
func checkReal(stored *program.Real) error {
	there := func(v program.ID) bool { return v >= 0 && int(v) < len(stored.Ops) }
	top := map[program.Kind]int{program.Input: len(stored.Inputs), program.Coef: len(stored.Coefs), program.State: len(stored.States)}
	last := 0
	for i := range stored.Ops {
		op := &stored.Ops[i]
		n, known := arity[op.Kind]
		most, indexed := top[op.Kind]
		constant := op.Kind == program.Const || op.Kind == program.Scale || op.Kind == program.Wrap
		if !known || op.Kind == program.Round || len(op.Args) != n || surplus(&op.Op) || constant && op.K == nil || op.Kind == program.Wrap && op.K.Sign() <= 0 ||
			indexed && (op.Index < 0 || op.Index >= most) || op.Section < last || op.Section >= len(stored.Sections) {
			return fmt.Errorf("value %s of the real program: no operation has this form", op.Name)
		}
		last = op.Section
		for _, a := range op.Args {
			if a < 0 || int(a) >= i {
				return fmt.Errorf("value %s of the real program reads a value that is not there yet", op.Name)
			}
		}
	}
	for _, in := range stored.Inputs {
		if in.LSB == nil || in.LSB.Sign() <= 0 {
			return fmt.Errorf("input %s of the real program has no format", in.Name)
		}
	}
	for _, s := range stored.States {
		if s.Start == nil || s.Next == program.None || (s.Reset == program.None) != (s.ResetTo == program.None) {
			return fmt.Errorf("no state has the form of %s of the real program", s.Name)
		}
		for _, v := range []program.ID{s.Next, s.Enable, s.Reset, s.ResetTo} {
			if v != program.None && !there(v) {
				return fmt.Errorf("state %s of the real program takes a value that is not there", s.Name)
			}
		}
	}
	for i, sec := range stored.Sections {
		for _, sig := range sec.Signals {
			if !there(sig.Value) || stored.Ops[sig.Value].Section != i {
				return fmt.Errorf("signal %s of the real program has no value of its section", sig.Name)
			}
		}
	}
	for _, o := range stored.Outputs {
		if !there(o.Value) {
			return fmt.Errorf("output %s of the real program has no value", o.Name)
		}
	}
	return nil
}
