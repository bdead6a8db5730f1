// Package program is the one representation of a controller: a flat list of
// single-assignment operations with explicit state.
//
// It has two dialects that share what an operation is: the real program (Real), whose
// constants are rational numbers, and the integer program (Fixed), whose constants are integers
// and whose every rounding is an operation of its own (Round). An integer value v of LSB q
// stands for the real number v*q.
package program

import "math/big"

// ID numbers an operation and the value it yields within one program.
type ID int

// None is the absent value.
const None ID = -1

// Type is an integer type of the emitted code.
type Type uint8

// The types of the emitted code. Bool is a byte that holds 0 or 1.
const (
	NoType Type = iota
	Bool
	I8
	I16
	I32
	I64
	U16 // raw inputs only
	U8  // raw inputs only
)

// Bits is the width of the type, Signed whether it holds negative numbers.
func (t Type) Bits() uint {
	switch t {
	case Bool, I8, U8:
		return 8
	case I16, U16:
		return 16
	case I32:
		return 32
	case I64:
		return 64
	}
	return 0
}

// Signed tells whether the type holds negative numbers.
func (t Type) Signed() bool { return t == I8 || t == I16 || t == I32 || t == I64 }

// Range returns the smallest and largest number of the type.
func (t Type) Range() (lo, hi int64) {
	switch {
	case t == Bool:
		return 0, 1
	case t.Signed():
		return -1 << (t.Bits() - 1), 1<<(t.Bits()-1) - 1
	}
	return 0, 1<<t.Bits() - 1
}

// Frame is what both dialects of a program say in the same words.
type Frame struct {
	Name     string
	Rate     *big.Rat // ticks per second
	Inputs   []InputInfo
	Gains    []Gain
	Sections []Section // in order of execution; the ops of one section are contiguous
	Outputs  []Output
	Beliefs  []Belief // of its readings; for made-up inputs, of no meaning to what the program does
}

// Real is a controller in real numbers: its constants are rational numbers in units.
type Real struct {
	Frame
	Coefs  []CoefInfo
	States []RealState
	Ops    []RealOp
}

// Fixed is a controller in whole numbers, each of which counts an LSB of its own.
type Fixed struct {
	Frame
	Coefs  []FixedCoef
	States []FixedState
	Ops    []FixedOp
}

// Op is one operation, as far as both dialects say it alike.
type Op struct {
	Kind    Kind
	Args    []ID
	Index   int      // of the input, coefficient or state
	K       *big.Rat // Const: the value; Scale: the factor; Wrap: the period; in counts in a fixed program
	Section int
	Name    string // role of the value: lower_snake, unique in its program
	Doc     string // what the value is, one line of plain ASCII
	Unit    string
	Bool    bool
}

// RealOp is an operation on real numbers.
type RealOp struct {
	Op
	Label     string   // of a constant: the key or parameter that it comes from; empty: Name
	Base      *big.Rat // what the value is best counted in, where the lowering knows: a format is Base * 2^-n
	Guard     int      // a value whose rounding is amplified: fraction bits beyond those that the rule gives
	Same      ID       // an earlier value whose format this one takes; 0: none
	Keep      int      // Scale: significant bits that the stored constant must keep; 0: the rule of the scale pass
	FinerThan ID       // a copy that is to be no coarser than this earlier value; 0: none
	Within    *big.Rat // Angle: error wanted, in units; may be nil
	OfUnit    string   // unit of the constant that a Scale multiplies by
	Factor    *big.Rat // Scale by a constant of the spec: K is that constant times Factor; nil: Factor 1
	Limit     *Limit   // Const: it limits an output; nil: it is stored like any constant
	Change    bool     // Scale by 1 that leads from one unit of counting to another
	Divisor   *Place   // Quotient: what is divided by, in the spec; nil: nothing that a person wrote
	Exact     bool     // no rounding may be made on the way to this value: it feeds a recursion with a pole at one
	Points    []Point  // Table: X rising
}

// Place is a text of the spec and where it stands.
type Place struct {
	Text      string
	Line, Col int
}

// FixedOp is an operation on counts.
type FixedOp struct {
	Op
	Shift  uint // Round
	Type   Type
	LSB    *big.Rat // the real number that one count stands for
	Lo, Hi int64    // certified range, in counts
	Real   ID       // the value of the real program that this one stands for
	Arctan *Arctan  // Angle
	Curve  *Curve   // Table
}

// InputInfo is a raw value handed to each tick.
type InputInfo struct {
	Name     string
	Unit     string
	Type     Type
	LSB      *big.Rat // unit per count, positive: the sign of a sensor mounted backwards is a Scale of its own
	Offset   *big.Rat // value in units at raw 0
	Lo, Hi   *big.Rat // declared range, in units
	IsSwitch bool     // a boolean
	Turned   bool     // counts_per_unit is negative: Lo and Hi are those after the turn
}

// Count is what one raw count stands for, with its sign.
func (in InputInfo) Count() *big.Rat { return signed(in.LSB, in.Turned) }

// Count is what one raw count stands for, with its sign.
func (o Output) Count() *big.Rat { return signed(o.LSB, o.Turned) }

// Inside returns the lowest and the highest count inside the limits, in units.
func (o Output) Inside() (lo, hi *big.Rat) {
	return inside(o.Lo, o.Hi, o.LSB)
}

func signed(lsb *big.Rat, turned bool) *big.Rat {
	if turned {
		return new(big.Rat).Neg(lsb)
	}
	return lsb
}

// Gain is a live setting that may be changed while the loop runs.
type Gain struct {
	Name   string   // such as effort_kp
	Key    string   // such as effort.kp
	Unit   string   // as the spec writes it, per second
	Value  *big.Rat // the value in force at start
	Lo, Hi *big.Rat // tuning range
	Count  *big.Rat // 10^-n, what one count of a setting is, where the spec says so; nil: it follows from the range
}

// CoefInfo is a number that the program multiplies by: a gain merged with a constant.
// Its real value is gain * Factor.
type CoefInfo struct {
	Gain   int
	Factor *big.Rat
	Name   string
}

// FixedCoef is a coefficient in counts of LSB.
type FixedCoef struct {
	CoefInfo
	Setter Setter
	Type   Type
	LSB    *big.Rat
}

// Setter turns a decimal setting into a coefficient without floating point:
// counts = floor((clamp(x, XLo, XHi)*M + 2^(Shift-1)) / 2^Shift), where x counts 10^-Digits of the gain's unit.
type Setter struct {
	Digits           int
	XLo, XHi, XStart int64
	M                int64
	Shift            uint
}

// Apply returns the coefficient that the setting x gives.
func (s Setter) Apply(x int64) int64 {
	x = min(max(x, s.XLo), s.XHi)
	return (x*s.M + 1<<(s.Shift-1)) >> s.Shift
}

// StateInfo is a contract: what the state holds at start, and when and to what it changes.
// At the end of a tick: where Reset is true the state becomes ResetTo; else where Enable is true
// (or absent) it becomes Next; else it keeps its value. All states change together.
type StateInfo struct {
	Name     string
	Doc      string
	Unit     string
	Section  int
	Bool     bool
	Start    *big.Rat // real: in units; integer: in counts
	SumOf    []int    // states of its section whose sum it always is, which the checker proves; empty: it is none
	Integral bool     // the integral term of a PID: a restart may keep it
	Latch    bool     // a trip, and the reset of one as it was: every restart keeps it
	Next     ID
	Enable   ID // None: always
	Reset    ID // None: never
	ResetTo  ID
	Purpose  Purpose
	Freeze   bool // counts how long a reading stays the same: a machine at rest without noise is not what it looks for
}

// RealState is a state in units.
type RealState struct {
	StateInfo
	Base *big.Rat // as for an operation
	Like ID       // the value that the state (Accumulator) is counted in fractions of the same base as, or (Copy) takes the format of
}

// FixedState is a state in counts of LSB.
type FixedState struct {
	StateInfo
	Type   Type
	LSB    *big.Rat
	Lo, Hi int64
	Real   int // number of the real program's state
}

// Purpose is what a state is for: its format follows from that.
type Purpose uint8

// The purposes of states.
const (
	Accumulator Purpose = iota // moves by little each tick: as fine as 32 bits allow, unless the search of formats finds less to be enough
	Copy                       // holds a value of the program: same format as Like
	Counter                    // counts whole numbers: one count stands for 1
)

// Section is a part of a program whose operations stand together: the inputs, a step of the spec or what is lifted out of its formulas, a last value
// that steps read, or an output.
type Section struct {
	Name     string
	Kind     string // for people: kind of step
	Role     Role
	Clock    Clock
	Facts    Facts
	Line     int
	Sentence string // what it does, one line
	Equation string // one line
	Inputs   []ID   // values of earlier sections and program inputs that it uses, filled by Finish
	Signals  []Signal
	Settings []Setting
}

// Setting is a gain or filter as the spec asks for it, in the forms that people know it by.
type Setting struct {
	Name    string // kp, time_constant
	Unit    string // of Value
	Value   *big.Rat
	PerTick *big.Rat // gains: per tick, where Value is per second; else nil
}

// Signal is a value that other sections and the report may name.
type Signal struct {
	Name    string // effort, or rate.ready
	Value   ID
	Angular *big.Rat // not nil: the value lives on a circle of this period
}

// Output is a raw value handed back by each tick.
type Output struct {
	Name   string
	Unit   string
	Type   Type
	LSB    *big.Rat // unit per count
	Value  ID       // integer program: counts of LSB
	Lo, Hi *big.Rat // limits in units
	Turned bool     // counts_per_unit is negative: Value is turned round, Lo and Hi are not
}

// Arctan is the table of an integer Angle: see the emitted primitive for the arithmetic.
type Arctan struct {
	QuotientBits uint     // bits of the quotient smaller/larger
	LogEntries   uint     // the table cuts [0, 1] into 2^LogEntries pieces
	Entries      []int64  // 2^LogEntries + 2 of them; the last repeats its neighbour
	Quarter      int64    // a right angle in counts
	MaxError     *big.Rat // proven, in counts, for every pair of arguments
}

// Turn is the angle of a full turn in the given unit, or nil where the unit is no angle.
func Turn(unit string) *big.Rat {
	switch unit {
	case "deg":
		return big.NewRat(360, 1)
	case "turn":
		return big.NewRat(1, 1)
	}
	return nil
}
