package steps

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/spec"
)

// Number reads a quantity in the given unit (written or left out); fallback stands for a missing key.
func (l *Lowering) Number(key, unit string, fallback *big.Rat) *big.Rat {
	a := l.arg(key)
	if a == nil {
		if fallback == nil {
			return new(big.Rat)
		}
		return fallback
	}
	return l.quantity(a.Value, key, unit)
}

func (l *Lowering) quantity(v spec.Value, key, unit string) *big.Rat {
	q, ok := l.parse(v, key, "not-a-number", "a number", "0.5", func(u string) bool { return u == "" || u == unit || isUnknown(unit) }, unit)
	if ok && q.Unit != "" && q.Unit != unit && !isUnknown(unit) {
		remedy := q.In(unit)
		if p := l.kind.param(key); p != nil && p.Tunable || key == "gain" { // a gain in degC has no zero of its own
			remedy = q.ChangeIn(unit)
		}
		l.fail(v.Pos, key, "unit-mismatch", remedy, "the unit is %s, %s is expected", q.Unit, orNone(unit))
		if meant, err := spec.ParseQuantity(remedy); err == nil {
			return meant.Number // nothing more is said of what is good once it is converted
		}
	}
	return q.Number
}

// parse reads a number with or without a unit, and says what is wrong with another text in the words of package spec.
// fits tells in which units a remedy may be, unit is one of them.
func (l *Lowering) parse(v spec.Value, key, rule, what, sample string, fits func(unit string) bool, unit string) (spec.Quantity, bool) {
	none := spec.Quantity{Number: new(big.Rat)}
	if v.Shape != spec.Scalar {
		l.fail(v.Pos, key, rule, key+": "+sample, "%s stands here, %s is expected", shown(v), what)
		return none, false
	}
	q, err := spec.ParseQuantity(v.Text)
	var t *spec.TextError
	if name := strings.TrimPrefix(v.Text, "-"); err != nil && spec.IsName(name) && len(l.spec.Constants) > 0 {
		l.fail(v.Pos, key, "unknown-constant", strings.TrimSuffix(v.Text, name)+l.constantMeant(name), "%s is no constant, %s is expected", name, what)
		return none, false
	}
	if errors.As(err, &t) {
		l.fail(v.Pos, key, rule, t.For(fits, unit).Remedy, "%s", t.Message)
		return none, false
	}
	return q, true
}

// constantMeant is the constant that a name most likely stands for.
func (l *Lowering) constantMeant(name string) string {
	var names []string
	for _, c := range l.spec.Constants {
		names = append(names, c.Name)
	}
	return nearestOr(name, names, strings.TrimPrefix(oneOf(names, "a number, or the name of a constant"), "one of "))
}

func shown(v spec.Value) string {
	switch v.Shape {
	case spec.List:
		return fmt.Sprintf("a list of %d", len(v.Items))
	case spec.Map:
		return "a map"
	}
	return fmt.Sprintf("%q", v.Text)
}

// Limits reads [low, high] in the given unit.
func (l *Lowering) Limits(key, unit string) (lo, hi *big.Rat) {
	a := l.arg(key)
	if a == nil {
		return nil, nil
	}
	if a.Value.Shape != spec.List || len(a.Value.Items) != 2 {
		l.fail(a.Value.Pos, key, "not-limits", key+": "+cmp.Or(spec.Span(a.Value), "[low, high]"), "%s stands here, two numbers are expected", shown(a.Value))
		return big.NewRat(-1, 1), big.NewRat(1, 1)
	}
	before := len(*l.findings)
	lo, hi = l.quantity(a.Value.Items[0], key, unit), l.quantity(a.Value.Items[1], key, unit)
	if lo.Cmp(hi) >= 0 {
		if len(*l.findings) == before {
			l.fail(a.Value.Pos, key, "range-upside-down", fmt.Sprintf("%s: [%s, %s]", key, decimal(hi), decimal(lo)), "the low end %s is not below the high end %s", decimal(lo), decimal(hi))
		}
		return big.NewRat(-1, 1), big.NewRat(1, 1)
	}
	return lo, hi
}

// seconds is what the units of time are worth; ticks are worth a period.
var seconds = map[string]*big.Rat{"": big.NewRat(1, 1), "s": big.NewRat(1, 1), "ms": big.NewRat(1, 1000), "us": big.NewRat(1, 1_000_000), "min": big.NewRat(60, 1)}

func isTime(unit string) bool { return seconds[unit] != nil || unit == "tick" || unit == "ticks" }

func isFrequency(unit string) bool { return unit == "" || unit == "Hz" || unit == "kHz" }

// Seconds reads a time: a number of seconds, ms, us, min or ticks.
func (l *Lowering) Seconds(key string) *big.Rat {
	v := l.arg(key).Value
	one := big.NewRat(1, 1)
	q, ok := l.parse(v, key, "not-a-time", "a time", "50 ms", isTime, "s")
	if !ok {
		return one
	}
	unit := seconds[q.Unit]
	if q.Unit == "tick" || q.Unit == "ticks" {
		unit = new(big.Rat).Inv(l.spec.Rate)
	}
	switch {
	case (q.Unit == "Hz" || q.Unit == "kHz") && l.kind.param("cutoff") != nil:
		l.fail(v.Pos, key, "not-a-time", "cutoff: "+v.Text, "%s is a frequency, a time is expected", v.Text)
	case q.Unit == "Hz" || q.Unit == "kHz":
		hertz := new(big.Rat).Set(q.Number)
		if q.Unit == "kHz" {
			hertz.Mul(hertz, big.NewRat(1000, 1))
		}
		remedy := key + ": 50 ms"
		if f, _ := hertz.Float64(); f > 0 {
			remedy = fmt.Sprintf("%s: %.4g ms, the time constant of a corner at %s", key, 1000/(2*math.Pi*f), v.Text)
		}
		l.fail(v.Pos, key, "not-a-time", remedy, "%s is a frequency, a time is expected", v.Text)
	case unit == nil:
		l.fail(v.Pos, key, "not-a-time", fmt.Sprintf("%s: %s, or another of ms, us, min, ticks", key, spec.Quantity{Number: new(big.Rat).Abs(q.Number), Unit: q.Unit}.ChangeIn("s")), "the unit is %s, one of time is expected", q.Unit)
	case q.Number.Sign() <= 0:
		l.fail(v.Pos, key, "not-a-time", key+": 50 ms", "the time is %s, a time above zero is expected", v.Text)
	default:
		if q.Unit == "" {
			l.warn(v.Pos, key, "time-without-unit", fmt.Sprintf("%s: %s s", key, v.Text), "%s is taken as seconds", v.Text)
		}
		return new(big.Rat).Mul(q.Number, unit)
	}
	return one
}

// Ticks reads a time as a whole number of the step's runs: of ticks, where it runs at each.
func (l *Lowering) Ticks(key string, most int64) int64 {
	before := len(*l.findings)
	n := new(big.Rat).Quo(l.Seconds(key), l.Period())
	if len(*l.findings) > before {
		return 1
	}
	if !n.IsInt() || n.Cmp(big.NewRat(most, 1)) > 0 {
		f, _ := n.Float64()
		next := int64(min(max(f+0.5, 1), float64(most)))
		if plain, err := spec.ParseQuantity(l.arg(key).Value.Text); err == nil && plain.Unit == "" && plain.Number.IsInt() && plain.Number.Cmp(big.NewRat(most, 1)) <= 0 {
			next = plain.Number.Num().Int64() // a number alone is in seconds, and ticks were meant
		}
		if every := int64(l.clock.Ticks()); every > 1 {
			l.fail(l.argPos(key), key, "not-whole-ticks", fmt.Sprintf("%s: %d ticks", key, next*every), "this is %s runs of a step that runs every %d ticks, a whole number up to %d is expected", decimal(n), every, most)
			return 1
		}
		l.fail(l.argPos(key), key, "not-whole-ticks", fmt.Sprintf("%s: %d ticks", key, next), "this is %s ticks, a whole number up to %d is expected", decimal(n), most)
		return 1
	}
	return n.Num().Int64()
}

// Hertz reads a frequency above zero.
func (l *Lowering) Hertz(key string) *big.Rat {
	v := l.arg(key).Value
	one := big.NewRat(1, 1)
	q, ok := l.parse(v, key, "not-a-frequency", "a frequency", "5 Hz", isFrequency, "Hz")
	if !ok {
		return one
	}
	unit := map[string]*big.Rat{"": one, "Hz": one, "kHz": big.NewRat(1000, 1)}[q.Unit]
	switch {
	case unit == nil && l.kind.param("time_constant") != nil && seconds[q.Unit] != nil:
		l.fail(v.Pos, key, "not-a-frequency", "time_constant: "+v.Text, "%s is a time, a frequency is expected", v.Text)
	case q.Unit == "rad/s":
		f, _ := q.Number.Float64()
		l.fail(v.Pos, key, "not-a-frequency", fmt.Sprintf("%s: %.4g Hz", key, math.Abs(f)/(2*math.Pi)), "the unit is rad/s, Hz or kHz is expected")
	case unit == nil:
		l.fail(v.Pos, key, "not-a-frequency", fmt.Sprintf("%s: %s", key, spec.Quantity{Number: new(big.Rat).Abs(q.Number), Unit: q.Unit}.ChangeIn("Hz")), "the unit is %s, Hz or kHz is expected", q.Unit)
	case q.Number.Sign() <= 0:
		l.fail(v.Pos, key, "not-a-frequency", key+": 5 Hz", "the frequency is %s, a frequency above zero is expected", v.Text)
	default:
		return new(big.Rat).Mul(q.Number, unit)
	}
	return one
}

// Word reads one of the key's choices; the first is the default.
func (l *Lowering) Word(key string) string {
	p := l.kind.param(key)
	a := l.arg(key)
	if a == nil {
		return p.Choices[0]
	}
	if slices.Contains(p.Choices, a.Value.Text) {
		return a.Value.Text
	}
	l.fail(a.Value.Pos, key, "unknown-word", wordMeant(a.Value.Text, p.Choices), "%s is not known here, expected one of %s", shown(a.Value), strings.Join(p.Choices, ", "))
	return p.Choices[0]
}

// otherWords are names that practitioners have for the words of a key.
var otherWords = map[string]string{"bandstop": "notch", "band_stop": "notch", "band_reject": "notch", "lp": "low_pass", "hp": "high_pass", "bp": "band_pass", "bell": "peaking", "peak": "peaking",
	"shortest": "circle", "wrap": "circle", "true": "circle", "parallel": "standard", "isa": "standard", "sample": "tick"}

func wordMeant(text string, choices []string) string {
	if other := otherWords[spec.Plain(text)]; slices.Contains(choices, other) {
		return other
	}
	return nearestOr(spec.Plain(text), choices, strings.Join(choices, " or "))
}
