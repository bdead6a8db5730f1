package golang

import (
	"fmt"
	"go/token"
	"strings"

	"gainwright/model/program"
)

// scope hands out identifiers that differ from one another and from those it was made with.
type scope map[string]bool

func newScope(taken ...string) scope {
	s := scope{}
	for _, t := range taken {
		s[t] = true
	}
	return s
}

func (s scope) take(name string) string {
	got := name
	for n := 2; s[got] || token.IsKeyword(got); n++ {
		got = fmt.Sprintf("%s_%d", name, n)
	}
	s[got] = true
	return got
}

// camel turns a name in lower_snake, or a signal such as rate.ready, into CamelCase. An underscore before
// a digit stays, so that a_1 and a1 do not meet.
func camel(name string) string {
	var b strings.Builder
	up := true
	for i, r := range name {
		switch {
		case r == '_' || r == '.':
			if i+1 < len(name) && name[i+1] >= '0' && name[i+1] <= '9' {
				b.WriteByte('_')
			}
			up = true
		case up:
			b.WriteString(strings.ToUpper(string(r)))
			up = false
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// local is camel with a small first letter.
func local(name string) string {
	c := camel(name)
	return strings.ToLower(c[:1]) + c[1:]
}

// packageName avoids the two names with which Go means something else.
func packageName(name string) string {
	if name == "main" || strings.HasSuffix(name, "_test") {
		return name + "_controller"
	}
	return name
}

// locals is the scope inside an emitted function: what the emitted code itself uses is taken.
func (e *emitter) locals() scope {
	s := newScope("s", "r", "in", "w", "v", "x", "n", "math", "min", "max", "true", "false", "bool", "bit",
		"int8", "int16", "int32", "int64", "uint8", "uint16", "uint32", "uint64", "float64",
		"wrap32", "wrap64", "wrapReal", "number")
	for i := range e.tables {
		s.take(arctanName(i))
	}
	for _, name := range []string{"look32", "look64", "lookReal", "root32", "root64"} {
		s.take(name)
	}
	for i := range max(len(e.curves), len(e.drawn)) {
		for _, of := range []string{"X", "Y", "Slope", "RealX", "RealY", "RealSlope"} {
			s.take(curveName(i) + of)
		}
	}
	return s
}

func (e *emitter) name() {
	in, out := newScope(), newScope()
	for _, i := range e.p.Inputs {
		e.inputs = append(e.inputs, in.take(camel(i.Name)))
	}
	for _, o := range e.p.Outputs {
		e.outputs = append(e.outputs, out.take(camel(o.Name)))
	}
	gains, coefs := newScope(), newScope()
	state := newScope("Init", restart, withIntegrals, "Step", "Watch", "Active", "step", "tick", "pending")
	section := newScope("Init", restart, withIntegrals, "Step", "latch")
	for _, g := range e.p.Gains {
		name := gains.take(camel(g.Name))
		e.gains = append(e.gains, name)
		state["Set"+name], section["Set"+name] = true, true
	}
	for _, c := range e.p.Coefs {
		e.coefs = append(e.coefs, coefs.take(camel(c.Name)))
	}
	for _, s := range e.p.States {
		e.states = append(e.states, state.take(camel(s.Name)))
	}
	e.used = inUse(e.p.View())
	e.hold(state)
	real := newScope("latch", "active", "pending", "tick", "held")
	for _, s := range e.real.States {
		e.realStates = append(e.realStates, real.take(local(s.Name)))
	}
	signal := newScope("Real")
	for _, s := range e.p.Sections {
		e.sections = append(e.sections, section.take(camel(s.Name)))
		var names []string
		for _, sig := range s.Signals {
			names = append(names, signal.take(camel(sig.Name)))
		}
		e.signals = append(e.signals, names)
	}
}

// inUse marks the operations that an output, a signal or a state needs.
func inUse(p program.View) []bool {
	used := make([]bool, len(p.Ops))
	mark := func(ids ...program.ID) {
		for _, id := range ids {
			used[id] = true
		}
	}
	for _, o := range p.Outputs {
		mark(o.Value)
	}
	for _, s := range p.Sections {
		for _, sig := range s.Signals {
			mark(sig.Value)
		}
	}
	for _, s := range p.States {
		mark(s.Takes()...)
	}
	for i := len(p.Ops) - 1; i >= 0; i-- {
		if used[i] {
			mark(p.Ops[i].Args...)
		}
	}
	return used
}
