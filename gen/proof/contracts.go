package proof

import (
	"fmt"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// contract is what a function needs and promises.
type contract struct {
	function string
	clauses  []string // without the semicolon
}

func (k contract) String() string { return "/*@ " + strings.Join(k.clauses, ";\n    ") + "; */\n" }

// member is a number that can be anything in a range when a tick starts.
type member struct {
	name   string // tilt_state, or active.effort_kp
	typ    program.Type
	lo, hi int64
}

func (m member) within(of string) string { return fmt.Sprintf("%d <= %s%s <= %d", m.lo, of, m.name, m.hi) }

// remembered are the members of the state struct that a step goes by.
func remembered(u *model.Unit) []member {
	p := u.Integer
	_, _, states, coefs := c.Members(p)
	var out []member
	for i, m := range states {
		out = append(out, member{m.Name, m.Type, p.States[i].Lo, p.States[i].Hi})
	}
	for _, part := range []string{"active.", "pending."} {
		for i, m := range coefs {
			lo, hi := settings(p.Coefs[i].Setter)
			out = append(out, member{part + m.Name, m.Type, lo, hi})
		}
	}
	if len(coefs) > 0 {
		out = append(out, member{"fresh", program.Bool, 0, 1})
	}
	return out
}

// settings are the least and largest numbers that a setter can leave.
func settings(s program.Setter) (lo, hi int64) {
	a, b := s.Apply(s.XLo), s.Apply(s.XHi)
	return min(a, b), max(a, b)
}

// contracts are those of init, of each setter and of step.
func contracts(u *model.Unit) []contract {
	p, name := u.Integer, u.Spec.Name
	_, outputs, states, coefs := c.Members(p)
	all := remembered(u)

	start := contract{name + "_init", []string{`requires \valid(s)`}}
	var set, starts []string
	for _, m := range all {
		set = append(set, "s->"+m.name)
	}
	for i, m := range states {
		starts = append(starts, fmt.Sprintf("ensures s->%s == %s", m.Name, p.States[i].Start.RatString()))
	}
	for i, m := range coefs {
		at := p.Coefs[i].Setter.Apply(p.Coefs[i].Setter.XStart)
		starts = append(starts, fmt.Sprintf("ensures s->active.%s == %d", m.Name, at), fmt.Sprintf("ensures s->pending.%s == %d", m.Name, at))
	}
	if len(coefs) > 0 {
		starts = append(starts, "ensures s->fresh == 0")
	}
	if len(all) == 0 {
		set = []string{"s->none"}
	}
	start.clauses = append(append(start.clauses, assigns(set)), starts...)
	list := []contract{start}

	for g, gain := range p.Gains {
		if len(coefs) == 0 {
			break // no setters
		}
		k := contract{name + "_set_" + gain.Name, []string{`requires \valid(s)`}}
		var set, left []string
		for i, m := range coefs {
			if p.Coefs[i].Gain == g {
				lo, hi := settings(p.Coefs[i].Setter)
				set = append(set, "s->pending."+m.Name)
				left = append(left, "ensures "+member{"pending." + m.Name, m.Type, lo, hi}.within("s->"))
			}
		}
		if len(set) > 0 {
			set, left = append(set, "s->fresh"), append(left, "ensures s->fresh == 1")
		}
		k.clauses = append(append(k.clauses, assigns(set)), left...)
		list = append(list, k)
	}

	step := contract{name + "_step", []string{`requires \valid(s) && \valid_read(in) && \valid(out)`, `requires \separated(s, in, out)`}}
	set = nil
	var after []string
	for _, m := range all {
		step.clauses = append(step.clauses, "requires "+m.within("s->"))
		if !strings.HasPrefix(m.name, "pending.") {
			set = append(set, "s->"+m.name)
			after = append(after, "ensures "+m.within("s->"))
		}
	}
	for i, m := range outputs {
		op := &p.Ops[p.Outputs[i].Value]
		set = append(set, "out->"+m.Name)
		after = append(after, "ensures "+member{m.Name, m.Type, op.Lo, op.Hi}.within("out->"))
	}
	step.clauses = append(append(step.clauses, assigns(set)), after...)
	return append(list, step)
}

func assigns(what []string) string {
	if len(what) == 0 {
		return `assigns \nothing`
	}
	return "assigns " + strings.Join(what, ",\n      ")
}

// localsOf returns how a value is written in the header: its local, or the number it always is.
func localsOf(u *model.Unit) func(program.ID) string {
	locals := c.Locals(u)
	return func(id program.ID) string {
		if op := &u.Integer.Ops[id]; op.Kind == program.Const {
			return number(op.K.Num().Int64())
		}
		return locals[id]
	}
}
