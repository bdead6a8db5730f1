package proof

import (
	"fmt"
	"math"
	"strings"

	"gainwright/gen/c"
	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// part is one of the programs in the driver's file.
type part string

// The parts, by the macro that selects them.
const (
	everything part = ""        // init, setters and step, from any state
	arctangent part = "ANGLES"  // the arctangents, for every pair of arguments
	selftest   part = "VECTORS" // the self-test vectors, number by number
)

// parts are those that a header needs.
func parts(u *model.Unit, header []byte) []part {
	if len(angles(u, header)) > 0 {
		return []part{everything, arctangent, selftest}
	}
	return []part{everything, selftest}
}

func (p part) macro(u *model.Unit) string {
	return strings.ToUpper(u.Spec.Name) + "_PROOF_" + string(p)
}

// driver writes the file that calls the functions of the header.
func driver(u *model.Unit, header []byte) []byte {
	name, upper := u.Spec.Name, strings.ToUpper(u.Spec.Name)
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("//go:build ignore\n\n/*")
	line(" * Shows %s.h to Frama-C, whose Eva proves it: no overflow, every range and contract kept, every", name)
	line(" * statement reached. Once for each machine, %s and %s:", Int16, Int32)
	line(" *")
	for _, p := range parts(u, header) {
		line(" * %s", strings.Join(contract.Wrap("", Tool+" "+strings.Join(arguments(u, header, Int16, p), " ")), " \\\n *     "))
	}
	line(" *")
	if len(angles(u, header)) > 0 {
		line(" * The first takes the contract of the arctangent on trust, the second proves it.")
	}
	line(" * It says \"admit\" where Eva is told a fact that the certificate holds and intervals cannot find.")
	line(" * \"volatile\" is left out: interrupts between setters and step are not what is shown here.")
	line(" */")
	line("#include \"__fc_builtin.h\"")
	line("#define %s_PORTABLE 1", upper)
	line("#define volatile")
	line("\n#if defined(%s)", selftest.macro(u))
	line("#include \"%s_vectors.h\"\n", name)
	line("int main(void)\n{\n    const uint16_t wrong = %s_selftest();\n    /*@ assert wrong == 0; */\n    return (int)wrong;\n}", name)
	if len(angles(u, header)) > 0 {
		line("\n#elif defined(%s)", arctangent.macro(u))
		line("#include \"%s.h\"\n\nint main(void)\n{", name)
		for _, a := range angles(u, header) {
			for _, call := range a.calls() {
				line("    %s", call)
			}
		}
		line("    return 0;\n}")
	}
	line("\n#else\n#include \"%s.h\"\n", name)
	b.WriteString(anything(u))
	line("\n#endif")
	return []byte(b.String())
}

// anything is the main that calls init, setters and step with anything they may meet.
func anything(u *model.Unit) string {
	p, name := u.Integer, u.Spec.Name
	inputs, _, _, _ := c.Members(p)
	states, coefs := remembered(u), coefficients(u)
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	any := func(t program.Type) string {
		lo, hi := t.Range()
		if t == program.Bool {
			hi = math.MaxUint8 // a switch is any byte
		}
		return anywhere(c.CType(t), lo, hi)
	}
	line("/* Any state that a tick can start from, with the given set of coefficients ready. */")
	line("static void any_state(%s_state *s, uint8_t ready, uint8_t in_use)\n{", name)
	for _, m := range states {
		line("    s->%s = %s;", m.name, anywhere(c.CType(m.typ), m.lo, m.hi))
	}
	for _, m := range coefs {
		for set := range 3 { // a set that is not ready holds anything
			line("    s->gains[%d].%s = %s;", set, m.name, any(m.typ))
		}
		line("    s->gains[ready].%s = %s;", m.name, anywhere(c.CType(m.typ), m.lo, m.hi))
	}
	if len(coefs) > 0 {
		line("    s->ready = ready;\n    s->in_use = in_use;")
	} else {
		line("    (void)ready;\n    (void)in_use;")
	}
	if len(coefs)+len(states) == 0 {
		line("    s->none = 0u;")
	}
	line("}\n\nint main(void)\n{\n    %s_state s;\n    %s_in in;\n    %s_out out;\n", name, name, name)
	for _, m := range inputs {
		line("    in.%s = %s;", m.Name, any(m.Type))
	}
	if len(inputs) == 0 {
		line("    in.none = 0u;")
	}
	line("\n    %s_init(&s);\n    %s_step(&s, &in, &out);", name, name)
	ready, used := 1, anywhere(c.CType(program.Bool), 0, 2)
	if len(coefs) > 0 {
		ready = 3
	}
	for r := range ready {
		for _, g := range p.Gains {
			for set := range 3 {
				if len(coefs) > 0 {
					line("    any_state(&s, %du, %du);", r, set)
					line("    %s_set_%s(&s, %s);", name, g.Name, any(program.I32))
				}
			}
		}
		line("    any_state(&s, %du, %s);\n    %s_step(&s, &in, &out);", r, used, name)
		line("    any_state(&s, %du, %s);\n    %s_restart(&s);", r, used, name)
		if u.KeepsIntegrals() {
			line("    any_state(&s, %du, %s);\n    %s_restart_with_integrals(&s);\n    %s_step(&s, &in, &out);", r, used, name, name)
		}
	}
	line("    return 0;\n}")
	return b.String()
}
