package lint_test

import (
	"math"
	"math/big"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/templates"
)

// TestIntegrals: nothing is rounded between the error and the integral, so that one count of error moves it; and the time to wind up is
// that of the real loop, tick by tick.
func TestIntegrals(t *testing.T) {
	for _, name := range templates.Starters() {
		u := model.Compile(name+".yaml", templates.Starter(name))
		for _, i := range u.Integrals() {
			step := u.Integer.Sections[i.Section].Name
			find := func(p program.View, name string) program.ID {
				for id, op := range p.Ops {
					if op.Name == name {
						return program.ID(id)
					}
				}
				t.Fatalf("%s has no %s", step, name)
				return program.None
			}
			moved, e := find(u.Integer.View(), step+"_integral_moved"), find(u.Integer.View(), step+"_error")
			if u.Integer.Ops[e].LSB.Cmp(i.Smallest) != 0 {
				t.Errorf("%s: the error counts in %v, %v is said", step, u.Integer.Ops[e].LSB, i.Smallest)
			}
			seen := false
			var look func(id program.ID)
			look = func(id program.ID) {
				op := &u.Integer.Ops[id]
				switch {
				case id == e:
					seen = true
				case op.Kind == program.Round:
					t.Errorf("%s is rounded on the way into the integral", op.Name)
				case op.Kind != program.State:
					for _, a := range op.Args {
						if a != program.None {
							look(a)
						}
					}
				}
			}
			look(moved)
			if !seen {
				t.Errorf("%s: the error does not enter the integral", step)
			}
			limits := u.Asked.Ops[find(u.Asked.View(), step+"_integral_limited")]
			lo, hi := u.Asked.Ops[limits.Args[1]].K, u.Asked.Ops[limits.Args[2]].K
			var ki *big.Rat
			for _, s := range u.Asked.Sections[i.Section].Settings {
				if s.Name == "ki" {
					ki = new(big.Rat).Abs(s.Value)
				}
			}
			at := func(x *big.Rat) float64 { f, _ := x.Float64(); return f }
			sum, ticks := at(lo), 0
			for sum < at(hi) {
				sum += at(ki) * at(i.Largest) / at(u.Spec.Rate)
				ticks++
			}
			if got := at(i.WindUp) * at(u.Spec.Rate); math.Abs(got-float64(ticks)) > 1 {
				t.Errorf("%s winds up in %d ticks, %.3g are said", step, ticks, got)
			}
		}
	}
}
