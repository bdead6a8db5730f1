// Package model turns a spec into a pair of programs, real and integer, with a
// checked certificate of what the integer one can do.
package model

import (
	"path/filepath"
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
)

// Unit is one controller on its way through the passes, and what they found out.
//
// Sections and signals stand at the same places in Asked, Stored and Integer:
// Integer.Sections[i].Signals[j] is the integer form of Stored.Sections[i].Signals[j].
// Only signals cross from one section to another.
type Unit struct {
	File     string
	Source   []byte
	Spec     *spec.Spec
	Findings finding.List

	Plant    *plant.Plant       // nil where the spec describes none
	Scenario *simulate.Scenario // nil where the spec describes none

	Asked     *program.Real // real, constants as the spec asks
	Stored    *program.Real // real, constants as the integer program stores them
	Integer   *program.Fixed
	Constants []Constant
	Bounds    []Bound // the arithmetic rounding of each signal of each section, in order
	// Certificate holds the claims that the checker verified.
	Certificate *cert.Certificate

	Budget *budget.Budget   // what a tick may cost; nil: not given
	Cost   *budget.Estimate // what it costs by the table; nil where the target has none

	// Search says how the formats were found; nil where the target has no table of costs.
	Search *formats.Search

	reach, declared []interval.Range // of Asked, at any raw input and at declared ones
}

// OK tells whether code may be emitted.
func (u *Unit) OK() bool { return !u.Findings.Failed() && u.Integer != nil && u.Certificate != nil }

// BaseName is the spec's file name without its folders.
func (u *Unit) BaseName() string { return filepath.Base(strings.ReplaceAll(u.File, "\\", "/")) }

// Constant says what a number of the spec became.
type Constant = scale.Constant

// Bound is the arithmetic rounding of one signal against the stored real program.
type Bound = bound.Rounding

// KeepsIntegrals tells whether there is a restart that keeps the integral terms: there are some, and all may be kept.
func (u *Unit) KeepsIntegrals() bool {
	states, all := u.KeptIntegrals()
	return all && len(states) > 0
}

// KeptIntegrals lists the states that are integral terms. all tells whether a restart may keep them: that each may start
// anywhere in its certified range.
func (u *Unit) KeptIntegrals() (states []int, all bool) {
	all = true
	for n, s := range u.Integer.States {
		if s.Integral {
			states = append(states, n)
			all = all && cert.StartsAnywhere(u.Integer, u.Certificate, n)
		}
	}
	return states, all
}

// Integrals says how the integral of each PID behaves.
func (u *Unit) Integrals() []lint.Integral { return lint.Integrals(u.Integer, u.declared) }

// LiveGains says what settings of the live gains become.
func (u *Unit) LiveGains() []lint.LiveGain { return lint.LiveGains(u.Integer) }
