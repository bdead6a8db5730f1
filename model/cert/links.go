package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// checkLinks verifies that states, signals and outputs of the integer program stand for those of the real one.
func checkLinks(stored, integer *program.Program) error {
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

// checkErrors verifies the claims about differences.
func checkErrors(stored, integer *program.Program, c *Certificate, claims *Errors, chain bool) error {
	d := NewDifferences(stored, integer, c.Ops, chain)
	copy(d.States, claims.States)
	d.UseLinear(claims.Taps)
	for s := range integer.Sections {
		if err := d.Section(s); err != nil {
			return err
		}
		for j := range integer.Sections[s].Signals {
			if claim := claims.Signals[s][j]; !supports(claim, d.Signal(s, j)) {
				return fmt.Errorf("signal %s: the claimed rounding is not proven", integer.Sections[s].Signals[j].Name)
			}
		}
	}
	peaked := map[int]bool{}
	for s, taps := range claims.Taps {
		if taps == 0 {
			continue
		}
		bounds, _, err := d.LinearBounds(s, taps)
		for i, n := range Linear(integer, s) {
			peaked[n] = true
			if claim := claims.States[n]; claim != nil && (err != nil || !claim.Holds(bounds[i])) {
				return fmt.Errorf("state %s: the claimed rounding is not proven by peak gains", integer.States[n].Name)
			}
		}
	}
	zero := interval.Point(new(big.Rat))
	for n, s := range integer.States {
		claim := claims.States[n]
		if peaked[n] {
			continue
		}
		if claim != nil && !claim.Holds(zero) || !supports(claim, d.After(n)) {
			return fmt.Errorf("state %s: the claimed rounding is not proven", s.Name)
		}
	}
	return nil
}

// supports tells whether what was proven supports the claim; a nil claim needs no support.
func supports(claim, proven *interval.Range) bool {
	return claim == nil || proven != nil && claim.Holds(*proven)
}
