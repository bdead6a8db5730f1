package cost_test

import (
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"testing"

	"gainwright/model"
	"gainwright/model/cost"
	"gainwright/model/program"
)

// small is y = round(7 x / 2^4), of 16 bits, beside a product that nobody reads.
func small(shift uint, dead bool) *program.Fixed {
	p := &program.Fixed{
		Frame: program.Frame{
			Inputs:   []program.InputInfo{{Name: "x", Type: program.I16}},
			Sections: []program.Section{{Name: "s"}},
			Outputs:  []program.Output{{Name: "y", Type: program.I16, Value: 2}},
		},
		Ops: []program.FixedOp{
			{Op: program.Op{Kind: program.Input}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1},
			{Op: program.Op{Kind: program.Scale, Args: []program.ID{0}, K: big.NewRat(7, 1)}, Type: program.I32, Lo: -7 << 15, Hi: 7 << 15},
			{Op: program.Op{Kind: program.Round, Args: []program.ID{1}}, Shift: shift, Type: program.I16, Lo: -7 << 11, Hi: 7 << 11},
		},
	}
	if dead {
		p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Mul, Args: []program.ID{1, 1}}, Type: program.I64, Lo: 0, Hi: 49 << 30})
	}
	return p
}

func estimate(t *testing.T, target string, p *program.Fixed) float64 {
	t.Helper()
	table := cost.For(target)
	total, unknown := table.Estimate(table.Features(p))
	if len(unknown) > 0 {
		t.Errorf("%s: the table lacks %v", target, unknown)
	}
	return total
}

var targets = []string{"avr8", "cortex-m0", "cortex-m4", "rv32imc"}

// TestWhatNobodyReadsCostsNothing holds that the estimate is of what is emitted.
func TestWhatNobodyReadsCostsNothing(t *testing.T) {
	for _, target := range targets {
		if plain, dead := estimate(t, target, small(4, false)), estimate(t, target, small(4, true)); plain != dead {
			t.Errorf("%s: %g, with a product that nobody reads %g", target, plain, dead)
		}
	}
}

// TestShiftsOnAVR holds that a move of bytes costs less than a shift of as many bits and some more.
func TestShiftsOnAVR(t *testing.T) {
	if whole, bits := estimate(t, "avr8", small(8, false)), estimate(t, "avr8", small(4, false)); whole >= bits {
		t.Errorf("by 8 bits: %g, by 4 bits: %g", whole, bits)
	}
}

// TestOneSideOfAChoice holds that a tick goes one way at each choice: the shorter side does not count.
func TestOneSideOfAChoice(t *testing.T) {
	build := func(both bool) *program.Fixed {
		p := small(4, false)
		p.Ops[0].Lo++ // its absolute value takes 16 bits
		p.Inputs = append(p.Inputs, program.InputInfo{Name: "on", Type: program.Bool, IsSwitch: true})
		add := func(op program.FixedOp) program.ID {
			p.Ops = append(p.Ops, op)
			return program.ID(len(p.Ops) - 1)
		}
		on := add(program.FixedOp{Op: program.Op{Kind: program.Input, Index: 1, Bool: true}, Type: program.Bool, Hi: 1})
		other := program.ID(0)
		if both {
			other = add(program.FixedOp{Op: program.Op{Kind: program.Abs, Args: []program.ID{0}}, Type: program.I16, Hi: 1<<15 - 1})
		}
		p.Outputs[0].Value = add(program.FixedOp{Op: program.Op{Kind: program.Select, Args: []program.ID{on, 2, other}}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1})
		return p
	}
	for _, target := range targets {
		if one, both := estimate(t, target, build(false)), estimate(t, target, build(true)); both > one {
			t.Errorf("%s: %g where one side has nothing to do, %g where both have", target, one, both)
		}
	}
}

// arithmetic is a program with two states of so many bits, whose third state is what ops make of them: operations 0 and 1.
func arithmetic(bits uint, of ...program.FixedOp) *program.Fixed {
	typ := map[uint]program.Type{16: program.I16, 32: program.I32, 64: program.I64}[bits]
	lo, hi := int64(-1)<<(bits-3), int64(1)<<(bits-3)
	p := &program.Fixed{Frame: program.Frame{Sections: []program.Section{{Name: "s"}}}}
	for i := range 2 {
		p.States = append(p.States, program.FixedState{StateInfo: program.StateInfo{Start: new(big.Rat), Next: program.ID(i), Enable: program.None, Reset: program.None}, Type: typ, Lo: lo, Hi: hi})
		p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.State, Index: i}, Type: typ, Lo: lo, Hi: hi})
	}
	result := program.FixedState{StateInfo: program.StateInfo{Start: new(big.Rat), Enable: program.None, Reset: program.None}, Type: typ, Lo: 2 * lo, Hi: 2 * hi}
	for _, op := range of {
		if op.Type == program.NoType {
			op.Type, op.Lo, op.Hi = typ, 2*lo, 2*hi
		}
		p.Ops = append(p.Ops, op)
		result.Type = op.Type
	}
	result.Next = program.ID(len(p.Ops) - 1)
	p.States = append(p.States, result)
	return p
}

// TestMoreBitsCostMore holds that no arithmetic seems cheaper in more bits: the search would widen it.
func TestMoreBitsCostMore(t *testing.T) {
	constant := func(v int64) program.FixedOp {
		return program.FixedOp{Op: program.Op{Kind: program.Const, K: big.NewRat(v, 1)}, Type: program.Holding(v, v), Lo: v, Hi: v}
	}
	two := []program.ID{0, 1}
	cases := map[string]func() []program.FixedOp{
		"sum":        func() []program.FixedOp { return []program.FixedOp{{Op: program.Op{Kind: program.Add, Args: two}}} },
		"difference": func() []program.FixedOp { return []program.FixedOp{{Op: program.Op{Kind: program.Sub, Args: two}}} },
		"sum with 1000": func() []program.FixedOp {
			return []program.FixedOp{constant(1000), {Op: program.Op{Kind: program.Add, Args: []program.ID{0, 2}}}}
		},
		"change of sign": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Scale, Args: two[:1], K: big.NewRat(-1, 1)}}}
		},
		"times 2": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Scale, Args: two[:1], K: big.NewRat(2, 1)}}}
		},
		"minimum": func() []program.FixedOp { return []program.FixedOp{{Op: program.Op{Kind: program.Min, Args: two}}} },
		"minimum of 1000": func() []program.FixedOp {
			return []program.FixedOp{constant(1000), {Op: program.Op{Kind: program.Min, Args: []program.ID{0, 2}}}}
		},
		"clamp": func() []program.FixedOp {
			return []program.FixedOp{constant(-1000), constant(1000), {Op: program.Op{Kind: program.Clamp, Args: []program.ID{0, 2, 3}}}}
		},
		"absolute": func() []program.FixedOp { return []program.FixedOp{{Op: program.Op{Kind: program.Abs, Args: two[:1]}}} },
		"wrap": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Wrap, Args: two[:1], K: big.NewRat(8000, 1)}}}
		},
		"less": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Less, Args: two, Bool: true}, Type: program.Bool, Hi: 1}}
		},
		"choice": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Less, Args: two, Bool: true}, Type: program.Bool, Hi: 1}, {Op: program.Op{Kind: program.Select, Args: []program.ID{2, 0, 1}}}}
		},
		"rounding": func() []program.FixedOp {
			return []program.FixedOp{{Op: program.Op{Kind: program.Round, Args: two[:1]}, Shift: 10, Type: program.I16, Lo: -1000, Hi: 1000}}
		},
	}
	for _, target := range targets {
		for name, of := range cases {
			before := math.Inf(-1)
			for _, bits := range []uint{16, 32, 64} {
				ops := of()
				without := constant(1) // stored as the same type
				without.Type = ops[len(ops)-1].Type
				c := estimate(t, target, arithmetic(bits, ops...)) - estimate(t, target, arithmetic(bits, without))
				if c < before-1e-9 {
					t.Errorf("%s: %s of %d bits costs %g, in fewer bits %g", target, name, bits, c, before)
				}
				before = c
			}
		}
	}
}

// TestAnyFactor holds that each product by a constant of 64 bits has an estimate, soon: the lower 32 bits of a factor may be 0, or all ones.
func TestAnyFactor(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for _, target := range targets {
		for n := range 3000 {
			k := rng.Int64() >> rng.UintN(62)
			switch n % 4 {
			case 1:
				k &^= math.MaxUint32
			case 2:
				k |= math.MaxUint32
			case 3:
				k &= 1<<40 - 1<<rng.UintN(40)
			}
			if k == 0 {
				continue
			}
			p := arithmetic(64, program.FixedOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{0}, K: new(big.Rat).SetInt64(k)}})
			if c := estimate(t, target, p); c <= 0 || c > 2000 {
				t.Fatalf("%s: times %d is estimated at %g", target, k, c)
			}
		}
	}
}

// TestLongestWay holds that a tick which is reset does not count what it resets, and that sides which exclude each other do not add up.
func TestLongestWay(t *testing.T) {
	build := func(second bool) *program.Fixed {
		p := arithmetic(32, program.FixedOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{0}, K: big.NewRat(12345, 1)}})
		p.Inputs = []program.InputInfo{{Name: "on", Type: program.Bool, IsSwitch: true}}
		add := func(op program.FixedOp) program.ID {
			p.Ops = append(p.Ops, op)
			return program.ID(len(p.Ops) - 1)
		}
		on := add(program.FixedOp{Op: program.Op{Kind: program.Input, Bool: true}, Type: program.Bool, Hi: 1})
		off := add(program.FixedOp{Op: program.Op{Kind: program.Not, Args: []program.ID{on}, Bool: true}, Type: program.Bool, Hi: 1})
		none := add(program.FixedOp{Op: program.Op{Kind: program.Const, K: new(big.Rat)}, Type: program.I8})
		p.States[2].Reset, p.States[2].ResetTo = on, none
		if second { // as long, and stored where the first one is reset
			p.States[1].Next = add(program.FixedOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{1}, K: big.NewRat(12345, 1)}, Type: program.I32, Lo: -1 << 30, Hi: 1 << 30})
			p.States[1].Reset, p.States[1].ResetTo = off, none
		}
		return p
	}
	for _, target := range targets {
		table := cost.For(target)
		products := func(f cost.Features) float64 { return f["product32"] + f["library32"] + f["productform"] }
		one, both := products(table.Features(build(false))), products(table.Features(build(true)))
		if one == 0 || both > one {
			t.Errorf("%s: %g for one product, %g where only one of two is needed", target, one, both)
		}
	}
}

// TestErrorsAreStated holds that each table says how far it was off, for each sort of ticks.
func TestErrorsAreStated(t *testing.T) {
	for _, target := range targets {
		table := cost.For(target)
		for _, s := range []cost.Sort{cost.Usual, cost.Small, cost.Wide} {
			if e := table.Errors[s]; e.Controllers < 5 || e.Nineteen < e.Middle || e.Most < e.Nineteen || e.Middle <= 0 {
				t.Errorf("%s, %s: %+v", target, s, e)
			}
		}
		if s := table.Sort(cost.Features{"product64": 1}, 1000); s != cost.Wide {
			t.Errorf("%s: 64 bits are of the %s sort", target, s)
		}
		if s := table.Sort(cost.Features{"product64": 0, "add32": 1}, 1000); s != cost.Usual {
			t.Errorf("%s: 32 bits are of the %s sort", target, s)
		}
		if s := table.Sort(cost.Features{"product64": 1}, 10); s != cost.Small {
			t.Errorf("%s: 10 are of the %s sort", target, s)
		}
	}
}

// TestSectionsAddUp holds that the parts of an estimate are the whole.
func TestSectionsAddUp(t *testing.T) {
	u := model.Compile("t.yaml", []byte("controller: t\nrate: 100 Hz\ntarget: avr8\n\ninputs:\n  x: {raw: int16, counts_per_unit: 100, unit: deg, range: [-90 deg, 90 deg]}\n"+
		"\nsteps:\n  slow: {kind: low_pass, of: x, time_constant: 0.5 s}\n\noutputs:\n  y: {from: slow, raw: int16, counts_per_unit: 100, unit: deg}\n"))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	table := cost.For("avr8")
	sections, sum := table.Sections(u.Integer)
	for _, s := range sections {
		sum.Add(s)
	}
	if all := table.Features(u.Integer); !reflect.DeepEqual(all, sum) {
		t.Errorf("%v, the sum of the parts is %v", all, sum)
	}
}
