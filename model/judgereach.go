package model

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
)

func (u *Unit) rangeOf(op *program.FixedOp, o *spec.Output) interval.Range {
	all := interval.Range{Lo: new(big.Rat).Mul(big.NewRat(op.Lo, 1), op.LSB), Hi: new(big.Rat).Mul(big.NewRat(op.Hi, 1), op.LSB)}
	if o != nil {
		if o.Lo != nil {
			return interval.Range{Lo: o.Lo, Hi: o.Hi}
		}
		return all
	}
	near := u.declared[op.Real]
	lo, hi := interval.Max(all.Lo, near.Lo), interval.Min(all.Hi, near.Hi)
	if lo.Cmp(hi) >= 0 {
		return all
	}
	return interval.Range{Lo: lo, Hi: hi}
}

func (u *Unit) limitsMoved(section int, unit string) *big.Rat {
	most := new(big.Rat)
	for _, c := range u.Constants {
		if c.Limit == nil || c.Unit != unit || c.Section > section {
			continue
		}
		if d := new(big.Rat).Sub(c.Stored, c.Asked); d.Abs(d).Cmp(most) > 0 {
			most = d
		}
	}
	return most
}

func (w *whole) unlimited(section int, value program.ID) *big.Rat {
	real := w.u.Integer.Ops[value].Real
	most := w.u.reach[real].Hi
	most = new(big.Rat).Sub(most, w.u.reach[real].Lo)
	unit := w.u.Integer.Ops[value].Unit
	wider := func(span *big.Rat) {
		if span.Cmp(most) > 0 {
			most = span
		}
	}
	for i := range w.u.Asked.Ops {
		if op := &w.u.Asked.Ops[i]; int(op.Section) == section && op.Kind == program.Clamp {
			if r := w.u.reach[op.Args[0]]; w.u.Asked.Ops[op.Args[0]].Unit == unit {
				wider(new(big.Rat).Sub(r.Hi, r.Lo))
			}
		}
	}
	switch w.u.Integer.Sections[section].Kind {
	case "output", "clamp":
		for _, id := range w.u.Integer.Sections[section].Inputs {
			if i, known := w.of[id]; known && w.u.Integer.Ops[id].Unit == unit {
				wider(w.unlimited(w.u.Bounds[i].Section, id))
			}
		}
	}
	return most
}

func (u *Unit) coarse(unit string, span, bound *big.Rat) (name string, sensed bool) {
	few := func(countsPerUnit *big.Rat, of string) bool {
		if of != unit || countsPerUnit == nil {
			return false
		}
		count := new(big.Rat).Inv(new(big.Rat).Abs(countsPerUnit))
		return bound.Cmp(count) <= 0 && new(big.Rat).Quo(span, count).Cmp(big.NewRat(fewSteps, 1)) < 0
	}
	for _, o := range u.Spec.Outputs {
		if few(o.CountsPerUnit, o.Unit) {
			return o.Name, false
		}
	}
	for _, in := range u.Spec.Inputs {
		if in.Raw != "bool" && few(in.CountsPerUnit, in.Unit) {
			return in.Name, true
		}
	}
	return "", false
}
