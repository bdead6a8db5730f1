package c

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gainwright/gen/contract"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// setters writes one function a live gain, and those that choose among the three sets of coefficients; it
// is empty where no gain is live.
func (e *emitter) setters() string {
	if len(e.p.Coefs) == 0 {
		return ""
	}
	var b strings.Builder
	b.Write(render("gains", map[string]any{"Name": e.name, "Set": e.gainsAt("newest")}))
	shared := e.sharedSetter()
	if shared != nil {
		b.WriteByte('\n')
		if small := e.setGainSmall(shared); small != nil {
			b.Write(small)
		} else {
			b.Write(e.setGain(shared))
		}
	}
	for g := range e.p.Gains {
		b.WriteByte('\n')
		e.setter(&b, g, slices.Index(shared, g))
	}
	return b.String()
}

// sharedSetter lists the gains whose setters can be one function with a number: there are two or more, and each is one
// coefficient of 16 bits by arithmetic of 32 bits.
func (e *emitter) sharedSetter() (gains []int) {
	for g := range e.p.Gains {
		switch coefs := e.p.CoefsOf(g); {
		case len(coefs) == 0:
			continue
		case len(coefs) > 1 || e.p.Coefs[coefs[0]].Type.Bits() != 16 || wide(e.p.Coefs[coefs[0]].Setter):
			return nil
		}
		gains = append(gains, g)
	}
	if len(gains) < 2 {
		return nil
	}
	return gains
}

// setGain writes that function.
func (e *emitter) setGain(gains []int) []byte {
	var choose, copies strings.Builder
	lows, short := false, true
	for _, g := range gains {
		k := e.p.Coefs[e.p.CoefsOf(g)[0]].Setter
		lows = lows || k.XLo != 0
		short = short && k.XLo == 0 && k.XHi <= math.MaxUint16
	}
	highType, most := program.I32, "int32_t"
	if short {
		highType, most = program.U16, "uint16_t"
	}
	for n, g := range gains {
		gain, i := e.p.Gains[g], e.p.CoefsOf(g)[0]
		k := e.p.Coefs[i]
		high := e.define(gain.Name+"_high", highType, k.Setter.XHi, "largest setting")
		merge := e.define(k.Name+"_merge", program.Holding(k.Setter.M, k.Setter.M), k.Setter.M, "times the setting")
		less := e.define(k.Name+"_shift", program.I16, int64(k.Setter.Shift-1), "bits less, and one more to the nearest")
		indent, typ := "        ", [...]string{"", "", "", ""}
		if n == 0 {
			indent, typ = "    ", [...]string{"int32_t ", most + " ", "int16_t ", "uint8_t "}
		}
		choose.WriteString(unlessFirst(n))
		if lows {
			low := e.define(gain.Name+"_low", program.I32, k.Setter.XLo, "least setting")
			choose.WriteString(code(indent, typ[0]+"low = "+low+";"))
		}
		choose.WriteString(code(indent, typ[1]+"high = "+high+";") + code(indent, typ[2]+"merge = "+merge+";") + code(indent, typ[3]+"shift = "+less+";"))
		if n > 0 {
			choose.WriteString("    }")
		}
		copies.WriteString(code("    ", fmt.Sprintf("to->%[1]s = gain == %[2]du ? value : from->%[1]s;", e.fields.coef[i].Name, n)))
	}
	limited := "limited"
	choose.WriteString("\n")
	if short {
		limited = "(int32_t)limited"
		choose.WriteString("    const uint16_t limited = x < 0 ? (uint16_t)0 : (x > (int32_t)high ? high : (uint16_t)x);\n")
	} else {
		low := map[bool]string{true: "low", false: "0"}[lows]
		fmt.Fprintf(&choose, "    const int32_t limited = %s(x, %s, high);\n", e.primitive(primitive{form: selection.Clamp, typ: program.I32}), low)
	}
	choose.WriteString("    const int16_t value = (int16_t)((((" + limited + " * (int32_t)merge) >> shift) + 1) >> 1);")
	return render("set_gain", map[string]any{"Name": e.name, "Upper": e.upper, "Choose": choose.String(), "Copy": copies.String(), "Number": numberType(len(gains)), "From": e.gainsAt("latest"), "To": e.gainsAt("spare")})
}

// unlessFirst begins the branch of a gain in a chain of them; what is said of the first one stands before it.
func unlessFirst(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return "    if (gain == 1u) {\n"
	}
	return fmt.Sprintf(" else if (gain == %du) {\n", n)
}

// countsPerUnit gives firmware what one count of a setting is, as a number that no change of the range moves unseen,
// and says its name.
func (e *emitter) countsPerUnit(gain program.Gain, s program.Setter) string {
	if s.Digits > mostDigits {
		return ""
	}
	per := new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(s.Digits)), nil).Int64()
	one := "1"
	if gain.Unit != "" {
		one += " " + contract.Plain(gain.Unit)
	}
	return " " + e.macro(gain.Name+"_counts_per_unit", program.Holding(per, per), per, "settings that make "+one) + " is " + fmt.Sprint(per) + "."
}

// mostDigits is how small a count can be whose inverse fits 64 bits: 10^-18.
const mostDigits = 18

// setter writes the function that sets one live gain; shared is its number in the function that all gains share,
// if not negative.
func (e *emitter) setter(b *strings.Builder, g, shared int) {
	gain := e.p.Gains[g]
	coefs := e.p.CoefsOf(g)
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
	unit := strings.TrimSpace(contract.Exact(first.Step()) + " " + contract.Plain(gain.Unit))
	b.WriteString(blockComment("", []string{
		fmt.Sprintf("Sets %s from the next tick on. x counts %s.%s", contract.Plain(gain.Key), unit, e.countsPerUnit(gain, first)),
		fmt.Sprintf("In:  any x, limited to [%d, %d], which is [%s, %s] %s", first.XLo, first.XHi,
			contract.Decimal(gain.Lo), contract.Decimal(gain.Hi), contract.Plain(gain.Unit)),
		fmt.Sprintf("     %d at start, %s", first.XStart, inUnits(first.XStart, first.Step(), contract.Plain(gain.Unit)))}))
	fmt.Fprintf(b, "static inline void %s_set_%s(%s_state *s, int32_t x)\n{\n", e.name, gain.Name, e.name)
	if shared >= 0 {
		fmt.Fprintf(b, "    %s_set_gain(s, x, %du);\n}\n", e.name, shared)
		return
	}
	low := e.define(gain.Name+"_low", program.I32, first.XLo, "least setting")
	high := e.define(gain.Name+"_high", program.I32, first.XHi, "largest setting")
	taken := newNames(e.globals())
	taken.reserve("s", "x")
	limited := taken.unique("limited")
	fmt.Fprintf(b, "    const int32_t %s = %s(x, %s, %s);\n", limited, e.primitive(primitive{form: selection.Clamp, typ: program.I32}), low, high)
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
		value := fmt.Sprintf("s->gains[%s].%s", latest, e.fields.coef[i].Name)
		if k.Gain == g {
			value = locals[slices.Index(coefs, i)]
		}
		b.WriteString(code("    ", fmt.Sprintf("s->gains[%s].%s = %s;", spare, e.fields.coef[i].Name, value)))
	}
	fmt.Fprintf(b, "    s->ready = %s;\n}\n", spare)
}

// merged is a coefficient from its setting: the gain times the constant it is merged with, in 32 bits where
// they are enough.
func (e *emitter) merged(k program.FixedCoef, setting string) string {
	s := k.Setter
	if !wide(s) {
		m := e.define(k.Name+"_merge", program.I32, s.M, "times the setting")
		return "(" + ctype(k.Type) + ")" + e.primitive(primitive{form: selection.Round, typ: program.I32, to: program.I32, shift: s.Shift}) + "(" + setting + " * " + m + ")"
	}
	text := "(int64_t)" + setting
	if s.M != 1 {
		text += " * " + e.define(k.Name+"_merge", program.I64, s.M, "times the setting")
	}
	if s.Shift == 0 {
		return "(" + ctype(k.Type) + ")(" + text + ")"
	}
	return "(" + ctype(k.Type) + ")" + e.primitive(primitive{form: selection.Round, typ: program.I64, to: program.I64, shift: s.Shift}) + "(" + text + ")"
}

// wide tells whether a setting times its constant, with half of a count added, takes more than 32 bits.
func wide(s program.Setter) bool {
	wide := s.Shift == 0 || s.Shift > 31 || program.Holding(s.M, s.M) == program.I64
	for _, x := range []int64{s.XLo, s.XHi} {
		sum := new(big.Int).Mul(big.NewInt(x), big.NewInt(s.M))
		if s.Shift > 0 {
			sum.Add(sum, new(big.Int).Lsh(big.NewInt(1), s.Shift-1))
		}
		wide = wide || !sum.IsInt64() || program.Holding(sum.Int64(), sum.Int64()) == program.I64
	}
	return wide
}
