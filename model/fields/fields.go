// Package fields reads the keys of a section that package spec keeps as a tree, and reports
// what is unknown, missing, of the wrong shape or in the wrong unit, each at its place.
//
// Keys are asked for one by one; Done then reports those that nobody asked for. After a finding
// the methods return harmless values, so that a reader reads straight through.
package fields

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/si"
	"gainwright/model/spec"
)

// Map is a map of a spec while it is read.
type Map struct {
	Path  string
	Pos   finding.Pos
	what  string // with article, such as "a motor"
	found *finding.List
	args  []spec.Arg
	asked []string
}

// New reads the keys in args of what stands at path.
func New(what, path string, pos finding.Pos, args []spec.Arg, found *finding.List) *Map {
	return &Map{Path: path, Pos: pos, what: what, found: found, args: args}
}

// Say reports an error at a place below the map; key may be empty.
func (m *Map) Say(pos finding.Pos, key, rule, remedy, message string, args ...any) {
	path := m.Path
	if key != "" {
		path += "." + key
	}
	m.found.Add(finding.Finding{Pos: pos, Severity: finding.Error, Rule: rule, Key: path, Message: fmt.Sprintf(message, args...), Remedy: remedy})
}

// Arg returns a key, or nil.
func (m *Map) Arg(key string) *spec.Arg {
	if !slices.Contains(m.asked, key) {
		m.asked = append(m.asked, key)
	}
	for i := range m.args {
		if m.args[i].Key == key {
			if m.args[i].Value.Shape == spec.Refused {
				return nil // said by package spec
			}
			return &m.args[i]
		}
	}
	return nil
}

// Has tells whether the key is there.
func (m *Map) Has(key string) bool { return m.Arg(key) != nil }

// At is the place of a key's value, or of the map where the key is missing.
func (m *Map) At(key string) finding.Pos {
	if a := m.Arg(key); a != nil {
		return a.Value.Pos
	}
	return m.Pos
}

// Need returns a key and reports its absence. The sample is a value.
func (m *Map) Need(key, sample string) *spec.Arg {
	a := m.Arg(key)
	if a == nil && !slices.ContainsFunc(m.args, func(a spec.Arg) bool {
		return a.Key == key || spec.Nearest(a.Key, []string{key}) == key && !slices.Contains(m.asked, a.Key)
	}) {
		m.Say(m.Pos, key, "missing-key", key+": "+sample, "%s needs the key %s", m.what, key)
	}
	return a
}

// Done reports the keys that nobody asked for.
func (m *Map) Done() {
	for _, a := range m.args {
		if slices.Contains(m.asked, a.Key) {
			continue
		}
		remedy := cmp.Or(spec.Nearest(a.Key, m.asked), "one of these keys, or a comment behind #")
		m.Say(a.Pos, a.Key, "unknown-key", remedy, "unknown key; %s has %s", m.what, strings.Join(m.asked, ", "))
	}
}

// value is that of a key in the shape wanted; another is reported, and stands for nothing.
func (m *Map) value(key string, want spec.Shape, sample string) spec.Value {
	if a := m.Arg(key); a != nil && m.shape(*a, want, sample) {
		return a.Value
	}
	return spec.Value{}
}

// Text returns a scalar, or nothing.
func (m *Map) Text(key, sample string) string {
	return m.value(key, spec.Scalar, sample).Text
}

// Word returns one of the words; the first is the default.
func (m *Map) Word(key string, words ...string) string {
	a := m.Arg(key)
	if a == nil || !m.shape(*a, spec.Scalar, words[0]) {
		return words[0]
	}
	if !slices.Contains(words, a.Value.Text) {
		m.Say(a.Value.Pos, key, "unknown-word", cmp.Or(spec.Nearest(a.Value.Text, words), words[0]), "expected one of %s, found %s", strings.Join(words, ", "), Shown(a.Value))
		return words[0]
	}
	return a.Value.Text
}

// Pairs returns the entries of a map below the key.
func (m *Map) Pairs(key, sample string) []spec.Arg {
	return m.value(key, spec.Map, sample).Pairs
}

// Items returns the entries of a list below the key.
func (m *Map) Items(key, sample string) []spec.Value {
	return m.value(key, spec.List, sample).Items
}

// Section opens the map below a key; nil where there is none.
func (m *Map) Section(key, what, sample string) *Map {
	a := m.Arg(key)
	if a == nil {
		return nil
	}
	return m.Below(what, *a, sample)
}

// Below opens a map below the key; what it is comes with its article. Nil where it is no map.
func (m *Map) Below(what string, a spec.Arg, sample string) *Map {
	if !m.shape(a, spec.Map, sample) {
		return nil
	}
	return New(what, m.Path+"."+a.Key, a.Pos, a.Value.Pairs, m.found)
}

// Each goes through all keys of a map whose keys are names.
func (m *Map) Each(do func(a spec.Arg)) {
	for _, a := range m.args {
		m.asked = append(m.asked, a.Key)
		if a.Value.Shape != spec.Refused {
			do(a)
		}
	}
}

func (m *Map) shape(a spec.Arg, want spec.Shape, sample string) bool {
	v := a.Value
	switch {
	case v.Shape == spec.Refused:
		return false
	case v.Shape == want && (want != spec.Scalar || v.Text != ""):
		return true
	}
	found := Shown(v)
	if v.Shape == spec.Scalar && v.Text == "" {
		found = "nothing"
	}
	m.Say(v.Pos, a.Key, "wrong-shape", sample, "expected %s, found %s", map[spec.Shape]string{spec.Scalar: "one value", spec.List: "a list", spec.Map: "a map"}[want], found)
	return false
}

// Shown shows a value in a message.
func Shown(v spec.Value) string {
	switch {
	case v.Shape == spec.List:
		return "a list"
	case v.Shape == spec.Map:
		return "a map"
	case len(v.Text) > 40:
		return fmt.Sprintf("%+q...", v.Text[:37])
	}
	return fmt.Sprintf("%+q", v.Text)
}

// Quantity reads the key's number and brings it to the unit; fallback stands for a missing key.
func (m *Map) Quantity(key, unit string, fallback float64) float64 {
	a := m.Arg(key)
	if a == nil || !m.shape(*a, spec.Scalar, "1 "+unit) {
		return fallback
	}
	x, ok := m.Measure(a.Value, key, unit)
	if !ok {
		return fallback
	}
	return x
}

// Measure brings the number in v to the unit. A unit must be written wherever there is one to write.
func (m *Map) Measure(v spec.Value, key, unit string) (float64, bool) {
	if v.Shape == spec.Refused {
		return 0, false
	}
	q, err := spec.ParseQuantity(v.Text)
	if v.Shape != spec.Scalar || err != nil {
		remedy := strings.TrimSpace("1 " + unit)
		var t *spec.TextError
		if errors.As(err, &t) {
			fits := func(u string) bool { _, ok := si.Factor(u, unit); return ok }
			if t = t.For(fits, unit); spec.Reads(t.Remedy) {
				remedy = t.Remedy
			}
		}
		m.Say(v.Pos, key, "not-a-number", remedy, "expected a number%s, found %s", withUnit(unit), Shown(v))
		return 0, false
	}
	number := strings.Fields(v.Text)[0]
	factor, ok := si.Factor(q.Unit, unit)
	switch {
	case !ok && q.Unit == "":
		m.Say(v.Pos, key, "missing-unit", number+" "+unit, "expected a number%s, found no unit", withUnit(unit))
		return 0, false
	case !ok:
		m.Say(v.Pos, key, "wrong-unit", q.In(unit), "expected a number%s, found the unit %s", withUnit(unit), q.Unit)
		return 0, false
	}
	x, _ := q.Number.Float64()
	return x * factor, true
}

func withUnit(unit string) string {
	if unit == "" {
		return " without a unit"
	}
	return " in " + unit + " or a unit of the same kind"
}

// Inside reports a value outside [lo, hi] at the key; what the limits are for is said by why.
func (m *Map) Inside(key string, x, lo, hi float64, unit, why string) bool {
	if x >= lo && x <= hi {
		return true
	}
	bound := fmt.Sprintf("at least %s", number(lo, unit))
	remedy := number(lo, unit)
	switch {
	case x > hi:
		bound, remedy = fmt.Sprintf("at most %s", number(hi, unit)), number(hi, unit)
	case lo > 0 && lo < 1e-5:
		bound, remedy = "a number above 0", "a number above 0 "+unit
	}
	m.Say(m.At(key), key, "out-of-range", strings.TrimSpace(remedy), "expected %s, found %s%s", bound, number(x, unit), why)
	return false
}

func number(x float64, unit string) string {
	if math.IsInf(x, 0) {
		return "any number"
	}
	return strings.TrimSpace(fmt.Sprintf("%.6g %s", x, unit))
}

// Span reads [low, high] in the unit.
func (m *Map) Span(key, unit string) (lo, hi float64, ok bool) {
	items := m.Items(key, "[-1, 1]")
	if items == nil {
		return 0, 0, false
	}
	if len(items) != 2 {
		m.Say(m.At(key), key, "wrong-shape", "[low, high]", "expected two numbers, found %d", len(items))
		return 0, 0, false
	}
	lo, okLo := m.Measure(items[0], key, unit)
	hi, okHi := m.Measure(items[1], key, unit)
	if okLo && okHi && lo >= hi {
		m.Say(m.At(key), key, "range-upside-down", fmt.Sprintf("[%s, %s]", items[1].Text, items[0].Text), "the low end %s is not below the high end %s", items[0].Text, items[1].Text)
		return 0, 0, false
	}
	return lo, hi, okLo && okHi
}
