package lint

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// rangeOf is what the rounding of a signal is held against, in units: of an output its limits, else what inputs in their declared ranges lead to.
func (l *linter) rangeOf(op *program.FixedOp, o *spec.Output) interval.Range {
	all := interval.Range{Lo: new(big.Rat).Mul(big.NewRat(op.Lo, 1), op.LSB), Hi: new(big.Rat).Mul(big.NewRat(op.Hi, 1), op.LSB)}
	if o != nil {
		if o.Lo != nil {
			return interval.Range{Lo: o.Lo, Hi: o.Hi}
		}
		return all
	}
	near := l.Declared[op.Real]
	lo, hi := interval.Max(all.Lo, near.Lo), interval.Min(all.Hi, near.Hi)
	if lo.Cmp(hi) >= 0 {
		return all
	}
	return interval.Range{Lo: lo, Hi: hi}
}

// limitsMoved is how far limits of outputs are stored inside those declared, at a step: that is told of on its own.
func (l *linter) limitsMoved(section int, unit string) *big.Rat {
	most := new(big.Rat)
	for _, c := range l.Constants {
		if c.Limit == nil || c.Unit != unit || c.Section > section {
			continue
		}
		if d := new(big.Rat).Sub(c.Stored, c.Asked); d.Abs(d).Cmp(most) > 0 {
			most = d
		}
	}
	return most
}

// unlimited is the span that a signal would have without the limits of its step and those of an output.
func (w *whole) unlimited(section int, value program.ID) *big.Rat {
	real := w.l.Integer.Ops[value].Real
	most := w.l.Reach[real].Hi
	most = new(big.Rat).Sub(most, w.l.Reach[real].Lo)
	unit := w.l.Integer.Ops[value].Unit
	wider := func(span *big.Rat) {
		if span.Cmp(most) > 0 {
			most = span
		}
	}
	for i := range w.l.Asked.Ops {
		if op := &w.l.Asked.Ops[i]; int(op.Section) == section && op.Kind == program.Clamp {
			if r := w.l.Reach[op.Args[0]]; w.l.Asked.Ops[op.Args[0]].Unit == unit {
				wider(new(big.Rat).Sub(r.Hi, r.Lo))
			}
		}
	}
	if sec := w.l.Integer.Sections[section]; sec.Role == program.Stage || sec.Facts.Passes && sec.Facts.Level != nil {
		for _, id := range w.l.Integer.Sections[section].Inputs {
			if i, known := w.of[id]; known && w.l.Integer.Ops[id].Unit == unit {
				wider(w.unlimited(w.l.Roundings[i].Section, id))
			}
		}
	}
	return most
}

// coarse names the output or input whose counts, in a unit, are few in a span, where a bound is within one of them: a choice of the spec.
func (l *linter) coarse(unit string, span, bound *big.Rat) (name string, sensed bool) {
	few := func(countsPerUnit *big.Rat, of string) bool {
		if of != unit || countsPerUnit == nil {
			return false
		}
		count := new(big.Rat).Inv(new(big.Rat).Abs(countsPerUnit))
		return bound.Cmp(count) <= 0 && new(big.Rat).Quo(span, count).Cmp(big.NewRat(fewSteps, 1)) < 0
	}
	for _, o := range l.Spec.Outputs {
		if few(o.CountsPerUnit, o.Unit) {
			return o.Name, false
		}
	}
	for _, in := range l.Spec.Inputs {
		if in.Raw != "bool" && few(in.CountsPerUnit, in.Unit) {
			return in.Name, true
		}
	}
	return "", false
}
