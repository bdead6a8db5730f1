package campaign

import (
	"math/big"
	"os"
	"strings"
	"testing"

	"gainwright/gen/target"
	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/trial"
)

// spoilt compiles a controller with resets, enables, live gains and switches, and its C, and then changes the integer
// program or what is claimed of it: compiled C and claims no longer go together.
func spoilt(t *testing.T, cCode, goCode bool, spoil func(t *testing.T, u *model.Unit)) *Failure {
	t.Helper()
	text, err := os.ReadFile("../../testdata/specs/cart_log.yaml")
	if err != nil {
		t.Fatal(err)
	}
	u, _, fails := compile("cart_log.yaml", text)
	if fails != nil || !u.OK() {
		t.Fatalf("%v %v", fails, u.Findings)
	}
	var host trial.Target
	switch {
	case cCode:
		b, err := target.NewBatch(t.Context(), []*model.Unit{u})
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		host = b.Host(u.Spec.Name)
	case goCode:
		b, err := target.NewGoBatch(t.Context(), []*model.Unit{u})
		if err != nil {
			t.Fatal(err)
		}
		defer b.Close()
		host = goTarget{b.Host(u.Spec.Name)}
	}
	spoil(t, u)
	_, fails = run(t.Context(), u, host, 12000, 1)
	return fails
}

// widen takes the claims away, so that only what is compared can fail.
func widen(u *model.Unit) {
	for i := range u.Integer.Ops {
		u.Integer.Ops[i].Lo, u.Integer.Ops[i].Hi = -1<<62, 1<<62
	}
	for i := range u.Integer.States {
		u.Integer.States[i].Lo, u.Integer.States[i].Hi = -1<<62, 1<<62
	}
	u.Bounds = nil
}

// op is the last operation of a kind that holds for ok.
func op(t *testing.T, u *model.Unit, kind program.Kind, ok func(program.FixedOp) bool) *program.FixedOp {
	t.Helper()
	for i := len(u.Integer.Ops) - 1; i >= 0; i-- {
		if o := &u.Integer.Ops[i]; o.Kind == kind && ok(*o) {
			return o
		}
	}
	t.Fatalf("no %v", kind)
	return nil
}

func anyOp(program.FixedOp) bool { return true }

// TestEachCheckFails: each of the campaign's checks sees what it is there for.
func TestEachCheckFails(t *testing.T) {
	less := func(bound *big.Rat) *big.Rat {
		if bound == nil {
			return nil
		}
		return new(big.Rat).Mul(bound, big.NewRat(1, 20))
	}
	for name, c := range map[string]struct {
		cCode, goCode bool
		spoil         func(t *testing.T, u *model.Unit)
		want          string
	}{
		"nothing, in C":  {true, false, func(*testing.T, *model.Unit) {}, ""},
		"nothing, in Go": {false, true, func(*testing.T, *model.Unit) {}, ""},
		"rounding": {true, false, func(t *testing.T, u *model.Unit) {
			widen(u)
			op(t, u, program.Round, anyOp).Shift--
		}, "bits"},
		"rounding, in Go": {false, true, func(t *testing.T, u *model.Unit) {
			widen(u)
			op(t, u, program.Round, anyOp).Shift--
		}, "bits"},
		"reset": {true, false, func(t *testing.T, u *model.Unit) {
			widen(u)
			for i, s := range u.Integer.States {
				if s.Reset != program.None {
					u.Integer.States[i].ResetTo = s.Next
					return
				}
			}
			t.Fatal("no reset")
		}, "bits"},
		"setter of a live gain": {true, false, func(t *testing.T, u *model.Unit) {
			widen(u)
			u.Integer.Coefs[0].Setter.XHi -= 500 // only a setting at the end of the range tells
		}, "bits"},
		"live gain, in Go": {false, true, func(t *testing.T, u *model.Unit) {
			widen(u)
			u.Integer.Coefs[len(u.Integer.Coefs)-1].Setter.M += 2 // half of that may change no coefficient
		}, "bits"},
		"least raw value": {false, false, func(t *testing.T, u *model.Unit) {
			op(t, u, program.Input, func(o program.FixedOp) bool { return o.Lo == -32768 }).Lo++
		}, "range"},
		"range of a state": {false, false, func(t *testing.T, u *model.Unit) {
			for i := range u.Integer.States {
				if s := &u.Integer.States[i]; strings.HasSuffix(s.Name, "_integral") {
					s.Hi -= s.Hi / 100
					return
				}
			}
			t.Fatal("no integral")
		}, "range"},
		"bound of a step": {false, false, func(_ *testing.T, u *model.Unit) {
			for i := range u.Bounds {
				u.Bounds[i].Local, u.Bounds[i].Chain, u.Bounds[i].Asked = less(u.Bounds[i].Local), nil, nil
			}
		}, "local"},
		"bound of the chain": {false, false, func(_ *testing.T, u *model.Unit) {
			for i := range u.Bounds {
				u.Bounds[i].Local, u.Bounds[i].Chain, u.Bounds[i].Asked = nil, less(u.Bounds[i].Chain), nil
			}
		}, "chain"},
		"bound against what was asked for": {false, false, func(_ *testing.T, u *model.Unit) {
			for i := range u.Bounds {
				u.Bounds[i].Local, u.Bounds[i].Chain, u.Bounds[i].Asked = nil, nil, less(u.Bounds[i].Asked)
			}
		}, "asked"},
		"factor": {false, false, func(t *testing.T, u *model.Unit) {
			o := op(t, u, program.Scale, func(o program.FixedOp) bool {
				return u.Integer.Sections[o.Section].Name == "tilt" && o.K.Num().BitLen() > 8
			})
			o.K = new(big.Rat).Add(o.K, big.NewRat(3, 1))
		}, "local"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			f := spoilt(t, c.cCode, c.goCode, c.spoil)
			switch {
			case f == nil && c.want != "":
				t.Errorf("nothing is found, %s is expected", c.want)
			case f != nil && f.What != c.want:
				t.Errorf("found is %s, %q is expected: %s", f.What, c.want, firstLine(f.Why))
			}
		})
	}
}

// TestUndefinedBehaviourIsReported: a sum in C that leaves int32 ends the program, whatever its bits are.
func TestUndefinedBehaviourIsReported(t *testing.T) {
	text, err := os.ReadFile("../../testdata/specs/cart_log.yaml")
	if err != nil {
		t.Fatal(err)
	}
	u, _, fails := compile("cart_log.yaml", text)
	if fails != nil {
		t.Fatal(fails)
	}
	widen(u)
	o := op(t, u, program.Scale, func(o program.FixedOp) bool { return o.Type == program.I32 && o.K.Num().BitLen() > 8 })
	o.K = big.NewRat(1<<30, 1)
	for i := range u.Integer.Ops { // the emitted C goes by types, and these are too narrow now
		if p := &u.Integer.Ops[i]; p.Type != program.Bool {
			p.Lo, p.Hi = p.Type.Range()
		}
	}
	b, err := target.NewBatch(t.Context(), []*model.Unit{u})
	if err != nil {
		t.Fatalf("the C that overflows does not compile: %v", err)
	}
	defer b.Close()
	_, fails = run(t.Context(), u, b.Host(u.Spec.Name), 3000, 1)
	if fails == nil || !strings.Contains(fails.Why, "runtime error") {
		t.Errorf("found is %+v", fails)
	}
}
