package lint

import (
	"fmt"
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
)

// limitOutOfReach tells of outputs that can never reach a limit.
func limitOutOfReach(l *linter, say teller) {
	for i, o := range l.Asked.Outputs {
		op := l.Asked.Ops[o.Value]
		r := l.Reach[o.Value]
		if spec := l.Spec.Outputs; len(spec) == 0 || op.Kind != program.Scale {
			continue
		}
		declared := false
		for _, so := range l.Spec.Outputs {
			declared = declared || so.Name == o.Name && so.Lo != nil
		}
		if o.Turned {
			r = r.Neg() // the raw count is turned, the limits are not
		}
		if v := l.Integer.Ops[l.Integer.Outputs[i].Value]; v.Lo == v.Hi && o.Lo.Cmp(o.Hi) < 0 {
			say(op.Section, finding.Warning, "outputs."+o.Name, "more counts_per_unit, or larger gains or limits upstream",
				fmt.Sprintf("the output is always %d counts: one count is %.5g %s, and what it comes from reaches [%.5g, %.5g]", v.Lo, f64(o.LSB), o.Unit, f64(r.Lo), f64(r.Hi)))
			continue
		}
		slack := new(big.Rat).Mul(o.LSB, big.NewRat(2, 1))
		for _, side := range []struct {
			name, end   string
			limit, gets *big.Rat
			short       bool
		}{{"upper", "most", o.Hi, r.Hi, new(big.Rat).Add(r.Hi, slack).Cmp(o.Hi) < 0}, {"lower", "least", o.Lo, r.Lo, new(big.Rat).Sub(r.Lo, slack).Cmp(o.Lo) > 0}} {
			if declared && side.short {
				remedy := "larger gains or limits upstream"
				if lo, hi := insideCounts(interval.Range{Lo: interval.Max(r.Lo, o.Lo), Hi: interval.Min(r.Hi, o.Hi)}, o.LSB); lo.Cmp(hi) < 0 {
					remedy = fmt.Sprintf("limits: [%s, %s], which it reaches, or ", program.Outward(lo, false), program.Outward(hi, true)) + remedy
				}
				say(op.Section, finding.Warning, "outputs."+o.Name+".limits", remedy,
					fmt.Sprintf("the output can never reach its %s limit %.5g %s: it gets to %.5g at %s", side.name, f64(side.limit), o.Unit, f64(side.gets), side.end))
			}
		}
	}
}

// insideCounts is a range drawn in to whole counts.
func insideCounts(r interval.Range, count *big.Rat) (lo, hi *big.Rat) {
	whole, _ := r.Scale(new(big.Rat).Inv(count)).Whole()
	whole = whole.Scale(count)
	return whole.Lo, whole.Hi
}
