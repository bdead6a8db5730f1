package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// shareLevel is 0 for a share of a range that passes, 1 for one that is warned of, 2 for one that is refused.
func shareLevel(share *big.Rat) int {
	switch {
	case share.Cmp(uselessRounding) > 0:
		return 2
	case share.Cmp(largeRounding) > 0:
		return 1
	}
	return 0
}

var severities = [...]finding.Severity{finding.Note, finding.Warning, finding.Error}

// whole judges what reaches a signal from the raw inputs on: what is told of a step is not told again of those behind it, unless it is worse there.
type whole struct {
	l       *linter
	of      map[program.ID]int // bounds by value
	outputs map[string]*spec.Output
	rounded map[program.ID]int // worst level told, at the value or before it
	drifted map[program.ID]int // the same against the constants as asked
}

// judgeWhole holds the bounds from the raw inputs on, and those against the constants as asked, against the range of each signal. own is the
// level that was told of the step itself, by bound.
func (l *linter) judgeWhole(outputs map[string]*spec.Output, own []int) {
	w := whole{l, map[program.ID]int{}, outputs, map[program.ID]int{}, map[program.ID]int{}}
	for i, b := range l.Roundings {
		w.of[l.Integer.Sections[b.Section].Signals[b.Signal].Value] = i
	}
	for i := range l.Roundings {
		w.judge(i, own[i])
	}
}

func (w *whole) judge(i, own int) {
	l, b := w.l, w.l.Roundings[i]
	sec := &l.Integer.Sections[b.Section]
	sig := sec.Signals[b.Signal]
	op := &l.Integer.Ops[sig.Value]
	before, drift := own, 0
	for _, id := range sec.Inputs {
		before, drift = max(before, w.rounded[id]), max(drift, w.drifted[id])
	}
	w.rounded[sig.Value], w.drifted[sig.Value] = before, max(before, drift)
	if real := l.Reach[op.Real]; b.Local == nil || op.Bool || real.Lo.Cmp(real.Hi) == 0 || sec.Role == program.Inputs {
		return
	}
	var o *spec.Output
	free := new(big.Rat) // the spec's own choice
	if sec.Role == program.Stage {
		if o = w.outputs[sig.Name]; o != nil {
			free.Mul(op.LSB, big.NewRat(1, 2))
			free.Abs(free)
		}
	}
	r := l.rangeOf(op, o)
	span := new(big.Rat).Sub(r.Hi, r.Lo)
	if span.Sign() <= 0 {
		return
	}
	held := func(bound *big.Rat) (more, share *big.Rat, level int) {
		more = new(big.Rat).Sub(bound, free)
		share = new(big.Rat).Quo(more, span)
		if level = shareLevel(share); level > 0 {
			if name, _ := l.coarse(op.Unit, span, more); name != "" {
				level = 0 // within a count that the spec chose, which is told of where it was chosen
			}
		}
		return more, share, level
	}
	say := func(rule string, level int, said, remedy string, because ...string) {
		l.found.Add(finding.Finding{Pos: l.place(b.Section), Severity: severities[level], Rule: rule, Key: l.key(b.Section), Message: said, Because: because, Remedy: remedy})
	}
	reaches, by := b.Chain, "from the raw inputs on"
	if reaches == nil {
		if reaches, by = w.passed(b.Section, op.Unit); reaches != nil {
			by = "of " + by
		}
	}
	if reaches != nil {
		if more, share, level := held(reaches); level > before {
			w.rounded[sig.Value], w.drifted[sig.Value] = level, level
			say("rounding-large", level, "rounding "+by+" is bounded by "+compared(more, share, r, sig.Name, op.Unit), w.smaller(b.Section, o, share), w.origin(b.Section))
		}
	}
	if b.Asked == nil || w.drifted[sig.Value] > 0 {
		return
	}
	more, share, level := held(new(big.Rat).Sub(b.Asked, l.limitsMoved(b.Section, op.Unit)))
	if level == 0 {
		return
	}
	w.drifted[sig.Value] = level
	worst, off := w.constant(b.Section)
	wide := w.unlimited(b.Section, sig.Value)
	because, remedy := []string{off}, ""
	if shareLevel(new(big.Rat).Quo(more, wide)) == 0 {
		because = append(because, fmt.Sprintf("the bound holds where raw inputs jump across all that they can hold, too: without limits that is %.2g times this range", f64(new(big.Rat).Quo(wide, span))))
		remedy = w.smaller(b.Section, o, share)
	} else if remedy = l.storedBetter(worst); share.Cmp(big.NewRat(1, 1)) >= 0 {
		because = append(because, "slow filters behind others make the bound wide: gainwright verify measures what is seen of it")
	}
	// A bound that says nothing is no fault of the controller: constants that change what it does are told as such, and differences as large as this
	// need not exist. So it is never refused.
	say("constants-large", 1, "rounding of constants takes it from the controller as asked by at most "+compared(more, share, r, sig.Name, op.Unit), remedy, because...)
}

// compared holds a bound against a range in words. No difference is larger than the range: a bound that is says nothing.
func compared(bound, share *big.Rat, r interval.Range, name, unit string) string {
	text := strings.TrimSpace(fmt.Sprintf("%.4g %s", f64(bound), unit)) + " at " + name
	in := strings.TrimSpace(fmt.Sprintf("[%.5g, %.5g] %s", f64(r.Lo), f64(r.Hi), unit))
	if share.Cmp(big.NewRat(1, 1)) >= 0 {
		return text + ", which says nothing: no difference is larger than its range " + in
	}
	return fmt.Sprintf("%s, %.2g %% of its range %s", text, 100*f64(share), in)
}
