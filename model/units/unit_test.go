package units_test

import (
	"testing"

	"gainwright/model/units"
)

// TestAlgebra: products and quotients of units, in the one way of writing each.
func TestAlgebra(t *testing.T) {
	for _, c := range []struct{ a, b, product, quotient string }{
		{"V", "A", "A.V", "V/A"}, {"deg/s", "s", "deg", "deg/s^2"}, {"m/s/s", "m/s^2", "m^2/s^4", ""}, {"", "V", "V", "1/V"}, {"1/V", "V", "", "1/V^2"},
		{"kg.m^2", "kg.m^2", "kg^2.m^4", ""}, {"duty", "", "duty", "duty"}, {"%", "%", "%^2", ""}, {"V/A", "Ohm", "Ohm.V/A", "V/A/Ohm"},
	} {
		a, b := units.Parse(c.a), units.Parse(c.b)
		if got := a.Mul(b).String(); got != c.product {
			t.Errorf("%s times %s is %s, expected %s", c.a, c.b, got, c.product)
		}
		if got := a.Quo(b).String(); got != c.quotient {
			t.Errorf("%s by %s is %s, expected %s", c.a, c.b, got, c.quotient)
		}
		if again := units.Parse(a.String()); !again.Equal(a) || a.None() != (c.a == "") {
			t.Errorf("%s is written %s, which is another unit", c.a, a)
		}
		if root, ok := a.Mul(a).Root(); !ok || !root.Equal(a) {
			t.Errorf("the root of the square of %s is %s", c.a, root)
		}
	}
	if _, ok := units.Parse("m^3").Root(); ok {
		t.Error("m^3 has a root")
	}
}
