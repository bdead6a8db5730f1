package cert

import (
	"fmt"

	"gainwright/model/program"
)

// checkLinks verifies that states, signals and outputs of the integer program stand for those of the real one.
func checkLinks(stored *program.Real, integer *program.Fixed) error {
	d := NewDifferences(stored, integer, nil, false)
	both := func(what string, a, r program.ID) error {
		if (a == program.None) != (r == program.None) || a != program.None && !d.standsFor(a, r) {
			return fmt.Errorf("%s stands for another value than in the real program", what)
		}
		return nil
	}
	for _, s := range integer.States {
		r := stored.States[s.Real]
		if !s.Start.IsInt() || !equal(mul(s.Start, s.LSB), r.Start) {
			return fmt.Errorf("state %s starts elsewhere than in the real program", s.Name)
		}
		for _, pair := range [][2]program.ID{{s.Next, r.Next}, {s.Enable, r.Enable}, {s.Reset, r.Reset}, {s.ResetTo, r.ResetTo}} {
			if err := both("state "+s.Name, pair[0], pair[1]); err != nil {
				return err
			}
			if pair[0] != program.None && integer.Ops[pair[0]].Section != s.Section && !d.signal[pair[0]] {
				return fmt.Errorf("state %s reads %s of another section, which is no signal", s.Name, integer.Ops[pair[0]].Name)
			}
		}
		for _, v := range []program.ID{s.Next, s.ResetTo} {
			if v != program.None && !equal(integer.Ops[v].LSB, s.LSB) {
				return fmt.Errorf("state %s takes a value of another format", s.Name)
			}
		}
	}
	for i := range integer.Sections {
		for j, sig := range integer.Sections[i].Signals {
			if err := both("signal "+sig.Name, sig.Value, stored.Sections[i].Signals[j].Value); err != nil {
				return err
			}
		}
	}
	for i, o := range integer.Outputs {
		if err := both("output "+o.Name, o.Value, stored.Outputs[i].Value); err != nil {
			return err
		}
		if !equal(integer.Ops[o.Value].LSB, o.LSB) {
			return fmt.Errorf("output %s has another format than its value", o.Name)
		}
	}
	return nil
}
