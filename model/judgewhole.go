package model

import (
	"fmt"
	"math"
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

// rangeOf is what the rounding of a signal is held against, in units: of an output its limits, else what inputs in their declared ranges lead to.
func (u *Unit) rangeOf(op *program.Op, o *spec.Output) interval.Range {
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

// whole judges what reaches a signal from the raw inputs on: what is told of a step is not told again of those behind it, unless it is worse there.
type whole struct {
	u       *Unit
	of      map[program.ID]int // bounds by value
	outputs map[string]*spec.Output
	rounded map[program.ID]int // worst level told, at the value or before it
	drifted map[program.ID]int // the same against the constants as asked
}

// judgeWhole holds the bounds from the raw inputs on, and those against the constants as asked, against the range of each signal. own is the
// level that was told of the step itself, by bound.
func (u *Unit) judgeWhole(outputs map[string]*spec.Output, own []int) {
	w := whole{u, map[program.ID]int{}, outputs, map[program.ID]int{}, map[program.ID]int{}}
	for i, b := range u.Bounds {
		w.of[u.Integer.Sections[b.Section].Signals[b.Signal].Value] = i
	}
	for i := range u.Bounds {
		w.judge(i, own[i])
	}
}

func (w *whole) judge(i, own int) {
	u, b := w.u, w.u.Bounds[i]
	sec := &u.Integer.Sections[b.Section]
	sig := sec.Signals[b.Signal]
	op := &u.Integer.Ops[sig.Value]
	before, drift := own, 0
	for _, id := range sec.Inputs {
		before, drift = max(before, w.rounded[id]), max(drift, w.drifted[id])
	}
	w.rounded[sig.Value], w.drifted[sig.Value] = before, max(before, drift)
	if real := u.reach[op.Real]; b.Local == nil || op.Bool || real.Lo.Cmp(real.Hi) == 0 || sec.Kind == "inputs" {
		return
	}
	var o *spec.Output
	free := new(big.Rat) // the spec's own choice
	if sec.Kind == "output" {
		if o = w.outputs[sig.Name]; o != nil {
			free.Mul(op.LSB, big.NewRat(1, 2))
			free.Abs(free)
		}
	}
	r := u.rangeOf(op, o)
	span := new(big.Rat).Sub(r.Hi, r.Lo)
	if span.Sign() <= 0 {
		return
	}
	held := func(bound *big.Rat) (more, share *big.Rat, level int) {
		more = new(big.Rat).Sub(bound, free)
		share = new(big.Rat).Quo(more, span)
		if level = shareLevel(share); level > 0 {
			if name, _ := u.coarse(op.Unit, span, more); name != "" {
				level = 0 // within a count that the spec chose, which is told of where it was chosen
			}
		}
		return more, share, level
	}
	say := func(rule string, level int, said, remedy string, because ...string) {
		u.Findings.Add(finding.Finding{Pos: u.place(b.Section), Severity: severities[level], Rule: rule, Key: u.key(b.Section), Message: said, Because: because, Remedy: remedy})
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
	more, share, level := held(new(big.Rat).Sub(b.Asked, u.limitsMoved(b.Section, op.Unit)))
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
	} else if remedy = u.storedBetter(worst); share.Cmp(big.NewRat(1, 1)) >= 0 {
		because = append(because, "slow filters behind others make the bound wide: gainwright verify measures what is seen of it")
	}
	// A bound that says nothing is no fault of the controller: constants that change what it does are told as such, and differences as large as this
	// need not exist. So it is never refused.
	say("constants-large", 1, "rounding of constants takes it from the controller as asked by at most "+compared(more, share, r, sig.Name, op.Unit), remedy, because...)
}

// storedBetter says what makes a constant exact, or keeps it better.
func (u *Unit) storedBetter(c *Constant) string {
	if c == nil {
		return "smaller limits or raw ranges before it"
	}
	sec := u.Asked.Sections[c.Section]
	switch pull := strings.HasSuffix(c.Name, "_pull"); {
	case sec.Kind == "second_order":
		return u.coefficientsRemedy(sec.Name) + ", at the step " + sec.Name
	case (sec.Kind == "low_pass" || sec.Kind == "complementary") && pull:
		kept := new(big.Rat).Sub(big.NewRat(1, 1), c.Stored) // a whole number of counts of 2^-n: n decimals say it
		return fmt.Sprintf("blend: %s at the step %s, which is stored exactly", strings.TrimRight(kept.FloatString(kept.Denom().BitLen()), "0"), sec.Name)
	case c.Given:
		return fmt.Sprintf("%.9g for %s, as it is stored", f64(c.Stored), strings.Replace(c.Name, sec.Name+"_", sec.Name+".", 1))
	}
	return "smaller limits or raw ranges before it"
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

// limitsMoved is how far limits of outputs are stored inside those declared, at a step: that is told of on its own.
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

// unlimited is the span that a signal would have without the limits of its step and those of an output.
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

// passed is the largest rounding of a signal before a step that reaches it as it is, limited or held at most, in its unit; nil: there is none. By a
// step whose bound from the raw inputs is known, what came before it is in that bound.
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

// coarse names the output or input whose counts, in a unit, are few in a span, where a bound is within one of them: a choice of the spec.
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

// origin tells which signal brings most to a step, and how much of its own range that is.
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

// before lists a section and those that lead to it.
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

// constant names the constant that rounding changes most, of a step and of those before it.
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

// smaller says what brings a share of a range down to what passes: formats go by powers of two, so what rounding becomes may be twice what is hoped for.
func (w *whole) smaller(section int, o *spec.Output, share *big.Rat) string {
	n := 2 * f64(new(big.Rat).Quo(share, largeRounding))
	digit := math.Pow(10, math.Floor(math.Log10(n))-1)
	n = math.Ceil(n/digit) * digit
	text := fmt.Sprintf("gains, limits or raw ranges before it %.6g times smaller", n)
	switch {
	case o == nil || o.Lo != nil:
		text += fmt.Sprintf(", or limits here and behind it %.6g times as wide", n)
	case o.Raw == "int8" && n <= 256:
		text = "raw: int16, or " + text
	case o.Raw == "int8" && n <= 1<<24, o.Raw == "int16" && n <= 1<<16:
		text = "raw: int32, or " + text
	}
	if before := w.before(section); n >= 64 {
		for i, in := range w.u.Spec.Inputs {
			for s, sec := range w.u.Integer.Sections {
				for _, id := range sec.Inputs {
					if op := &w.u.Integer.Ops[id]; in.Raw == "int32" && before[s] && op.Kind == program.Input && op.Index == i {
						return "raw: int16 at the input " + in.Name + ", or " + text
					}
				}
			}
		}
	}
	return text
}
