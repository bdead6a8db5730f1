package c

import (
	"fmt"
	"math"
	"math/big"
	"slices"
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
		// A macro even for -1, 0 and 1: a change of a live gain changes the values of constants and nothing else.
		value := e.macro(k.Name+"_start", k.Type, k.Setter.Apply(k.Setter.XStart),
			"for "+inUnits(k.Setter.XStart, tenth(k.Setter.Digits), e.p.Gains[k.Gain].Unit))
		b.WriteString(code("    ", "s->gains[0]."+e.fields.coef[i]+" = "+value+";"))
	}
	switch {
	case len(e.p.Coefs) > 0:
		b.WriteString("    s->ready = 0u;\n    s->in_use = 0u;\n")
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

// setters writes one function a live gain, and those that choose among the three sets of coefficients; it
// is empty where no gain is live.
func (e *emitter) setters() string {
	if len(e.p.Coefs) == 0 {
		return ""
	}
	var b strings.Builder
	b.Write(render("gains", map[string]any{"Name": e.name, "Chain": e.forms}))
	for g := range e.p.Gains {
		b.WriteByte('\n')
		e.setter(&b, g)
	}
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
	fmt.Fprintf(b, "    const int32_t %s = %s(x, %s, %s);\n", limited, e.primitive(primitive{kind: "clamp", typ: program.I32}), low, high)
	locals := make([]string, len(coefs))
	for n, i := range coefs {
		k := e.p.Coefs[i]
		locals[n] = taken.unique(k.Name)
		b.WriteString(code("    ", fmt.Sprintf("const %s %s = %s;", ctype(k.Type), locals[n], e.merged(k, limited))))
	}
	latest, spare := taken.unique("latest"), taken.unique("spare")
	if len(coefs) < len(e.p.Coefs) {
		fmt.Fprintf(b, "    const uint8_t %s = s->ready;\n", latest)
	}
	fmt.Fprintf(b, "    const uint8_t %s = %s_spare_gains(s);\n", spare, e.name)
	for i, k := range e.p.Coefs {
		value := fmt.Sprintf("s->gains[%s].%s", latest, e.fields.coef[i])
		if k.Gain == g {
			value = locals[slices.Index(coefs, i)]
		}
		b.WriteString(code("    ", fmt.Sprintf("s->gains[%s].%s = %s;", spare, e.fields.coef[i], value)))
	}
	fmt.Fprintf(b, "    s->ready = %s;\n}\n", spare)
}

// merged is a coefficient from its setting: the gain times the constant it is merged with, in 32 bits where
// they are enough.
func (e *emitter) merged(k program.CoefInfo, setting string) string {
	s := k.Setter
	wide := s.Shift == 0 || s.Shift > 31 || program.Holding(s.M, s.M) == program.I64
	for _, x := range []int64{s.XLo, s.XHi} {
		sum := new(big.Int).Mul(big.NewInt(x), big.NewInt(s.M))
		if s.Shift > 0 {
			sum.Add(sum, new(big.Int).Lsh(big.NewInt(1), s.Shift-1))
		}
		wide = wide || !sum.IsInt64() || program.Holding(sum.Int64(), sum.Int64()) == program.I64
	}
	if !wide {
		m := e.define(k.Name+"_merge", program.I32, s.M, "times the setting")
		return "(" + ctype(k.Type) + ")" + e.primitive(primitive{kind: "round", typ: program.I32, to: program.I32, shift: s.Shift}) + "(" + setting + " * " + m + ")"
	}
	text := "(int64_t)" + setting
	if s.M != 1 {
		text += " * " + e.define(k.Name+"_merge", program.I64, s.M, "times the setting")
	}
	if s.Shift == 0 {
		return "(" + ctype(k.Type) + ")(" + text + ")"
	}
	return "(" + ctype(k.Type) + ")" + e.primitive(primitive{kind: "round", typ: program.I64, to: program.I64, shift: s.Shift}) + "(" + text + ")"
}
