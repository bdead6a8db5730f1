package proof

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// Admit is a fact that Eva is told rather than finds: the certified range of one value of the step.
type Admit struct {
	Value  string // its local in the header, or the state that it becomes
	Lo, Hi *big.Rat
	// Peak tells the kind of the certificate's fact: from peak gains, or else from the affine form of the value.
	Peak bool
}

func (a Admit) String() string {
	kind := "by its affine form"
	if a.Peak {
		kind = "by peak gains"
	}
	return fmt.Sprintf("%s in [%s, %s], certified %s", a.Value, a.Lo.RatString(), a.Hi.RatString(), kind)
}

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

// certified returns the fact of the certificate about the value with the given local.
func certified(u *model.Unit, local string) (id program.ID, fact Admit, ok bool) {
	at := slices.Index(c.Locals(u), local)
	if local == "" || at < 0 {
		return program.None, Admit{}, false
	}
	id = program.ID(at)
	r := u.Certificate.Ops[id]
	return id, Admit{Value: local, Lo: r.Lo, Hi: r.Hi, Peak: peaked(u, id)}, true
}

// peaked tells whether a value's range is the claim of a state that peak gains prove.
func peaked(u *model.Unit, id program.ID) bool {
	s := u.Integer.Ops[id].Section
	if s < 0 || s >= len(u.Certificate.Taps) || u.Certificate.Taps[s] == 0 {
		return false
	}
	return slices.ContainsFunc(cert.Linear(u.Integer.View(), s), func(n int) bool { return u.Integer.States[n].Next == id })
}
