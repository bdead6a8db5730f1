package target

import (
	"fmt"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/program"
)

// controller is the C of a controller, with its records.
type controller struct {
	name    string // of the header and before each of its names
	header  []byte
	in      []program.Type // of each value of a record
	receive []string       // C statements that take over a record
	out     []sent
	setters []string
	sets    []string // C expressions: not 0 where a record has a setter called
	// unweighed leaves out the images that only tell flash and RAM.
	unweighed bool
}

// sent is a value of a result record.
type sent struct {
	typ  program.Type
	from string // C expression
}

// emitted is the controller of a unit, with the records of trial.Layout.
func emitted(u *model.Unit) controller {
	in, out, state, coef := c.Members(u.Integer)
	k := controller{name: u.Spec.Name, header: c.Header(u)}
	k.take(in)
	for _, g := range u.Integer.Gains {
		k.settable(g.Name)
	}
	k.startsOver(true, u.KeepsIntegrals())
	k.give("Out.", out)
	k.give("State.", state)
	k.give(c.ActiveCoefs("State"), coef)
	return k
}

// take adds inputs to the records.
func (k *controller) take(in []c.Member) {
	for i, m := range in {
		k.in = append(k.in, m.Type)
		k.receive = append(k.receive, fmt.Sprintf("In.%s = (%s)r->v%d;", m.Name, c.CType(m.Type), i))
	}
}

// settable adds a live gain to the records, behind the inputs.
func (k *controller) settable(gain string) {
	at := len(k.in)
	k.in = append(k.in, program.U8, program.I32)
	k.receive = append(k.receive, fmt.Sprintf("if (r->v%d != 0u) {", at), fmt.Sprintf("    %s_set_%s(&State, r->v%d);", k.name, gain, at+1), "}")
	k.setters = append(k.setters, gain)
	k.sets = append(k.sets, fmt.Sprintf("r->v%d != 0u", at))
}

// startsOver adds to the records, behind the gains, whether to start over; functions tells whether there is code that does.
func (k *controller) startsOver(function, withIntegrals bool) {
	at := len(k.in)
	k.in = append(k.in, program.U8)
	if function {
		k.receive = append(k.receive, fmt.Sprintf("if (r->v%d == 1u) {", at), fmt.Sprintf("    %s_restart(&State);", k.name), "}")
		k.sets = append(k.sets, fmt.Sprintf("r->v%d != 0u", at))
	}
	if withIntegrals {
		k.receive = append(k.receive, fmt.Sprintf("if (r->v%d == 2u) {", at), fmt.Sprintf("    %s_restart_with_integrals(&State);", k.name), "}")
	}
}

// give adds values to the results.
func (k *controller) give(from string, members []c.Member) {
	for _, m := range members {
		k.out = append(k.out, sent{m.Type, from + m.Name})
	}
}

// frame is what the templates take. Records are never empty.
func (k *controller) frame() map[string]any {
	type typed struct{ Type, From string }
	in := []string{}
	for _, t := range k.in {
		in = append(in, c.CType(t))
	}
	if len(in) == 0 {
		in = append(in, c.CType(program.U8))
	}
	out := []typed{}
	for _, s := range k.out {
		out = append(out, typed{c.CType(s.typ), s.from})
	}
	if len(out) == 0 {
		out = append(out, typed{c.CType(program.U8), "0"})
	}
	sets := strings.Join(append(k.sets, "0"), " || ")
	return map[string]any{"Name": k.name, "Sets": sets, "In": in, "Out": out, "Receive": k.receive, "Setters": k.setters}
}

// pack turns records of 64-bit numbers into those of the part: each value in its own type, least byte first.
func (k *controller) pack(text []byte, records []int64) []byte {
	if len(k.in) == 0 {
		return append(text, make([]byte, len(records))...)
	}
	for len(records) > 0 {
		for i, t := range k.in {
			v := uint64(records[i])
			for range t.Bits() / 8 {
				text = append(text, byte(v))
				v >>= 8
			}
		}
		records = records[len(k.in):]
	}
	return text
}

// size is the number of bytes of a record.
func (k *controller) size() (in, out int) {
	for _, t := range k.in {
		in += int(t.Bits() / 8)
	}
	for _, s := range k.out {
		out += int(s.typ.Bits() / 8)
	}
	return max(in, 1), max(out, 1)
}

// number reads a value of a type, least byte first.
func number(text []byte, t program.Type) int64 {
	var v uint64
	bits := t.Bits()
	for i := range bits / 8 {
		v |= uint64(text[i]) << (8 * i)
	}
	if t.Signed() {
		return int64(v<<(64-bits)) >> (64 - bits)
	}
	return int64(v)
}
