package c

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// primitive is a small function of the header.
type primitive struct {
	form  selection.Form
	shape selection.Shape // of a product
	typ   program.Type    // of its arguments, where there is one for each width
	to    program.Type    // Round: of its result
	shift uint            // Round, Up: bits
	first uint            // Round: bits of a first rounding, of which shift is a part; 0: there is one rounding
}

// shapes are the endings of products.
var shapes = map[selection.Shape]string{selection.Signed: "16", selection.NotNegative: "16p", selection.Difference17: "17", selection.Long: "32"}

// primitive notes that a function is used and returns its name.
func (e *emitter) primitive(p primitive) string {
	e.used[p] = true
	name := e.name + "_" + functions[p.form] + shapes[p.shape]
	short := ""
	if p.typ != program.I16 && p.to == program.I16 {
		short = "_short"
	}
	switch p.form {
	case selection.Up:
		return fmt.Sprintf("%s%d", name, p.shift)
	case selection.UpWide:
		return fmt.Sprintf("%s32_by%d", name, p.shift)
	case selection.LessRounded:
		return fmt.Sprintf("%s_round32_by%d", name, p.shift)
	case selection.Angle:
		if p.typ == program.I32 {
			return fmt.Sprintf("%s_%d_bits_wide", name, p.shift)
		}
		return fmt.Sprintf("%s_%d_bits", name, p.shift)
	case selection.Round:
		if p.first > 0 {
			return fmt.Sprintf("%s%d_by%d_by%d%s", name, p.typ.Bits(), p.first, p.shift-p.first, short)
		}
		return fmt.Sprintf("%s%d_by%d%s", name, p.typ.Bits(), p.shift, short)
	}
	if p.typ != program.NoType {
		return fmt.Sprintf("%s%d", name, p.typ.Bits())
	}
	return name
}

// about says what a function gives.
func (p primitive) about() string {
	second := ""
	if p.shape == selection.NotNegative {
		second = "; b is not negative"
	}
	switch p.form {
	case selection.Round:
		if p.first > 0 {
			return fmt.Sprintf("x / 2^%d to the nearest whole number, and that / 2^%d, halves up; x + 2^%d + 2^%d must fit.", p.first, p.shift-p.first, p.shift-1, p.first-1)
		}
		return fmt.Sprintf("x / 2^%d to the nearest whole number, halves up; x + 2^%d must fit.", p.shift, p.shift-1)
	case selection.Symmetric:
		return "x limited to [-most, most]; most is not negative."
	case selection.LessRounded:
		return fmt.Sprintf("y less x / 2^%d to the nearest whole number, halves up; x + 2^%d must fit, and what comes out.", p.shift, p.shift-1)
	case selection.UpWide:
		return fmt.Sprintf("x * 2^%d, which must fit.", p.shift)
	case selection.Up:
		return fmt.Sprintf("x * 2^%d.", p.shift)
	case selection.Multiply:
		return "a * b, which must fit" + second + "."
	case selection.MultiplyAdd:
		return "y + a * b, which must fit, as must a * b" + second + "."
	}
	return ""
}

// primitives writes the functions that were used: those that are the same everywhere, and those that have
// a form of their own on AVR.
func (e *emitter) primitives() string {
	var common, avr, twins []string
	for _, a := range e.arctans {
		e.quotient(a)
	}
	for _, p := range e.ordered() {
		name := e.primitive(p)
		if !e.hasForm(p) {
			common = append(common, e.portable(p, name))
			continue
		}
		avr = append(avr, e.form(p, name))
		twins = append(twins, e.portable(p, name))
	}
	for _, s := range e.scales {
		avr = append(avr, e.scaledForm(s))
		twins = append(twins, e.scaledTwin(s))
	}
	for _, l := range e.limits {
		avr = append(avr, e.limitForm(l))
		twins = append(twins, e.limitTwin(l))
	}
	for _, a := range e.arctans {
		if !e.Target.Forms || !selection.HasTable(a.table, a.side) {
			common = append(common, e.angle(a))
			continue
		}
		avr = append(avr, e.angleForm(a))
		twins = append(twins, e.angle(a))
	}
	if slices.ContainsFunc(e.curves, func(k curve) bool { return k.short }) {
		avr = append(avr, string(render("avr_entry", map[string]any{"Upper": e.upper})))
		twins = append(twins, string(render("entry", map[string]any{"Upper": e.upper})))
	}
	text := strings.Join(common, "\n")
	if e.findsGains() && len(e.p.Coefs) > 0 {
		avr = append(avr, string(render("avr_gains_at", map[string]any{"Name": e.name})))
		twins = append(twins, string(render("gains_at", map[string]any{"Name": e.name})))
	}
	if len(avr) > 0 || e.hints {
		if text != "" {
			text += "\n"
		}
		text += string(render("forms", map[string]any{"Upper": e.upper, "Hints": e.hints, "Forms": strings.Join(avr, "\n"), "Twins": strings.Join(twins, "\n")}))
	}
	for _, k := range e.curves { // they call the others
		text += "\n" + e.table(k)
	}
	return text
}

// ordered lists the functions in use, always in the same order.
func (e *emitter) ordered() []primitive {
	return slices.SortedFunc(maps.Keys(e.used), func(a, b primitive) int {
		return cmp.Or(cmp.Compare(a.form, b.form), cmp.Compare(a.shape, b.shape), cmp.Compare(a.typ.Bits(), b.typ.Bits()), cmp.Compare(a.to.Bits(), b.to.Bits()),
			cmp.Compare(a.shift, b.shift), cmp.Compare(a.first, b.first))
	})
}

// hasForm tells whether a function is written in assembly for AVR.
func (e *emitter) hasForm(p primitive) bool {
	switch p.form {
	case selection.Multiply, selection.MultiplyAdd, selection.Up, selection.UpWide, selection.LessRounded, selection.Symmetric:
		return true
	}
	return p.form == selection.Round && e.Target.Forms && p.typ != program.I64
}

// portable is a function in C that means the same everywhere.
func (e *emitter) portable(p primitive, name string) string {
	data := map[string]any{"Name": name, "T": localType(p.typ), "To": localType(p.to), "Shift": p.shift, "About": p.about()}
	switch p.form {
	case selection.Root:
		bits := p.typ.Bits()
		data["U"], data["Top"] = fmt.Sprintf("uint%d_t", bits), bits-2
	case selection.Angle:
		return e.quotientText(p, name)
	case selection.Round, selection.LessRounded:
		data["Half"] = literal(selection.Halves(p.shift, p.first), p.typ)
		data["Unit"] = literal(1, p.typ)
	case selection.Up:
		data["T"] = localType(program.I16)
		fallthrough
	case selection.UpWide:
		data["Factor"] = literal(1<<p.shift, program.I32)
	case selection.Multiply, selection.MultiplyAdd:
		data["First"], data["Second"] = localType(program.I16), localType(program.I16)
		if p.shape == selection.Difference17 || p.shape == selection.Long {
			data["First"] = "int32_t"
		}
	}
	return string(render(functions[p.form], data))
}
