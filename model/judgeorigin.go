package model

import (
	"fmt"
	"math"
	"math/big"
	"strings"
)

func (w *whole) passed(section int, unit string) (most *big.Rat, from string) {
	switch w.u.Integer.Sections[section].Kind {
	case "output", "clamp", "hold", "sum":
	default:
		return nil, ""
	}
	for _, id := range w.u.Integer.Sections[section].Inputs {
		i, known := w.of[id]
		if !known || w.u.Integer.Ops[id].Unit != unit {
			continue
		}
		b := w.u.Bounds[i]
		name := w.u.Integer.Sections[b.Section].Signals[b.Signal].Name
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

func (w *whole) origin(section int) string {
	var name, unit string
	var most, share *big.Rat
	for _, id := range w.u.Integer.Sections[section].Inputs {
		i, known := w.of[id]
		if !known {
			continue
		}
		b := w.u.Bounds[i]
		r := b.Chain
		if r == nil {
			r = b.Local
		}
		op := &w.u.Integer.Ops[id]
		span := new(big.Rat).Mul(big.NewRat(op.Hi, 1), op.LSB)
		span.Abs(span.Sub(span, new(big.Rat).Mul(big.NewRat(op.Lo, 1), op.LSB)))
		if r == nil || r.Sign() == 0 || span.Sign() == 0 {
			continue
		}
		if s := new(big.Rat).Quo(r, span); share == nil || s.Cmp(share) > 0 {
			name, unit, most, share = w.u.Integer.Sections[b.Section].Signals[b.Signal].Name, op.Unit, r, s
		}
	}
	if share == nil {
		return "what comes in is exact: it is the step's own"
	}
	return fmt.Sprintf("%s is up to %s off, %.2g %% of all that it can reach: gains and narrower limits make that more", name, strings.TrimSpace(fmt.Sprintf("%.4g %s", f64(most), unit)), 100*f64(share))
}

func (w *whole) before(section int) map[int]bool {
	out := map[int]bool{}
	var visit func(s int)
	visit = func(s int) {
		if out[s] {
			return
		}
		out[s] = true
		for _, id := range w.u.Integer.Sections[s].Inputs {
			if i, known := w.of[id]; known {
				visit(w.u.Bounds[i].Section)
			}
		}
	}
	visit(section)
	return out
}

func (w *whole) constant(section int) (most *Constant, text string) {
	before := w.before(section)
	worst := 0.0
	text = "the constants of the steps before it are stored exactly"
	for i := range w.u.Constants {
		c := &w.u.Constants[i]
		if !before[c.Section] || c.Asked.Sign() == 0 || c.Limit != nil {
			continue
		}
		if off := math.Abs(f64(new(big.Rat).Quo(new(big.Rat).Sub(c.Stored, c.Asked), c.Asked))); off > worst {
			worst, most, text = off, c, fmt.Sprintf("of the constants on the way %s is the furthest off: %.6g where %.6g is asked, %.2g %%", c.Name, f64(c.Stored), f64(c.Asked), 100*off)
		}
	}
	return most, text
}
