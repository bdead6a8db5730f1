package program

import (
	"math/big"
	"reflect"
)

// Role is what a section is for.
type Role uint8

// The roles of sections.
const (
	Step   Role = iota // a step of the spec
	Inputs             // raw counts in units
	Stage              // an output: limited and rounded to whole counts
)

// Facts are what is known of a section by whoever lowered it: rules and judgements read them, the checker does not. A fact is nil where the
// section has no such thing. Values are those of the program that the section stands in; None: it has no such value.
type Facts struct {
	Control    *Control
	Integral   *Integral
	Derivative *Derivative
	Lag        *Lag
	Biquad     *Biquad
	Fusion     *Fusion
	Direction  *Direction
	Check      *Check
	Gate       *ID  // a switch: while it is off, the signal is off, or 0
	Level      *ID  // a signal whose level its own keeps, be it filtered, held or limited
	Passes     bool // what rounding did to the values that it reads reaches its signal as it is, held or limited at most
}

// Control says that the signal acts on the difference between a target and a measured value.
type Control struct {
	Target, Measured ID
	Circle           bool // the difference is taken the short way round: every angle is a target
	InUnit           bool // the spec writes the target as a number with its unit
}

// Integral is a sum over time: in each tick Gain * period * Of is added to it.
type Integral struct {
	State  ID       // as the tick starts
	Of     ID       // what is summed
	Gain   *big.Rat // per second, as the spec asks for it; of a live gain the value at start
	Lo, Hi *big.Rat // its limits, in units; nil: it is wrapped
	Reset  ID       // while this holds it is at its start
}

// Derivative is the derivative term of an effort: a gain times Of.
type Derivative struct {
	Term, Of ID
	Coef     ID // the live coefficient; None: the factor of Term, a Scale, is the gain
}

// Lag is a first-order filter y += a*(x - y).
type Lag struct {
	TimeConstant *big.Rat // seconds
	Key, Text    string   // the key of the step that says how strongly it filters, and its value as written
	Pull         ID       // a*(x - y), where the step can be given a blend, 1 - a; else None
}

// Biquad is a second-order filter (b0 + b1*z^-1 + b2*z^-2)/(1 + a1*z^-1 + a2*z^-2). Its coefficients are the factors of values of kind Scale; where
// there is none the coefficient is 0.
type Biquad struct {
	B     [3]ID // of x, x one tick ago, x two ticks ago: b0, b1, b2
	A     [2]ID // of y one tick ago, y two ticks ago: -a1, -a2
	Bends bool  // B are those of x - 2*x1 + x2, x1 - x2 and x1: b0, b0 - b2, b0 + b1 + b2
	Pulls bool  // A are those of y1 and y1 - y2: -(1 + a1 + a2), a2; and y1 is added
	Fed   bool  // what rounding leaves over is fed back
	Given bool  // the spec chooses the structure: it keeps the formats that this is known for
}

// Fusion says that the signal follows the rate of an angle at once, and the angle in the long run.
type Fusion struct{ Angle, Rate ID }

// Direction says that the signal is the angle of a vector.
type Direction struct {
	Sine, Cosine ID
	Least        *big.Rat // length of the vector from which on the angle counts, in its unit; nil: any
}

// Check says that the signal is on while a reading is believed.
type Check struct {
	Of     ID
	Lo, Hi *big.Rat // the range in which it is believed, in units
	Trip   ID       // the state that keeps a jump or a freeze
	Reset  ID       // the state that holds the reset of the last tick; None: nothing but init ends a trip
}

// Switched is the switch that a controller's section goes by; None: it is always on.
func (s Section) Switched() ID {
	if s.Facts.Control == nil || s.Facts.Gate == nil {
		return None
	}
	return *s.Facts.Gate
}

// renumber gives the values of a fact, whatever it is, other numbers: value i becomes to[i]. What is shared is copied first.
func renumber(fact reflect.Value, to []ID) {
	switch {
	case fact.Type() == reflect.TypeFor[ID]():
		if id := fact.Int(); ID(id) != None {
			fact.SetInt(int64(to[id]))
		}
	case fact.Kind() == reflect.Pointer && !fact.IsNil() && fact.Type() != reflect.TypeFor[*big.Rat]():
		own := reflect.New(fact.Type().Elem())
		own.Elem().Set(fact.Elem())
		renumber(own.Elem(), to)
		fact.Set(own)
	case fact.Kind() == reflect.Struct:
		for i := range fact.NumField() {
			renumber(fact.Field(i), to)
		}
	case fact.Kind() == reflect.Array:
		for i := range fact.Len() {
			renumber(fact.Index(i), to)
		}
	}
}
