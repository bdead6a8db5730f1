package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// checkErrors verifies the claims about differences.
func checkErrors(stored *program.Real, integer *program.Fixed, c *Certificate, claims *Errors, chain bool) (*Differences, error) {
	d := NewDifferences(stored, integer, c.Ops, chain)
	copy(d.States, claims.States)
	d.UseLinear(claims.Taps)
	for s := range integer.Sections {
		if err := d.Section(s); err != nil {
			return nil, err
		}
		for j := range integer.Sections[s].Signals {
			proven, turn := d.Signal(s, j)
			if claim := claims.Signals[s][j]; !supports(claim, proven) || claim != nil && turn != nil && !equal(turn, claims.turn(s, j)) {
				return nil, fmt.Errorf("signal %s: the claimed rounding is not proven", integer.Sections[s].Signals[j].Name)
			}
		}
	}
	peaked := map[int]bool{}
	for s, taps := range claims.Taps {
		if taps == 0 {
			continue
		}
		bounds, _, err := d.LinearBounds(s, taps)
		for i, n := range Linear(integer.View(), s) {
			peaked[n] = true
			if claim := claims.States[n]; claim != nil && (err != nil || !claim.Holds(bounds[i])) {
				return nil, fmt.Errorf("state %s: the claimed rounding is not proven by peak gains", integer.States[n].Name)
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
			if claim := claims.Signals[s][j]; !supports(claim, proven) || claim != nil && turn != nil && !equal(turn, claims.turn(s, j)) {
				return fmt.Errorf("signal %s: the claimed difference to the program that was asked for is not proven", sig.Name)
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

// checkShape verifies that there is a place for each state and signal, and that each claim has two ends.
func (e *Errors) checkShape(states int, p program.View) error {
	fits := len(e.States) == states && len(e.Signals) == len(p.Sections) && (len(e.Turns) == 0 || len(e.Turns) == len(p.Sections))
	for s := 0; s < len(e.Signals) && fits; s++ {
		n := len(p.Sections[s].Signals)
		fits = len(e.Signals[s]) == n && (len(e.Turns) == 0 || len(e.Turns[s]) == n)
	}
	if !fits {
		return fmt.Errorf("the certificate belongs to another program")
	}
	for _, r := range slices.Concat(append(slices.Clone(e.Signals), e.States)...) {
		if r != nil && !ordered(r) {
			return fmt.Errorf("a claimed difference has no two ends in order")
		}
	}
	for _, turn := range slices.Concat(e.Turns...) {
		if turn != nil && turn.Sign() <= 0 {
			return fmt.Errorf("a difference is claimed around no circle")
		}
	}
	return nil
}

// turn is the turn of the circle around which the claim about a signal holds; nil: on a line, or no claim.
func (e *Errors) turn(section, signal int) *big.Rat {
	if section < len(e.Turns) && signal < len(e.Turns[section]) {
		return e.Turns[section][signal]
	}
	return nil
}

// supports tells whether what was proven supports the claim; a nil claim needs no support.
func supports(claim, proven *interval.Range) bool {
	return claim == nil || proven != nil && claim.Holds(*proven)
}
