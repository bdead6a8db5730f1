package c

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model"
	"gainwright/model/program"
)

// startOver is a restart before a tick of the self-test: the states that are put off their start first, and what it must leave.
type startOver struct {
	tick          int
	keeps         bool // the integral terms
	off           map[int]int64
	states, coefs []int64
}

// startOvers has the controller started over in mid-run: all of it after an eighth, and with the integral terms kept, where that can
// be, before the last one. A reading that must be believed again first leaves the outputs time to move in between.
func startOvers(u *model.Unit, ticks int) []startOver {
	list := []startOver{{tick: ticks / 8}}
	if u.KeepsIntegrals() {
		list = append(list, startOver{tick: ticks * 7 / 8, keeps: true})
	}
	return list
}

// run starts the model over. A state that stands at its start is put off it first, since a restart that forgets it would not show;
// an integral term stays in its certified range, from where it may start.
func (o *startOver) run(u *model.Unit, m *program.FixedMachine, coefs []int64) {
	var keep []int
	if o.keeps {
		keep, _ = u.KeptIntegrals()
	}
	o.off = map[int]int64{}
	for i, s := range u.Integer.States {
		start := s.Start.Num().Int64()
		if m.State[i] != start || s.Latch { // a reading that was told for wrong would keep the rest of the ticks off
			continue
		}
		lo, hi := s.Type.Range()
		if slices.Contains(keep, i) {
			inside := within(u.Certificate.States[i], span{lo, hi})
			lo, hi = inside.lo, inside.hi
		}
		switch {
		case start < hi:
			o.off[i] = start + 1
		case start > lo:
			o.off[i] = start - 1
		default:
			continue
		}
		m.State[i] = o.off[i]
	}
	m.Restart(keep...)
	o.states, o.coefs = slices.Clone(m.State), slices.Clone(coefs)
}

// restartCalls writes the statements that start over, and return 1 where that leaves something else than it must: the gains stay as
// they were set.
func restartCalls(u *model.Unit, list []startOver) string {
	p := u.Integer
	f := newFields(p)
	var b strings.Builder
	for _, o := range list {
		call, differs := "restart", []string(nil)
		if o.keeps {
			call = "restart_with_integrals"
		}
		for i, v := range o.states {
			differs = append(differs, fmt.Sprintf("s->%s != %s", f.state[i].Name, literal(v, program.I8)))
		}
		for i, v := range o.coefs {
			differs = append(differs, fmt.Sprintf("s->gains[s->ready].%s != %s", f.coef[i].Name, literal(v, program.I8)))
		}
		if len(differs) == 0 {
			differs = []string{"s->none != 0"}
		}
		fmt.Fprintf(&b, "    if (tick == %du) {\n", o.tick)
		for i, s := range p.States {
			if v, is := o.off[i]; is {
				b.WriteString(code("        ", fmt.Sprintf("s->%s = %s;", f.state[i].Name, literal(v, s.Type))))
			}
		}
		fmt.Fprintf(&b, "        %s_%s(s);\n        if (%s) {\n            return 1u;\n        }\n    }\n",
			u.Spec.Name, call, strings.Join(differs, "\n            || "))
	}
	return b.String()
}
