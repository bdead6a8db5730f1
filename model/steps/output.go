package steps

import (
	"fmt"
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// lowerOutput makes the section of one output: least effort, limits, and the raw count.
func (l *Lowering) lowerOutput(o *spec.Output) {
	l.prefix, l.unit, l.clock = o.Name, o.Unit, program.Clock{}
	from, ok := l.checkSource(o)
	if !ok {
		return
	}
	lsb := new(big.Rat).Inv(new(big.Rat).Abs(o.CountsPerUnit))
	l.section = len(l.p.Sections)
	sec := program.Section{Name: o.Name, Role: program.Stage, Kind: "output", Facts: program.Facts{Passes: true}, Line: o.Pos.Line, Sentence: "Output stage: the effort limited and rounded to whole counts.",
		Equation: fmt.Sprintf("%s = round(%s * %s), limited", o.Name, o.From, decimal(o.CountsPerUnit))}
	lo, hi := spec.InUnits(o.Raw, o.CountsPerUnit, new(big.Rat))
	if o.Lo != nil {
		lo, hi = o.Lo, o.Hi
	}
	key := "outputs." + o.Name + ".limits"
	limits := span{lo, hi, lsb, [2]string{key, key}}
	l.checkInside(limits, o.LimitsPos, key)
	y := from.id
	if o.LeastEffort != nil {
		sec.Sentence = "Output stage: a motor that stands still below its least effort gets at least that, or nothing; limited and rounded to whole counts."
		sec.Equation = fmt.Sprintf("0 below half a count of %s; else its sign * (least + |%s| * (limit - least)/limit), limited and rounded", o.From, o.From)
	}
	l.p.Sections = append(l.p.Sections, sec)
	y = l.clamp(y, limits, "limited", "inside the output's limits")
	if o.LeastEffort != nil {
		inside := y
		half := new(big.Rat).Quo(lsb, big.NewRat(2, 1))
		side := func(limit *big.Rat, role string, sign int64) program.ID {
			least := new(big.Rat).Mul(o.LeastEffort, big.NewRat(sign, 1))
			share := new(big.Rat).Quo(new(big.Rat).Sub(limit, least), limit)
			scaled := l.Scale(share, inside, o.Unit, role+"_share", "what is left above the least effort")
			return l.Add(scaled, l.Const(least, o.Unit, role+"_least"), role, "least effort and the share")
		}
		zero := l.Const(new(big.Rat), o.Unit, "rest")
		y = zero
		if lo.Sign() < 0 {
			back := l.Logic(program.LessEqual, "is_back", "backward by half a count or more", inside, l.Const(new(big.Rat).Neg(half), o.Unit, "back_half"))
			y = l.Select(back, side(lo, "back", -1), y, "back_or_rest", "backward, or rest")
		}
		if hi.Sign() > 0 {
			fore := l.Logic(program.LessEqual, "is_fore", "forward by half a count or more", l.Const(half, o.Unit, "fore_half"), inside)
			y = l.Select(fore, side(hi, "fore", 1), y, "driven", "least effort added")
		}
		y = l.clamp(y, limits, "held", "inside the output's limits")
	}
	if o.CountsPerUnit.Sign() < 0 {
		y = l.Scale(big.NewRat(-1, 1), y, o.Unit, "turned", "turned round: counts_per_unit is negative")
	}
	id := l.Scale(big.NewRat(1, 1), y, o.Unit, "count", "raw count handed out")
	for i := range l.p.Ops { // limited in counts of the output: converted afterwards, a limit at the end of the raw type could leave it
		if op := &l.p.Ops[i]; op.Section == l.section && !op.Bool {
			op.Base = lsb
		}
	}
	s := &l.p.Sections[l.section]
	s.Signals = append(s.Signals, program.Signal{Name: o.Name, Value: id})
	l.p.Outputs = append(l.p.Outputs, program.Output{Name: o.Name, Unit: o.Unit, Type: rawTypes[o.Raw], LSB: lsb, Value: id, Lo: lo, Hi: hi, Turned: o.CountsPerUnit.Sign() < 0})
}

// checkSource looks up the signal that an output comes from; ok is false where there is none that it can take.
func (l *Lowering) checkSource(o *spec.Output) (from signal, ok bool) {
	from, ok = l.signals[o.From]
	if !ok {
		return from, false // said by package spec
	}
	say := func(pos finding.Pos, rule, remedy, format string, args ...any) {
		l.findings.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: "outputs." + o.Name, Message: fmt.Sprintf(format, args...), Remedy: remedy})
	}
	if from.isBool {
		say(o.FromPos, "switch-as-number", l.fitting("a step that yields a number", func(s signal) bool { return !s.isBool && s.unit == o.Unit }), "%s is a switch, an output takes a number", o.From)
		return from, false
	}
	if from.unit != o.Unit && !isUnknown(from.unit) {
		remedy := "unit: " + from.unit
		if from.unit == "" {
			remedy = fmt.Sprintf("unit: %s, at the step %s", o.Unit, o.From)
		}
		say(o.FromPos, "unit-mismatch", remedy, "the unit of %s is %s, that of the output is %s", o.From, orNone(from.unit), orNone(o.Unit))
	}
	return from, true
}
