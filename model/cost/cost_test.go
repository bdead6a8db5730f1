package cost_test

import (
	"fmt"
	"math/big"
	"reflect"
	"testing"

	"gainwright/model"
	"gainwright/model/cost"
	"gainwright/model/program"
)

// small is y = round(7 x / 2^4), of 16 bits, beside a product that nobody reads.
func small(shift uint, dead bool) *program.Program {
	p := &program.Program{
		Inputs:   []program.InputInfo{{Name: "x", Type: program.I16}},
		Sections: []program.Section{{Name: "s"}},
		Ops: []program.Op{
			{Kind: program.Input, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1},
			{Kind: program.Scale, Args: []program.ID{0}, K: big.NewRat(7, 1), Type: program.I32, Lo: -7 << 15, Hi: 7 << 15},
			{Kind: program.Round, Args: []program.ID{1}, Shift: shift, Type: program.I16, Lo: -7 << 11, Hi: 7 << 11},
		},
		Outputs: []program.Output{{Name: "y", Type: program.I16, Value: 2}},
	}
	if dead {
		p.Ops = append(p.Ops, program.Op{Kind: program.Mul, Args: []program.ID{1, 1}, Type: program.I64, Lo: 0, Hi: 49 << 30})
	}
	return p
}

func estimate(t *testing.T, target string, p *program.Program) float64 {
	t.Helper()
	table := cost.For(target)
	total, unknown := table.Estimate(table.Features(p))
	if len(unknown) > 0 {
		t.Errorf("%s: the table lacks %v", target, unknown)
	}
	return total
}

var targets = []string{"avr8", "cortex-m0", "rv32imc"}

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
	build := func(both bool) *program.Program {
		p := small(4, false)
		p.Ops[0].Lo++ // its absolute value takes 16 bits
		p.Inputs = append(p.Inputs, program.InputInfo{Name: "on", Type: program.Bool, IsSwitch: true})
		add := func(op program.Op) program.ID {
			p.Ops = append(p.Ops, op)
			return program.ID(len(p.Ops) - 1)
		}
		on := add(program.Op{Kind: program.Input, Index: 1, Bool: true, Type: program.Bool, Hi: 1})
		other := program.ID(0)
		if both {
			other = add(program.Op{Kind: program.Abs, Args: []program.ID{0}, Type: program.I16, Hi: 1<<15 - 1})
		}
		p.Outputs[0].Value = add(program.Op{Kind: program.Select, Args: []program.ID{on, 2, other}, Type: program.I16, Lo: -1 << 15, Hi: 1<<15 - 1})
		return p
	}
	for _, target := range targets {
		if one, both := estimate(t, target, build(false)), estimate(t, target, build(true)); both > one {
			t.Errorf("%s: %g where one side has nothing to do, %g where both have", target, one, both)
		}
	}
}

// TestMoreBitsCostMore holds that no arithmetic seems cheaper in more bits: the search would widen it.
func TestMoreBitsCostMore(t *testing.T) {
	for _, target := range targets {
		table := cost.For(target)
		for _, name := range []string{"add", "addfixed", "negate", "select", "less", "clamp", "clampfixed", "extreme", "extremefixed", "wrap", "absolute", "round", "up"} {
			before := 0.0
			for _, bits := range []int{16, 32, 64} {
				c, known := table.Costs[fmt.Sprintf("%s%d", name, bits)]
				if !known || c < before {
					t.Errorf("%s: %s%d costs %g, in fewer bits %g", target, name, bits, c, before)
				}
				before = c
			}
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
