package c

import (
	"fmt"
	"sort"
	"strings"

	"gainwright/model/program"
)

// primitive is a small function of the header.
type primitive struct {
	kind  string
	typ   program.Type // of its arguments, where there is one for each width
	to    program.Type // round: of its result
	shift uint         // round, up: bits
	first uint         // round: bits of a first rounding, of which shift is a part; 0: there is one rounding
}

// primitive notes that a function is used and returns its name.
func (e *emitter) primitive(p primitive) string {
	e.used[p] = true
	name := e.name + "_" + p.kind
	switch p.kind {
	case "up":
		if p.typ == program.I32 {
			return fmt.Sprintf("%s32_by%d", name, p.shift)
		}
		return fmt.Sprintf("%s%d", name, p.shift)
	case "less":
		return fmt.Sprintf("%s_round32_by%d", name, p.shift)
	case "quotient":
		if p.typ == program.I32 {
			return fmt.Sprintf("%s_%d_bits_wide", name, p.shift)
		}
		return fmt.Sprintf("%s_%d_bits", name, p.shift)
	case "round":
		if p.first > 0 {
			return fmt.Sprintf("%s%d_by%d_by%d_short", name, p.typ.Bits(), p.first, p.shift-p.first)
		}
		if p.typ != program.I16 && p.to == program.I16 {
			return fmt.Sprintf("%s%d_by%d_short", name, p.typ.Bits(), p.shift)
		}
		return fmt.Sprintf("%s%d_by%d", name, p.typ.Bits(), p.shift)
	}
	if p.typ != program.NoType {
		return fmt.Sprintf("%s%d", name, p.typ.Bits())
	}
	return name
}

// about says what a function gives.
func (p primitive) about() string {
	switch {
	case p.first > 0:
		return fmt.Sprintf("x / 2^%d to the nearest whole number, and that / 2^%d, halves up; x + 2^%d + 2^%d must fit.", p.first, p.shift-p.first, p.shift-1, p.first-1)
	case p.kind == "round":
		return fmt.Sprintf("x / 2^%d to the nearest whole number, halves up; x + 2^%d must fit.", p.shift, p.shift-1)
	case p.kind == "limit":
		return "x limited to [-most, most]; most is not negative."
	case p.kind == "less":
		return fmt.Sprintf("y less x / 2^%d to the nearest whole number, halves up; x + 2^%d must fit, and what comes out.", p.shift, p.shift-1)
	case p.kind == "up":
		if p.typ == program.I32 {
			return fmt.Sprintf("x * 2^%d, which must fit.", p.shift)
		}
		return fmt.Sprintf("x * 2^%d.", p.shift)
	case strings.HasPrefix(p.kind, "mul"):
		return "a * b, which must fit" + p.second() + "."
	case strings.HasPrefix(p.kind, "mac"):
		return "y + a * b, which must fit, as must a * b" + p.second() + "."
	}
	return ""
}

func (p primitive) second() string {
	if strings.HasSuffix(p.kind, "p") {
		return "; b is not negative"
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
		if !a.hasForm(e) {
			common = append(common, e.angle(a))
			continue
		}
		avr = append(avr, e.angleForm(a))
		twins = append(twins, e.angle(a))
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
	return text
}

// ordered lists the functions in use, always in the same order.
func (e *emitter) ordered() []primitive {
	kinds := []string{"clamp", "min", "max", "abs", "wrap", "mul16", "mul16p", "mul17", "mul32", "mac16", "mac16p", "mac17", "up", "round", "less", "limit", "quotient"}
	rank := map[string]int{}
	for i, k := range kinds {
		rank[k] = i
	}
	var list []primitive
	for p := range e.used {
		list = append(list, p)
	}
	sort.Slice(list, func(i, j int) bool {
		a, b := list[i], list[j]
		switch {
		case a.kind != b.kind:
			return rank[a.kind] < rank[b.kind]
		case a.typ.Bits() != b.typ.Bits():
			return a.typ.Bits() < b.typ.Bits()
		case a.to.Bits() != b.to.Bits():
			return a.to.Bits() < b.to.Bits()
		case a.shift != b.shift:
			return a.shift < b.shift
		}
		return a.first < b.first
	})
	return list
}

// hasForm tells whether a function is written in assembly for AVR.
func (e *emitter) hasForm(p primitive) bool {
	switch p.kind {
	case "clamp", "min", "max", "abs", "wrap", "quotient":
		return false
	case "round":
		return e.forms && p.typ != program.I64
	}
	return true
}

// portable is a function in C that means the same everywhere.
func (e *emitter) portable(p primitive, name string) string {
	if p.kind == "quotient" {
		return e.quotientText(p, name)
	}
	data := map[string]any{"Name": name, "T": localType(p.typ), "To": localType(p.to), "Shift": p.shift, "About": p.about()}
	kind := p.kind
	switch kind {
	case "round", "less":
		data["Half"] = literal(program.Halves(p.shift, p.first), p.typ)
		data["Unit"] = literal(1, p.typ)
	case "up":
		if p.typ != program.I32 {
			data["T"] = localType(program.I16)
		}
		data["Factor"] = literal(1<<p.shift, program.I32)
	}
	if strings.HasPrefix(kind, "mul") || strings.HasPrefix(kind, "mac") {
		data["First"], data["Second"] = localType(program.I16), localType(program.I16)
		if shape := kind[3:]; shape == "17" || shape == "32" {
			data["First"] = "int32_t"
		}
		kind = kind[:3]
	}
	return string(render(kind, data))
}
