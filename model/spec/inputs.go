package spec

import (
	"cmp"
	"fmt"
	"math/big"
	"strings"
)

var inputRaws = []string{"int8", "uint8", "int16", "uint16", "int32", "bool"}

var inputHints = map[string]string{
	"int":    "int16, or as wide as the sensor's register",
	"uint32": "int32, and the number taken as signed",
	"":       "int16, the number as it stands in the sensor's register",
}

const inputSample = "pitch_rate: {raw: int16, unit: deg/s, counts_per_unit: 131}"

func (r *reader) readInputs(f fields) {
	for _, e := range r.section(f, "inputs", inputSample, true) {
		r.declare(e, "input")
		r.readInput(e)
	}
}

func (r *reader) readInput(e entry) {
	e.what = "an input"
	in := Input{Name: e.key, Pos: e.pos}
	defer func() { r.spec.Inputs = append(r.spec.Inputs, in) }()
	sample := e.key + ": {raw: int16, unit: deg/s, counts_per_unit: 131}"
	if e.value.Text == "bool" {
		sample = e.key + ": {raw: bool}"
	}
	f, ok := r.fields(e, sample, "raw", "unit", "counts_per_unit", "offset", "range")
	if !ok {
		return
	}
	r.figures(f, "counts_per_unit", "offset", "range")
	raw, rawGood := r.need(f, "raw", "raw: int16, or another of "+strings.Join(inputRaws, ", "))
	if rawGood {
		in.Raw, rawGood = r.asChoice(raw, "unknown-raw", inputHints, inputRaws...)
	}
	if in.Raw == "bool" {
		r.noneOfSwitch(f)
		return
	}
	if !rawGood && r.nearest(raw.value.Text, inputRaws) == "bool" {
		return // a switch, most likely: it needs no more keys
	}
	in.Unit = r.readUnit(f)
	in.Offset = new(big.Rat)
	if off, ok := f.all["offset"]; ok {
		if x, ok := r.asEnd(off, in.Unit, "the value in units at raw 0", "0"); ok {
			in.Offset = x
		} else {
			rawGood = false // the range cannot be checked
		}
	}
	if cpu, ok := r.need(f, "counts_per_unit", "counts_per_unit: (how many raw counts make one "+cmp.Or(in.Unit, "unit")+": the data sheet of this sensor tells)"); ok {
		in.CountsPerUnit, in.CountsPos = r.readCounts(cpu), cpu.value.Pos
	}
	r.checkCountUnit(f, in.Unit, in.CountsPerUnit)
	span, given := f.all["range"]
	var lo, hi *big.Rat
	spanGood := false
	if given {
		lo, hi, spanGood = r.asSpan(span, in.Unit, "[-1.9, 1.9]")
	}
	if !rawGood || in.CountsPerUnit == nil {
		in.Lo, in.Hi = lo, hi
		return
	}
	least, most := InUnits(in.Raw, in.CountsPerUnit, in.Offset)
	in.Lo, in.Hi = least, most
	if spanGood { // a data sheet says [-2, 2] where the register holds one count less
		count := new(big.Rat).Abs(new(big.Rat).Inv(in.CountsPerUnit))
		lo, hi = upTo(lo, least, count), upTo(hi, most, count)
	}
	if spanGood && r.checkWithin(span, "range-beyond-raw", lo, hi, least, most, in.Unit, "", r.rawFacts(f, in.Raw)) {
		in.Lo, in.Hi = lo, hi
	}
}

// upTo is x, or the end of the register where x is no more than a count beyond it.
func upTo(x, end, count *big.Rat) *big.Rat {
	if d := new(big.Rat).Sub(x, end); d.Abs(d).Cmp(count) <= 0 {
		return end
	}
	return x
}

// noneOfSwitch reports the keys that a boolean input cannot have.
func (r *reader) noneOfSwitch(f fields) {
	for _, key := range []string{"unit", "counts_per_unit", "offset", "range"} {
		if e, ok := f.all[key]; ok {
			r.say(e, "key-of-number", f.of.key+": {raw: bool}", "an input with raw: bool is true or false and has no %s", key)
		}
	}
}

// readUnit reads the unit that every raw number needs.
func (r *reader) readUnit(f fields) string {
	sample := "unit: deg/s, or any short text such as duty or ratio"
	if f.of.what == "an output" {
		sample = "unit: duty, or that of the step it comes from"
	}
	e, ok := r.need(f, "unit", sample)
	if !ok {
		return ""
	}
	text, ok := r.asText(e, "a unit", "deg/s")
	if !ok {
		return ""
	}
	if err := CheckUnit(text); err != nil {
		if unit := strings.ReplaceAll(strings.ReplaceAll(text, " per ", "/"), " ", ""); CheckUnit(unit) == nil {
			r.sayValue(e, "bad-unit", unit, "expected a unit without spaces inside, found %s", quote(text))
			return ""
		}
		r.sayText(e, "bad-unit", err)
		return ""
	}
	if text == "tick" || text == "ticks" {
		r.sayValue(e, "two-meanings", "another word, such as edge for the pulses of an encoder", "%s are calls of the controller everywhere else in a spec", text)
		return ""
	}
	return text
}

// checkCountUnit refuses the unit count where it would not be the raw count: "1 count" would mean two things.
func (r *reader) checkCountUnit(f fields, unit string, countsPerUnit *big.Rat) {
	if (unit == "count" || unit == "counts") && countsPerUnit != nil && countsPerUnit.Cmp(one) != 0 {
		r.sayValue(f.all["unit"], "two-meanings", "another unit, or counts_per_unit: 1",
			"%s stands for raw counts everywhere else in a spec; here counts_per_unit makes it something else", unit)
	}
}

// readCounts reads counts_per_unit; nil where it cannot be used.
func (r *reader) readCounts(e entry) *big.Rat {
	if x, is := fraction(e.value.Text); is && e.value.Shape == Scalar {
		if whole := new(big.Rat).Inv(x); x.Sign() > 0 && x.Cmp(one) < 0 && whole.IsInt() && strings.HasPrefix(strings.TrimSpace(e.value.Text), "1/") {
			r.sayValue(e, "upside-down", whole.Num().String(), "%s is what one count is worth; expected how many counts make one unit", e.value.Text)
			return nil
		}
		return x
	}
	x, ok := r.asNumber(e, "how many raw counts make one unit", "131")
	if ok && x.Sign() == 0 {
		r.sayValue(e, "zero-counts", "how many raw counts make one unit, such as 131", "expected a number other than 0: with 0 counts for one unit all values would have the same raw number")
		return nil
	}
	return x
}

// rawFacts are the reasons for a raw type's range in units.
func (r *reader) rawFacts(f fields, raw string) []string {
	lo, hi := RawRange(raw)
	facts := []string{fmt.Sprintf("%s counts from %d to %d", raw, lo, hi), "counts_per_unit is 1 unless given"}
	if e, ok := f.all["counts_per_unit"]; ok {
		facts[1] = "counts_per_unit is " + e.value.Text
	}
	if e, ok := f.all["offset"]; ok {
		facts = append(facts, "offset is "+e.value.Text)
	}
	return facts
}
