package steps

import (
	"errors"
	"math/big"
	"strings"

	"gainwright/model/program"
	"gainwright/model/spec"
)

var sumKind = &Kind{
	Name:     "sum",
	Doc:      "Adds signals, each times a factor, and an offset: a gain, or the mixing of two efforts to two wheels.",
	Equation: "y = sum of factor * signal + offset, limited",
	Source:   "common practice, no source",
	Units:    "own = offset = limits = unit; own = of unless unit",
	Params: []Param{
		{Key: "of", Form: Terms, Required: true, Doc: "a map from signals to factors, such as {effort: 1, turn: -1}"},
		{Key: "offset", Form: Quantity, Doc: "added to the sum"},
		{Key: "limits", Form: Limits, Doc: "the sum is limited to [low, high]"},
		{Key: "unit", Form: Unit, Doc: "unit of the result, where factors change it"},
	},
	Lower: func(l *Lowering) {
		terms := l.arg("of").Value.Pairs
		if len(terms) == 0 {
			l.fail(l.argPos("of"), "of", "no-terms", "of: {effort: 1}", "the sum has no terms")
			return
		}
		first := l.ref(terms[0].Key, terms[0].Pos, "of")
		unit := first.unit
		if a := l.arg("unit"); a != nil {
			unit = a.Value.Text
		}
		total, text := program.None, ""
		for _, t := range terms {
			s := l.ref(t.Key, t.Pos, "of")
			k := l.factor(t)
			text += " + " + decimal(k) + "*" + t.Key
			if !l.Has("unit") {
				if s.unit != unit && !isUnknown(s.unit) && !isUnknown(unit) {
					l.fail(t.Pos, "of."+t.Key, "unit-mismatch", l.unitOfSum(), "the unit of %s is %s, that of %s is %s", t.Key, orNone(s.unit), terms[0].Key, orNone(unit))
				}
			}
			switch {
			case k.Sign() == 0:
				continue
			case k.Cmp(big.NewRat(1, 1)) == 0 && total == program.None && s.unit == unit:
				total = s.id
			case k.Cmp(big.NewRat(1, 1)) == 0 && s.unit == unit:
				total = l.Add(total, s.id, "sum", "sum so far")
			case k.Cmp(big.NewRat(-1, 1)) == 0 && total != program.None && s.unit == unit:
				total = l.Sub(total, s.id, "sum", "sum so far")
			default:
				term := l.Scale(k, s.id, unit, "of_"+strings.NewReplacer(".", "_", " ", "_").Replace(t.Key), "factor times "+t.Key)
				if total == program.None {
					total = term
				} else {
					total = l.Add(total, term, "sum", "sum so far")
				}
			}
		}
		if total == program.None {
			total = l.Const(new(big.Rat), unit, "nothing")
		}
		if off := l.Number("offset", unit, nil); off.Sign() != 0 {
			text += " + " + decimal(off)
			total = l.Add(total, l.Const(off, unit, "offset"), "shifted", "with the offset")
		}
		if lo, hi := l.Limits("limits", unit); lo != nil {
			text += ", limited"
			total = l.limited(total, lo, hi)
		}
		text = strings.NewReplacer(" + -", " - ", " + 1*", " + ").Replace(text)
		text = strings.ReplaceAll(text, " - 1*", " - ")
		l.Equation("%s = %s", l.step.Name, strings.TrimPrefix(text, " + "))
		l.facts().Passes = true
		l.Publish(total, "", nil)
	},
}

// unitOfSum says what to write where the terms of a sum have several units.
func (l *Lowering) unitOfSum() string {
	for _, o := range l.spec.Outputs {
		if o.From == l.step.Name && o.Unit != "" {
			return "unit: " + o.Unit + ", that of the output " + o.Name + ", beside of, if the factors lead to it"
		}
	}
	return "unit: and the unit of the sum, beside of, if the factors lead to it"
}

func (l *Lowering) factor(t spec.Arg) *big.Rat {
	k, err := spec.ParseNumber(t.Value.Text)
	if t.Value.Shape != spec.Scalar || err != nil {
		remedy := "1"
		var no *spec.TextError
		if errors.As(err, &no) && spec.Reads(no.Remedy) {
			remedy = no.Remedy
		}
		if sign, name := strings.HasPrefix(t.Key, "-"), strings.TrimLeft(t.Key, "+- "); name != t.Key && t.Value.Text == "" {
			remedy = name + ": 1"
			if sign {
				remedy = name + ": -1"
			}
			l.fail(t.Pos, "of."+t.Key, "not-a-number", remedy, "the factor of %s is missing", name)
			return new(big.Rat)
		}
		l.fail(t.Value.Pos, "of."+t.Key, "not-a-number", t.Key+": "+remedy, "%s is no number", shown(t.Value))
		return new(big.Rat)
	}
	return k
}
