package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/program"
)

// same tells whether two numbers are equal, or neither is there.
func same(a, b *big.Rat) bool { return a == nil && b == nil || equal(a, b) }

// checkNames verifies that the integer program shows to the outside what the real one does: what a raw value, a gain or a
// signal is called and what it is declared to be is part of what is claimed of it.
func checkNames(stored, integer program.View) error {
	if stored.Name != integer.Name || !same(stored.Rate, integer.Rate) {
		return fmt.Errorf("the real program is another controller, or has another rate")
	}
	for i, in := range integer.Inputs {
		r := stored.Inputs[i]
		if in.Name != r.Name || in.Unit != r.Unit || in.Type != r.Type || in.IsSwitch != r.IsSwitch || in.Turned != r.Turned ||
			!same(in.LSB, r.LSB) || !same(in.Offset, r.Offset) || !same(in.Lo, r.Lo) || !same(in.Hi, r.Hi) {
			return fmt.Errorf("input %s differs from that of the real program", in.Name)
		}
	}
	for i, o := range integer.Outputs {
		r := stored.Outputs[i]
		if o.Name != r.Name || o.Unit != r.Unit || o.Type != r.Type || o.Turned != r.Turned ||
			!same(o.LSB, r.LSB) || !same(o.Lo, r.Lo) || !same(o.Hi, r.Hi) || o.Value < 0 || int(o.Value) >= len(integer.Ops) {
			return fmt.Errorf("output %s differs from that of the real program", o.Name)
		}
	}
	for i, s := range integer.Sections {
		r := stored.Sections[i]
		if s.Name != r.Name {
			return fmt.Errorf("section %s differs from that of the real program", s.Name)
		}
		for j, sig := range s.Signals {
			if sig.Name != r.Signals[j].Name || !same(sig.Angular, r.Signals[j].Angular) {
				return fmt.Errorf("signal %s differs from that of the real program", sig.Name)
			}
		}
	}
	return nil
}

// checkLimits verifies that no output leaves its declared limits.
func checkLimits(p *program.Fixed, c *Certificate) error {
	for _, o := range p.Outputs {
		r := c.Ops[o.Value].Scale(o.Count())
		if o.Lo != nil && r.Lo.Cmp(o.Lo) < 0 || o.Hi != nil && r.Hi.Cmp(o.Hi) > 0 {
			return fmt.Errorf("output %s reaches %s, its limits are [%s, %s]", o.Name, show(r), text(o.Lo), text(o.Hi))
		}
	}
	return nil
}
