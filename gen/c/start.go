package c

import (
	"fmt"

	"gainwright/model/program"
)

// startMember is a member of a state as init leaves it. Those that say which set of coefficients is used have no
// name in the program.
type startMember struct{ member, value, name string }

// startMembers lists every member of <name>_state that init writes and whose start matters: what is held is written at the first tick.
func startMembers(p *program.Fixed) []startMember {
	f := newFields(p)
	var list []startMember
	for i, s := range p.States {
		list = append(list, startMember{f.state[i].Name, literal(s.Start.Num().Int64(), program.I8), s.Name})
	}
	for i, k := range p.Coefs {
		list = append(list, startMember{"gains[0]." + f.coef[i].Name, literal(k.Setter.Apply(k.Setter.XStart), program.I8), k.Name})
	}
	for _, k := range f.ticks {
		list = append(list, startMember{k.Name, "0", k.Name})
	}
	switch {
	case len(p.Coefs) > 0:
		list = append(list, startMember{"ready", "0", "ready"}, startMember{"in_use", "0", "in_use"})
	case len(p.States)+len(f.ticks) == 0:
		list = append(list, startMember{"none", "0", "none"})
	}
	return list
}

// startDiffers are the conditions under which the state at an expression is not as init leaves it.
func startDiffers(p *program.Fixed, state string) []string {
	var list []string
	for _, m := range startMembers(p) {
		list = append(list, fmt.Sprintf("%s%s != %s", state, m.member, m.value))
	}
	return list
}
