package lint

import (
	"cmp"
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/model/scale"
)

// passed is the largest rounding of a signal before a step that reaches it as it is, limited or held at most, in its unit; nil: there is none. By a
// step whose bound from the raw inputs is known, what came before it is in that bound.
func (w *whole) passed(section int, unit string) (most *big.Rat, from string) {
	if !w.l.Integer.Sections[section].Facts.Passes {
		return nil, ""
	}
	for _, id := range w.l.Integer.Sections[section].Inputs {
		i, known := w.of[id]
		if !known || w.l.Integer.Ops[id].Unit != unit {
			continue
		}
		b := w.l.Roundings[i]
		name := w.l.Integer.Sections[b.Section].Signals[b.Signal].Name
		if b.Chain == nil {
			if r, by := w.passed(b.Section, unit); r != nil && (most == nil || r.Cmp(most) > 0) {
				most, from = r, by
			}
			b.Chain = b.Local
		}
		if b.Chain != nil && (most == nil || b.Chain.Cmp(most) > 0) {
			most, from = b.Chain, name
		}
	}
	return most, from
}

// origin tells which signal brings most to a step, and how much of its own range that is.
func (w *whole) origin(section int) string {
	var name, unit string
	var most, share *big.Rat
	for _, id := range w.l.Integer.Sections[section].Inputs {
		i, known := w.of[id]
		if !known {
			continue
		}
		b := w.l.Roundings[i]
		r := cmp.Or(b.Chain, b.Local)
		op := &w.l.Integer.Ops[id]
		span := new(big.Rat).Mul(big.NewRat(op.Hi, 1), op.LSB)
		span.Abs(span.Sub(span, new(big.Rat).Mul(big.NewRat(op.Lo, 1), op.LSB)))
		if r == nil || r.Sign() == 0 || span.Sign() == 0 {
			continue
		}
		if s := new(big.Rat).Quo(r, span); share == nil || s.Cmp(share) > 0 {
			name, unit, most, share = w.l.Integer.Sections[b.Section].Signals[b.Signal].Name, op.Unit, r, s
		}
	}
	if share == nil {
		return "what comes in is exact: it is the step's own"
	}
	return fmt.Sprintf("%s is up to %s off, %.2g %% of all that it can reach: gains and narrower limits make that more", name, strings.TrimSpace(fmt.Sprintf("%.4g %s", f64(most), unit)), 100*f64(share))
}

// before lists a section and those that lead to it.
func (w *whole) before(section int) map[int]bool {
	out := map[int]bool{}
	var visit func(s int)
	visit = func(s int) {
		if out[s] {
			return
		}
		out[s] = true
		for _, id := range w.l.Integer.Sections[s].Inputs {
			if i, known := w.of[id]; known {
				visit(w.l.Roundings[i].Section)
			}
		}
	}
	visit(section)
	return out
}

// constant names the constant that rounding changes most, of a step and of those before it.
func (w *whole) constant(section int) (most *scale.Constant, text string) {
	before := w.before(section)
	worst := 0.0
	text = "the constants of the steps before it are stored exactly"
	for i := range w.l.Constants {
		c := &w.l.Constants[i]
		if !before[c.Section] || c.Asked.Sign() == 0 || c.Limit != nil {
			continue
		}
		if off := math.Abs(f64(new(big.Rat).Quo(new(big.Rat).Sub(c.Stored, c.Asked), c.Asked))); off > worst {
			worst, most, text = off, c, fmt.Sprintf("of the constants on the way %s is the furthest off: %.6g where %.6g is asked, %.2g %%", c.Name, f64(c.Stored), f64(c.Asked), 100*off)
		}
	}
	return most, text
}
