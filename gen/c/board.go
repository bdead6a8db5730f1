package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// Board returns <name>_board.c, which runs the vectors of that many ticks on the user's board and says what came
// of it through one function that sends a character. It includes <name>_vectors.h of as many ticks.
func Board(u *model.Unit, ticks int) []byte {
	p := u.Integer
	f := newFields(p)
	ticks = boundedTicks(ticks)
	m, _ := replay(u, ticks, func(_, _ []int64) {})
	wide := false
	var differs, left []string
	var outputs, states, starts strings.Builder
	compare := func(b *strings.Builder, indent string, t program.Type, name, is, expected string) {
		number := "int32_t"
		if t.Bits() > 32 {
			wide, number = true, "int64_t"
		}
		b.WriteString(code(indent, fmt.Sprintf("say_if_different(\"%s\", (%s)%s, (%s)%s);", contract.Plain(name), number, is, number, expected)))
	}
	for i, o := range p.Outputs {
		differs = append(differs, fmt.Sprintf("out.%s != expected->%s", f.out[i].Name, f.out[i].Name))
		compare(&outputs, "            ", o.Type, o.Name, "out."+f.out[i].Name, "expected->"+f.out[i].Name)
	}
	for i, s := range p.States {
		value := literal(m.State[i], program.I8)
		left = append(left, fmt.Sprintf("state.%s != %s", f.state[i].Name, value))
		compare(&states, "        ", s.Type, s.Name, "state."+f.state[i].Name, value)
	}
	for _, s := range p.States {
		wide = wide || s.Type.Bits() > 32
	}
	for _, m := range startMembers(p) {
		number := "int32_t"
		if wide {
			number = "int64_t"
		}
		starts.WriteString(code("        ", fmt.Sprintf("say_if_different(\"%s\", (%s)state.%s, (%s)%s);", contract.Plain(m.name), number, m.member, number, m.value)))
	}
	data := map[string]any{
		"Name": u.Spec.Name, "Upper": strings.ToUpper(u.Spec.Name), "Stamp": stamp(u), "Version": model.Version,
		"File": contract.Plain(base(u.Spec.File)), "Ticks": ticks, "Outputs": outputs.String(), "States": states.String(), "Starts": starts.String(),
		"Differs": strings.Join(differs, "\n            || "), "Left": strings.Join(left, "\n        || "),
		"Number": "int32_t", "Unsigned": "uint32_t", "Digits": 10, "Sample": "an_output", "Settings": len(newSettings(p, ticks)) > 0,
	}
	if wide {
		data["Number"], data["Unsigned"], data["Digits"] = "int64_t", "uint64_t", 20
	}
	if len(p.Outputs) > 0 {
		data["Sample"] = contract.Plain(p.Outputs[0].Name)
	} else {
		data["Differs"] = "0"
	}
	return render("c_board.tmpl", data)
}
