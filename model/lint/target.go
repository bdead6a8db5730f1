package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// targetOutOfReach tells of targets of a PID that what it measures never reaches, or that its sensor is not believed at.
func targetOutOfReach(l *linter, say teller) {
	for s, sec := range l.Asked.Sections {
		if sec.Kind != "pid" || l.Spec.Text(sec.Name, "around") == "circle" { // where a target is any angle
			continue
		}
		q, err := spec.ParseQuantity(l.Spec.Text(sec.Name, "target"))
		if err != nil { // a signal
			continue
		}
		name := l.Spec.Text(sec.Name, "measured")
		measured, ok := l.valueOf(name)
		if !ok {
			continue
		}
		key, op := "steps."+sec.Name+".target", l.Asked.Ops[measured]
		near := l.Declared[measured]
		if q.Number.Cmp(near.Lo) < 0 || q.Number.Cmp(near.Hi) > 0 {
			say(s, finding.Error, key, targetMeant(q, near, op.Unit),
				strings.TrimSpace(fmt.Sprintf("the target is %.6g, and %s lies in [%.6g, %.6g] %s as long as inputs keep their declared ranges: it is never reached", f64(q.Number), name, f64(near.Lo), f64(near.Hi), op.Unit)))
			continue
		}
		l.targetBelieved(s, q, name, key, op.Unit, say)
	}
}

// targetMeant is what a target outside a range is most likely in, or that it must lie inside.
func targetMeant(q spec.Quantity, in interval.Range, unit string) string {
	otherwise := fmt.Sprintf("target: (a value in [%.6g, %.6g]); or a wider range of the input that it is measured by, where its register holds that", f64(in.Lo), f64(in.Hi))
	if q.Unit != "" { // written, and right
		unit = q.Unit
	}
	for _, from := range []string{"K", "degF", "mm", "cm", "rad", "deg", "mV"} {
		if x, ok := si.Value(f64(q.Number), from, unit); ok && from != unit && q.Unit == "" && x > f64(in.Lo) && x < f64(in.Hi) {
			return fmt.Sprintf("target: %.10g %s, if %.6g is in %s; or %s", x, unit, f64(q.Number), from, otherwise)
		}
	}
	return otherwise
}

// targetBelieved warns of a target at which the check that lets the controller work switches it off.
func (l *linter) targetBelieved(section int, q spec.Quantity, measured, key, unit string, say teller) {
	check := l.enabledBy(l.Asked.Sections[section].Name, "enable")
	if check == nil {
		return
	}
	of := l.Spec.Text(check.Name, "of")
	if of != l.sourceOf(measured) {
		return
	}
	lo, hi, ok := l.believed(check)
	if !ok || q.Number.Cmp(lo) > 0 && q.Number.Cmp(hi) < 0 {
		return
	}
	where := "outside"
	if q.Number.Cmp(lo) == 0 || q.Number.Cmp(hi) == 0 {
		where = "at the edge of"
	}
	say(section, finding.Warning, key, targetMeant(q, interval.Range{Lo: lo, Hi: hi}, unit),
		strings.TrimSpace(fmt.Sprintf("the target is %.6g, %s the range [%.6g, %.6g] %s in which %s believes %s: near it the controller is switched off", f64(q.Number), where, f64(lo), f64(hi), unit, check.Name, of)))
}

// enabledBy finds the check of a sensor that a step's switch comes from, through other switches too.
func (l *linter) enabledBy(step, key string) *spec.Step {
	for range l.Spec.Steps { // each at most once
		name := strings.TrimSuffix(strings.TrimSuffix(l.Spec.Text(step, key), " rises"), " falls")
		next := l.stepNamed(name)
		switch {
		case next == nil:
			return nil
		case next.Kind == "plausible":
			return next
		}
		step, key = name, "when"
	}
	return nil
}

// sourceOf is the input that a signal comes from through steps that leave its level as it is.
func (l *linter) sourceOf(name string) string {
	for range l.Spec.Steps {
		s := l.stepNamed(name)
		if s == nil || s.Kind != "low_pass" && s.Kind != "clamp" && s.Kind != "hold" && s.Kind != "second_order" {
			break
		}
		name = l.Spec.Text(name, "of")
	}
	return name
}

// valueOf is the real value of a signal.
func (l *linter) valueOf(name string) (program.ID, bool) {
	for _, sec := range l.Asked.Sections {
		for _, sig := range sec.Signals {
			if sig.Name == name {
				return sig.Value, true
			}
		}
	}
	return program.None, false
}

func (l *linter) stepNamed(name string) *spec.Step {
	for i := range l.Spec.Steps {
		if l.Spec.Steps[i].Name == name {
			return &l.Spec.Steps[i]
		}
	}
	return nil
}

// believed is the range of a check of a sensor: its own, or the declared one of its input.
func (l *linter) believed(check *spec.Step) (lo, hi *big.Rat, ok bool) {
	for _, a := range check.Args {
		if a.Key == "range" && len(a.Value.Items) == 2 {
			from, err := spec.ParseQuantity(a.Value.Items[0].Text)
			to, errTo := spec.ParseQuantity(a.Value.Items[1].Text)
			return from.Number, to.Number, err == nil && errTo == nil
		}
	}
	for _, in := range l.Spec.Inputs {
		if in.Name == l.Spec.Text(check.Name, "of") && in.Lo != nil {
			return in.Lo, in.Hi, true
		}
	}
	return nil, nil, false
}
