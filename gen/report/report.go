// Package report makes one page about a controller that a person can look at: HTML with its style sheet and
// pictures inside, without scripts, that needs nothing from anywhere else.
package report

import (
	"bytes"
	"fmt"
	"html/template"

	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/loop"
	"gainwright/model/simulate"
	"gainwright/templates/report"
)

// Input is what a report is made of.
type Input struct {
	Unit    *model.Unit
	Summary *summary.Summary // of the unit, with witnesses where they were asked for
	Run     *Run             // the closed loop in time; nil where the spec describes none
	Linear  *loop.View       // the closed loop as a linear system; nil where there is none
	NoView  error            // why there is none, though the spec describes a plant
	Turning *summary.Turning // which way to turn the live gains; nil where there is none, or nothing to try it in
}

// Run is one simulated run of both loops.
type Run struct {
	System  *simulate.System
	Outcome *simulate.Outcome
	Trace   *simulate.Trace
}

// traceRows is the most rows of a trace that pictures are drawn from: all ticks of any starter.
const traceRows = 200_000

// Simulate makes the run of a unit's scenario with its own seed; nil where it has none.
func Simulate(u *model.Unit) *Run {
	if !u.OK() || u.Plant == nil || u.Scenario == nil {
		return nil
	}
	r := &Run{System: summary.Simulation(u), Trace: &simulate.Trace{Most: traceRows}}
	r.Outcome = r.System.Run(u.Scenario.Seed, r.Trace)
	return r
}

// OK tells whether all is as it should be: no error in the spec, all that the scenario asks for held, and the loop
// stable.
func (in Input) OK() bool {
	return in.Summary.Verdict != summary.Errors && (in.Run == nil || !in.Run.Outcome.Findings.Failed()) && (in.Linear == nil || in.Linear.Stable == [2]bool{true, true})
}

// Of takes everything that can be known of a unit, but for witnesses, which are slow. over names two live gains for the picture over gains; where
// it is empty, the first two are taken. It fails where over names no live gains.
func Of(u *model.Unit, over []string) (Input, error) {
	in := Input{Unit: u, Summary: summary.Of(u), Run: Simulate(u)}
	in.Linear, in.NoView = Linearise(u)
	var err error
	if in.Run != nil && in.Linear != nil && (len(u.Asked.Gains) > 0 || len(over) > 0) {
		in.Turning, err = summary.Turned(u, over)
	}
	return in, err
}

var form = template.Must(template.ParseFS(report.Files, "*.tmpl"))

// Page returns the report. The same input gives the same bytes.
func Page(in Input) ([]byte, error) {
	p, err := in.page()
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	if err := form.ExecuteTemplate(&out, "page.html.tmpl", p); err != nil {
		return nil, fmt.Errorf("report: %w", err)
	}
	return out.Bytes(), nil
}
