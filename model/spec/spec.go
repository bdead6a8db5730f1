// Package spec reads a controller's YAML text into typed values with their
// places kept, and says everything that is wrong with it in one go.
//
// Steps stay a tree of texts here: what the keys of a step mean is known to
// package steps alone.
package spec

import (
	"fmt"
	"math/big"

	"gainwright/model/finding"
)

// Spec is a controller as its author wrote it. Numbers are exact: decimals are read as rationals.
type Spec struct {
	File    string
	Hash    string // SHA-256 of the text, hexadecimal
	Name    string // lower_snake, at most 32 characters, no keyword of C, C++ or Go
	NamePos finding.Pos
	About   string   // one line of printable ASCII
	Rate    *big.Rat // ticks per second
	RatePos finding.Pos
	Target  string // one of target.Names()
	Prefer  string // speed or size: what the emitted C is made for where it cannot have both

	Constants []Constant
	Inputs    []Input
	Steps     []Step
	Outputs   []Output
	Tuning    []Tuning
	Accuracy  []Accuracy
	Formats   []Format

	Plant    *Part // what is controlled; nil: not described. Its keys are checked by package plant.
	Budget   *Part // what a tick may cost; nil: not given. Its keys are checked by package budget.
	Scenario *Part // what happens to it; nil: not described. Its keys are checked by package simulate.

	lines [][]rune // of the source, for places inside a text
}

// Constant is a number by name, which may stand wherever a number may.
type Constant struct {
	Name  string
	Pos   finding.Pos
	Value Quantity
	Text  string // as it is written
	Wrong bool   // it could not be read, which has been said
}

// Constant is the constant of that name, or nil.
func (s *Spec) Constant(name string) *Constant {
	for i := range s.Constants {
		if s.Constants[i].Name == name {
			return &s.Constants[i]
		}
	}
	return nil
}

// Part is a section that stays a tree of texts here.
type Part struct {
	Pos  finding.Pos // of the section's key
	Args []Arg       // in the order written
}

// Input is a raw value handed to the controller at each tick.
type Input struct {
	Name          string
	Pos           finding.Pos
	Raw           string // int8, uint8, int16, uint16, int32 or bool
	Unit          string
	CountsPerUnit *big.Rat // not zero; negative for a sensor mounted backwards
	CountsPos     finding.Pos
	Offset        *big.Rat // the value in units at raw 0
	Lo, Hi        *big.Rat // declared range in units; default: the whole raw range
}

// Step is one step of the controller. Its keys are checked by package steps.
type Step struct {
	Name    string
	Pos     finding.Pos
	Kind    string
	KindPos finding.Pos
	Args    []Arg // in the order written, without kind
}

// Arg is the key of that name, or nil.
func (s *Step) Arg(key string) *Arg {
	for i := range s.Args {
		if s.Args[i].Key == key {
			return &s.Args[i]
		}
	}
	return nil
}

// Step is the step of that name, or nil.
func (s *Spec) Step(name string) *Step {
	for i := range s.Steps {
		if s.Steps[i].Name == name {
			return &s.Steps[i]
		}
	}
	return nil
}

// Arg is one key of a step.
type Arg struct {
	Key   string
	Pos   finding.Pos // of the key
	Value Value
}

// Value is a text, a list or a map below a step's key.
type Value struct {
	Pos    finding.Pos
	Text   string // scalar
	Quoted bool
	Items  []Value // list
	Pairs  []Arg   // map
	Shape  Shape
}

// Shape tells which field of a Value is in use.
type Shape uint8

// The shapes of a value. A Refused value broke a rule that holds for every text of the spec;
// that has been reported where it stands, and nothing more should be said about it.
const (
	Scalar Shape = iota
	List
	Map
	Refused
)

// Output is a raw value handed back by the controller at each tick.
type Output struct {
	Name          string
	Pos           finding.Pos
	From          string // signal
	FromPos       finding.Pos
	Raw           string // int8, int16 or int32
	Unit          string
	CountsPerUnit *big.Rat // default 1
	Lo, Hi        *big.Rat // limits in units; nil: the raw range
	LimitsPos     finding.Pos
	LeastEffort   *big.Rat // in units; nil: none
}

// Tuning is the range in which a gain may be changed while the loop runs.
type Tuning struct {
	Key      string // effort.kp
	Pos      finding.Pos
	RangePos finding.Pos
	Lo, Hi   *big.Rat
	Unit     string   // of constants in the range; empty: it is that of the gain
	Count    *big.Rat // what one count of a setting is, 10^-n; nil: by the rule of package scale
}

// Accuracy is the largest error asked for at a signal or output.
type Accuracy struct {
	Name   string
	Pos    finding.Pos
	MaxPos finding.Pos
	Max    Quantity
}

// Format pins the format of a signal: Qm.n, m integer bits besides the sign and n fraction bits. Either may be negative: holds
// [-0.5, 0.5) in 16 bits.
type Format struct {
	Name string
	Pos  finding.Pos
	M, N int
	Base *big.Rat // what is counted in such fractions, such as 1/131 of the unit; 1 unless written
	of   string   // how that was written
}

// With writes the format with other numbers of bits.
func (f Format) With(m, n int) string { return fmt.Sprintf("Q%d.%d%s", m, n, f.of) }

// Quantity is a number with the unit that was written behind it.
type Quantity struct {
	Number *big.Rat
	Unit   string // empty: none was written
}

// InputNames are the names of the inputs, in order.
func (s *Spec) InputNames() (names []string) {
	for _, in := range s.Inputs {
		names = append(names, in.Name)
	}
	return names
}

// OutputNames are the names of the outputs, in order.
func (s *Spec) OutputNames() (names []string) {
	for _, o := range s.Outputs {
		names = append(names, o.Name)
	}
	return names
}
