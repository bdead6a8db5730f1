package proof

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// promise is the contract of a function: what it needs and promises.
type promise struct {
	function string
	clauses  []string // without the semicolon
}

func (k promise) String() string { return "/*@ " + strings.Join(k.clauses, ";\n    ") + "; */\n" }

// member is a number that can be anything in a range when a tick starts.
type member struct {
	name   string
	typ    program.Type
	lo, hi int64
	start  int64 // of what init writes
	latch  bool  // restart does not
}

func (m member) within(of string) string {
	return fmt.Sprintf("%d <= %s%s <= %d", m.lo, of, m.name, m.hi)
}

// remembered are the states, the counts of ticks and what is held.
func remembered(u *model.Unit) []member {
	_, _, states, _ := c.Members(u.Integer)
	var out []member
	for i, m := range states {
		s := &u.Integer.States[i]
		out = append(out, member{m.Name, m.Type, s.Lo, s.Hi, s.Start.Num().Int64(), s.Latch})
	}
	for _, m := range c.CountedMembers(u) {
		out = append(out, member{m.Name, m.Type, m.Lo, m.Hi, m.Start, false})
	}
	return out
}

// coefficients are the numbers that live gains become, in one set.
func coefficients(u *model.Unit) []member {
	_, _, _, coefs := c.Members(u.Integer)
	var out []member
	for i, m := range coefs {
		lo, hi := settings(u.Integer.Coefs[i].Setter)
		out = append(out, member{name: m.Name, typ: m.Type, lo: lo, hi: hi})
	}
	return out
}

// whole says that the set of coefficients that a step would take is there and in its range. Nothing is
// said of the other two: a setter may be at work there.
func whole(u *model.Unit) []string {
	var out []string
	for _, m := range coefficients(u) {
		out = append(out, m.within("s->gains[s->ready]."))
	}
	if len(out) > 0 {
		out = append([]string{"0 <= s->ready <= 2 && 0 <= s->in_use <= 2"}, out...)
	}
	return out
}

// settings are the least and largest numbers that a setter can leave.
func settings(s program.Setter) (lo, hi int64) {
	a, b := s.Apply(s.XLo), s.Apply(s.XHi)
	return min(a, b), max(a, b)
}

// contracts are those of init, of restart, of each setter and of step.
func contracts(u *model.Unit) []promise {
	p, name := u.Integer, u.Spec.Name
	_, outputs, _, _ := c.Members(p)
	states, coefs := remembered(u), coefficients(u)
	const valid = `requires \valid(s)`

	var set, left []string
	for _, m := range states {
		set = append(set, "s->"+m.name)
		left = append(left, fmt.Sprintf("ensures s->%s == %d", m.name, m.start))
	}
	for i, m := range coefs {
		set = append(set, "s->gains[0]."+m.name)
		left = append(left, fmt.Sprintf("ensures s->gains[0].%s == %d", m.name, p.Coefs[i].Setter.Apply(p.Coefs[i].Setter.XStart)))
	}
	if len(coefs) > 0 {
		set, left = append(set, "s->ready", "s->in_use"), append(left, "ensures s->ready == 0 && s->in_use == 0")
	} else if len(set) == 0 {
		set = []string{"s->none"}
	}
	list := []promise{{name + "_init", append([]string{valid, assigns(set)}, left...)}}
	set, left = nil, nil
	var keeps, with []string
	kept, _ := u.KeptIntegrals()
	for i, m := range states {
		if m.latch {
			continue
		}
		set = append(set, "s->"+m.name)
		starts := fmt.Sprintf("ensures s->%s == %d", m.name, m.start)
		left = append(left, starts)
		if slices.Contains(kept, i) {
			starts = "ensures " + m.within("s->")
			keeps = append(keeps, "requires "+m.within("s->"))
		}
		with = append(with, starts)
	}
	if len(states)+len(coefs) == 0 {
		set = []string{"s->none"}
	}
	list = append(list, promise{name + "_restart", append([]string{assigns(set)}, left...)}) // init calls it: an access outside s would be an alarm there
	if u.KeepsIntegrals() {                                                                  // else the header has no such function
		list = append(list, promise{name + "_restart_with_integrals", append(append([]string{valid}, keeps...), append([]string{assigns(set)}, with...)...)})
	}

	for g, gain := range p.Gains {
		if len(coefs) == 0 {
			break // no setters
		}
		k := promise{name + "_set_" + gain.Name, append([]string{valid}, each("requires ", whole(u))...)}
		set = nil
		if len(p.CoefsOf(g)) > 0 {
			set = []string{"s->gains[0 .. 2]", "s->ready"}
		}
		k.clauses = append(append(k.clauses, assigns(set)), each("ensures ", whole(u))...)
		list = append(list, k)
	}

	step := promise{name + "_step", []string{valid + ` && \valid_read(in) && \valid(out)`, `requires \separated(s, in, out)`}}
	set, left = nil, nil
	for _, m := range states {
		step.clauses = append(step.clauses, "requires "+m.within("s->"))
		set, left = append(set, "s->"+m.name), append(left, "ensures "+m.within("s->"))
	}
	step.clauses = append(step.clauses, each("requires ", whole(u))...)
	if len(coefs) > 0 {
		set, left = append(set, "s->in_use"), append(left, "ensures 0 <= s->in_use <= 2")
	}
	for i, m := range outputs {
		op := &p.Ops[p.Outputs[i].Value]
		set = append(set, "out->"+m.Name)
		left = append(left, "ensures "+member{name: m.Name, typ: m.Type, lo: op.Lo, hi: op.Hi}.within("out->"))
	}
	step.clauses = append(append(step.clauses, assigns(set)), left...)
	return append(list, step)
}

func each(before string, texts []string) []string {
	var out []string
	for _, t := range texts {
		out = append(out, before+t)
	}
	return out
}

func assigns(what []string) string {
	if len(what) == 0 {
		return `assigns \nothing`
	}
	return "assigns " + strings.Join(what, ",\n      ")
}

// written returns how a value is written in the header: its local, or the number that it always is, or nothing.
func written(u *model.Unit) func(program.ID) string {
	locals := c.Locals(u)
	return func(id program.ID) string {
		if op := &u.Integer.Ops[id]; op.Kind == program.Const {
			return number(op.K.Num().Int64())
		}
		return locals[id]
	}
}
