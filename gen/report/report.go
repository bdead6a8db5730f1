// Package report puts all that is known of a controller into one document for a page that a person can look at.
package report

import (
	"gainwright/gen/caution"
	"gainwright/gen/document"
	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/loop"
	"gainwright/model/simulate"
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

// traceRows is the most rows of a trace that pictures are drawn from: all ticks of any starter.
const traceRows = 200_000

// Of takes everything that can be known of a unit, but for witnesses, which are slow. over names two live gains for the picture over gains; where
// it is empty, the first two are taken. It fails where over names no live gains.
func Of(u *model.Unit, over []string) (in Input, err error) {
	in = Input{Unit: u, Summary: summary.Of(u)}
	if !u.OK() || u.Plant == nil {
		return in, nil
	}
	in.Linear, in.NoView = loop.New(summary.Loop(u))
	if u.Scenario == nil {
		return in, nil
	}
	in.Run = &Run{summary.Run{Unit: u, System: summary.Simulation(u)}, &simulate.Trace{Most: traceRows}}
	in.Run.Outcome = in.Run.System.Run(u.Scenario.Seed, in.Run.Trace)
	if in.Linear != nil && (len(u.Asked.Gains) > 0 || len(over) > 0) {
		in.Turning, err = summary.Turned(u, over)
	}
	return in, err
}

// Findings are those of the spec, then those of the run.
func (in Input) Findings() finding.List {
	list := in.Summary.Findings
	if in.Run != nil {
		list = append(list[:len(list):len(list)], in.Run.Outcome.Findings.Sorted()...)
	}
	return list
}

// Verdict is what is to be said of it all: what is not good comes first.
func (in Input) Verdict() []document.Sentence {
	good := []document.Sentence{in.Summary.Conclusion()}
	if in.Summary.Verdict == document.Bad {
		return good
	}
	var bad []document.Sentence
	add := func(s document.Sentence) {
		if s.Tone == document.Bad {
			bad = append(bad, s)
		} else {
			good = append(good, s)
		}
	}
	if in.Run == nil {
		add(document.Line("Nothing was simulated: the spec describes no plant and scenario."))
	} else {
		add(in.Run.Held())
	}
	if in.Linear != nil {
		add(summary.Stable(in.Linear))
	}
	if in.NoView != nil {
		add(document.Line("There is no linear view of the loop: %v.", in.NoView))
	}
	return append(bad, good...)
}

// Document is the report. It is bad where there is an error in the spec, not all that the scenario asks for was held, or the loop is not stable.
func (in Input) Document() *document.Document {
	d := summary.New(in.Unit, true)
	verdict := document.Chapter{ID: "verdict", Title: "Verdict"}
	d.Verdict = in.Summary.Verdict
	for _, s := range in.Verdict() {
		if verdict.Parts = append(verdict.Parts, s); s.Tone == document.Bad {
			d.Verdict = document.Bad
		}
	}
	verdict.Tone, verdict.Parts = d.Verdict, append(verdict.Parts, document.Findings(in.Findings()))
	d.Parts = []document.Part{verdict,
		document.Chapter{ID: "cautions", Title: "Cautions", Tone: document.Caution, Parts: []document.Part{document.List(append(caution.All(), caution.Numbers))}}}
	if in.Summary.Verdict == document.Bad {
		return d
	}
	d.Parts = append(d.Parts, in.Summary.Chapters()...)
	show := func(c document.Chapter, figures ...document.Part) {
		c.Parts = append(c.Parts, figures...)
		d.Parts = append(d.Parts, c)
	}
	if in.Run != nil {
		show(in.Run.Chapter(), in.Run.figures()...)
	}
	if in.Linear != nil {
		var figures []document.Part
		for _, c := range summary.Cuts(in.Linear) { // one where several cuts show the same
			figures = append(figures, bode(c)...)
		}
		show(summary.LinearChapter(in.Unit, in.Linear), append(figures, polePlane(in.Linear)...)...)
	}
	if in.Turning != nil && in.Run != nil {
		var figures []document.Part
		if in.Turning.Plane != nil {
			figures = append(figures, gainPlane(in.Turning))
		}
		show(in.Turning.Chapter(in.Unit.Scenario), append(figures, families(in.Turning, in.Run)...)...)
	}
	return d
}
