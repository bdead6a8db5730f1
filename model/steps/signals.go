package steps

import (
	"fmt"
	"sort"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// ref looks up a signal that yields a number; what is not there is found by checkKeys before lowering.
func (l *Lowering) ref(name string, pos finding.Pos, key string) signal {
	if of, previous := previousName(name); previous {
		if _, outside := l.signals[previousOf(of)]; of == l.step.Name && !outside {
			l.ownLast(pos, key)
			l.keepLast()
			return l.last.signal
		}
		name = previousOf(of)
	}
	s, ok := l.signals[name]
	if !ok {
		return l.unknown()
	}
	if s.isBool {
		l.fail(pos, key, "switch-as-number", l.fitting("the name of an input or step that yields a number", func(s signal) bool { return !s.isBool }), "%s is a switch, a number is expected", name)
		return l.unknown()
	}
	return s
}

// fitting names the few signals that would do, or says what would.
func (l *Lowering) fitting(otherwise string, fits func(s signal) bool) string {
	var names []string
	for n, s := range l.signals {
		if n != "first_tick" && !isUnknown(s.unit) && fits(s) {
			names = append(names, n)
		}
	}
	if len(names) == 0 || len(names) > 6 {
		return otherwise
	}
	sort.Strings(names)
	return strings.Join(names, " or ")
}

// Signal returns the value that a key names and its unit.
func (l *Lowering) Signal(key string) signal {
	a := l.arg(key)
	if a == nil {
		return l.unknown()
	}
	return l.ref(a.Value.Text, a.Value.Pos, key)
}

// SignalOrNumber returns the named value, or a constant in the given unit.
func (l *Lowering) SignalOrNumber(key, unit, role string) program.ID {
	a := l.arg(key)
	if isName(a.Value) {
		s := l.Signal(key)
		l.sameUnit(s.unit, unit, a.Value.Pos, key)
		return s.id
	}
	return l.Const(l.Number(key, unit, nil), unit, role)
}

// isName tells whether the value of a key that takes a name or a number is a name.
func isName(v spec.Value) bool {
	return v.Shape == spec.Scalar && v.Text != "" && (v.Text[0] >= 'a' && v.Text[0] <= 'z' || v.Text[0] >= 'A' && v.Text[0] <= 'Z')
}

func (l *Lowering) sameUnit(got, want string, pos finding.Pos, key string) {
	if got != want && !isUnknown(got) && !isUnknown(want) {
		if a := l.arg(key); a != nil {
			if from := a.Value.Text; sets(l.spec, from, "unit") && from != l.step.Name { // what was written can be another
				l.fail(pos, key, "unit-mismatch", "unit: "+want+", at the step "+from, "the unit is %s, %s is expected", orNone(got), orNone(want))
				return
			}
		}
		var measured signal
		if a := l.arg("measured"); a != nil {
			measured = l.signals[a.Value.Text]
		}
		l.fail(pos, key, "unit-mismatch", l.fitting(l.converted(key, got, want), func(s signal) bool {
			return !s.isBool && s.unit == want && s != measured
		}),
			"the unit is %s, %s is expected", orNone(got), orNone(want))
	}
}

// converted says what to name instead of a signal in another unit.
func (l *Lowering) converted(key, got, want string) string {
	zero, ok := si.Value(0, got, want)
	one, _ := si.Value(1, got, want)
	if a := l.arg(key); ok && a != nil {
		offset := ""
		if zero != 0 {
			offset = fmt.Sprintf(", offset: %.10g", zero)
		}
		return fmt.Sprintf("the name of a step {kind: sum, of: {%s: %.10g}, unit: %s%s}", a.Value.Text, one-zero, want, offset)
	}
	return "a value in " + orNone(want)
}

func orNone(unit string) string {
	if unit == "" {
		return "no unit"
	}
	return unit
}

// Condition reads a switch: a formula such as `upright`, `not upright`, `upright rises` or `tilt < 20 deg and upright`. A missing key gives None.
func (l *Lowering) Condition(key string) program.ID {
	e := l.formulas[key]
	if e == nil || e.wild {
		return program.None
	}
	return l.emit(key, e)
}
