package c

import (
	"fmt"
	"strings"

	"gainwright/model/selection"
)

// step writes the function that runs one tick.
func (e *emitter) step() string {
	var b strings.Builder
	b.WriteString("/* One tick: reads in, moves the state on, fills out. The three must not overlap. */\n")
	b.WriteString(code("", fmt.Sprintf("static inline void %s_step(%s_state *s, const %s_in *in, %s_out *out)", e.name, e.name, e.name, e.name)))
	b.WriteString("{\n")
	opening, body := e.opening(), e.body()
	if opening == "" {
		body = strings.TrimPrefix(body, "\n")
	}
	b.WriteString(opening + body + "}\n")
	return b.String()
}

// opening marks what is not used.
func (e *emitter) opening() string {
	var b strings.Builder
	switch {
	case len(e.p.Coefs) > 0 && !e.Has(selection.Coef):
		fmt.Fprintf(&b, "    (void)%s_take_gains(s);\n", e.name)
	case len(e.p.States)+len(e.p.Coefs)+len(e.fields.ticks) == 0:
		b.WriteString("    (void)s; /* no memory */\n")
	}
	switch {
	case !e.Has(selection.Input):
		b.WriteString("    (void)in; /* no input is used */\n")
	case e.Target.Forms && e.Prefer == selection.Speed: // small code leaves the pointer where it is: to move it takes instructions
		e.hints = true
		where := "_IN_X"
		if e.Early() {
			where = "_IN_YZ"
		}
		b.WriteString("    " + e.upper + where + "(in);\n")
		if e.Early() && e.Has(selection.Angle) { // its form takes most registers: what is wanted at the end stays out of its way
			b.WriteString("    " + e.upper + "_IN_X(out);\n")
		}
	}
	if len(e.p.Outputs) == 0 {
		b.WriteString("    (void)out; /* no output */\n")
	}
	return b.String()
}

// latch takes the coefficients of this tick.
func (e *emitter) latch() string {
	kept, constant := "", "const "
	if e.Target.Forms && !e.Spills() { // what a small part spills it finds by Y
		e.hints = true
		kept, constant = "    "+e.upper+"_IN_YZ(gains);\n", ""
	}
	return lineComment("    ", "The coefficients of this tick, all of one set.") +
		code("    ", fmt.Sprintf("const volatile %s_coefs *%sgains = %s_take_gains(s);", e.name, constant, e.name)) + kept
}
