package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
)

// init writes the function that puts a state to its start.
func (e *emitter) init() string {
	var b strings.Builder
	b.WriteString(e.restart())
	b.WriteString("/* Puts s to its start, live gains too. Not to be called while a step or a setter runs. */\n")
	fmt.Fprintf(&b, "static %s_SELDOM void %s_init(%s_state *s)\n{\n    %s_restart(s);\n", e.upper, e.name, e.name, e.name)
	for i, st := range e.p.States {
		if st.Latch {
			b.WriteString(code("    ", "s->"+e.fields.state[i].Name+" = "+e.startOf(st)+";"))
		}
	}
	for i, k := range e.p.Coefs {
		// A macro even for -1, 0 and 1: a change of a live gain changes the values of constants and nothing else.
		value := e.macro(k.Name+"_start", k.Type, k.Setter.Apply(k.Setter.XStart),
			"for "+inUnits(k.Setter.XStart, k.Setter.Step(), e.p.Gains[k.Gain].Unit))
		b.WriteString(code("    ", "s->gains[0]."+e.fields.coef[i].Name+" = "+value+";"))
	}
	if len(e.p.Coefs) > 0 {
		b.WriteString("    s->ready = 0u;\n    s->in_use = 0u;\n")
	}
	b.WriteString("}\n")
	return b.String()
}

// restart writes the functions that start over a controller that ran: all of it but the live gains, and all of it but
// the live gains and the integrals. The second one is there where every integral may be kept.
func (e *emitter) restart() string {
	var b strings.Builder
	text := []string{"Starts s over: it forgets all that it was fed with."}
	if len(e.p.Coefs) > 0 {
		text = append(text, "Live gains stay as they are set. Setters may interrupt it as they may interrupt a step.")
	}
	var latches []string
	kept := 0
	for i, st := range e.p.States {
		if st.Latch {
			kept++
			latches = append(latches, e.fields.state[i].Name)
		}
	}
	if kept > 0 {
		text[0] = "Starts s over: it forgets what it was fed with, but for a jump or a freeze of a reading. That ends where the step says: with its reset, or else in " + e.name +
			"_init alone. So these stay as they are: " + strings.Join(latches, ", ") + "."
	}
	text = append(text, "To be called where the step is, between two ticks, when ticks or readings were missed.")
	b.WriteString(blockComment("", text))
	fmt.Fprintf(&b, "static %s_SELDOM void %s_restart(%s_state *s)\n{\n", e.upper, e.name, e.name)
	for i, st := range e.p.States {
		if !st.Latch {
			b.WriteString(code("    ", "s->"+e.fields.state[i].Name+" = "+e.startOf(st)+";"))
		}
	}
	for _, k := range e.fields.ticks {
		b.WriteString(code("    ", "s->"+k.Name+" = 0u;"))
	}
	for _, id := range e.kept {
		b.WriteString(code("    ", fmt.Sprintf("s->%s = %s;", e.fields.held[id].Name, literal(nearZero(&e.p.Ops[id]), program.I8))))
	}
	switch {
	case len(e.fields.ticks) > 0:
	case len(e.p.States) == 0 && len(e.p.Coefs) == 0:
		b.WriteString("    s->none = 0u;\n")
	case len(e.p.States) == kept:
		b.WriteString("    (void)s; /* nothing is remembered but gains */\n")
	}
	b.WriteString("}\n\n")
	integrals, all := e.unit.KeptIntegrals()
	if !all {
		b.WriteString(lineComment("", "There is no function that keeps the integrals: with another start of them, what is certified would not hold.") + "\n")
	}
	if len(integrals) == 0 || !all {
		return b.String()
	}
	taken := newNames(e.globals())
	taken.reserve("s")
	var before, after strings.Builder
	for _, i := range integrals {
		kept := taken.unique(e.fields.state[i].Name)
		before.WriteString(code("    ", fmt.Sprintf("const %s %s = s->%s;", ctype(e.p.States[i].Type), kept, e.fields.state[i].Name)))
		after.WriteString(code("    ", fmt.Sprintf("s->%s = %s;", e.fields.state[i].Name, kept)))
	}
	b.WriteString(lineComment("", e.name+"_restart, but the integral terms stay as they are."))
	fmt.Fprintf(&b, "static %s_SELDOM void %s_restart_with_integrals(%s_state *s)\n{\n%s    %s_restart(s);\n%s}\n\n",
		e.upper, e.name, e.name, before.String(), e.name, after.String())
	return b.String()
}

// startOf writes the start of a state.
func (e *emitter) startOf(st program.FixedState) string {
	start := st.Start.Num().Int64()
	return e.define(st.Name+"_start", st.Type, start, inUnits(start, st.LSB, st.Unit))
}
