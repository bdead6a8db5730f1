package c

import (
	"slices"
	"strings"

	"gainwright/model"
	"gainwright/model/spec"
)

// loopWindsUp fills in whether something winds up while the spec's run switch is off, and the members of the state that hold what is known of
// readings: they outlive the new start with which that is ended.
func loopWindsUp(u *model.Unit, data map[string]any) {
	run, found := runSwitch(u.Spec)
	data["WindsUp"] = found && windsUp(u, run)
	f := newFields(u.Integer)
	var known, resets []string
	for _, step := range u.Spec.Steps {
		if step.Kind != "plausible" {
			continue
		}
		for i, s := range u.Integer.States {
			switch {
			case s.Name == step.Name+"_reset_last":
				resets = append(resets, f.state[i])
			case strings.HasPrefix(s.Name, step.Name+"_") && ownerOf(u, s.Name) == step.Name:
				known = append(known, f.state[i])
			}
		}
	}
	data["Known"], data["ResetLasts"] = known, resets
}

// ownerOf is the step that a state belongs to: the longest name that its own begins with.
func ownerOf(u *model.Unit, state string) string {
	owner := ""
	for _, step := range u.Spec.Steps {
		if strings.HasPrefix(state, step.Name+"_") && len(step.Name) > len(owner) {
			owner = step.Name
		}
	}
	return owner
}

// windsUp tells whether an integral or a sum goes on while the switch is off: its step is neither enabled by it, by itself or through other
// switches, nor reset by its being off.
func windsUp(u *model.Unit, run string) bool {
	for _, step := range u.Spec.Steps {
		sums := step.Kind == "integrate"
		for _, s := range u.Integer.States {
			sums = sums || s.Integral && ownerOf(u, s.Name) == step.Name
		}
		if sums && !heldBy(u.Spec, step, run) {
			return true
		}
	}
	return false
}

// heldBy tells whether a step is off, or at its start, whenever the switch is off.
func heldBy(s *spec.Spec, step spec.Step, run string) bool {
	for _, a := range step.Args {
		words := strings.Fields(a.Value.Text)
		switch {
		case a.Key == "reset" && step.Kind != "plausible" && len(words) == 2 && words[0] == "not" && words[1] == run:
			return true
		case a.Key != "enable" && a.Key != "when" || len(words) != 1:
			continue
		case words[0] == run:
			return true
		}
		// A step names only steps before it, so that this ends.
		before := slices.IndexFunc(s.Steps, func(b spec.Step) bool { return b.Name == words[0] })
		if before >= 0 && s.Steps[before].Name != step.Name && heldBy(s, s.Steps[before], run) {
			return true
		}
	}
	return false
}
