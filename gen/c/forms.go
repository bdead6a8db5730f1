package c

import (
	"fmt"
	"strings"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// form is a function as AVR takes it: inline assembly.
func (e *emitter) form(p primitive, name string) string {
	data := map[string]any{"Name": name, "About": p.about(), "Keep": e.keep(name)}
	switch p.form {
	case selection.Round:
		from, to := bytesOf(p.typ), bytesOf(p.to)
		data["T"], data["To"] = ctype(p.typ), ctype(p.to)
		if p.first > 0 {
			data["Code"] = assembly(roundTwiceAVR(p.shift-p.first), `: "=&d"(y) : "r"(x)`)
		} else {
			data["Code"] = assembly(roundAVR(from, to, p.shift), `: "=&r"(y) : "r"(x)`)
		}
		return string(render("avr_unary", data))
	case selection.Symmetric:
		data["Code"] = assembly(symmetricAVR(), `: "+d"(x), "+d"(end)`)
		return string(render("avr_limit", data))
	case selection.LessRounded:
		data["Code"] = assembly([]string{"mov r0, %B1", "lsl r0", "sbc %A0, %C1", "sbc %B0, %D1"}, `: "+&r"(y) : "d"(x)`)
		return string(render("avr_less", data))
	case selection.Up, selection.UpWide:
		data["T"], data["To"] = "int16_t", "int32_t"
		move := upAVR
		if p.form == selection.UpWide {
			data["T"], move = "int32_t", upWideAVR
		}
		data["Code"] = assembly(move(p.shift), `: "=&d"(y) : "r"(x)`)
		return string(render("avr_unary", data))
	}
	adds := p.form == selection.MultiplyAdd
	data["First"] = "int16_t"
	y, in := `"=&d"(y)`, ` : "a"(a), "a"(b)`
	if adds {
		y = `"+&d"(y)`
	}
	if p.shape == selection.Difference17 || p.shape == selection.Long {
		// mul takes any register. Six of the eight that mulsu takes, four of them in a row, are not always to be had.
		data["First"], in = "int32_t", ` : "r"(a), "r"(b)`
	}
	if data["Place"] = !adds && p.shape == selection.Long && e.keep(name); data["Place"] == true {
		data["Code"] = assembly(multiplyInPlaceAVR(), `: "+&d"(a), "=&r"(low), "=&r"(high) : "r"(b)`)
		return string(render("avr_mul", data))
	}
	data["Code"] = assembly(multiplyAVR(p.shape, adds), ": "+y+in)
	return string(render("avr_"+functions[p.form], data))
}

func (e *emitter) scaledForm(s scaled) string {
	out := `: "=&d"(y), "=&a"(part)`
	adds := s.form == selection.MultiplyAdd
	if adds {
		out = `: "+&d"(y), "=&a"(part)`
	}
	return string(render("avr_"+functions[s.form]+"_k", map[string]any{"Name": s.name, "About": s.about(), "Factor": s.factor, "Keep": false,
		"Code": assembly(factorAVR(s.k, adds), out+` : "a"(a), "i"(`+s.factor+`)`)}))
}

func (e *emitter) scaledTwin(s scaled) string {
	return string(render(functions[s.form]+"_k", map[string]any{"Name": s.name, "About": s.about(), "Factor": s.factor, "T": localType(program.I16)}))
}

// about says what the function gives.
func (s scaled) about() string {
	if s.form == selection.MultiplyAdd {
		return "y + a * " + s.factor + ", which must fit, as must the product."
	}
	return "a * " + s.factor + ", which must fit."
}

// keep tells whether a form stays one function in memory: in small code, where more than one place calls it.
func (e *emitter) keep(name string) bool { return e.Prefer == selection.Size && e.calls[name] > 1 }

func (e *emitter) limitForm(l limits) string {
	code := limitAVR(bytesOf(l.typ), l.lo, l.hi)
	text := strings.Join(code, " ")
	out := `: "+d"(x)`
	if strings.Contains(text, "%1") {
		out += `, "=&d"(part)`
	} else {
		operands := strings.NewReplacer("%2", "%1", "%3", "%2")
		for i := range code {
			code[i] = operands.Replace(code[i])
		}
	}
	in := fmt.Sprintf(` : "i"(%s), "i"(%s)`, orZero(l.most), orZero(l.least))
	return string(render("avr_within", map[string]any{"Name": l.name, "T": ctype(l.typ), "About": l.about(), "Keep": false, "Part": strings.Contains(text, "%1"),
		"Code": assembly(code, out+in)}))
}

func orZero(macro string) string {
	if macro == "" {
		return "0"
	}
	return macro
}

// about says what the limits are.
func (l limits) about() string {
	switch {
	case l.lo == nil:
		return "x, or " + l.most + " where x is more."
	case l.hi == nil:
		return "x, or " + l.least + " where x is less."
	}
	return "x limited to [" + l.least + ", " + l.most + "]."
}

func (e *emitter) limitTwin(l limits) string {
	form, inputs := l.call()
	return string(render("within", map[string]any{"Name": l.name, "T": localType(l.typ), "About": l.about(),
		"Call": e.primitive(primitive{form: form, typ: l.typ}) + "(" + inputs + ")"}))
}
