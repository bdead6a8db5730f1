package proof

import (
	"gainwright/model"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// value is what an annotated header says about one local.
type value struct {
	id     program.ID
	name   string
	lo, hi int64
	told   bool // intervals alone do not find the range
	early  bool // and would have the operation overflow: it has to be told before
}

// values are the locals of the step, each once, in order.
func values(u *model.Unit, locals []string) []value {
	p := u.Integer
	var out []value
	seen := map[string]bool{}
	for i, name := range locals {
		if name == "" || seen[name] {
			continue
		}
		seen[name] = true
		id := program.ID(i)
		op := &p.Ops[i]
		v := value{id: id, name: name, lo: op.Lo, hi: op.Hi}
		if r, known := plain(p, id); known && !interval.Ints(op.Lo, op.Hi).Holds(r) {
			v.told = true
			v.early = !fits(r, op.Type) || !fits(r, p.Width(id))
		}
		out = append(out, v)
	}
	return out
}

// closer are the states that take over a value at every tick, and whose range the certificate knows better
// than that of the value: peak gains speak of states.
func closer(u *model.Unit, locals []string, v value) []int {
	var out []int
	for n, s := range u.Integer.States {
		if takes(u, locals, n, v.name) && !(s.Lo <= v.lo && v.hi <= s.Hi) {
			out = append(out, n)
		}
	}
	return out
}

// takes tells whether a state becomes the value with the given local at the end of every tick.
func takes(u *model.Unit, locals []string, n int, local string) bool {
	s := u.Integer.States[n]
	return s.Enable == program.None && s.Reset == program.None && local != "" && locals[s.Next] == local
}

func fits(r interval.Range, t program.Type) bool { return interval.Ints(t.Range()).Holds(r) }
