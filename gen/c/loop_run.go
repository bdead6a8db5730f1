package c

import (
	"strings"

	"gainwright/model/program"
)

// runSwitch is the one input that must be on for something to be on: what enables a step, or a check, as it stands. Where there is none, or
// one of several, or where something else is on while it is off, no guess is made: a door's contact, an end switch and a choice of modes
// start no machine.
func runSwitch(p *program.Fixed) (run program.ID, found bool) {
	on, off := map[program.ID]bool{}, map[program.ID]bool{}
	for s, sec := range p.Sections {
		if gate := sec.Facts.Gate; gate == nil || *gate == program.None {
			continue
		} else if not := negated(p, s, *gate); not != program.None {
			off[not] = true
		} else {
			on[*gate] = true
		}
	}
	for i, op := range p.Ops {
		id := program.ID(i)
		if op.Kind != program.Input || !on[id] || off[id] {
			continue
		}
		if found {
			return program.None, false
		}
		run, found = id, true
	}
	return run, found
}

// negated is the switch of which a section makes a condition that holds while it is off; None: it makes another.
func negated(p *program.Fixed, section int, condition program.ID) program.ID {
	if condition == program.None || p.Ops[condition].Kind != program.Not || p.Ops[condition].Section != section {
		return program.None
	}
	return p.Ops[condition].Args[0]
}

// loopTrips fills in the conditions that a reading has tripped, by a jump or a freeze: those that nothing but init ends, and all.
func loopTrips(p *program.Fixed, data map[string]any) {
	f := newFields(p)
	var endless, all []string
	for _, sec := range p.Sections {
		check := sec.Facts.Check
		if check == nil || check.Trip == program.None {
			continue
		}
		tripped := "state." + f.state[p.Ops[check.Trip].Index].Name + " != 0u"
		if all = append(all, tripped); check.Reset == program.None {
			endless = append(endless, tripped)
		}
	}
	data["EndlessTrips"] = strings.Join(endless, "\n                || ")
	data["Trips"] = strings.Join(all, "\n        || ")
}
