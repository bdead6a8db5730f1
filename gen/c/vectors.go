package c

import (
	"fmt"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/program"
)

// DefaultTicks is a number of self-test ticks that small parts have room for.
const DefaultTicks = 64

// Vectors returns <name>_vectors.h: inputs of that many ticks (1 to 65532) with the outputs that the
// bit-exact model gives, and a function that compares them, and the state at the end, on the board.
func Vectors(u *model.Unit, ticks int) []byte {
	p := u.Integer
	f := newFields(p)
	ticks = boundedTicks(ticks)
	var in, out strings.Builder
	m, over := replay(u, ticks, func(raw, result []int64) {
		row(&in, raw, func(i int) program.Type { return inputType(p.Inputs[i]) })
		row(&out, result, func(i int) program.Type { return p.Outputs[i].Type })
	})
	var differs []string
	for _, m := range f.out {
		differs = append(differs, fmt.Sprintf("out.%s != %s_vector_out[tick].%s", m.Name, u.Spec.Name, m.Name))
	}
	if len(differs) == 0 {
		differs = []string{"0"}
	}
	var left []string
	for i := range p.States {
		left = append(left, fmt.Sprintf("state.%s != %s", f.state[i].Name, literal(m.State[i], program.I8)))
	}
	return render("c_vectors.tmpl", map[string]any{
		"Name": u.Spec.Name, "Upper": strings.ToUpper(u.Spec.Name), "Stamp": stamp(u), "Version": model.Version,
		"File": contract.Plain(base(u.Spec.File)), "Ticks": ticks, "Bytes": recordBytes(p) * ticks,
		"Inputs": in.String(), "Outputs": out.String(), "InText": header(f.in), "OutText": header(f.out),
		"Differs":  strings.Join(differs, "\n            || "),
		"Left":     strings.Join(left, "\n        || "),
		"Start":    strings.Join(startDiffers(p, "s->"), "\n        || "),
		"Restarts": restartCalls(u, over),
		"Settings": settingCalls(p, u.Spec.Name, newSettings(p, ticks)),
	})
}

func boundedTicks(ticks int) int { return min(max(ticks, 1), 65532) }

// replay runs the bit-exact model on the self-test inputs, settings and restarts. It returns the model at the end, and the restarts.
func replay(u *model.Unit, ticks int, each func(raw, result []int64)) (*program.FixedMachine, []startOver) {
	p := u.Integer
	coefs := make([]int64, len(p.Coefs))
	for i, k := range p.Coefs {
		coefs[i] = k.Setter.Apply(k.Setter.XStart)
	}
	m := program.NewFixedMachine(p)
	set, over := newSettings(p, ticks), startOvers(u, ticks)
	for t, raw := range sequence(p, ticks) {
		for ; len(set) > 0 && set[0].tick == t; set = set[1:] {
			for i, k := range p.Coefs {
				if k.Gain == set[0].gain {
					coefs[i] = k.Setter.Apply(set[0].x)
				}
			}
		}
		for i := range over {
			if over[i].tick == t {
				over[i].run(u, m, coefs)
			}
		}
		m.Tick(raw, coefs)
		result := make([]int64, len(p.Outputs))
		for i, o := range p.Outputs {
			result[i] = m.Values[o.Value]
		}
		each(raw, result)
	}
	return m, over
}

// row writes one record as an initialiser.
func row(b *strings.Builder, values []int64, typ func(int) program.Type) {
	cells := make([]string, len(values))
	for i, v := range values {
		cells[i] = literal(v, program.I8)
		if v >= -32767 && v < 0 {
			cells[i] = fmt.Sprint(v) // no operator stands beside it
		}
		if !typ(i).Signed() {
			cells[i] = fmt.Sprint(v) + "u"
		}
	}
	if len(cells) == 0 {
		cells = []string{"0u"}
	}
	b.WriteString(code("    ", "{ "+strings.Join(cells, ", ")+" },"))
}

// header names the columns of a table of records.
func header(members []Member) string {
	if len(members) == 0 {
		return "none"
	}
	var names []string
	for _, m := range members {
		names = append(names, m.Name)
	}
	return strings.Join(fold(strings.Join(names, ", "), maxColumns-6, "   "), "\n")
}

// recordBytes is the size of one input and one output record where structs are not padded.
func recordBytes(p *program.Fixed) int {
	bits := uint(0)
	for _, in := range p.Inputs {
		bits += inputType(in).Bits()
	}
	for _, o := range p.Outputs {
		bits += o.Type.Bits()
	}
	return int(bits / 8)
}
