package c

import (
	"slices"
	"strings"

	"gainwright/model"
	"gainwright/model/spec"
)

// runSwitch is the one switch of the spec that must be on for something to be on: what `enable` of a step, or `when` of a check, names
// as it stands. Where there is none, or one of several, or where something else is on while it is off, no guess is made: a door's
// contact, an end switch and a choice of modes start no machine.
func runSwitch(s *spec.Spec) (name string, found bool) {
	on, off := map[string]bool{}, map[string]bool{}
	for _, step := range s.Steps {
		for _, a := range step.Args {
			if a.Key != "enable" && (a.Key != "when" || step.Kind == "hold") {
				continue
			}
			switch words := strings.Fields(a.Value.Text); {
			case len(words) == 1:
				on[words[0]] = true
			case len(words) == 2 && words[0] == "not":
				off[words[1]] = true
			}
		}
	}
	for _, in := range s.Inputs {
		if !on[in.Name] || off[in.Name] {
			continue
		}
		if found {
			return "", false
		}
		name, found = in.Name, true
	}
	return name, found
}

// loopTrips fills in the conditions that a reading has tripped, by a jump or a freeze: those that nothing but init ends, and all.
func loopTrips(u *model.Unit, data map[string]any) {
	f := newFields(u.Integer)
	var endless, all []string
	for _, step := range u.Spec.Steps {
		for i, state := range u.Integer.States {
			if step.Kind != "plausible" || state.Name != step.Name+"_trip" {
				continue
			}
			tripped := "state." + f.state[i] + " != 0u"
			all = append(all, tripped)
			if !slices.ContainsFunc(step.Args, func(a spec.Arg) bool { return a.Key == "reset" }) {
				endless = append(endless, tripped)
			}
		}
	}
	data["EndlessTrips"] = strings.Join(endless, "\n                || ")
	data["Trips"] = strings.Join(all, "\n        || ")
}
