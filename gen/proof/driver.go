package proof

import (
	"fmt"
	"math"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
)

// part is one of the programs in the driver's file.
type part string

// The parts, by the macro that selects them.
const (
	everything part = ""        // init, setters and step, from any state
	arctangent part = "ANGLES"  // the arctangents, for every pair of arguments
	selftest   part = "VECTORS" // the self-test vectors, number by number
)

func (p part) macro(u *model.Unit) string { return strings.ToUpper(u.Spec.Name) + "_PROOF_" + string(p) }

// driver writes the file that calls the functions of the header.
func driver(u *model.Unit, header []byte) []byte {
	name, upper := u.Spec.Name, strings.ToUpper(u.Spec.Name)
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line("/*")
	line(" * Shows %s.h to Frama-C, whose Eva proves it: no overflow, every range and contract kept, every", name)
	line(" * statement reached. Once for each machine, %s and %s:", Int16, Int32)
	line(" *")
	parts := []part{everything, selftest}
	if len(angles(u, header)) > 0 {
		parts = []part{everything, arctangent, selftest}
	}
	for _, p := range parts {
		line(" * frama-c %s", strings.Join(arguments(u, header, Int16, p), " \\\n *     "))
	}
	line(" *")
	line(" * It says \"admit\" where Eva is told a fact that the certificate holds and intervals cannot find.")
	line(" * \"volatile\" is left out: interrupts between setters and step are not what is shown here.")
	line(" */")
	line("#include \"__fc_builtin.h\"")
	line("#define %s_PORTABLE 1", upper)
	line("#define volatile")
	line("\n#if defined(%s)", selftest.macro(u))
	line("#include \"%s_vectors.h\"\n", name)
	line("int main(void)\n{\n    const uint16_t wrong = %s_selftest();\n    /*@ assert wrong == 0; */\n    return (int)wrong;\n}", name)
	if len(parts) > 2 {
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
	inputs, _, _, coefs := c.Members(p)
	var b strings.Builder
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	all := remembered(u)
	line("/* Any state that a tick can start from. */")
	line("static void any_state(%s_state *s)\n{", name)
	for _, m := range all {
		line("    s->%s = %s;", m.name, anywhere(m.typ, m.lo, m.hi))
	}
	if len(all) == 0 {
		line("    s->none = 0;")
	}
	line("}\n\nint main(void)\n{\n    %s_state s;\n    %s_in in;\n    %s_out out;\n", name, name, name)
	for _, m := range inputs {
		lo, hi := m.Type.Range()
		if m.Type.Bits() == 8 && !m.Type.Signed() {
			hi = math.MaxUint8 // a switch is any byte
		}
		line("    in.%s = %s;", m.Name, anywhere(m.Type, lo, hi))
	}
	if len(inputs) == 0 {
		line("    in.none = 0;")
	}
	line("    %s_init(&s);\n    %s_step(&s, &in, &out);", name, name)
	line("    any_state(&s);")
	for _, g := range p.Gains {
		if len(coefs) > 0 {
			line("    %s_set_%s(&s, (int32_t)Frama_C_long_long_interval(-2147483648LL, 2147483647LL));", name, g.Name)
		}
	}
	line("    any_state(&s);\n    %s_step(&s, &in, &out);\n    return 0;\n}", name)
	return b.String()
}
