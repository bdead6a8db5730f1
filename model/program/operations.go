package program

import (
	"math"
	"math/big"
)

// Kind is what an operation does.
type Kind uint8

// The operations. a, b, c are Args[0], Args[1], Args[2]; truth values are 0 or 1.
const (
	Const     Kind = iota // K
	Input                 // input number Index
	Coef                  // live coefficient number Index, latched when the tick starts
	State                 // state number Index, as it was when the tick started
	Add                   // a + b
	Sub                   // a - b
	Scale                 // K * a
	Mul                   // a * b
	Round                 // floor((a + 2^(Shift-1)) / 2^Shift), integer program only
	Clamp                 // a limited to [b, c]; where b > c the result is c
	Min                   // the smaller of a and b
	Max                   // the larger of a and b
	Abs                   // |a|
	Wrap                  // real: a less whole turns of K, in [-K/2, K/2); integer: at most one turn is taken off
	Angle                 // four-quadrant arctangent of a (sine side) over b (cosine side); 0 at (0, 0)
	Less                  // a < b
	LessEqual             // a <= b
	And                   // a and b
	Or                    // a or b
	Not                   // not a
	Select                // b where a is true, else c
	Quotient              // a / b; integer: floor(a/b + 1/2); b is never 0
	Root                  // the square root of a, of 0 where a is less; integer: to the nearest whole number
	Table                 // straight lines between points, at a; held beyond the first and the last
	Kinds                 // their number
)

// Operation is a row of the table of operations: what stands in it holds for every operation of its kind, and whoever asks reads it here. What
// the checker claims of a kind, and what each emitter writes for it, are total tables of those packages.
type Operation struct {
	Name     string
	Arity    int
	Indexed  bool  // Index is the number of what it reads
	HasK     bool  // K is there
	Truth    bool  // it yields a truth value
	Aligned  []int // arguments that have the format of the result, where that is a number
	Compared []int // arguments that have a format in common
	Truths   []int // arguments that are truth values
	Rounds   bool  // in integers it is up to half a count off
	Drawn    bool  // what it yields is drawn by points of its own: Points of a real program, Curve of an integer one
	// Format is the LSB of the result, from those of two arguments; nil: it does not follow from them.
	Format func(a, b *big.Rat) *big.Rat
	// between are numbers that the integer arithmetic meets on its way; nil: its constant, arguments and result alone.
	between func(p *Fixed, op *FixedOp) (lo, hi int64)
	// What it does with its arguments, of which absent ones are 0; nil: it reads what a machine holds, or is none of the dialect. k is K in
	// real numbers, of an angle the units in a radian. Each product is rounded on its own, and none is a negative zero.
	Real    func(k, a, b, c float64) float64
	integer func(in *instr, a, b, c int64) int64
}

// Of is the row of a kind; that of an unknown one is empty.
func (k Kind) Of() Operation {
	if k >= Kinds {
		return Operation{}
	}
	return operations[k]
}

func (k Kind) String() string { return k.Of().Name }

var first, both, others, all = []int{0}, []int{0, 1}, []int{1, 2}, []int{0, 1, 2}

var operations = [Kinds]Operation{
	Const: {Name: "constant", HasK: true},
	Input: {Name: "input", Indexed: true},
	Coef:  {Name: "coefficient", Indexed: true},
	State: {Name: "state", Indexed: true},
	Add: {Name: "add", Arity: 2, Aligned: both,
		Real:    func(_, a, b, _ float64) float64 { return a + b },
		integer: func(_ *instr, a, b, _ int64) int64 { return a + b }},
	Sub: {Name: "subtract", Arity: 2, Aligned: both,
		Real:    func(_, a, b, _ float64) float64 { return a - b },
		integer: func(_ *instr, a, b, _ int64) int64 { return a - b }},
	Scale: {Name: "scale", Arity: 1, HasK: true, between: func(_ *Fixed, op *FixedOp) (lo, hi int64) { return op.K.Num().Int64(), op.K.Num().Int64() },
		Real:    func(k, a, _, _ float64) float64 { return float64(k*a) + 0 },
		integer: func(in *instr, a, _, _ int64) int64 { return in.k * a }},
	Mul: {Name: "multiply", Arity: 2, Format: func(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) },
		Real:    func(_, a, b, _ float64) float64 { return float64(a*b) + 0 },
		integer: func(_ *instr, a, b, _ int64) int64 { return a * b }},
	Round: {Name: "round", Arity: 1, Rounds: true,
		between: func(p *Fixed, op *FixedOp) (lo, hi int64) {
			a, half := p.Ops[op.Args[0]], int64(1)<<(op.Shift-1)
			if a.Hi > math.MaxInt64-half {
				panic("program: a rounding reaches beyond 64 bits: the certificate checker must refuse it")
			}
			return a.Lo, a.Hi + half
		},
		integer: func(in *instr, a, _, _ int64) int64 { return (a + 1<<(in.shift-1)) >> in.shift }},
	Clamp: {Name: "clamp", Arity: 3, Aligned: all,
		Real:    func(_, a, b, c float64) float64 { return min(max(a, b), c) },
		integer: func(_ *instr, a, b, c int64) int64 { return min(max(a, b), c) }},
	Min: {Name: "minimum", Arity: 2, Aligned: both,
		Real:    func(_, a, b, _ float64) float64 { return min(a, b) },
		integer: func(_ *instr, a, b, _ int64) int64 { return min(a, b) }},
	Max: {Name: "maximum", Arity: 2, Aligned: both,
		Real:    func(_, a, b, _ float64) float64 { return max(a, b) },
		integer: func(_ *instr, a, b, _ int64) int64 { return max(a, b) }},
	Abs: {Name: "absolute", Arity: 1, Aligned: first,
		between: func(p *Fixed, op *FixedOp) (lo, hi int64) {
			a := p.Ops[op.Args[0]]
			return min(a.Lo, -a.Hi), max(a.Hi, -a.Lo)
		},
		Real:    func(_, a, _, _ float64) float64 { return math.Abs(a) },
		integer: func(_ *instr, a, _, _ int64) int64 { return max(a, -a) }},
	Wrap: {Name: "wrap", Arity: 1, HasK: true, Aligned: first,
		between: func(_ *Fixed, op *FixedOp) (lo, hi int64) { return -op.K.Num().Int64(), op.K.Num().Int64() },
		Real:    func(k, a, _, _ float64) float64 { return WrapReal(a, k) },
		integer: func(in *instr, a, _, _ int64) int64 {
			if a >= in.k/2 {
				return a - in.k
			} else if a < -in.k/2 {
				return a + in.k
			}
			return a
		}},
	Angle: {Name: "angle", Arity: 2, Compared: both,
		Real:    func(k, a, b, _ float64) float64 { return float64(math.Atan2(a, b) * k) },
		integer: func(in *instr, a, b, _ int64) int64 { return in.table.Eval(a, b) }},
	Less: {Name: "less", Arity: 2, Truth: true, Compared: both,
		Real:    func(_, a, b, _ float64) float64 { return truth(a < b) },
		integer: func(_ *instr, a, b, _ int64) int64 { return bit(a < b) }},
	LessEqual: {Name: "less-or-equal", Arity: 2, Truth: true, Compared: both,
		Real:    func(_, a, b, _ float64) float64 { return truth(a <= b) },
		integer: func(_ *instr, a, b, _ int64) int64 { return bit(a <= b) }},
	And: {Name: "and", Arity: 2, Truth: true, Truths: both,
		Real:    func(_, a, b, _ float64) float64 { return truth(a != 0 && b != 0) },
		integer: func(_ *instr, a, b, _ int64) int64 { return a & b }},
	Or: {Name: "or", Arity: 2, Truth: true, Truths: both,
		Real:    func(_, a, b, _ float64) float64 { return truth(a != 0 || b != 0) },
		integer: func(_ *instr, a, b, _ int64) int64 { return a | b }},
	Not: {Name: "not", Arity: 1, Truth: true, Truths: first,
		Real:    func(_, a, _, _ float64) float64 { return truth(a == 0) },
		integer: func(_ *instr, a, _, _ int64) int64 { return 1 - a }},
	Select: {Name: "select", Arity: 3, Aligned: others, Truths: first,
		Real: func(_, a, b, c float64) float64 {
			if a != 0 {
				return b
			}
			return c
		},
		integer: func(_ *instr, a, b, c int64) int64 {
			if a != 0 {
				return b
			}
			return c
		}},
	Quotient: {Name: "quotient", Arity: 2, Rounds: true, Format: func(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) },
		between: func(p *Fixed, op *FixedOp) (lo, hi int64) { // either sign of both, and the sum before the division
			size := func(n int) int64 { a := &p.Ops[op.Args[n]]; return max(-a.Lo, a.Hi) }
			most := max(size(0)+size(1)/2, size(1))
			return -most, most
		},
		Real: func(_, a, b, _ float64) float64 { return float64(a/b) + 0 },
		integer: func(_ *instr, a, b, _ int64) int64 {
			if b < 0 {
				a, b = -a, -b
			}
			sum := a + b/2
			q := sum / b
			if sum%b < 0 {
				q--
			}
			return q
		}},
	Root: {Name: "root", Arity: 1, Rounds: true,
		Real:    func(_, a, _, _ float64) float64 { return math.Sqrt(max(a, 0)) },
		integer: func(_ *instr, a, _, _ int64) int64 { return NearestRoot(a) }},
	Table: {Name: "table", Arity: 1, Drawn: true,
		between: func(p *Fixed, op *FixedOp) (lo, hi int64) {
			lo, hi = op.Curve.products()
			a, b := op.Curve.Ends()
			return min(lo, a), max(hi, b)
		},
		integer: func(in *instr, a, _, _ int64) int64 { return in.curve.Eval(a) }},
}

func truth(b bool) float64 { return float64(bit(b)) }

func bit(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
