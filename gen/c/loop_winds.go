package c

import "gainwright/model/program"

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
