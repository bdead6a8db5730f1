// Package summary holds what the tool found out about a controller, ready to be printed or handed
// on as JSON. The names of the JSON fields are stable.
package summary

import (
	"fmt"

	"gainwright/gen/contract"
	"gainwright/model"
	"gainwright/model/finding"
)

// Summary is all that check says. Where the findings hold an error, the parts after them are empty.
type Summary struct {
	Tool       string       `json:"tool"`
	Spec       Spec         `json:"spec"`
	Verdict    Verdict      `json:"verdict"`
	Findings   finding.List `json:"findings"`
	Settings   []Setting    `json:"settings"`
	Signals    []Value      `json:"signals"`
	States     []Value      `json:"states"`
	Constants  []Constant   `json:"constants"`
	Integrals  []Integral   `json:"integrals"`
	LiveGains  []LiveGain   `json:"live_gains"`
	Bounds     []Bound      `json:"bounds"`
	Operations int          `json:"operations"` // of the integer program
	Cost       *Cost        `json:"cost,omitempty"`
	Witnesses  []Witness    `json:"witnesses,omitempty"` // where they were asked for
}

// Spec names what was read.
type Spec struct {
	File       string `json:"file"`
	SHA256     string `json:"sha256"`
	Controller string `json:"controller"`
	About      string `json:"about"`
	RateHz     Number `json:"rate_hz"`
	Target     string `json:"target"`
}

// Title is the controller's name and what it is about.
func (s Spec) Title() string {
	if s.About == "" {
		return s.Controller
	}
	return s.Controller + ". " + s.About
}

// SpecOf names what a unit was read from.
func SpecOf(u *model.Unit) Spec {
	out := Spec{File: u.BaseName()}
	if sp := u.Spec; sp != nil {
		out.SHA256, out.Controller, out.About, out.Target = sp.Hash, sp.Name, sp.About, sp.Target
		if sp.Rate != nil {
			out.RateHz = number(sp.Rate)
		}
	}
	return out
}

// Verdict is the whole of it in a word.
type Verdict string

// The verdicts. Code is emitted unless there are errors.
const (
	Good     Verdict = "good"
	Warnings Verdict = "warnings"
	Errors   Verdict = "errors"
)

// Tool names the tool and its version.
func Tool() string { return "gainwright " + model.Version }

// Of sums up a unit, whether or not it came through all passes.
func Of(u *model.Unit) *Summary {
	s := &Summary{Tool: Tool(), Verdict: Good, Findings: u.Findings, Spec: SpecOf(u),
		Settings: []Setting{}, Signals: []Value{}, States: []Value{}, Constants: []Constant{}, Integrals: []Integral{}, LiveGains: []LiveGain{}, Bounds: []Bound{}}
	if s.Findings == nil {
		s.Findings = finding.List{}
	}
	if !u.OK() {
		s.Verdict = Errors
		return s
	}
	if s.Count(finding.Warning) > 0 {
		s.Verdict = Warnings
	}
	s.Operations, s.Cost = len(u.Integer.Ops), costOf(u)
	s.Settings, s.Constants, s.Integrals, s.Bounds = settings(u), constants(u), integrals(u), bounds(u)
	s.LiveGains = liveGains(u)
	s.Signals, s.States = Values(u)
	return s
}

// Count tells how many findings are of that severity.
func (s *Summary) Count(of finding.Severity) int {
	n := 0
	for _, f := range s.Findings {
		if f.Severity == of {
			n++
		}
	}
	return n
}

// Conclusion is the last line of a check.
func (s *Summary) Conclusion() string {
	errors, warnings := s.Count(finding.Error), s.Count(finding.Warning)
	fits := s.Spec.Controller + " fits its types at any raw input"
	for _, k := range s.Settings {
		if k.Live != nil {
			fits = s.Spec.Controller + " fits its types at any raw input and any live gain in its range"
		}
	}
	switch s.Verdict {
	case Errors:
		return fmt.Sprintf("Not good: %s. No code is made from this spec.", plural(max(errors, 1), "error"))
	case Warnings:
		return fmt.Sprintf("Good, with %s to look at: %s.", plural(warnings, "warning"), fits)
	}
	return fmt.Sprintf("Good: %s.", fits)
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

func named(number, unit string) string {
	if unit = contract.Plain(unit); unit == "" {
		return number
	}
	return number + " " + unit
}
