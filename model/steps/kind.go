// Package steps knows what each kind of step means: one file a kind, with its
// keys, its documentation, its published source and how it lowers itself to
// operations of the real program.
package steps

import (
	"strings"

	"gainwright/model/spec"
)

// Kind is a kind of step. To add one, write its file and list it in Kinds.
type Kind struct {
	Name     string
	Doc      string // what it does, one line
	Equation string // one line
	Source   string // where the method is published
	Units    string // relations between units: of keys and of its own signal (own), "a = b/s; c = d unless key"; a word that is no key is a unit
	Params   []Param
	IsSwitch bool     // its own signal is a switch
	Signals  []string // names of further signals besides the step's own, such as ready
	Lower    func(l *Lowering)
}

// Form is how the value of a key is written.
type Form string

// The forms of a key's value.
const (
	Signal         Form = "signal"           // the name of an input or step
	SignalOrNumber Form = "signal or number" // a name, or a quantity in the step's unit
	Condition      Form = "condition"        // a formula that yields a switch: `upright`, `not upright`, `upright rises`, `tilt < 20 deg`
	Formula        Form = "formula"
	NamedNumbers   Form = "named numbers" // a map from names to numbers
	Number         Form = "number"
	Quantity       Form = "quantity" // a number with or without the unit
	Duration       Form = "duration" // seconds or ticks
	Frequency      Form = "frequency"
	Limits         Form = "limits"  // [low, high]
	Signals        Form = "signals" // a list of names
	Numbers        Form = "numbers" // a list of numbers
	Points         Form = "points"  // a list of pairs
	Terms          Form = "terms"   // a map from names to factors
	Word           Form = "word"    // one of Choices
	Unit           Form = "unit"
)

// takesNumbers tells whether numbers stand in a value of the form.
func (f Form) takesNumbers() bool {
	switch f {
	case SignalOrNumber, Number, Quantity, Duration, Frequency, Limits, Numbers, Terms, NamedNumbers:
		return true
	}
	return false
}

// written says of each form what is expected and how it looks.
var written = map[Form]struct{ what, sample string }{
	Signal: {"the name of an input or step", "tilt"}, SignalOrNumber: {"a name or a number", "37"}, Condition: {"a condition", "armed rises"},
	Number: {"a number", "0.5"}, Quantity: {"a number, with its unit or without", "25 deg/s"}, Duration: {"a time", "50 ms"}, Frequency: {"a frequency", "5 Hz"},
	Limits: {"a range", "[low, high]"}, Signals: {"a list of names", "[one, another]"}, Numbers: {"a list of numbers", "[1, 0.5]"}, Points: {"a list of points", "[[0, 0], [10, 4]]"},
	Formula: {"a formula", `"2 * level + 1"`}, NamedNumbers: {"a map from names to numbers", "{gain: 0.3}"},
	Terms: {"a map from names to factors", "{one: 1, another: -1}"}, Word: {"one word", "circle"}, Unit: {"a unit", "duty"},
}

// Param is a key of a step.
type Param struct {
	Key      string
	Form     Form
	Doc      string
	Required bool
	Tunable  bool     // may stand under `tuning`
	Choices  []string // Word
}

// Written says how the value of a key is written: what is expected, and how it looks.
func (p Param) Written() (what, sample string) {
	if len(p.Choices) > 0 {
		return "one of these words", strings.Join(p.Choices, ", ")
	}
	w := written[p.Form]
	return w.what, w.sample
}

// shape is that of the key's value.
func (p Param) shape() spec.Shape {
	switch p.Form {
	case Limits, Signals, Numbers, Points:
		return spec.List
	case Terms, NamedNumbers:
		return spec.Map
	}
	return spec.Scalar
}

// Kinds lists the kinds in the order of the documentation.
func Kinds() []*Kind {
	return []*Kind{formulaKind, sumKind, clampKind, wrapKind, holdKind, windowKind, plausibleKind, integrateKind, lowPassKind, secondOrderKind, complementaryKind, biasKind, angleKind, tableKind, medianKind, averageKind, delayKind, pidKind}
}

// names are those of the kinds.
func names() (out []string) {
	for _, k := range Kinds() {
		out = append(out, k.Name)
	}
	return out
}

// Find returns the kind of that name, or nil.
func Find(name string) *Kind {
	for _, k := range Kinds() {
		if k.Name == name {
			return k
		}
	}
	return nil
}

func (k *Kind) keys() (out []string) {
	for _, p := range k.Params {
		out = append(out, p.Key)
	}
	return out
}

// OfAnyKind are keys that every step may have, where its kind has none of that name.
var OfAnyKind = []Param{
	{Key: "start", Form: Quantity, Doc: "what the step's signal is before its first tick, for what reads `previous` of it"},
	{Key: "every", Form: Duration, Doc: "how many ticks, or how much time, lies between two runs of the step; between them its signal is held, whatever its switches do"},
	{Key: "phase", Form: Duration, Doc: "at which of those ticks it runs, default 0; at the first tick every step runs"},
}

func (k *Kind) param(key string) *Param {
	for _, params := range [][]Param{k.Params, OfAnyKind} {
		for i := range params {
			if params[i].Key == key {
				return &params[i]
			}
		}
	}
	return nil
}
