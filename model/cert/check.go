package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Check verifies every claim of c but those about the program that was asked for. stored is the real program with the stored constants.
func Check(stored *program.Real, integer *program.Fixed, c *Certificate) error {
	_, err := check(stored, integer, c)
	return err
}

// CheckAsked verifies every claim of c. asked is the real program with the constants of the spec.
func CheckAsked(asked, stored *program.Real, integer *program.Fixed, c *Certificate) error {
	d, err := check(stored, integer, c)
	if err != nil {
		return err
	}
	return checkAsked(asked, stored, d, &c.Asked)
}

// check returns the differences from the raw inputs.
func check(stored *program.Real, integer *program.Fixed, c *Certificate) (*Differences, error) {
	if err := checkShape(stored, integer, c); err != nil {
		return nil, err
	}
	for _, p := range []program.View{stored.View(), integer.View()} {
		if err := checkSums(p); err != nil {
			return nil, err
		}
	}
	if err := checkSumsAlike(stored, integer); err != nil {
		return nil, err
	}
	if err := checkRanges(integer, c); err != nil {
		return nil, err
	}
	if err := checkTypes(integer, c); err != nil {
		return nil, err
	}
	t, err := translate(stored, integer, c.Ops)
	if err != nil {
		return nil, err
	}
	if err := t.links(); err != nil {
		return nil, err
	}
	if err := checkLatches(stored, integer, c); err != nil {
		return nil, err
	}
	if _, err := checkErrors(t, &c.Local, false); err != nil {
		return nil, err
	}
	return checkErrors(t, &c.Chain, true)
}

// checkRanges verifies that nothing leaves its claimed range: by induction on time, for states that have claims of the first kind, from their
// claims and a tick; for the others by peak gains.
func checkRanges(integer *program.Fixed, c *Certificate) error {
	e := NewEvaluator(integer)
	copy(e.States, c.States)
	e.UseLinear(c.Taps)
	for s := range integer.Sections {
		if e.Section(s); e.Lost != program.None {
			return fmt.Errorf("value %s has no finite range", integer.Ops[e.Lost].Name)
		}
	}
	for i := range integer.Ops {
		if !c.Ops[i].Holds(e.Ranges[i]) {
			return fmt.Errorf("value %s reaches %s, the certificate claims %s", integer.Ops[i].Name, show(e.Ranges[i]), show(c.Ops[i]))
		}
		if err := checkInside(integer, program.ID(i), c.Ops); err != nil {
			return err
		}
	}
	peaked := map[int]bool{}
	for s, taps := range c.Taps {
		if taps == 0 {
			continue
		}
		bounds, _, err := e.LinearBounds(s, taps)
		if err != nil {
			return fmt.Errorf("section %s: %v", integer.Sections[s].Name, err)
		}
		for i, n := range e.linear.of[s] {
			peaked[n] = true
			if start := interval.Point(integer.States[n].Start); !c.States[n].Holds(bounds[i].Hull(start)) {
				return fmt.Errorf("state %s can leave its claimed range %s: its peak gains lead to %s", integer.States[n].Name, show(c.States[n]), show(bounds[i]))
			}
		}
	}
	for n, s := range integer.States {
		if next := e.After(n); !peaked[n] && !c.States[n].Holds(next) {
			return fmt.Errorf("state %s can leave its claimed range %s: a tick leads to %s", s.Name, show(c.States[n]), show(next))
		}
	}
	return nil
}

// checkErrors verifies the claims about differences.
func checkErrors(t *translation, claims *Errors, chain bool) (*Differences, error) {
	d := newDifferences(t, chain)
	copy(d.States, claims.States)
	d.UseLinear(claims.Taps)
	for s, sec := range t.p.Sections {
		d.Section(s)
		for j, sig := range sec.Signals {
			proven, turn := d.Signal(s, j)
			if err := claims.checkSignal(s, j, proven, turn, sig.Name); err != nil {
				return nil, err
			}
		}
	}
	peaked := map[int]bool{}
	for s, taps := range claims.Taps {
		if taps == 0 {
			continue
		}
		bounds, _, err := d.LinearBounds(s, taps)
		for i, n := range d.linear.of[s] {
			peaked[n] = true
			if claim := claims.States[n]; claim != nil && (err != nil || !claim.Holds(bounds[i])) {
				return nil, fmt.Errorf("state %s: the claimed rounding is not proven by peak gains", t.p.States[n].Name)
			}
		}
	}
	zero := interval.Point(new(big.Rat))
	for n, s := range t.p.States {
		claim := claims.States[n]
		if !peaked[n] && (claim != nil && !claim.Holds(zero) || !supports(claim, d.After(n))) {
			return nil, fmt.Errorf("state %s: the claimed rounding is not proven", s.Name)
		}
	}
	return d, nil
}

// checkAsked verifies the claims about differences to the program that was asked for. d are those to the stored one, from the raw inputs.
func checkAsked(asked, stored *program.Real, d *Differences, claims *Errors) error {
	if err := claims.checkShape(len(stored.States), stored.View()); err != nil {
		return err
	}
	if len(claims.Taps) != len(stored.Sections) {
		return fmt.Errorf("the certificate belongs to another program")
	}
	a, err := NewAsked(asked, stored, d)
	if err != nil {
		return err
	}
	copy(a.States, claims.States)
	for s, sec := range stored.Sections {
		a.Section(s, claims.Taps[s])
		for j, sig := range sec.Signals {
			proven, turn := a.Signal(s, j)
			if err := claims.checkSignal(s, j, proven, turn, sig.Name); err != nil {
				return fmt.Errorf("to the program that was asked for: %w", err)
			}
		}
	}
	for n, s := range stored.States {
		if !supports(claims.States[n], a.After(n)) {
			return fmt.Errorf("state %s: the claimed drift is not proven", s.Name)
		}
	}
	return nil
}
