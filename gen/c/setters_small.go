package c

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/model/program"
	"gainwright/model/selection"
)

// fewCoefs is how many coefficients a small part has registers for while it makes a set of them.
const fewCoefs = 4

// setGainSmall is the function of all setters as small code has it: nil where it cannot be had. All settings are multiplied
// up to one number of bits, which are then rounded off in one way, by the multiplication that the step has.
func (e *emitter) setGainSmall(gains []int) []byte {
	shift, ok := e.commonShift(gains)
	if e.Prefer != selection.Size || !ok || len(gains) > fewCoefs || len(gains) < len(e.p.Coefs) {
		return nil
	}
	var choose, fetch, change, give strings.Builder
	for n, g := range gains {
		i := e.p.CoefsOf(g)[0]
		k, gain := e.p.Coefs[i], e.p.Gains[g]
		merge := k.Setter.M << (shift - k.Setter.Shift)
		high := e.define(gain.Name+"_high", program.U16, k.Setter.XHi, "largest setting")
		times := e.define(k.Name+"_merge", program.I16, merge, fmt.Sprintf("times the setting, in 1/2^%d", shift))
		field := e.fields.coef[i].Name
		set := "high = " + high + ";"
		if n == 0 {
			choose.WriteString(code("    ", "uint16_t "+set) + code("    ", "int16_t merge = "+times+";"))
		} else {
			choose.WriteString(unlessFirst(n) + code("        ", set) + code("        ", "merge = "+times+";") + "    }")
		}
		fetch.WriteString(code("    ", fmt.Sprintf("int16_t coef_%d = from->%s;", n, field)))
		switch {
		case n == 0:
			change.WriteString("    if (gain == 0u) {\n")
		case n < len(gains)-1:
			fmt.Fprintf(&change, " else if (gain == %du) {\n", n)
		default:
			change.WriteString(" else {\n")
		}
		fmt.Fprintf(&change, "        coef_%d = value;\n    }", n)
		give.WriteString(code("    ", fmt.Sprintf("to->%s = coef_%d;", field, n)))
	}
	product := "(int32_t)limited * (int32_t)merge"
	if name := e.name + "_mul32"; e.Target.Forms && e.calls[name] > 0 {
		e.calls[name]++
		product = e.primitive(primitive{form: selection.Multiply, shape: selection.Long}) + "((int32_t)limited, merge)"
	}
	round := e.primitive(primitive{form: selection.Round, typ: program.I32, to: program.I16, shift: shift})
	return render("set_gain_small", map[string]any{"Name": e.name, "Upper": e.upper, "Choose": choose.String(), "Product": product, "Round": round,
		"Fetch": fetch.String(), "Change": change.String(), "Give": give.String(), "Number": numberType(len(gains)),
		"From": e.gainsAt("latest"), "To": e.gainsAt("spare")})
}

// commonShift is the number of bits that all settings can be multiplied up to, in factors of 16 bits and products, with half a
// count added, of 32. The numbers that come out are the same: both sides of a division are multiplied by a power of two.
func (e *emitter) commonShift(gains []int) (shift uint, ok bool) {
	for _, g := range gains {
		shift = max(shift, e.p.Coefs[e.p.CoefsOf(g)[0]].Setter.Shift)
	}
	for _, g := range gains {
		s := e.p.Coefs[e.p.CoefsOf(g)[0]].Setter
		if s.XLo != 0 || s.XHi > math.MaxUint16 || s.Shift == 0 || shift > 30 {
			return 0, false
		}
		merge := new(big.Int).Lsh(big.NewInt(s.M), shift-s.Shift)
		if !merge.IsInt64() || holding(merge.Int64()) > 16 {
			return 0, false
		}
		most := s.XHi * merge.Int64()
		if holding(most) > 32 || holding(most+1<<(shift-1)) > 32 {
			return 0, false
		}
	}
	return shift, len(gains) > 0
}

// holding is how many bits a number takes.
func holding(v int64) uint { return program.Holding(v, v).Bits() }
