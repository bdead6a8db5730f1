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

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Certificate is a list of facts about an integer program and the stored real program.
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
	// Taps by section: the states listed by Linear have facts of the second kind, peak gains found with
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

// Check verifies every fact of c but those about the program that was asked for. stored is the real program with the stored constants.
func Check(stored *program.Real, integer *program.Fixed, c *Certificate) error {
	_, err := check(stored, integer, c)
	return err
}

// CheckAsked verifies every fact of c. asked is the real program with the constants of the spec.
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
	e := NewEvaluator(integer)
	copy(e.States, c.States)
	e.UseLinear(c.Taps)
	for s := range integer.Sections {
		e.Section(s)
	}
	for i := range integer.Ops {
		if !c.Ops[i].Holds(e.Ranges[i]) {
			return nil, fmt.Errorf("value %s reaches %s, the certificate claims %s", integer.Ops[i].Name, show(e.Ranges[i]), show(c.Ops[i]))
		}
		if err := checkInside(integer, program.ID(i), c); err != nil {
			return nil, err
		}
	}
	peaked := map[int]bool{}
	for s, taps := range c.Taps {
		if taps == 0 {
			continue
		}
		bounds, _, err := e.LinearBounds(s, taps)
		if err != nil {
			return nil, fmt.Errorf("section %s: %v", integer.Sections[s].Name, err)
		}
		for i, n := range Linear(integer.View(), s) {
			peaked[n] = true
			if start := interval.Point(integer.States[n].Start); !c.States[n].Holds(bounds[i].Hull(start)) {
				return nil, fmt.Errorf("state %s can leave its claimed range %s: its peak gains lead to %s", integer.States[n].Name, show(c.States[n]), show(bounds[i]))
			}
		}
	}
	for n, s := range integer.States {
		if next := e.After(n); !peaked[n] && !c.States[n].Holds(next) {
			return nil, fmt.Errorf("state %s can leave its claimed range %s: a tick leads to %s", s.Name, show(c.States[n]), show(next))
		}
	}
	if err := checkTypes(integer, c); err != nil {
		return nil, err
	}
	if err := checkLinks(stored, integer); err != nil {
		return nil, err
	}
	if err := checkLatches(stored, integer, c); err != nil {
		return nil, err
	}
	if _, err := checkErrors(stored, integer, c, &c.Local, false); err != nil {
		return nil, err
	}
	return checkErrors(stored, integer, c, &c.Chain, true)
}

// wide leaves room for the half of a rounding and for a negation.
var wide = interval.Ints(-1<<62, 1<<62)

// checkInside verifies what an operation needs besides the range of its result.
func checkInside(p *program.Fixed, id program.ID, c *Certificate) error {
	op := p.Ops[id]
	switch op.Kind {
	case program.Round, program.Abs, program.Scale, program.Mul, program.Wrap:
		for _, a := range append([]program.ID{id}, op.Args...) {
			if !wide.Holds(c.Ops[a]) {
				return fmt.Errorf("value %s is beyond 62 bits at %s", p.Ops[a].Name, op.Name)
			}
		}
	case program.Angle:
		for _, a := range op.Args {
			if !interval.Ints(-65535, 65535).Holds(c.Ops[a]) {
				return fmt.Errorf("value %s reaches %s, an arctangent takes [-65535, 65535]", p.Ops[a].Name, show(c.Ops[a]))
			}
		}
	}
	return nil
}

func show(r interval.Range) string { return fmt.Sprintf("[%s, %s]", text(r.Lo), text(r.Hi)) }

func text(x *big.Rat) string {
	if x.IsInt() {
		return x.Num().String()
	}
	return x.FloatString(9)
}
