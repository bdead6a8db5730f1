package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
)

// Stream returns <name>_stream.c, a host program that includes the header. It reads records of native
// int64 from standard input until that ends: one value an input, then two a gain (a flag, and the setting
// that is applied before the step where the flag is not 0), then 1 to start over before the step, or 2 to do
// so with the integral terms kept. For each it writes one record: the outputs, the states and the active coefficients
// after the step. With any argument, each record begins with the states to start from.
func Stream(u *model.Unit) []byte {
	p := u.Integer
	f := newFields(p)
	var body strings.Builder
	line := func(format string, args ...any) {
		body.WriteString(code("            ", fmt.Sprintf(format, args...)))
	}
	var in, out []string
	for i, raw := range p.Inputs {
		line("in.%s = (%s)r[%d];", f.in[i].Name, ctype(inputType(raw)), i)
		in = append(in, f.in[i].Name)
	}
	if len(p.Inputs) == 0 {
		line("in.none = 0u;")
	}
	for g, gain := range p.Gains {
		at := len(p.Inputs) + 2*g
		if len(p.Coefs) > 0 {
			line("if (r[%d] != 0) {", at)
			line("    const uint8_t newest = state.ready;")
			line("    %s_set_%s(&state, (int32_t)r[%d]);", u.Spec.Name, gain.Name, at+1)
			line("    if (state.ready == newest || state.ready == state.in_use) {")
			line("        return 3; /* an interrupt would find half of a set */")
			line("    }")
			line("}")
		}
		in = append(in, "set "+gain.Name, gain.Name)
	}
	over := fmt.Sprintf("r[%d]", len(in))
	line("if (%s == 1) {", over)
	line("    %s_restart(&state);", u.Spec.Name)
	line("}")
	if u.KeepsIntegrals() {
		line("if (%s == 2) {", over)
		line("    %s_restart_with_integrals(&state);", u.Spec.Name)
		line("}")
	}
	in = append(in, "restart")
	line("%s_step(&state, &in, &out);", u.Spec.Name)
	send := func(from string, members []Member) {
		for _, m := range members {
			line("w[%d] = %s%s;", len(out), from, m.Name)
			out = append(out, m.Name)
		}
	}
	send("out.", f.out)
	send("state.", f.state)
	send(ActiveCoefs("state"), f.coef)
	if len(out) == 0 {
		line("w[0] = 0;")
		out = append(out, "0")
	}
	var jumps strings.Builder
	for i, s := range p.States {
		jumps.WriteString(code("                ", fmt.Sprintf("state.%s = (%s)from[%d];", f.state[i].Name, ctype(s.Type), i)))
	}
	return render("c_stream.tmpl", map[string]any{
		"Jumps": jumps.String(), "States": len(p.States),
		"Name": u.Spec.Name, "Upper": strings.ToUpper(u.Spec.Name), "Stamp": stamp(u), "Version": model.Version,
		"File": contract.Plain(base(u.Spec.File)), "Body": body.String(), "In": len(in), "Out": len(out),
		"InText": list(in), "OutText": list(out),
	})
}

// list writes names with commas, folded to lie inside a block comment under its label.
func list(words []string) string {
	return strings.Join(fold(contract.Plain(strings.Join(words, ", ")), maxColumns-12, " *        "), "\n")
}
