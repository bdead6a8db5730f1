package c

import (
	"fmt"
	"math/big"
	"strings"
)

// init writes the function that puts a state to its start.
func (e *emitter) init() string {
	var b strings.Builder
	b.WriteString("/* Puts s to its start. Not to be called while a step or a setter runs. */\n")
	fmt.Fprintf(&b, "static %s_SELDOM void %s_init(%s_state *s)\n{\n", e.upper, e.name, e.name)
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
