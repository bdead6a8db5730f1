package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/si"
)

// targetOutOfReach tells of targets of a controller that what it measures never keeps, or that its sensor is not believed at.
func targetOutOfReach(l *linter, say teller) {
	p := l.Asked
	for s, sec := range p.Sections {
		c := sec.Facts.Control
		if c == nil || c.Circle || c.Measured == program.None || c.Target == program.None {
			continue
		}
		rest := level(p, c.Measured, func(f program.Facts) bool { return f.Lag != nil || f.Biquad != nil }) // filters come to rest where their input is, whatever they start at
		near, target, op := l.Declared[rest], l.Declared[c.Target], &p.Ops[c.Measured]
		told, said := aim{target.Lo, c.InUnit, op.Unit}, fmt.Sprintf("the target is %.6g", f64(target.Lo))
		isNumber := p.Ops[c.Target].Kind == program.Const
		if !isNumber {
			told.inUnit, said = true, fmt.Sprintf("the target %s lies in [%.6g, %.6g]", p.SignalOf(c.Target), f64(target.Lo), f64(target.Hi))
		}
		if target.Hi.Cmp(near.Lo) < 0 || target.Lo.Cmp(near.Hi) > 0 {
			severity := finding.Warning // a target that moves may be elsewhere, and a filter swings beyond where it comes to rest
			if isNumber && !l.Declared[c.Measured].Holds(target) {
				severity = finding.Error
			}
			remedies := append(told.meant(near), fmt.Sprintf("target: (a value in [%.6g, %.6g])", f64(near.Lo), f64(near.Hi)), "a wider range of the input that it is measured by, where its register holds that")
			say(s, severity, sec.Key()+".target", strings.Join(remedies, "; or "), strings.TrimSpace(fmt.Sprintf("%s, and %s comes to rest in [%.6g, %.6g] %s as long as inputs keep their declared ranges: it is never kept",
				said, p.SignalOf(c.Measured), f64(near.Lo), f64(near.Hi), op.Unit)))
		} else if isNumber {
			l.targetBelieved(s, told, say)
		}
	}
}

// level is the signal whose level another keeps, through sections of which that is asked.
func level(p *program.Real, of program.ID, through func(f program.Facts) bool) program.ID {
	for f := p.Sections[p.Ops[of].Section].Facts; f.Level != nil && through(f); f = p.Sections[p.Ops[of].Section].Facts {
		of = *f.Level
	}
	return of
}

// aim is a target that is a number: in a unit, which the spec says with it or not.
type aim struct {
	number *big.Rat
	inUnit bool
	unit   string
}

// meant lists what a target outside a range may be in, the likeliest first.
func (t aim) meant(in interval.Range) (meant []string) {
	for _, from := range []string{"degC", "K", "degF", "mm", "cm", "rad", "deg", "mV"} {
		if x, ok := si.Value(f64(t.number), from, t.unit); ok && !t.inUnit && from != t.unit && x > f64(in.Lo) && x < f64(in.Hi) {
			meant = append(meant, fmt.Sprintf("target: %.10g %s, if %.6g is in %s", x, t.unit, f64(t.number), from))
		}
	}
	return meant
}

// targetBelieved warns of a target at which the check that lets the controller work switches it off.
func (l *linter) targetBelieved(section int, t aim, say teller) {
	p := l.Asked
	check, name := checkBehind(p, section)
	if check == nil || check.Of != level(p, p.Sections[section].Facts.Control.Measured, func(program.Facts) bool { return true }) || t.number.Cmp(check.Lo) > 0 && t.number.Cmp(check.Hi) < 0 {
		return
	}
	where := "outside"
	if t.number.Cmp(check.Lo) == 0 || t.number.Cmp(check.Hi) == 0 {
		where = "at the edge of"
	}
	remedies := append([]string{fmt.Sprintf("target: (a value between %.6g and %.6g)", f64(check.Lo), f64(check.Hi)), "at the step " + name + ", a range that reaches further"}, t.meant(interval.Range{Lo: check.Lo, Hi: check.Hi})...)
	say(section, finding.Warning, p.Sections[section].Key()+".target", strings.Join(remedies, "; or "),
		strings.TrimSpace(fmt.Sprintf("the target is %.6g, %s the range [%.6g, %.6g] %s in which %s believes %s: near it the controller is switched off",
			f64(t.number), where, f64(check.Lo), f64(check.Hi), t.unit, name, p.SignalOf(check.Of))))
}

// checkBehind finds the check of a sensor that a section's switch comes from, through other switches too, and its name.
func checkBehind(p *program.Real, section int) (*program.Check, string) {
	for gate := p.Sections[section].Facts.Gate; gate != nil && *gate != program.None; {
		if p.Ops[*gate].Section == section {
			break
		}
		section = p.Ops[*gate].Section
		of := p.Sections[section]
		if of.Facts.Check != nil {
			return of.Facts.Check, of.Name
		}
		gate = of.Facts.Gate
	}
	return nil, ""
}
