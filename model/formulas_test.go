package model_test

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

// exactFormula is a formula of a, in quarters, and b, in eighths, both of 8 bits, and the switch c, beside what it means in rational numbers.
type exactFormula struct {
	text, unit string // unit "switch": it yields one
	is         func(a, b *big.Rat, c bool) *big.Rat
	near       func(a, b *big.Rat, c bool) *big.Rat // a switch that compares what is rounded: how far that is from where it changes; nil: it is exact
}

func q(x, y int64) *big.Rat { return big.NewRat(x, y) }

func sum(a, b *big.Rat) *big.Rat  { return new(big.Rat).Add(a, b) }
func less(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func times(a, b *big.Rat) *big.Rat {
	return new(big.Rat).Mul(a, b)
}
func over(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }
func size(a *big.Rat) *big.Rat    { return new(big.Rat).Abs(a) }
func lower(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) < 0 {
		return a
	}
	return b
}
func upper(a, b *big.Rat) *big.Rat {
	if a.Cmp(b) > 0 {
		return a
	}
	return b
}
func within(x, lo, hi *big.Rat) *big.Rat { return lower(upper(x, lo), hi) }
func on(x bool) *big.Rat {
	if x {
		return q(1, 1)
	}
	return q(0, 1)
}

var exactFormulas = []exactFormula{
	{text: "a + b", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return sum(a, b) }},
	{text: "a - b - 0.5", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return less(less(a, b), q(1, 2)) }},
	{text: "a - (b - 0.5 V)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return sum(less(a, b), q(1, 2)) }},
	{text: "-a + 2 * b", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return less(times(q(2, 1), b), a) }},
	{text: "a * b", unit: "V^2", is: func(a, b *big.Rat, _ bool) *big.Rat { return times(a, b) }},
	{text: "a * b * -0.25 / 2", unit: "V^2", is: func(a, b *big.Rat, _ bool) *big.Rat { return times(times(a, b), q(-1, 8)) }},
	{text: "(a + b) * (a - b)", unit: "V^2", is: func(a, b *big.Rat, _ bool) *big.Rat { return less(times(a, a), times(b, b)) }},
	{text: "a / clamp(b, 0.5, 15)", unit: "", is: func(a, b *big.Rat, _ bool) *big.Rat { return over(a, within(b, q(1, 2), q(15, 1))) }},
	{text: "3 / clamp(b, -12, -0.5)", unit: "1/V", is: func(_, b *big.Rat, _ bool) *big.Rat { return over(q(3, 1), within(b, q(-12, 1), q(-1, 2))) }},
	{text: "b * a / clamp(a, 2 V, 9 V)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return over(times(b, a), within(a, q(2, 1), q(9, 1))) }},
	{text: "min(a, b)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return lower(a, b) }},
	{text: "max(a, b, 1.5 V, -a)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat {
		return upper(upper(a, b), upper(q(3, 2), new(big.Rat).Neg(a)))
	}},
	{text: "abs(a - b)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return size(less(a, b)) }},
	{text: "clamp(a, -3, b)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return within(a, q(-3, 1), b) }},
	{text: "clamp(a + b, b, 5 V)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return within(sum(a, b), b, q(5, 1)) }},
	{text: "move(a, b, 0.25)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat { return sum(a, times(q(1, 4), less(b, a))) }},
	{text: "move(a, b, abs(b) / 8 V)", unit: "V", is: func(a, b *big.Rat, _ bool) *big.Rat {
		return sum(a, times(lower(over(size(b), q(8, 1)), q(1, 1)), less(b, a)))
	}},
	{text: "move(2 V, -3 V, a / 4 V)", unit: "V", is: func(a, _ *big.Rat, _ bool) *big.Rat {
		return less(q(2, 1), times(q(5, 1), within(over(a, q(4, 1)), q(0, 1), q(1, 1))))
	}},
	{text: "if c then a else b * 0.5", unit: "V", is: func(a, b *big.Rat, c bool) *big.Rat {
		if c {
			return a
		}
		return times(b, q(1, 2))
	}},
	{text: "if a < b then 1 else if c then 2 else 3", unit: "", is: func(a, b *big.Rat, c bool) *big.Rat {
		switch {
		case a.Cmp(b) < 0:
			return q(1, 1)
		case c:
			return q(2, 1)
		}
		return q(3, 1)
	}},
	{text: "a < b", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat { return on(a.Cmp(b) < 0) }},
	{text: "a <= b", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat { return on(a.Cmp(b) <= 0) }},
	{text: "a > b", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat { return on(a.Cmp(b) > 0) }},
	{text: "a >= b and not c", unit: "switch", is: func(a, b *big.Rat, c bool) *big.Rat { return on(a.Cmp(b) >= 0 && !c) }},
	{text: "abs(a - b) < 1.25 or c", unit: "switch", is: func(a, b *big.Rat, c bool) *big.Rat { return on(size(less(a, b)).Cmp(q(5, 4)) < 0 || c) }},
	{text: "min(a + b, 3 V) > max(a, -b)", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat {
		return on(lower(sum(a, b), q(3, 1)).Cmp(upper(a, new(big.Rat).Neg(b))) > 0)
	}},
	{text: "if c then a < 0 else not b < 0", unit: "switch", is: func(a, b *big.Rat, c bool) *big.Rat {
		if c {
			return on(a.Sign() < 0)
		}
		return on(b.Sign() >= 0)
	}},
	{text: "a * b < 3 V^2", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat { return on(times(a, b).Cmp(q(3, 1)) < 0) },
		near: func(a, b *big.Rat, _ bool) *big.Rat { return less(times(a, b), q(3, 1)) }},
	{text: "(a + b) * (a - b) < 3.015625 V^2", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat {
		return on(less(times(a, a), times(b, b)).Cmp(q(193, 64)) < 0)
	}, near: func(a, b *big.Rat, _ bool) *big.Rat { return less(less(times(a, a), times(b, b)), q(193, 64)) }},
	{text: "a / clamp(b, 0.5, 15) >= 1.5", unit: "switch", is: func(a, b *big.Rat, _ bool) *big.Rat {
		return on(over(a, within(b, q(1, 2), q(15, 1))).Cmp(q(3, 2)) >= 0)
	}, near: func(a, b *big.Rat, _ bool) *big.Rat { return less(over(a, within(b, q(1, 2), q(15, 1))), q(3, 2)) }},
}

// TestFormulasExactly runs each function and sign of formulas on all values of two inputs of 8 bits and a switch: what the integer program gives is as far
// as is proven from the same formula in rational numbers, which are computed here. All constants are stored exactly, so that no other error plays a part.
func TestFormulasExactly(t *testing.T) {
	for _, f := range exactFormulas {
		t.Run(f.text, func(t *testing.T) { runExactly(t, f) })
	}
}

func runExactly(t *testing.T, f exactFormula) {
	unit, shown := f.unit, "it"
	switch unit {
	case "switch":
		unit, shown = "part", "if it then 1 else 0"
	case "": // outputs have a unit
		unit, shown = "part", "it * 1 part"
	}
	text := fmt.Sprintf("controller: exact\nrate: 10 Hz\ninputs:\n  a: {raw: int8, unit: V, counts_per_unit: 4}\n  b: {raw: int8, unit: V, counts_per_unit: 8}\n  c: {raw: bool}\n"+
		"steps:\n  it: {kind: formula, value: %q}\n  shown: {kind: formula, value: %q}\noutputs:\n  out: {from: shown, raw: int32, unit: %q, counts_per_unit: 1024}\n", f.text, shown, unit)
	u := model.Compile("exact.yaml", []byte(text))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	for _, c := range u.Constants {
		if c.Stored.Cmp(c.Asked) != 0 {
			t.Errorf("%s: %s is stored as %s in place of %s", f.text, c.Name, c.Stored, c.Asked)
		}
	}
	var value program.ID
	var lo, hi *big.Rat
	parts := new(big.Rat) // how far what is compared may be off
	for s, sec := range u.Integer.Sections {
		for j, sig := range sec.Signals {
			claim := u.Certificate.Chain.Signals[s][j]
			switch {
			case sig.Name == "it":
				value = sig.Value
				if claim != nil {
					lo, hi = claim.Lo, claim.Hi
				} else if f.near == nil {
					t.Errorf("%s: nothing is proven", f.text)
				}
			case strings.HasPrefix(sig.Name, "it."):
				parts = upper(parts, upper(claim.Hi, new(big.Rat).Neg(claim.Lo)))
			}
		}
	}
	if f.near == nil && parts.Sign() > 0 {
		t.Errorf("%s: what is compared is off by %s", f.text, parts)
	}
	if t.Failed() {
		return
	}
	m, lsb := program.NewFixedMachine(u.Integer), u.Integer.Ops[value].LSB
	most, undecided := new(big.Rat), 0
	for n := range int64(1 << 17) {
		a, b, c := n>>9-128, n>>1&255-128, n&1
		m.Tick([]int64{a, b, c}, nil)
		got := new(big.Rat).Mul(q(m.Values[value], 1), lsb)
		x, y := q(a, 4), q(b, 8)
		off := less(got, f.is(x, y, c == 1))
		switch {
		case f.near != nil && off.Sign() != 0 && size(f.near(x, y, c == 1)).Cmp(parts) <= 0:
			undecided++
		case f.near != nil && off.Sign() != 0, f.near == nil && (off.Cmp(lo) < 0 || off.Cmp(hi) > 0):
			t.Fatalf("%s is %s at a = %s, b = %s, c = %d: off by %s, proven are %v to %v", f.text, got.FloatString(6), x, y, c, off, lo, hi)
		}
		most = upper(most, size(off))
	}
	if f.near != nil {
		t.Logf("%s: decided otherwise for %d of %d values, where what is compared is off by %s at most", f.text, undecided, 1<<17, parts.FloatString(6))
	}
	if f.near == nil {
		t.Logf("%s: off by %s at most, %s are proven", f.text, most.FloatString(6), upper(hi, new(big.Rat).Neg(lo)).FloatString(6))
	}
}
