package steps

import (
	"fmt"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/spec"
)

// unknownUnit is that of a value of which nothing is known since its step is wrong. It fits everywhere.
const unknownUnit = "?"

func isUnknown(unit string) bool { return strings.Contains(unit, unknownUnit) }

// checkNames reports signals inside steps that outputs, accuracy and formats name and that are not there, and switches
// where a number is expected. Names of steps as such are looked up by package spec.
func checkNames(s *spec.Spec, kinds map[string]*Kind, known map[string]bool, found *finding.List) {
	check := func(name, path string, pos finding.Pos) {
		step, _, dotted := strings.Cut(name, ".")
		k := kinds[step]
		if k == nil {
			return // no step, or one that is reported already
		}
		f := finding.Finding{Pos: pos, Severity: finding.Error, Key: path}
		switch {
		case dotted && !known[name]:
			f.Rule, f.Message, f.Remedy = "unknown-signal", fmt.Sprintf("a step of kind %s has no signal %s", k.Name, name), step
			var good []string
			for _, sig := range k.Signals {
				good = append(good, step+"."+sig)
			}
			if len(good) > 0 {
				f.Remedy = nearestOr(name, good, step+", or "+strings.Join(good, ", "))
			}
		case path != "" && (k.IsSwitch || dotted):
			f.Rule, f.Message, f.Remedy = "switch-as-number", fmt.Sprintf("%s is a switch, which is never rounded", name), "leave it out"
		default:
			return
		}
		found.Add(f)
	}
	for _, a := range s.Accuracy {
		check(a.Name, "accuracy."+a.Name, a.Pos)
	}
	for _, f := range s.Formats {
		check(f.Name, "formats."+f.Name, f.Pos)
	}
	for _, o := range s.Outputs {
		if step, _, dotted := strings.Cut(o.From, "."); dotted && kinds[step] != nil && !known[o.From] {
			check(o.From, "outputs."+o.Name+".from", o.FromPos)
		}
	}
}

// checkAccuracy reports accuracies in another unit than that of their signal; those of outputs are read with their units by package spec.
func (l *Lowering) checkAccuracy() {
	for _, a := range l.spec.Accuracy {
		s, ok := l.signals[a.Name]
		if !ok || s.isBool || isUnknown(s.unit) {
			continue
		}
		isOutput := slices.ContainsFunc(l.spec.Outputs, func(o spec.Output) bool { return o.Name == a.Name })
		add := func(rule, remedy, format string, args ...any) {
			l.findings.Add(finding.Finding{Pos: a.MaxPos, Severity: finding.Error, Rule: rule, Key: "accuracy." + a.Name, Message: fmt.Sprintf(format, args...), Remedy: remedy})
		}
		switch unit := a.Max.Unit; {
		case !isOutput && unit == "" && s.unit != "":
			add("missing-unit", decimal(a.Max.Number)+" "+s.unit, "expected a number with its unit, found %s", decimal(a.Max.Number))
		case !isOutput && (unit == "count" || unit == "counts"):
			add("wrong-unit", "the error in "+orNone(s.unit), "%s is no output, and only outputs have raw counts", a.Name)
		case unit != "" && unit != s.unit:
			add("unit-mismatch", a.Max.ChangeIn(s.unit), "the unit is %s, that of %s is %s", unit, a.Name, orNone(s.unit))
		}
	}
}

// sets tells whether the step has the key.
func sets(s *spec.Spec, step, key string) bool {
	st := s.Step(step)
	return st != nil && st.Arg(key) != nil
}

// warnUnused names steps that no output needs, through other steps or at once: they are no part of what is emitted.
func warnUnused(s *spec.Spec, kinds map[string]*Kind, found *finding.List) {
	needed := map[string]bool{}
	var need func(name string)
	need = func(name string) {
		step, _, _ := strings.Cut(name, ".")
		st := s.Step(step)
		if st == nil || needed[step] {
			return
		}
		needed[step] = true
		for _, r := range references(st, kinds[step]) {
			need(r.name)
		}
	}
	read := map[string]bool{}
	for _, o := range s.Outputs {
		need(o.From)
		read[o.From] = true
	}
	for i := range s.Steps {
		for _, r := range references(&s.Steps[i], kinds[s.Steps[i].Name]) {
			read[r.name] = true
		}
	}
	for _, in := range s.Inputs {
		if !read[in.Name] {
			found.Add(finding.Finding{Pos: in.Pos, Severity: finding.Warning, Rule: "unused-input", Key: "inputs." + in.Name,
				Message: "no step reads this input, and no output: it is handed in at every tick for nothing",
				Remedy:  "a step that reads it, or take it out"})
		}
	}
	for _, st := range s.Steps {
		if !needed[st.Name] {
			found.Add(finding.Finding{Pos: st.Pos, Severity: finding.Warning, Rule: "unused-step", Key: "steps." + st.Name,
				Message: "no output needs this step, and no code is made of it",
				Remedy:  "an output from it or from a step that reads it, or take it out"})
		}
	}
}
