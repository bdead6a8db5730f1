package c

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
)

// init writes the function that puts a state to its start.
func (e *emitter) init() string {
	var b strings.Builder
	b.WriteString("/* Puts s to its start. Not to be called while a step or a setter runs. */\n")
	fmt.Fprintf(&b, "static inline void %s_init(%s_state *s)\n{\n", e.name, e.name)
	for i, st := range e.p.States {
		start := st.Start.Num().Int64()
		value := e.define(st.Name+"_start", st.Type, start, inUnits(start, st.LSB, st.Unit))
		b.WriteString(code("    ", "s->"+e.fields.state[i]+" = "+value+";"))
	}
	for i, k := range e.p.Coefs {
		value := e.macro(k.Name+"_start", k.Type, k.Setter.Apply(k.Setter.XStart),
			"for "+inUnits(k.Setter.XStart, tenth(k.Setter.Digits), e.p.Gains[k.Gain].Unit))
		b.WriteString(code("    ", "s->active."+e.fields.coef[i]+" = "+value+";"))
		b.WriteString(code("    ", "s->pending."+e.fields.coef[i]+" = "+value+";"))
	}
	switch {
	case len(e.p.Coefs) > 0:
		b.WriteString("    s->fresh = 0u;\n")
	case len(e.p.States) == 0:
		b.WriteString("    s->none = 0u;\n")
	}
	b.WriteString("}\n")
	return b.String()
}

// tenth is 10^-digits.
func tenth(digits int) *big.Rat {
	return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
}

// setters writes one function a live gain, and the one that takes the new gains over; it is empty
// where no gain is live.
func (e *emitter) setters() string {
	if len(e.p.Coefs) == 0 {
		return ""
	}
	var b strings.Builder
	for g := range e.p.Gains {
		e.setter(&b, g)
		b.WriteByte('\n')
	}
	b.WriteString(lineComment("", "The first act of a step: takes over what the setters left, whole or not at all."))
	fmt.Fprintf(&b, "static inline void %s_take_gains(%s_state *s)\n{\n", e.name, e.name)
	b.WriteString("    if (s->fresh != 0u) {\n")
	taken := names{}
	taken.reserve("s")
	taken.reserve(e.globals()...)
	locals := make([]string, len(e.p.Coefs))
	b.WriteString("        s->fresh = 0u;\n")
	for i, k := range e.p.Coefs {
		locals[i] = taken.unique(k.Name)
		b.WriteString(code("        ", fmt.Sprintf("const %s %s = s->pending.%s;", ctype(k.Type), locals[i], e.fields.coef[i])))
	}
	b.WriteString("        if (s->fresh == 0u) { /* no setter came in between: the copy is whole */\n")
	for i := range e.p.Coefs {
		b.WriteString(code("            ", fmt.Sprintf("s->active.%s = %s;", e.fields.coef[i], locals[i])))
	}
	b.WriteString("        }\n    }\n}\n")
	return b.String()
}

// setter writes the function that sets one live gain.
func (e *emitter) setter(b *strings.Builder, g int) {
	gain := e.p.Gains[g]
	var coefs []int
	for i, k := range e.p.Coefs {
		if k.Gain == g {
			coefs = append(coefs, i)
		}
	}
	if len(coefs) == 0 {
		fmt.Fprintf(b, "/* %s is not used. */\n", contract.Plain(gain.Key))
		fmt.Fprintf(b, "static inline void %s_set_%s(%s_state *s, int32_t x)\n{\n    (void)s;\n    (void)x;\n}\n", e.name, gain.Name, e.name)
		return
	}
	first := e.p.Coefs[coefs[0]].Setter
	for _, i := range coefs {
		k := e.p.Coefs[i].Setter
		if k.Digits != first.Digits || k.XLo != first.XLo || k.XHi != first.XHi || k.XLo < math.MinInt32 || k.XHi > math.MaxInt32 {
			panic("c: the coefficients of " + gain.Key + " differ in what a setting means, or a setting does not fit int32")
		}
	}
	unit := strings.TrimSpace(contract.Exact(tenth(first.Digits)) + " " + contract.Plain(gain.Unit))
	b.WriteString(blockComment("", []string{
		fmt.Sprintf("Sets %s from the next tick on. x counts %s.", contract.Plain(gain.Key), unit),
		fmt.Sprintf("In:  any x, limited to [%d, %d], which is [%s, %s] %s", first.XLo, first.XHi,
			contract.Decimal(gain.Lo), contract.Decimal(gain.Hi), contract.Plain(gain.Unit)),
		fmt.Sprintf("     %d at start, %s", first.XStart, inUnits(first.XStart, tenth(first.Digits), contract.Plain(gain.Unit)))}))
	fmt.Fprintf(b, "static inline void %s_set_%s(%s_state *s, int32_t x)\n{\n", e.name, gain.Name, e.name)
	low := e.define(gain.Name+"_low", program.I32, first.XLo, "least setting")
	high := e.define(gain.Name+"_high", program.I32, first.XHi, "largest setting")
	taken := names{}
	taken.reserve("s", "x")
	taken.reserve(e.globals()...)
	limited := taken.unique("limited")
	fmt.Fprintf(b, "    const int32_t %s = %s(x, %s, %s);\n", limited, e.primitive("clamp", program.I32), low, high)
	locals := make([]string, len(coefs))
	for n, i := range coefs {
		k := e.p.Coefs[i]
		locals[n] = taken.unique(k.Name)
		b.WriteString(code("    ", fmt.Sprintf("const %s %s = %s;", ctype(k.Type), locals[n], e.merged(k, limited))))
	}
	b.WriteString("    s->fresh = 0u; /* from here on the step leaves pending alone */\n")
	for n, i := range coefs {
		b.WriteString(code("    ", fmt.Sprintf("s->pending.%s = %s;", e.fields.coef[i], locals[n])))
	}
	b.WriteString("    s->fresh = 1u; /* pending is whole again */\n}\n")
}

// merged is a coefficient from its setting: the gain and the constant it is merged with, in 64 bits.
func (e *emitter) merged(k program.CoefInfo, setting string) string {
	text := "(int64_t)" + setting
	if k.Setter.M != 1 {
		text += " * " + e.define(k.Name+"_merge", program.I64, k.Setter.M, "times the setting")
	}
	if k.Setter.Shift > 0 {
		shift := e.define(k.Name+"_merge_shift", program.I16, int64(k.Setter.Shift), "bits rounded off")
		text = e.primitive("round", program.I64) + "(" + text + ", " + shift + ")"
		return e.narrowed(k.Type, text, program.I64)
	}
	return e.fitted(k.Type, text, program.I64)
}
