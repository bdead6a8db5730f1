package c

import (
	"fmt"
	"slices"

	"gainwright/model"
	"gainwright/model/program"
)

// startMember is a member of a state as init leaves it. Those that say which set of coefficients is used have no
// name in the program.
type startMember struct{ member, value, name string }

// startMembers lists every member of <name>_state that init writes.
func startMembers(p *program.Program) []startMember {
	f := newFields(p)
	var list []startMember
	for i, s := range p.States {
		list = append(list, startMember{f.state[i], literal(s.Start.Num().Int64(), program.I8), s.Name})
	}
	for i, k := range p.Coefs {
		list = append(list, startMember{"gains[0]." + f.coef[i], literal(k.Setter.Apply(k.Setter.XStart), program.I8), k.Name})
	}
	switch {
	case len(p.Coefs) > 0:
		list = append(list, startMember{"ready", "0", "ready"}, startMember{"in_use", "0", "in_use"})
	case len(p.States) == 0:
		list = append(list, startMember{"none", "0", "none"})
	}
	return list
}

// startDiffers are the conditions under which the state at an expression is not as init leaves it.
func startDiffers(p *program.Program, state string) []string {
	var list []string
	for _, m := range startMembers(p) {
		list = append(list, fmt.Sprintf("%s%s != %s", state, m.member, m.value))
	}
	return list
}

// restartDiffers are the conditions under which the state at an expression is not as restart leaves it, after the vectors
// of that many ticks: the states at their start, but for latches and the integrals where they are kept, and the gains as they were set.
func restartDiffers(u *model.Unit, state string, ticks int, integrals bool) []string {
	p := u.Integer
	f := newFields(p)
	end := replay(u, ticks, func(_, _ []int64) {}).State
	var keep []int
	if integrals {
		keep, _ = u.KeptIntegrals()
	}
	var list []string
	for i, s := range p.States {
		value := s.Start.Num().Int64()
		if s.Latch || slices.Contains(keep, i) {
			value = end[i]
		}
		list = append(list, fmt.Sprintf("%s%s != %s", state, f.state[i], literal(value, program.I8)))
	}
	for i, k := range p.Coefs {
		x := k.Setter.XStart
		for _, s := range newSettings(p, ticks) {
			if s.gain == k.Gain {
				x = s.x
			}
		}
		list = append(list, fmt.Sprintf("%sgains[%sready].%s != %s", state, state, f.coef[i], literal(k.Setter.Apply(x), program.I8)))
	}
	if len(list) == 0 {
		list = []string{state + "none != 0"}
	}
	return list
}

// keepsIntegrals tells whether the header has a function for that.
func keepsIntegrals(u *model.Unit) bool {
	kept, all := u.KeptIntegrals()
	return all && len(kept) > 0
}
