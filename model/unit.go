// Package model turns a spec into a pair of programs, real and integer, with a
// checked certificate of what the integer one can do.
package model

import (
	"math/big"

	"gainwright/model/budget"
	"gainwright/model/cert"
	"gainwright/model/finding"
	"gainwright/model/interval"
	"gainwright/model/plant"
	"gainwright/model/program"
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
	Bounds    []Bound // one for each section signal, in order
	// Certificate holds the facts that the checker verified.
	Certificate *cert.Certificate

	Budget *budget.Budget // what a tick may cost; nil: not given
	Cost   *Estimate      // what it costs by the table; nil where the target has none

	// Search says how the formats were found; nil where the target has no table of costs.
	Search *Search

	reach, declared []interval.Range // of Asked, at any raw input and at declared ones
	proved          *proved          // what the search of formats found out about Integer; nil: nothing
}

// Constant says what a number of the spec became.
type Constant struct {
	Name    string // effort_kp
	Unit    string
	Asked   *big.Rat
	Stored  *big.Rat
	Count   int64    // in the integer program
	LSB     *big.Rat // what one count stands for
	Line    int      // of the spec
	Section int
	Live    bool           // a live gain: Stored is the value at start
	Given   bool           // the spec names it, by a key
	Start   bool           // where a state starts
	Limit   *program.Limit // of an output: stored inwards; nil: another number
}

// Bound is the arithmetic rounding of one signal against the stored real program.
type Bound struct {
	Section, Signal int
	// Local is the largest difference, in the signal's unit, at any tick, to the same section of
	// the real program fed with the integer program's own signals.
	Local *big.Rat
	// Chain is the largest difference to the whole real program fed with the same raw inputs;
	// nil where a pole at one, a switch or a seam lies on the way.
	Chain *big.Rat
	// Asked is the largest difference to the program that was asked for, with the constants of the spec, fed with the same raw inputs;
	// nil where it is not proven.
	Asked *big.Rat
	// LocalTurn, ChainTurn and AskedTurn are the turn of the circle around which the difference is taken: the two values may lie on different sides
	// of its seam. nil: it is taken on a line.
	LocalTurn, ChainTurn, AskedTurn *big.Rat
}
