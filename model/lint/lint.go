// Package lint finds what a practitioner should know of a controller before anything moves: of what is proven of it, which is small or large enough to
// matter. It proves nothing itself.
package lint

import (
	"math/big"

	"gainwright/model/bound"
	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/spec"
)

// Controller is what the findings are made of. Reach and Declared are of Asked.
type Controller struct {
	Spec            *spec.Spec
	Asked           *program.Real // real, constants as the spec asks
	Stored          *program.Real // real, constants as Integer stores them
	Integer         *program.Fixed
	Constants       []scale.Constant
	Roundings       []bound.Rounding // as proven, one for each section's signal, in order
	Reach, Declared []interval.Range // of each real value, in its unit: at any raw input, and at declared ones
}

// linter collects the findings.
type linter struct {
	Controller
	found finding.List
}

// Findings judges a controller.
func Findings(c Controller) finding.List {
	l := &linter{Controller: c}
	l.unbounded()
	l.constants()
	l.accuracy()
	l.size()
	for _, r := range rules {
		r.run(l, func(section int, severity finding.Severity, key, remedy, message string, because ...string) {
			at, found := l.Spec.PlaceOf(key)
			if !found {
				at = l.place(section)
			}
			l.found.Add(finding.Finding{Pos: at, Severity: severity, Rule: r.name, Key: key, Message: message, Because: because, Remedy: remedy})
		})
	}
	return l.found
}

// rules are the findings that a practitioner needs to know before anything moves, besides those that stop the compiler.
var rules = []struct {
	name string
	run  func(l *linter, say teller)
}{
	{"derivative-noise", derivativeNoise},
	{"setting-vanishes", settingVanishes},
	{"filter-speed", filterSpeed},
	{"limit-cycle", limitCycle},
	{"pole-moved", poleMoved},
	{"response-moved", responseMoved},
	{"limit-out-of-reach", limitOutOfReach},
	{"target-out-of-reach", targetOutOfReach},
	{"driven-while-off", drivenWhileOff},
	{"coarse-input", coarseInput},
	{"headroom-wasted", headroomWasted},
}

// teller reports one finding of a rule, about a section where the key has no place of its own.
type teller = func(section int, severity finding.Severity, key, remedy, message string, because ...string)

// unbounded refuses steps whose rounding nothing is proven of.
func (l *linter) unbounded() {
	for _, r := range l.Roundings {
		if sec := l.Integer.Sections[r.Section]; r.Local == nil {
			l.found.Add(finding.Finding{Pos: l.place(r.Section), Severity: finding.Error, Rule: "rounding-unbounded", Key: "steps." + sec.Signals[r.Signal].Name,
				Message: "no bound was found for the rounding of this step", Remedy: formats.Settling(sec, "a time constant of more than a tick, or limits")})
		}
	}
}

func (l *linter) place(section int) finding.Pos { return l.Spec.Place(l.Asked.Sections[section].Name) }

func (l *linter) key(section int) string { return l.Asked.Sections[section].Key() }

func f64(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}
