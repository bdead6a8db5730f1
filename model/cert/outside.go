package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/program"
)

// same tells whether two numbers are equal, or neither is there.
func same(a, b *big.Rat) bool { return a == nil && b == nil || equal(a, b) }

// checkOutside verifies that one program shows to the outside what the other does: what a raw value, a gain or a
// signal is called and what it is declared to be is part of what is claimed of it.
func checkOutside(p, q program.View) error {
	if p.Name != q.Name || !same(p.Rate, q.Rate) || len(p.Inputs) != len(q.Inputs) || len(p.Outputs) != len(q.Outputs) || len(p.Sections) != len(q.Sections) ||
		len(p.Gains) != len(q.Gains) || len(p.Coefs) != len(q.Coefs) {
		return fmt.Errorf("the real program is another controller, or has another rate")
	}
	for i, a := range p.Inputs {
		b := q.Inputs[i]
		if a.Name != b.Name || a.Unit != b.Unit || a.Type != b.Type || a.IsSwitch != b.IsSwitch || a.Turned != b.Turned ||
			!same(a.LSB, b.LSB) || !same(a.Offset, b.Offset) || !same(a.Lo, b.Lo) || !same(a.Hi, b.Hi) {
			return fmt.Errorf("input %s differs from that of the real program", a.Name)
		}
	}
	for i, a := range p.Outputs {
		b := q.Outputs[i]
		if a.Name != b.Name || a.Unit != b.Unit || a.Type != b.Type || a.Turned != b.Turned ||
			!same(a.LSB, b.LSB) || !same(a.Lo, b.Lo) || !same(a.Hi, b.Hi) {
			return fmt.Errorf("output %s differs from that of the real program", a.Name)
		}
	}
	for i, a := range p.Sections {
		b := q.Sections[i]
		if a.Name != b.Name || a.Clock != b.Clock || len(a.Signals) != len(b.Signals) {
			return fmt.Errorf("section %s differs from that of the real program", a.Name)
		}
		for j, sig := range a.Signals {
			if sig.Name != b.Signals[j].Name || !same(sig.Angular, b.Signals[j].Angular) {
				return fmt.Errorf("signal %s differs from that of the real program", sig.Name)
			}
		}
	}
	for i, a := range p.Gains {
		b := q.Gains[i]
		if a.Name != b.Name || a.Key != b.Key || a.Unit != b.Unit || !equal(a.Value, b.Value) || !equal(a.Lo, b.Lo) || !equal(a.Hi, b.Hi) || !same(a.Count, b.Count) {
			return fmt.Errorf("gain %s differs from that of the real program", a.Name)
		}
	}
	for i, a := range p.Coefs {
		if b := q.Coefs[i]; a.Gain < 0 || a.Gain >= len(p.Gains) || a.Gain != b.Gain || !equal(a.Factor, b.Factor) {
			return fmt.Errorf("coefficient %s is another one than in the real program", a.Name)
		}
	}
	return nil
}
