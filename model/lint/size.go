package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// largeRounding and uselessRounding are the shares of a signal's range from which its rounding is warned of, and refused.
var (
	largeRounding   = big.NewRat(1, 100)
	uselessRounding = big.NewRat(1, 10)
)

// fewSteps is how many counts the range of an output has from which on half a count is no more than a hundredth of it.
const fewSteps = 50

// size tells of rounding that is large beside the range of its signal, and of ranges that have few counts.
func (l *linter) size() {
	outputs := map[string]*spec.Output{}
	for i := range l.Spec.Outputs {
		outputs[l.Spec.Outputs[i].Name] = &l.Spec.Outputs[i]
	}
	local := map[string]*big.Rat{}
	told := make([]int, len(l.Roundings))
	for i, b := range l.Roundings {
		sec := &l.Integer.Sections[b.Section]
		sig := sec.Signals[b.Signal]
		local[sig.Name] = b.Local
		op := &l.Integer.Ops[sig.Value]
		if real := l.Reach[op.Real]; b.Local == nil || op.Bool || real.Lo.Cmp(real.Hi) == 0 {
			continue // a signal that never moves has no range to hold it against
		}
		own := new(big.Rat)
		var o *spec.Output
		if sec.Role == program.Stage {
			o = outputs[sig.Name]
		}
		r := l.rangeOf(op, o)
		g := formats.Goal{Name: sig.Name, Section: b.Section, Signal: b.Signal, Want: op.LSB}
		if o != nil {
			own.Mul(op.LSB, big.NewRat(1, 2)) // the count is the spec's own choice, and judged as such
			if from := local[o.From]; from != nil {
				own.Sub(own, from)
			}
			l.judgeCounts(b.Section, o, new(big.Rat).Sub(r.Hi, r.Lo), op)
		}
		told[i] = l.judgeShare(g, new(big.Rat).Sub(b.Local, own), r.Lo, r.Hi, op.Unit)
	}
	l.judgeWhole(outputs, told)
}

// judgeShare holds the rounding of a signal against the range [lo, hi], and returns what level of severity it told.
func (l *linter) judgeShare(g formats.Goal, rounding, lo, hi *big.Rat, unit string) int {
	span := new(big.Rat).Sub(hi, lo)
	if span.Sign() <= 0 {
		return 0
	}
	share := new(big.Rat).Quo(rounding, span)
	level := shareLevel(share)
	if _, sensed := l.coarse(unit, span, rounding); level == 0 || sensed {
		return 0 // within the sensor's own resolution
	}
	limit, more := l.limiting(g, g.Section)
	remedy := "a narrower raw type or range, smaller gains, or fewer counts_per_unit where the signal comes from"
	if more = strings.TrimPrefix(more, "; or "); more != "" {
		remedy = more
	}
	for _, o := range l.Spec.Outputs { // formats are no finer than what comes of them
		count := new(big.Rat).Inv(new(big.Rat).Abs(o.CountsPerUnit))
		if ratio := new(big.Rat).Quo(span, count); o.Unit == unit && ratio.Cmp(big.NewRat(fewSteps, 1)) < 0 {
			if rounding.Cmp(count) <= 0 { // within one of the counts that the spec chose
				level = 1
			}
			limit = fmt.Sprintf("one count of the output %s is %.4g %s, and formats are no finer than that needs", o.Name, f64(count), unit)
			remedy = "more counts_per_unit at the output " + o.Name + ", and a raw type that holds them"
		}
	}
	l.found.Add(finding.Finding{Pos: l.place(g.Section), Severity: severities[level], Rule: "rounding-large", Key: l.key(g.Section), Because: []string{limit},
		Message: strings.TrimSpace(fmt.Sprintf("rounding reaches %.4g %s at %s, %.2g %% of its range [%.5g, %.5g] %s", f64(rounding), unit, g.Name, 100*f64(share), f64(lo), f64(hi), unit)),
		Remedy:  remedy})
	return level
}

// judgeCounts tells of outputs whose own counts are coarse beside their range. An output of two values is a switch. One of fewer counts than make
// a useful range is refused, unless an accuracy says that it is meant to have so few: the places of a valve.
func (l *linter) judgeCounts(section int, o *spec.Output, span *big.Rat, op *program.FixedOp) {
	counts := new(big.Rat).Quo(span, op.LSB)
	if counts.Cmp(big.NewRat(1, 1)) <= 0 || counts.Cmp(big.NewRat(fewSteps, 1)) >= 0 {
		return
	}
	finer := new(big.Rat).Mul(o.CountsPerUnit, big.NewRat(10, 1))
	for counts := new(big.Rat).Mul(counts, big.NewRat(10, 1)); counts.Cmp(big.NewRat(fewSteps, 1)) < 0; counts.Mul(counts, big.NewRat(10, 1)) {
		finer.Mul(finer, big.NewRat(10, 1))
	}
	f := finding.Finding{Pos: l.place(section), Severity: finding.Warning, Rule: "coarse-output", Key: l.key(section),
		Message: fmt.Sprintf("the range of this output has %.4g counts: half a count, which rounding to it takes, is %.2g %% of it", f64(counts), 50/f64(counts)),
		Remedy:  "counts_per_unit: " + program.Outward(finer, true) + ", or as many as the actuator can tell apart"}
	if share := new(big.Rat).Inv(new(big.Rat).Mul(counts, big.NewRat(2, 1))); share.Cmp(uselessRounding) > 0 {
		if want := formats.Wanted(l.Spec, &l.Integer.Frame, o.Name); want == nil || want.Cmp(new(big.Rat).Mul(op.LSB, big.NewRat(1, 2))) < 0 {
			f.Severity = finding.Error
			f.Remedy += "; or, where it has so few places by design, under accuracy " + o.Name + ": 1 count"
		}
	}
	l.found.Add(f)
}
