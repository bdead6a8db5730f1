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

// loopWindsUp fills in whether something winds up while the spec's run switch is off, and the members of the state that hold what is known of
// readings: they outlive the new start with which that is ended.
func loopWindsUp(p *program.Fixed, data map[string]any) {
	run, found := runSwitch(p)
	winds := false
	for s, sec := range p.Sections {
		winds = winds || found && sec.Facts.Integral != nil && !heldBy(p, s, run)
	}
	f := newFields(p)
	var known, resets []string
	for i, s := range p.States {
		switch check := p.Sections[s.Section].Facts.Check; {
		case check == nil:
		case check.Reset != program.None && p.Ops[check.Reset].Index == i:
			resets = append(resets, f.state[i].Name)
		default:
			known = append(known, f.state[i].Name)
		}
	}
	data["WindsUp"], data["Known"], data["ResetLasts"] = winds, known, resets
}

// heldBy tells whether a section is off, or its integral at its start, whenever a switch is off: by itself or through other switches.
func heldBy(p *program.Fixed, section int, run program.ID) bool {
	f := p.Sections[section].Facts
	if f.Integral != nil && negated(p, section, f.Integral.Reset) == run {
		return true
	}
	if f.Gate == nil || *f.Gate == program.None {
		return false
	}
	before := p.Ops[*f.Gate].Section // a section reads only those before it, so that this ends
	return *f.Gate == run || before != section && heldBy(p, before, run)
}
