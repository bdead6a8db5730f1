package model

import (
	"errors"
	"fmt"
	"math/big"
	"math/bits"
	"path/filepath"
	"slices"
	"strings"

	"gainwright/model/bound"
	"gainwright/model/budget"
	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/interval"
	"gainwright/model/lint"
	"gainwright/model/plant"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/simulate"
	"gainwright/model/spec"
	"gainwright/model/steps"
	"gainwright/model/target"
)

// passes is the whole compiler, in order. A pass that reports an error is the last one to run.
var passes = []struct {
	name string
	run  func(u *Unit)
}{
	{"read", read},          // Spec, from the text
	{"lower", lower},        // Asked: the real program with the constants of the spec; Plant and Scenario
	{"align", align},        // Asked, with changes between units of counting made explicit
	{"reach", reach},        // what every real value can reach at any raw input
	{"scale", scaleFormats}, // Integer and Stored: formats, roundings, stored constants
	{"bound", findBounds},   // Certificate: facts found by fast code that nobody needs to trust
	{"check", checkFacts},   // the small exact checker verifies every fact of Certificate
	{"lint", findings},      // Bounds, and findings for a practitioner
	{"cost", estimateCost},  // Cost: what a tick costs on the target, against the budget
}

// Compile runs the passes on a spec's text. file names the spec in findings.
func Compile(file string, src []byte) *Unit {
	u := &Unit{File: file, Source: src}
	for _, p := range passes {
		p.run(u)
		if u.Findings.Failed() {
			break
		}
	}
	u.Findings = u.Findings.Sorted()
	return u
}

// OK tells whether code may be emitted.
func (u *Unit) OK() bool { return !u.Findings.Failed() && u.Integer != nil && u.Certificate != nil }

func read(u *Unit) {
	var found finding.List
	u.Spec, found = spec.Read(u.File, u.Source)
	u.Findings = append(u.Findings, found...)
	if found.Failed() { // the passes after this one will not run: say now what can be said of the rest
		u.Findings = append(u.Findings, steps.Check(u.Spec, found)...)
		if !touchesPlant(found) {
			readPlant(u)
		}
		u.Findings = spec.Settled(u.Findings)
	}
}

// touchesPlant tells whether something is wrong with what the plant, the scenario and the budget are made of or hang on.
func touchesPlant(found finding.List) bool {
	return slices.ContainsFunc(found, func(f finding.Finding) bool {
		section, _, _ := strings.Cut(f.Key, ".")
		return !spec.Guessed(f.Rule) && !slices.Contains([]string{"controller", "about", "target", "prefer", "steps", "tuning", "accuracy", "formats"}, section)
	})
}

func readPlant(u *Unit) {
	var found finding.List
	u.Plant, found = plant.Read(u.Spec)
	u.Findings = append(u.Findings, found...)
	u.Budget, found = budget.Read(u.Spec)
	u.Findings = append(u.Findings, found...)
	u.Scenario, found = simulate.ReadScenario(u.Spec, u.Plant)
	u.Findings = append(u.Findings, found...)
}

func lower(u *Unit) {
	var found finding.List
	u.Asked, found = steps.Lower(u.Spec)
	u.Findings = append(u.Findings, found...)
	readPlant(u)
}

func align(u *Unit) {
	for _, f := range u.Spec.Formats { // a pinned format counts in what it says, whatever its neighbours count in
		for _, sec := range u.Asked.Sections {
			for _, sig := range sec.Signals {
				if sig.Name == f.Name {
					u.Asked.Ops[sig.Value].Base = f.Base
				}
			}
		}
	}
	u.Asked = scale.Align(u.Asked)
}

func reach(u *Unit) {
	far, _, err := bound.Ranges(u.Asked, false)
	if err != nil {
		u.unbounded(err)
		return
	}
	near, _, err := bound.Ranges(u.Asked, true)
	if err != nil {
		u.unbounded(err)
		return
	}
	u.reach, u.declared = far.Ranges, near.Ranges
}

func (u *Unit) unbounded(err error) {
	var b bound.Unbounded
	var long bound.TooLong
	f := finding.Finding{Pos: finding.Pos{File: u.File}, Severity: finding.Error, Rule: "unbounded", Message: err.Error()}
	if errors.As(err, &b) {
		f.Pos, f.Remedy = u.place(b.Section), formats.Settling(u.Asked.Sections[b.Section], "limits for this step")
	}
	if errors.As(err, &long) {
		f.Pos, f.Key, f.Rule = u.place(long.Section), u.key(long.Section), "too-large"
		f.Message = "the check of this spec takes too long: it was given up here"
		f.Because = []string{fmt.Sprintf("the spec has %d steps and outputs; filters far slower than the rate cost most", len(u.Spec.Steps)+len(u.Spec.Outputs))}
		f.Remedy = "fewer steps in one controller, a slower rate for slow filters, or limits between filters in series"
	}
	u.Findings.Add(f)
}

// place is where the section's step or output stands in the spec.
func (u *Unit) place(section int) finding.Pos { return u.Spec.Place(u.Asked.Sections[section].Name) }

func (u *Unit) key(section int) string { return u.Asked.Sections[section].Key() }

func scaleFormats(u *Unit) {
	r := scale.Request{Asked: u.Asked, Ranges: u.reach, Declared: u.declared, Target: target.Named(u.Spec.Target), Want: map[string]*big.Rat{}, Pinned: map[string]int{}, Place: u.place}
	for _, a := range u.Spec.Accuracy {
		if w := formats.Wanted(u.Spec, u.Asked, a.Name); w != nil {
			r.Want[a.Name] = w
		}
	}
	for _, f := range u.Spec.Formats {
		r.Pinned[f.Name] = f.N
	}
	if u.Findings.Failed() {
		return
	}
	done, _ := searchFormats(u, r)
	for _, f := range done.Findings {
		if at, ok := u.Spec.PlaceOf(f.Key); ok {
			f.Pos = at
		}
		u.Findings = append(u.Findings, f)
	}
	u.Stored, u.Integer = done.Stored, done.Integer
	u.Constants = done.Constants
}

// findBounds fills in ranges and types, and collects the facts of the certificate.
func findBounds(u *Unit) {
	known := u.proved // by the search of formats
	if known == nil || known.integer != u.Integer {
		e, taps, err := bound.Ranges(u.Integer, false)
		if err != nil {
			u.unbounded(err)
			return
		}
		known = &proved{ranges: e, taps: taps}
	}
	e, taps := known.ranges, known.taps
	u.proved = nil
	u.Certificate = &cert.Certificate{States: e.States, Ops: e.Ranges, Taps: taps}
	for i := range u.Integer.Ops {
		op := &u.Integer.Ops[i]
		op.Lo, op.Hi, op.Type = u.typed(e.Ranges[i], op)
	}
	for n := range u.Integer.States {
		s := &u.Integer.States[n]
		s.Lo, s.Hi, s.Type = u.typed(e.States[n], &program.Op{Name: s.Name, Bool: s.Bool, Section: s.Section})
	}
	for i := range u.Integer.Coefs {
		c := &u.Integer.Coefs[i]
		a, b := c.Setter.Apply(c.Setter.XLo), c.Setter.Apply(c.Setter.XHi)
		c.Type = atLeast16(program.Holding(min(a, b), max(a, b)))
	}
	if u.Findings.Failed() {
		return
	}
	u.pinned()
	var err error
	if u.Certificate.Local = known.local; known.local.Signals == nil {
		u.Certificate.Local, _, err = bound.Differences(u.Stored, u.Integer, e.Ranges, false)
	}
	if err == nil {
		var whole *bound.Spread
		if u.Certificate.Chain, whole, err = bound.Whole(u.Stored, u.Integer, e.Ranges); err == nil {
			u.Certificate.Asked, err = bound.Asked(u.Asked, u.Stored, whole)
		}
	}
	if errors.As(err, new(bound.TooLong)) {
		u.unbounded(err)
		return
	}
	if err != nil {
		panic("model: the integer program is no translation of the real one: " + err.Error())
	}
}

// typed gives a value the narrowest type that holds its range.
func (u *Unit) typed(r interval.Range, op *program.Op) (lo, hi int64, t program.Type) {
	if op.Bool {
		return 0, 1, program.Bool
	}
	if !interval.Ints(-1<<62, 1<<62).Holds(r) {
		over := new(big.Int).Quo(r.Size().Num(), r.Size().Denom()).BitLen() - 62
		of := op.Name
		if op.Doc != "" {
			of += " (" + op.Doc + ")"
		}
		u.Findings.Add(finding.Finding{Pos: u.place(op.Section), Severity: finding.Error, Rule: "overflow", Key: u.key(op.Section),
			Message: fmt.Sprintf("%s needs %d bits, 63 are the most there are", of, 63+over),
			Because: []string{"it is counted so finely that its smallest factor keeps some bits, and so reaches " + r.Hi.FloatString(0) + " counts"},
			Remedy:  "factors, gains or ranges of a size closer to one another, or a coarser format"})
		return 0, 0, program.I64
	}
	lo, hi = r.Lo.Num().Int64(), r.Hi.Num().Int64()
	if op.Kind == program.Input {
		return lo, hi, u.Integer.Inputs[op.Index].Type
	}
	return lo, hi, atLeast16(program.Holding(lo, hi))
}

// atLeast16 keeps values out of 8-bit types: C computes in int anyway, and one width fewer is easier to read.
func atLeast16(t program.Type) program.Type {
	if t == program.I8 {
		return program.I16
	}
	return t
}

// pinned reports signals that do not fit the format that the spec pins.
func (u *Unit) pinned() {
	for _, f := range u.Spec.Formats {
		for _, s := range u.Integer.Sections {
			for _, sig := range s.Signals {
				op := u.Integer.Ops[sig.Value]
				if sig.Name != f.Name {
					continue
				}
				need := max(bits.Len64(uint64(max(op.Hi, ^op.Hi))), bits.Len64(uint64(max(op.Lo, ^op.Lo)))) - f.M - f.N
				if need <= 0 {
					continue
				}
				in := func(count int64) string {
					x, _ := new(big.Rat).Mul(op.LSB, big.NewRat(count, 1)).Float64()
					return fmt.Sprintf("%.6g", x)
				}
				top := int64(1) << (f.M + f.N)
				more := fmt.Sprintf("%d more bits are needed", need)
				if need == 1 {
					more = "one more bit is needed"
				}
				remedy := f.With(f.M+need, f.N-need) + " in the same width, or " + f.With(f.M+need, f.N)
				if f.M+f.N+1+need > 64 {
					remedy = f.With(f.M+need, f.N-need)
				}
				u.Findings.Add(finding.Finding{Pos: f.Pos, Severity: finding.Error, Rule: "overflow", Key: "formats." + f.Name,
					Message: fmt.Sprintf("%s holds %s to %s %s, but %s reaches %s to %s: %s", f.With(f.M, f.N), in(-top), in(top-1), op.Unit, f.Name, in(op.Lo), in(op.Hi), more),
					Remedy:  remedy})
			}
		}
	}
}

// checkFacts hands the certificate to the checker. It stands around the passes before it: whatever they
// did, what the checker refuses is not emitted.
func checkFacts(u *Unit) {
	if err := cert.CheckAsked(u.Asked, u.Stored, u.Integer, u.Certificate); err != nil {
		u.Findings.Add(finding.Finding{Pos: finding.Pos{File: u.File}, Severity: finding.Error, Rule: "not-proven",
			Message: "the certificate was refused: " + err.Error(), Remedy: "please report this spec: it is a defect of the tool, and no code is emitted"})
		return
	}
	for _, o := range u.Integer.Outputs { // the certified ranges keep what the spec declares
		lo, hi := o.Inside()
		for _, count := range []int64{u.Integer.Ops[o.Value].Lo, u.Integer.Ops[o.Value].Hi} {
			if y := new(big.Rat).Mul(big.NewRat(count, 1), o.Count()); y.Cmp(lo) < 0 || y.Cmp(hi) > 0 {
				u.Findings.Add(finding.Finding{Pos: u.place(u.Integer.Ops[o.Value].Section), Severity: finding.Error, Rule: "not-proven", Key: "outputs." + o.Name,
					Message: fmt.Sprintf("the output reaches %d counts, beyond its limits", count), Remedy: "please report this spec: it is a defect of the tool, and no code is emitted"})
			}
		}
	}
}

// findings judges what is proven.
func findings(u *Unit) {
	u.Bounds = bound.Roundings(u.Certificate)
	u.Findings = append(u.Findings, lint.Findings(lint.Controller{Spec: u.Spec, Asked: u.Asked, Stored: u.Stored, Integer: u.Integer,
		Constants: u.Constants, Roundings: u.Bounds, Reach: u.reach, Declared: u.declared})...)
}

// BaseName is the spec's file name without its folders.
func (u *Unit) BaseName() string { return filepath.Base(strings.ReplaceAll(u.File, "\\", "/")) }
