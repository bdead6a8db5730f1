package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
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
	reads := func(kind program.Kind) bool {
		for i, op := range e.p.Ops {
			if op.Kind == kind && e.uses[i].live {
				return true
			}
		}
		return false
	}
	switch {
	case len(e.p.Coefs) > 0 && !reads(program.Coef):
		fmt.Fprintf(&b, "    (void)%s_take_gains(s);\n", e.name)
	case len(e.p.States)+len(e.p.Coefs) == 0:
		b.WriteString("    (void)s; /* no memory */\n")
	}
	switch {
	case !reads(program.Input):
		b.WriteString("    (void)in; /* no input is used */\n")
	case e.forms && e.options.Prefer == Speed: // small code leaves the pointer where it is: to move it takes instructions
		e.hints = true
		where := "_IN_X"
		if e.early() {
			where = "_IN_YZ"
		}
		b.WriteString("    " + e.upper + where + "(in);\n")
		if e.early() && e.hasAngle() { // its form takes most registers: what is wanted at the end stays out of its way
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
	if e.forms && !e.wide() {
		e.hints = true
		kept, constant = "    "+e.upper+"_IN_YZ(gains);\n", ""
	}
	return lineComment("    ", "The coefficients of this tick, all of one set.") +
		code("    ", fmt.Sprintf("const volatile %s_coefs *%sgains = %s_take_gains(s);", e.name, constant, e.name)) + kept
}

// wide tells whether some value has 64 bits. Then a small part spills, and needs Y to find what it has spilled.
func (e *emitter) wide() bool {
	for i, op := range e.p.Ops {
		if e.uses[i].live && op.Type == program.I64 {
			return true
		}
	}
	return false
}

// hasAngle tells whether there is an arctangent.
func (e *emitter) hasAngle() bool {
	for i, op := range e.p.Ops {
		if e.uses[i].live && op.Kind == program.Angle {
			return true
		}
	}
	return false
}

// earlyBytes is how many bytes of inputs a small part has registers for while it computes with them.
const earlyBytes = 6

// early tells whether all inputs are read before anything is computed.
func (e *emitter) early() bool {
	bytes := 0
	for i, op := range e.p.Ops {
		if op.Kind == program.Input && e.uses[i].live {
			bytes += max(bytesOf(op.Type), 1)
		}
	}
	return e.forms && bytes <= earlyBytes
}
