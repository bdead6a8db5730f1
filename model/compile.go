package model

import (
	"fmt"
	"math/big"
	"slices"
	"strings"

	"gainwright/model/bound"
	"gainwright/model/budget"
	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/lint"
	"gainwright/model/plant"
	"gainwright/model/simulate"
	"gainwright/model/spec"
	"gainwright/model/steps"
)

// passes is the whole compiler, in order. A pass that reports an error is the last one to run.
var passes = []struct {
	name  string
	run   func(u *Unit) finding.List
	makes func(u *Unit) []lawful // programs; nil: none
}{
	{"read", read, nil},                   // Spec, from the text
	{"lower", lower, asked},               // Asked: the real program with the constants of the spec; Plant, Budget and Scenario
	{"align", align, asked},               // Asked, with changes between units of counting made explicit
	{"reach", reach, nil},                 // reach and declared: what every real value can be, at any raw input and at declared ones
	{"formats", findFormats, storedFixed}, // Stored, Integer, Constants, Search; of Certificate the ranges and what each section rounds: formats, searched and proven
	{"whole", boundWhole, nil},            // the rest of Certificate: what rounding and constants do from the raw inputs on
	{"check", checkClaims, nil},           // nothing: the small exact checker verifies every claim of Certificate, which nobody needs to trust before
	{"lint", judge, nil},                  // Bounds, and findings for a practitioner
	{"cost", estimateCost, nil},           // Cost: what a tick costs on the target, against the budget
}

// defect is what to do where the tool contradicts itself.
const defect = "please report this spec: it is a defect of the tool, and no code is emitted"

// lawful is a program, which has laws of its own.
type lawful interface{ Verify() error }

func asked(u *Unit) []lawful       { return []lawful{u.Asked} }
func storedFixed(u *Unit) []lawful { return []lawful{u.Stored, u.Integer} }

// Compile runs the passes on a spec's text. file names the spec in findings.
func Compile(file string, src []byte) *Unit {
	u := &Unit{File: file, Source: src}
	for _, p := range passes {
		if u.Findings = append(u.Findings, p.run(u)...); u.Findings.Failed() {
			break
		}
		if p.makes == nil {
			continue
		}
		for _, made := range p.makes(u) {
			if err := made.Verify(); err != nil {
				u.Findings.Add(finding.Finding{Pos: finding.Pos{File: file}, Severity: finding.Error, Rule: "not-proven", Message: "the pass " + p.name + " made a program that breaks a law: " + err.Error(), Remedy: defect})
				return u
			}
		}
	}
	u.Findings = u.Findings.Sorted()
	return u
}

func read(u *Unit) (found finding.List) {
	if u.Spec, found = spec.Read(u.File, u.Source); !found.Failed() {
		return found
	}
	all := append(found, steps.Check(u.Spec, found)...) // the passes after this one will not run: say now what can be said of the rest
	if !touchesPlant(found) {
		all = append(all, readPlant(u)...)
	}
	return spec.Settled(all)
}

// touchesPlant tells whether something is wrong with what the plant, the scenario and the budget are made of or hang on.
func touchesPlant(found finding.List) bool {
	return slices.ContainsFunc(found, func(f finding.Finding) bool {
		section, _, _ := strings.Cut(f.Key, ".")
		return !spec.Guessed(f.Rule) && !slices.Contains([]string{"controller", "about", "target", "prefer", "steps", "tuning", "accuracy", "formats"}, section)
	})
}

func readPlant(u *Unit) finding.List {
	var ofPlant, ofBudget, ofScenario finding.List
	u.Plant, ofPlant = plant.Read(u.Spec)
	u.Budget, ofBudget = budget.Read(u.Spec)
	u.Scenario, ofScenario = simulate.ReadScenario(u.Spec, u.Plant)
	return slices.Concat(ofPlant, ofBudget, ofScenario)
}

func lower(u *Unit) (found finding.List) {
	u.Asked, found = steps.Lower(u.Spec)
	return append(found, readPlant(u)...)
}

func align(u *Unit) finding.List {
	u.Asked = formats.Align(u.Spec, u.Asked)
	return nil
}

func reach(u *Unit) finding.List {
	var err error
	if u.reach, u.declared, err = formats.Reach(u.Asked); err != nil {
		return formats.Refused(u.Spec, u.Asked, err)
	}
	return nil
}

func findFormats(u *Unit) finding.List {
	r, found := formats.Find(formats.Request{Spec: u.Spec, Asked: u.Asked, Reach: u.reach, Declared: u.declared})
	u.Stored, u.Integer, u.Constants, u.Certificate, u.Search = r.Stored, r.Integer, r.Constants, r.Certificate, r.Search
	return found
}

func boundWhole(u *Unit) finding.List {
	chain, whole, err := bound.Whole(u.Stored, u.Integer, u.Certificate.Ops)
	if err == nil {
		u.Certificate.Chain = chain
		u.Certificate.Asked, err = bound.Asked(u.Asked, u.Stored, whole)
	}
	if err != nil {
		return formats.Refused(u.Spec, u.Asked, err)
	}
	return nil
}

// checkClaims hands the certificate to the checker. It stands around the passes before it: whatever they
// did, what the checker refuses is not emitted.
func checkClaims(u *Unit) (found finding.List) {
	if err := cert.CheckAsked(u.Asked, u.Stored, u.Integer, u.Certificate); err != nil {
		found.Add(finding.Finding{Pos: finding.Pos{File: u.File}, Severity: finding.Error, Rule: "not-proven", Message: "the certificate was refused: " + err.Error(), Remedy: defect})
		return found
	}
	for _, o := range u.Integer.Outputs { // the certified ranges keep what the spec declares
		lo, hi := o.Inside()
		op := u.Integer.Ops[o.Value]
		for _, count := range []int64{op.Lo, op.Hi} {
			if y := new(big.Rat).Mul(big.NewRat(count, 1), o.Count()); y.Cmp(lo) < 0 || y.Cmp(hi) > 0 {
				found.Add(finding.Finding{Pos: u.Spec.Place(u.Integer.Sections[op.Section].Name), Severity: finding.Error, Rule: "not-proven", Key: "outputs." + o.Name,
					Message: fmt.Sprintf("the output reaches %d counts, beyond its limits", count), Remedy: defect})
			}
		}
	}
	return found
}

func judge(u *Unit) finding.List {
	u.Bounds = bound.Roundings(u.Certificate)
	return lint.Findings(lint.Controller{Spec: u.Spec, Asked: u.Asked, Stored: u.Stored, Integer: u.Integer,
		Constants: u.Constants, Roundings: u.Bounds, Reach: u.reach, Declared: u.declared})
}

func estimateCost(u *Unit) finding.List {
	if u.Cost = budget.Price(u.Integer, u.Spec.Target); u.Cost == nil {
		return nil
	}
	return append(u.Budget.Judge(u.Spec.Rate, u.Cost), budget.Phases(u.Spec, u.Integer, u.Cost)...)
}
