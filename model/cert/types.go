package cert

import (
	"fmt"

	"gainwright/model/interval"
	"gainwright/model/program"
)

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
	decides := func(a program.ID) bool { return a == program.None || interval.Ints(0, 1).Holds(c.Ops[a]) }
	for i := range p.Ops {
		op := &p.Ops[i]
		if err := inside("value "+op.Name, c.Ops[i], op.Type, op.Lo, op.Hi, op.Bool); err != nil {
			return err
		}
		if !computed(op.Type) && op.Kind != program.Input {
			return fmt.Errorf("value %s has a type that only raw inputs may have", op.Name)
		}
		if op.Kind == program.Angle {
			if most, err := ArctanError(op.Arctan); err != nil || op.Arctan.MaxError == nil || op.Arctan.MaxError.Cmp(most) < 0 {
				return fmt.Errorf("value %s: the error said of its table is not proven", op.Name)
			}
		}
		if op.Kind == program.Table {
			if most, err := CurveError(op.Curve); err != nil || op.Curve.MaxError == nil || op.Curve.MaxError.Cmp(most) < 0 {
				return fmt.Errorf("value %s: the error said of its table is not proven", op.Name)
			}
		}
		for _, a := range op.Args[:shapes[op.Kind].truths] {
			if !decides(a) {
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
		if !decides(s.Enable) || !decides(s.Reset) {
			return fmt.Errorf("state %s is decided by a number", s.Name)
		}
	}
	for i := range p.Coefs {
		co := &p.Coefs[i]
		if !co.Type.Signed() {
			return fmt.Errorf("coefficient %s has a type that only raw inputs may have", co.Name)
		}
		r := reach(co.Setter)
		if err := inside("coefficient "+co.Name, r, co.Type, r.Lo.Num().Int64(), r.Hi.Num().Int64(), false); err != nil {
			return err
		}
	}
	for _, o := range p.Outputs {
		lo, hi := o.Type.Range()
		if !interval.Ints(lo, hi).Holds(c.Ops[o.Value]) {
			return fmt.Errorf("output %s is claimed in %s, its type holds [%d, %d]", o.Name, show(c.Ops[o.Value]), lo, hi)
		}
		r := c.Ops[o.Value].Scale(o.Count())
		if o.Lo != nil && r.Lo.Cmp(o.Lo) < 0 || o.Hi != nil && r.Hi.Cmp(o.Hi) > 0 {
			return fmt.Errorf("output %s reaches %s, its limits are [%s, %s]", o.Name, show(r), text(o.Lo), text(o.Hi))
		}
	}
	return nil
}

// computed tells whether values of a type are computed with: unsigned ones would change the meaning of what they meet.
func computed(t program.Type) bool { return t.Signed() || t == program.Bool }
