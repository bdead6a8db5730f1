package target

import (
	"fmt"
	"math/big"
	"os"
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// TestBrokenCIsFound runs C that was emitted from a program spoilt in one place, beside the program that was
// proven. Each must be found, and reported with all values of its tick.
func TestBrokenCIsFound(t *testing.T) {
	tier.Slow(t)
	for name, spoil := range map[string]func(p *program.Fixed){
		"a factor":            func(p *program.Fixed) { plusOne(p, "tilt_lead") },
		"a limit":             func(p *program.Fixed) { plusOne(p, "lean_limited_low") },
		"a rounding":          func(p *program.Fixed) { halvesDown(p, operation(p, "lean_rounded")) },
		"a comparison":        func(p *program.Fixed) { p.Ops[operation(p, "upright_inside_above")].Kind = program.Less },
		"a start":             func(p *program.Fixed) { state(p, "first_tick").Start = new(big.Rat) },
		"a setter":            func(p *program.Fixed) { p.Coefs[0].Setter.Shift++ },
		"a state not written": func(p *program.Fixed) { state(p, "balance_held").Next = operation(p, "balance_held_before") },
	} {
		t.Run(name, func(t *testing.T) {
			u := controllerNamed(t, "cart_log")
			h := spoilt(t, u, spoil)
			r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 200_000, Target: h})
			if err != nil {
				t.Fatal(err)
			}
			var first *trial.Fault
			bits := 0
			for _, k := range r.Kinds {
				bits += k.Same.Bits
				for _, f := range k.Faults {
					if f.Rule != "bits" {
						t.Errorf("found too: %s", f)
					} else if first == nil {
						first = f
					}
				}
			}
			if r.OK() || first == nil || bits == 0 {
				t.Fatalf("%d bits differ, the first at %v", bits, first)
			}
			if len(first.Values) != len(u.Integer.Ops) || !strings.Contains(first.Message, "in the integer program, C by ") {
				t.Errorf("the report is %s", first)
			}
		})
	}
}

// spoilt is the C of a unit whose integer program was changed after it was proven: constants, checksum and all.
func spoilt(t *testing.T, u *model.Unit, spoil func(p *program.Fixed)) *Host {
	t.Helper()
	changed := *u
	changed.Integer = u.Integer.Clone()
	spoil(changed.Integer)
	return host(t, &changed, Options{})
}

func operation(p *program.Fixed, name string) program.ID {
	i := slices.IndexFunc(p.Ops, func(op program.FixedOp) bool { return op.Name == name })
	if i < 0 {
		panic("there is no " + name)
	}
	return program.ID(i)
}

func state(p *program.Fixed, name string) *program.FixedState {
	i := slices.IndexFunc(p.States, func(s program.FixedState) bool { return s.Name == name })
	if i < 0 {
		panic("there is no state " + name)
	}
	return &p.States[i]
}

func plusOne(p *program.Fixed, name string) {
	op := &p.Ops[operation(p, name)]
	op.K = new(big.Rat).Add(op.K, big.NewRat(1, 1))
}

// halvesDown has a rounding take halves down: that of the value less one.
func halvesDown(p *program.Fixed, round program.ID) {
	arg := p.Ops[p.Ops[round].Args[0]]
	one := program.FixedOp{Op: program.Op{Kind: program.Const, K: big.NewRat(1, 1), Name: "spoil_one", Section: p.Ops[round].Section}, Type: program.I16, LSB: arg.LSB, Lo: 1, Hi: 1}
	less := program.FixedOp{Op: program.Op{Kind: program.Sub, Name: "spoil_less", Section: one.Section}, Type: program.I64, LSB: arg.LSB, Lo: arg.Lo - 1, Hi: arg.Hi}
	p.Ops = slices.Insert(p.Ops, int(round), one, less)
	moved := func(ids ...*program.ID) {
		for _, id := range ids {
			if *id >= round {
				*id += 2
			}
		}
	}
	for i := range p.Ops {
		for j := range p.Ops[i].Args {
			moved(&p.Ops[i].Args[j])
		}
	}
	p.Ops[round+1].Args = []program.ID{p.Ops[round+2].Args[0], round}
	p.Ops[round+2].Args = []program.ID{round + 1}
	for i := range p.States {
		moved(&p.States[i].Next, &p.States[i].Enable, &p.States[i].Reset, &p.States[i].ResetTo)
	}
	for i := range p.Sections {
		for j := range p.Sections[i].Inputs {
			moved(&p.Sections[i].Inputs[j])
		}
		for j := range p.Sections[i].Signals {
			moved(&p.Sections[i].Signals[j].Value)
		}
	}
	for i := range p.Outputs {
		moved(&p.Outputs[i].Value)
	}
}

// TestTickOfABrokenConstant: with the lead of the rate wrong by one, the first tick with a rate differs by just
// that rate.
func TestTickOfABrokenConstant(t *testing.T) {
	u := controllerNamed(t, "cart_log")
	h := spoilt(t, u, func(p *program.Fixed) { plusOne(p, "tilt_lead") })
	const path = "../../testdata/logs/hero7.csv"
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	log, found := trial.ReadLog(path, file, u.Integer, []string{"armed=1"})
	if log == nil {
		t.Fatal(found)
	}
	r, err := trial.VerifyLog(t.Context(), u, log, trial.Options{Target: h})
	if err != nil || r.OK() || len(r.Kinds[0].Faults) != 1 {
		t.Fatalf("%+v, %v", r, err)
	}
	// the log starts in motion: the rate of its first row is not 0, so the lead, and the state, differ at once
	f := r.Kinds[0].Faults[0]
	if f.Tick != 0 || f.Inputs[2].Count != 2897 || !strings.Contains(f.Message, "state tilt_state") {
		t.Errorf("%s", f)
	}
	lead := u.Integer.Ops[operation(u.Integer, "tilt_lead")]
	rate, next := f.Values[lead.Args[0]].Count, int64(0)
	for _, s := range f.After {
		if s.Name == "tilt_state" {
			next = s.Count
		}
	}
	if want := fmt.Sprintf("state tilt_state is %d in the integer program, %s gives %d", next, h.Name(), next+rate); f.Message != want {
		t.Errorf("%s, expected is %s", f.Message, want)
	}
}
