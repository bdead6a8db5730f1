package steps

import (
	"fmt"
	"math/big"
	"sort"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

func (l *Lowering) arg(key string) *spec.Arg {
	for i := range l.step.Args {
		if l.step.Args[i].Key == key {
			return &l.step.Args[i]
		}
	}
	return nil
}

// Has tells whether the step has the key.
func (l *Lowering) Has(key string) bool { return l.arg(key) != nil }

func (l *Lowering) argPos(key string) finding.Pos {
	if a := l.arg(key); a != nil {
		return a.Value.Pos
	}
	return l.step.Pos
}

// ref looks up a signal by name; what is not there is found by checkKeys before lowering.
func (l *Lowering) ref(name string, pos finding.Pos, key string) signal {
	s, ok := l.signals[name]
	if !ok {
		return signal{id: 0}
	}
	if s.isBool {
		l.fail(pos, key, "switch-as-number", "the name of an input or step that yields a number", "%s is a switch, a number is expected", name)
	}
	return s
}

// Signal returns the value that a key names and its unit.
func (l *Lowering) Signal(key string) signal {
	a := l.arg(key)
	if a == nil {
		return signal{id: 0}
	}
	return l.ref(a.Value.Text, a.Value.Pos, key)
}

// SignalOrNumber returns the named value, or a constant in the given unit.
func (l *Lowering) SignalOrNumber(key, unit, role string) program.ID {
	a := l.arg(key)
	if s, ok := l.signals[a.Value.Text]; ok {
		if s.isBool {
			return l.ref(a.Value.Text, a.Value.Pos, key).id
		}
		l.sameUnit(s.unit, unit, a.Value.Pos, key)
		return s.id
	}
	return l.Const(l.Number(key, unit, nil), unit, role)
}

func (l *Lowering) sameUnit(got, want string, pos finding.Pos, key string) {
	if got != want {
		l.fail(pos, key, "unit-mismatch", fmt.Sprintf("a value in %s", orNone(want)), "the unit is %s, %s is expected", orNone(got), orNone(want))
	}
}

func orNone(unit string) string {
	if unit == "" {
		return "no unit"
	}
	return unit
}

// Number reads a quantity in the given unit (written or left out); fallback stands for a missing key.
func (l *Lowering) Number(key, unit string, fallback *big.Rat) *big.Rat {
	a := l.arg(key)
	if a == nil {
		if fallback == nil {
			return new(big.Rat)
		}
		return fallback
	}
	return l.quantity(a.Value, key, unit)
}

func (l *Lowering) quantity(v spec.Value, key, unit string) *big.Rat {
	q, err := spec.ParseQuantity(v.Text)
	if v.Shape != spec.Scalar || err != nil {
		l.fail(v.Pos, key, "not-a-number", fmt.Sprintf("a decimal number, such as `%s: 0.5`", key), "%s is no number", shown(v))
		return new(big.Rat)
	}
	if q.Unit != "" && q.Unit != unit {
		l.fail(v.Pos, key, "unit-mismatch", fmt.Sprintf("%s %s", decimal(q.Number), unit), "the unit is %s, %s is expected", q.Unit, orNone(unit))
	}
	return q.Number
}

func shown(v spec.Value) string {
	switch v.Shape {
	case spec.List:
		return "a list"
	case spec.Map:
		return "a map"
	}
	return fmt.Sprintf("%q", v.Text)
}

// Limits reads [low, high] in the given unit.
func (l *Lowering) Limits(key, unit string) (lo, hi *big.Rat) {
	a := l.arg(key)
	if a == nil {
		return nil, nil
	}
	if a.Value.Shape != spec.List || len(a.Value.Items) != 2 {
		l.fail(a.Value.Pos, key, "not-limits", fmt.Sprintf("%s: [low, high]", key), "%s stands here, two numbers are expected", shown(a.Value))
		return big.NewRat(-1, 1), big.NewRat(1, 1)
	}
	lo, hi = l.quantity(a.Value.Items[0], key, unit), l.quantity(a.Value.Items[1], key, unit)
	if lo.Cmp(hi) >= 0 {
		l.fail(a.Value.Pos, key, "range-upside-down", fmt.Sprintf("%s: [%s, %s]", key, decimal(hi), decimal(lo)), "the low end %s is not below the high end %s", decimal(lo), decimal(hi))
		return big.NewRat(-1, 1), big.NewRat(1, 1)
	}
	return lo, hi
}

// Seconds reads a time: a number of seconds, ms, us or ticks.
func (l *Lowering) Seconds(key string) *big.Rat {
	a := l.arg(key)
	q, err := spec.ParseQuantity(a.Value.Text)
	if err == nil && q.Number.Sign() > 0 {
		switch q.Unit {
		case "s", "":
			return q.Number
		case "ms":
			return new(big.Rat).Quo(q.Number, big.NewRat(1000, 1))
		case "us":
			return new(big.Rat).Quo(q.Number, big.NewRat(1000000, 1))
		case "ticks", "tick":
			return new(big.Rat).Mul(q.Number, l.Period())
		case "min":
			return new(big.Rat).Mul(q.Number, big.NewRat(60, 1))
		}
	}
	l.fail(a.Value.Pos, key, "not-a-time", fmt.Sprintf("%s: 0.05 s (or ms, us, min, ticks)", key), "%s is no time above zero", shown(a.Value))
	return big.NewRat(1, 1)
}

// Ticks reads a time as a whole number of ticks.
func (l *Lowering) Ticks(key string, most int64) int64 {
	n := new(big.Rat).Mul(l.Seconds(key), l.spec.Rate)
	if !n.IsInt() || n.Cmp(big.NewRat(most, 1)) > 0 {
		l.fail(l.argPos(key), key, "not-whole-ticks", fmt.Sprintf("%s: 256 ticks", key), "this is %s ticks, a whole number up to %d is expected", decimal(n), most)
		return 1
	}
	return n.Num().Int64()
}

// Word reads one of the key's choices; the first is the default.
func (l *Lowering) Word(key string) string {
	p := l.kind.param(key)
	a := l.arg(key)
	if a == nil {
		return p.Choices[0]
	}
	for _, c := range p.Choices {
		if a.Value.Text == c {
			return c
		}
	}
	l.fail(a.Value.Pos, key, "unknown-word", p.Choices[0], "%s is not known here, expected one of %s", shown(a.Value), strings.Join(p.Choices, ", "))
	return p.Choices[0]
}

// Condition reads a switch: `upright`, `not upright`, `upright rises`, `upright falls`. A missing key gives None.
func (l *Lowering) Condition(key string) program.ID {
	a := l.arg(key)
	if a == nil {
		return program.None
	}
	name, how := condition(a.Value.Text)
	s, ok := l.signals[name]
	if !ok {
		return program.None
	}
	if !s.isBool {
		l.fail(a.Value.Pos, key, "number-as-switch", "the name of a boolean input, or of a step that yields a switch", "%s is a number, a switch is expected", name)
		return program.None
	}
	if how == "" {
		return s.id
	}
	if how == "not" {
		return l.Logic(program.Not, key, name+" is off", s.id)
	}
	n, before := l.State(program.StateInfo{Bool: true, Form: program.Copy, Like: s.id}, key+"_last", name+" at the last tick")
	l.Update(n, s.id)
	if how == "rises" {
		off := l.Logic(program.Not, key+"_was_off", name+" was off", before)
		return l.Logic(program.And, key+"_rises", name+" rises", s.id, off)
	}
	off := l.Logic(program.Not, key+"_is_off", name+" is off", s.id)
	return l.Logic(program.And, key+"_falls", name+" falls", before, off)
}

func condition(text string) (name, how string) {
	f := strings.Fields(text)
	switch {
	case len(f) == 2 && f[0] == "not":
		return f[1], "not"
	case len(f) == 2 && (f[1] == "rises" || f[1] == "falls"):
		return f[0], f[1]
	}
	return strings.TrimSpace(text), ""
}

// reference is a signal that a step names.
type reference struct {
	name string
	key  string
	pos  finding.Pos
}

// references lists the signals that the step names, whether they exist or not.
func references(s *spec.Step, k *Kind) []reference {
	var out []reference
	for _, a := range s.Args {
		p := k.param(a.Key)
		if p == nil {
			continue
		}
		switch p.Form {
		case Signal:
			out = append(out, reference{a.Value.Text, a.Key, a.Value.Pos})
		case SignalOrNumber:
			if _, err := spec.ParseQuantity(a.Value.Text); err != nil {
				out = append(out, reference{a.Value.Text, a.Key, a.Value.Pos})
			}
		case Condition:
			name, _ := condition(a.Value.Text)
			out = append(out, reference{name, a.Key, a.Value.Pos})
		case Signals:
			for _, i := range a.Value.Items {
				out = append(out, reference{i.Text, a.Key, i.Pos})
			}
		case Terms:
			for _, i := range a.Value.Pairs {
				out = append(out, reference{i.Key, a.Key, i.Pos})
			}
		}
	}
	return out
}

// checkKeys reports unknown and missing keys, values of the wrong shape, and names that nothing has.
func checkKeys(s *spec.Step, known map[string]bool, report *finding.List) *Kind {
	say := func(pos finding.Pos, key, rule, remedy, format string, args ...any) {
		path := "steps." + s.Name
		if key != "" {
			path += "." + key
		}
		report.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: path, Message: fmt.Sprintf(format, args...), Remedy: remedy})
	}
	k := Find(s.Kind)
	if k == nil {
		var names []string
		for _, k := range Kinds() {
			names = append(names, k.Name)
		}
		say(s.KindPos, "kind", "unknown-kind", nearestOr(s.Kind, names, names[0]), "%q is no kind of step, expected one of %s", s.Kind, strings.Join(names, ", "))
		return nil
	}
	var keys []string
	for _, p := range k.Params {
		keys = append(keys, p.Key)
	}
	ok := true
	for _, a := range s.Args {
		p := k.param(a.Key)
		if p == nil {
			say(a.Pos, a.Key, "unknown-key", nearestOr(a.Key, keys, "leave it out"), "a step of kind %s has no key %q, its keys are %s", k.Name, a.Key, strings.Join(keys, ", "))
			ok = false
			continue
		}
		shape := spec.Scalar
		switch p.Form {
		case Limits, Signals, Numbers:
			shape = spec.List
		case Terms:
			shape = spec.Map
		}
		if a.Value.Shape != shape {
			say(a.Value.Pos, a.Key, "wrong-shape", p.Doc, "%s stands here, %s is expected", shown(a.Value), p.Form)
			ok = false
		}
	}
	for _, p := range k.Params {
		if !p.Required {
			continue
		}
		found := false
		for _, a := range s.Args {
			found = found || a.Key == p.Key
		}
		if !found {
			say(s.Pos, "", "missing-key", fmt.Sprintf("%s: (%s)", p.Key, p.Doc), "a step of kind %s needs the key %s", k.Name, p.Key)
			ok = false
		}
	}
	var names []string
	for n := range known {
		names = append(names, n)
	}
	sort.Strings(names)
	for _, r := range references(s, k) {
		if !known[r.name] {
			say(r.pos, r.key, "unknown-signal", nearestOr(r.name, names, "the name of an input or step"), "%q is neither an input nor a step", r.name)
			ok = false
		}
	}
	if !ok {
		return nil
	}
	return k
}

func nearestOr(name string, good []string, otherwise string) string {
	if n := spec.Nearest(name, good); n != "" {
		return n
	}
	return otherwise
}
