package spec

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"

	"gainwright/model/finding"
)

// RawRange returns the smallest and largest count of a raw type, or two zeros where it is none.
func RawRange(raw string) (lo, hi int64) {
	if raw == "bool" {
		return 0, 1
	}
	name, unsigned := strings.CutPrefix(raw, "u")
	bits, ok := map[string]uint{"int8": 8, "int16": 16, "int32": 32}[name]
	switch {
	case !ok || raw == "uint32":
		return 0, 0
	case unsigned:
		return 0, 1<<bits - 1
	}
	return -1 << (bits - 1), 1<<(bits-1) - 1
}

// sayText reports a text that ParseNumber or ParseQuantity refused.
func (r *reader) sayText(e entry, rule string, err error) {
	var t *TextError
	if errors.As(err, &t) {
		r.sayValue(e, rule, t.Remedy, "%s", t.Message)
	}
}

// sayQuantity reports a text that ParseQuantity refused; a remedy is in the unit wanted or in another that fits.
func (r *reader) sayQuantity(e entry, rule string, err error, fits func(unit string) bool, unit string) {
	var t *TextError
	if errors.As(err, &t) {
		r.sayText(e, rule, t.For(fits, unit))
	}
}

// asNumber returns a number and reports anything else.
func (r *reader) asNumber(e entry, want, sample string) (*big.Rat, bool) {
	text, ok := r.asText(e, want, sample)
	if !ok {
		return nil, false
	}
	x, err := ParseNumber(text)
	if err != nil {
		r.sayText(e, "bad-number", err)
		return nil, false
	}
	return x, true
}

// asSpan returns a range [lo, hi] of numbers. They may carry the unit given, which may be empty.
func (r *reader) asSpan(e entry, unit, sample string) (lo, hi *big.Rat, ok bool) {
	switch {
	case e.value.Shape == Refused:
		return nil, nil, false
	case nothing(e.value):
		r.say(e, "missing-value", e.key+": "+sample, "nothing stands behind the key; expected a range [low, high]")
		return nil, nil, false
	case e.value.Shape != List:
		remedy := cmp.Or(Span(e.value), sample)
		if x, err := ParseNumber(e.value.Text); err == nil && x.Sign() > 0 && strings.HasPrefix(e.path, "tuning.") {
			remedy = "[0, " + e.value.Text + "]" // the range of a gain does not turn the loop round
		}
		if e.value.Shape == Map && len(e.value.Pairs) == 1 && unit == "" { // effort: {kp: [0, 60]} below tuning
			remedy = e.key + "." + e.value.Pairs[0].Key + ": and its range, in one"
		}
		r.sayValue(e, "wrong-shape", remedy, "expected a range [low, high], found %s", shapeName(e.value))
		return nil, nil, false
	case len(e.value.Items) != 2:
		r.sayValue(e, "wrong-shape", cmp.Or(Span(e.value), sample), "expected two numbers [low, high], found a list of %d", len(e.value.Items))
		return nil, nil, false
	}
	var ends [2]*big.Rat
	ok = true
	for i := range ends {
		item := entry{path: e.path + "[" + strconv.Itoa(i+1) + "]", pos: e.value.Items[i].Pos, value: e.value.Items[i]}
		good := false
		if ends[i], good = r.asEnd(item, unit, "a number", "a number"); !good {
			ok = false
		}
	}
	if !ok {
		return nil, nil, false
	}
	first, second := e.value.Items[0].Text, e.value.Items[1].Text
	switch ends[0].Cmp(ends[1]) {
	case 1:
		r.sayValue(e, "range-upside-down", "["+second+", "+first+"]", "the low end %s is above the high end %s", first, second)
		return nil, nil, false
	case 0:
		r.sayValue(e, "range-empty", "two different numbers, the low one first", "both ends are %s; expected a low and a high end", first)
		return nil, nil, false
	}
	return ends[0], ends[1], true
}

// rangeOf makes a range of the outer ones of some numbers, or returns the sample.
func rangeOf(texts []string, sample string) string {
	if len(texts) >= 2 {
		first, last := texts[0], texts[len(texts)-1]
		lo, errLo := ParseNumber(first)
		hi, errHi := ParseNumber(last)
		if errLo == nil && errHi == nil && lo.Cmp(hi) < 0 {
			return "[" + first + ", " + last + "]"
		}
	}
	return sample
}

// asEnd reads a number that may carry the unit given, such as one end of a range.
func (r *reader) asEnd(e entry, unit, want, sample string) (*big.Rat, bool) {
	text, ok := r.asText(e, want, sample)
	if !ok {
		return nil, false
	}
	q, err := ParseQuantity(text)
	if err != nil {
		r.sayQuantity(e, "bad-number", err, func(u string) bool { return u == "" || u == unit }, unit)
		return nil, false
	}
	if q.Unit != "" && q.Unit != unit {
		number := strings.Fields(text)[0]
		if unit == "" {
			r.sayValue(e, "wrong-unit", number, "expected a number without a unit, found %s", quote(text))
		} else {
			r.sayValue(e, "wrong-unit", q.In(unit), "expected a number in %s, the unit given beside it, found %s", unit, quote(text))
		}
		return nil, false
	}
	return q.Number, true
}

// InUnits returns the smallest and largest value that a raw type can say: raw / countsPerUnit + offset.
func InUnits(raw string, countsPerUnit, offset *big.Rat) (lo, hi *big.Rat) {
	a, b := RawRange(raw)
	lo, hi = new(big.Rat).SetInt64(a), new(big.Rat).SetInt64(b)
	for _, x := range []*big.Rat{lo, hi} {
		x.Quo(x, countsPerUnit).Add(x, offset)
	}
	if lo.Cmp(hi) > 0 {
		lo, hi = hi, lo
	}
	return lo, hi
}

// checkWithin reports a range that asks for more than the raw type can say. Wider is a raw type that could, if any.
func (r *reader) checkWithin(e entry, rule string, lo, hi, least, most *big.Rat, unit, wider string, because []string) bool {
	if lo.Cmp(least) >= 0 && hi.Cmp(most) <= 0 {
		return true
	}
	// An end that is good stays as the author wrote it.
	first, second := strings.Fields(e.value.Items[0].Text)[0], strings.Fields(e.value.Items[1].Text)[0]
	ends := []string{first, second}
	if lo.Cmp(least) < 0 {
		ends[0] = inward(least, true)
	}
	if hi.Cmp(most) > 0 {
		ends[1] = inward(most, false)
	}
	remedy := "[" + ends[0] + ", " + ends[1] + "]"
	if lo.Cmp(most) >= 0 || hi.Cmp(least) <= 0 {
		remedy = "[" + inward(least, true) + ", " + inward(most, false) + "], or a range inside it"
	}
	if wider != "" {
		remedy += ", or raw: " + wider
	}
	r.fault(finding.Finding{Pos: e.value.Pos, Rule: rule, Key: e.path, Because: because, Remedy: remedy,
		Message: strings.TrimSpace(fmt.Sprintf("[%s, %s] is asked for; the raw type holds [%s, %s] %s", first, second,
			inward(least, true), inward(most, false), unit))})
	return false
}

// inward writes a number in decimal with five digits or, where it is a whole one, with all of them. Rounding
// goes up or down as told, so that a range made of such texts stays inside the true one.
func inward(x *big.Rat, up bool) string {
	if x.IsInt() && len(x.Num().String()) <= 16 {
		return x.Num().String()
	}
	f, _ := x.Float64()
	decimals := 4 - int(math.Floor(math.Log10(math.Abs(f))))
	scale := new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(max(decimals, -decimals))), nil))
	if decimals < 0 {
		scale.Inv(scale)
	}
	scaled := new(big.Rat).Mul(x, scale)
	count := new(big.Int).Div(scaled.Num(), scaled.Denom()) // towards minus infinity: denominators are positive
	if up && !scaled.IsInt() {
		count.Add(count, big.NewInt(1))
	}
	if decimals > 15 || decimals < -11 {
		return count.String() + "e" + strconv.Itoa(-decimals)
	}
	text := new(big.Rat).Quo(new(big.Rat).SetInt(count), scale).FloatString(max(decimals, 0))
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}
