package main

import (
	"encoding/json"
	"io"

	"gainwright/gen/summary"
	"gainwright/model"
	"gainwright/model/trial"
)

// answer is what every JSON answer begins with.
type answer struct {
	Tool    string          `json:"tool"`
	Spec    summary.Spec    `json:"spec"`
	Verdict summary.Verdict `json:"verdict"`
}

func answerOf(u *model.Unit, isGood bool) answer {
	verdict := summary.Good
	if !isGood {
		verdict = summary.Errors
	}
	return answer{summary.Tool(), summary.SpecOf(u), verdict}
}

func encode(w io.Writer, of any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(of)
}

// trialAnswer is a trial as JSON: the figures that printTrial shows.
type trialAnswer struct {
	answer
	Target  string        `json:"target"` // what the integer program was held against
	Seed    uint64        `json:"seed"`
	Ticks   int           `json:"ticks"`
	Inputs  []trialInputs `json:"inputs"`
	Signals []trialSignal `json:"signals"`
	Judged  int           `json:"differences_judged"`
	Not     []string      `json:"not_judged"`
	Axes    []trialAxes   `json:"axes"` // of a log
	Faults  []string      `json:"faults"`
}

type trialInputs struct {
	Name        string `json:"name"`
	Ticks       int    `json:"ticks"`
	Starts      int    `json:"starts"`
	GainChanges int    `json:"gain_changes"`
	Compared    int    `json:"values_compared"`
	Bits        int    `json:"differing_bits"`
	Outside     int    `json:"out_of_range"`
}

type trialSignal struct {
	Name string     `json:"name"`
	Unit string     `json:"unit"`
	Own  *trialSeen `json:"own"`   // of the step itself
	All  *trialSeen `json:"total"` // from the raw inputs to here; null where nothing is claimed; like Own, against real numbers with the stored constants
	// Asked is against the controller as asked, with the constants of the spec and the live gains as set.
	Asked trialAsked `json:"as_asked"`
}

type trialAxes struct {
	Angle       string  `json:"angle"`
	Rate        string  `json:"rate"`
	Slope       float64 `json:"slope"`
	Correlation float64 `json:"correlation"`
	Windows     int     `json:"windows"`
	Verdict     string  `json:"verdict"`
}

// trialAsked is the largest difference seen; that none is larger is proven, or it is measured alone.
type trialAsked struct {
	Largest  float64    `json:"largest"`
	Declared float64    `json:"largest_at_declared_inputs"`
	Proven   *trialSeen `json:"proven"` // null: measured alone
}

// trialSeen is the largest difference seen, and the bound.
type trialSeen struct {
	Largest  float64 `json:"largest"`
	Bound    float64 `json:"bound"`
	Over     int     `json:"ticks_over"`
	Unjudged string  `json:"not_held_against,omitempty"` // why the bound does not speak
	Turn     float64 `json:"period,omitempty"`           // the difference is taken around a circle of this turn; missing: on a line
}

func seen(d trial.Difference) *trialSeen {
	if !d.Claimed {
		return nil
	}
	return &trialSeen{d.Largest, d.Bound, d.Over, d.Unjudged, d.Turn}
}

func encodeTrial(w io.Writer, u *model.Unit, r *trial.Result) error {
	a := trialAnswer{answer: answerOf(u, r.OK()), Target: r.Target, Seed: r.Seed, Ticks: r.Ticks, Inputs: []trialInputs{}, Signals: []trialSignal{}, Axes: []trialAxes{}, Faults: []string{}}
	if a.Verdict == summary.Good && warned(r) {
		a.Verdict = summary.Warnings
	}
	for _, x := range r.Axes {
		a.Axes = append(a.Axes, trialAxes{x.Angle, x.Rate, x.Slope, x.Correlation, x.Windows, string(x.Verdict)})
	}
	for _, k := range r.Kinds {
		a.Inputs = append(a.Inputs, trialInputs{k.Name, k.Ticks, k.Restarts + k.Again, k.Settings, k.Same.Compared, k.Same.Bits, k.Outside})
		for _, f := range k.Faults {
			a.Faults = append(a.Faults, f.String())
		}
	}
	near := r.Worst(func(k trial.Kind) bool { return k.Declared })
	for i, s := range r.Worst(func(trial.Kind) bool { return true }) {
		asked := trialAsked{Largest: s.Asked.Largest, Proven: seen(s.Asked)}
		if near != nil {
			asked.Declared = near[i].Asked.Largest
		}
		a.Signals = append(a.Signals, trialSignal{s.Name, s.Unit, seen(s.Local), seen(s.Chain), asked})
	}
	judged := r.Judged()
	a.Judged, a.Not = judged.Count, append([]string{}, judged.Not...)
	return encode(w, a)
}
