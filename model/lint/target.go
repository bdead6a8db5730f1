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

// targetOutOfReach tells of targets of a controller that what it measures never reaches, or that its sensor is not believed at.
func targetOutOfReach(l *linter, say teller) {
	for s, sec := range l.Asked.Sections {
		c := sec.Facts.Control
		if c == nil || c.Circle || c.Measured == program.None || c.Target == program.None || l.Asked.Ops[c.Target].Kind != program.Const {
			continue
		}
		target, near, op := l.Asked.Ops[c.Target].K, l.Declared[c.Measured], &l.Asked.Ops[c.Measured]
		told := aim{target, c.InUnit, op.Unit}
		if key := sec.Key() + ".target"; target.Cmp(near.Lo) < 0 || target.Cmp(near.Hi) > 0 {
			say(s, finding.Error, key, told.meant(near), strings.TrimSpace(fmt.Sprintf("the target is %.6g, and %s lies in [%.6g, %.6g] %s as long as inputs keep their declared ranges: it is never reached",
				f64(target), l.Asked.SignalOf(c.Measured), f64(near.Lo), f64(near.Hi), op.Unit)))
		} else {
			l.targetBelieved(s, told, say)
		}
	}
}

// aim is a target that is a number: in a unit, which the spec says with it or not.
type aim struct {
	number *big.Rat
	inUnit bool
	unit   string
}

// meant is what a target outside a range is most likely in, or that it must lie inside.
func (t aim) meant(in interval.Range) string {
	otherwise := fmt.Sprintf("target: (a value in [%.6g, %.6g]); or a wider range of the input that it is measured by, where its register holds that", f64(in.Lo), f64(in.Hi))
	if t.inUnit { // and right
		return otherwise
	}
	for _, from := range []string{"K", "degF", "mm", "cm", "rad", "deg", "mV"} {
		if x, ok := si.Value(f64(t.number), from, t.unit); ok && from != t.unit && x > f64(in.Lo) && x < f64(in.Hi) {
			return fmt.Sprintf("target: %.10g %s, if %.6g is in %s; or %s", x, t.unit, f64(t.number), from, otherwise)
		}
	}
	return otherwise
}

// targetBelieved warns of a target at which the check that lets the controller work switches it off.
func (l *linter) targetBelieved(section int, t aim, say teller) {
	p := l.Asked
	check, name := checkBehind(p, section)
	level := p.Sections[section].Facts.Control.Measured
	for above := p.Sections[p.Ops[level].Section].Facts.Level; above != nil; above = p.Sections[p.Ops[level].Section].Facts.Level {
		level = *above
	}
	if check == nil || check.Of != level || t.number.Cmp(check.Lo) > 0 && t.number.Cmp(check.Hi) < 0 {
		return
	}
	where := "outside"
	if t.number.Cmp(check.Lo) == 0 || t.number.Cmp(check.Hi) == 0 {
		where = "at the edge of"
	}
	say(section, finding.Warning, p.Sections[section].Key()+".target", t.meant(interval.Range{Lo: check.Lo, Hi: check.Hi}),
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
