package cert

import (
	"fmt"

	"gainwright/model/program"
)

// checkLatches verifies that restarts keep the same states of both programs, and may keep them: of the integer program no claim may
// rest on how such a state starts.
func checkLatches(stored *program.Real, integer *program.Fixed, c *Certificate) error {
	for n, s := range integer.States {
		if s.Latch != stored.States[s.Real].Latch {
			return fmt.Errorf("a restart keeps the state %s in one program alone", s.Name)
		}
		if s.Latch && !StartsAnywhere(integer, c, n) {
			return fmt.Errorf("a restart keeps the state %s, and claims rest on its start", s.Name)
		}
	}
	return nil
}

// StartsAnywhere tells whether what a certificate claims also holds where a state starts, at any restart, with any value and any
// difference that are claimed for it, while all other states start as the program says.
//
// An inductive claim says of a tick that it leads from the claimed sets into the claimed sets: it does not ask how the state came into its
// own. A peak gain is a sum of what came in since a start that is known; so a state of a linear part with claims of that kind has to
// start where the program says.
func StartsAnywhere(p *program.Fixed, c *Certificate, state int) bool {
	section := p.States[state].Section
	for _, taps := range [][]int{c.Taps, c.Local.Taps, c.Chain.Taps} {
		part := parts(p.View(), taps)
		for s := range p.Sections {
			if part[s] == part[section] && marked(taps, s) {
				return false
			}
		}
	}
	// Of the drift from what was asked for, a state has a range of its own, or it is followed as linear. One that becomes a limited value
	// is not: its drift would rest on that of the limit, and that on its own, so that nothing is claimed of either.
	real := p.States[state].Real
	boxed := real < len(c.Asked.States) && c.Asked.States[real] != nil
	return boxed || !marked(c.Asked.Taps, section) || p.Ops[p.States[state].Next].Kind == program.Clamp
}
