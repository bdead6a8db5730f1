// Package cert holds the certificate of an integer program and the checker that verifies it.
//
// A certificate claims, for ever and not for the samples tried: the range of every state and every
// value, for any raw input, any live gain in its range and any number of ticks; and how far each
// state and signal can be from the real program with the stored constants. The checker works in exact
// rational arithmetic on the integer program and trusts nothing else: not the scale pass, not the
// search that found the claims.
package cert

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Certificate is a list of claims about an integer program and the stored real program.
type Certificate struct {
	States []interval.Range // counts; an inductive set: closed under start, update and reset
	Ops    []interval.Range // counts
	// Local and Chain bound the arithmetic rounding, in units: integer value less real value. A nil
	// entry claims nothing. Local feeds each section of the real program with the integer program's own
	// signals; Chain feeds the whole real program with the same raw inputs.
	Local, Chain Errors
	// Asked bounds integer value less value of the program that was asked for, whose constants are those of the spec, for signals, fed with
	// the same raw inputs. Its States are of another kind: stored value less asked value of those real states that are not
	// followed as linear ones. CheckAsked verifies it.
	Asked Errors
	// Taps by section: the states listed by Linear have claims of the second kind, peak gains found with
	// so many taps of the impulse response. 0: their ranges are inductive like all others. Below 0: so many taps, and the
	// section begins a linear part of its own, whatever it reads.
	Taps []int
}

// Errors are claims about differences between the integer and the real program, in units.
type Errors struct {
	States  []*interval.Range
	Signals [][]*interval.Range // by section and signal
	// Turns holds, by section and signal, the turn of the circle around which the claim holds: the two values may lie on different sides
	// of its seam, and whole turns come on top. nil: the claim holds on a line.
	Turns [][]*big.Rat
	Taps  []int // as in Certificate
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

// checkSignal verifies the claim about a signal: what was proven must support it, around the same circle. nil claims nothing.
func (e *Errors) checkSignal(section, signal int, proven *interval.Range, around *big.Rat, name string) error {
	var turn *big.Rat
	if section < len(e.Turns) {
		turn = e.Turns[section][signal]
	}
	if claim := e.Signals[section][signal]; !supports(claim, proven) || claim != nil && around != nil && !equal(around, turn) {
		return fmt.Errorf("signal %s: the claimed difference is not proven", name)
	}
	return nil
}

// supports tells whether what was proven supports the claim; a nil claim needs no support.
func supports(claim, proven *interval.Range) bool {
	return claim == nil || proven != nil && claim.Holds(*proven)
}

func ordered(r *interval.Range) bool { return r.Lo != nil && r.Hi != nil && r.Lo.Cmp(r.Hi) <= 0 }

func show(r interval.Range) string { return fmt.Sprintf("[%s, %s]", text(r.Lo), text(r.Hi)) }

func text(x *big.Rat) string {
	if x.IsInt() {
		return x.Num().String()
	}
	return x.FloatString(9)
}
