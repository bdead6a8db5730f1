package selection

import (
	"fmt"
	"math"

	"gainwright/model/program"
)

// Form is how an operation is computed. Each has a text in C and a price: tables by form, held whole by tests.
type Form uint8

// The forms. Those of C are what a compiler is trusted with; those by a function have one of their own in the header, and some an AVR form.
const (
	None        Form = iota // nobody needs it, or it is a constant: nothing is computed
	Fused                   // computed in one with its reader
	Input                   // read
	Coef                    // read of the set of this tick
	State                   // read as it was before the tick
	Sum                     // in C, as are all to Or
	Difference              //
	Product                 // of two values
	Scale                   // a product by a constant
	Copy                    // the same number, in another width
	Negate                  //
	Choice                  // only the side that is taken is computed, where it stands in the expression
	Less                    //
	LessEqual               //
	And                     //
	Or                      //
	Not                     //
	Clamp                   // by a function, as are all that follow: a limit between any values
	Min                     //
	Max                     //
	Abs                     //
	Wrap                    //
	Multiply                // a product of 32 bits, by its shape
	MultiplyAdd             // a sum with such a product
	Up                      // 16 bits times a power of two, into 32
	UpWide                  // 32 bits times a power of two
	Round                   // a division by a power of two
	LessRounded             // 16 bits less the rounded upper half of 32
	Symmetric               // a limit to [-Most, Most], by a function that others share
	Within                  // a limit by constants, one of which may be missing
	Angle                   // an arctangent
	Quotient                // a division by any value
	Root                    // a square root
	Table                   // straight lines between points
	ShortTable              // the same in 16 bits, its points in program memory
	Forms                   // their number
)

var formNames = [Forms]string{"none", "fused", "input", "coefficient", "state", "sum", "difference", "product", "scale", "copy", "negate", "choice", "less",
	"less-or-equal", "and", "or", "not", "clamp", "minimum", "maximum", "absolute", "wrap", "multiply", "multiply-add", "up", "up-wide", "round", "less-rounded",
	"symmetric", "within", "angle", "quotient", "root", "table", "short-table"}

func (f Form) String() string { return formNames[f] }

// Reads tells whether an operation is a read from memory.
func (f Form) Reads() bool { return f == Input || f == Coef || f == State }

// plain are the forms of operations that have one form, and those of limits that have none of their own.
var plain = [program.Kinds]Form{program.Const: None, program.Input: Input, program.Coef: Coef, program.State: State, program.Select: Choice, program.Less: Less,
	program.LessEqual: LessEqual, program.And: And, program.Or: Or, program.Not: Not, program.Abs: Abs, program.Wrap: Wrap, program.Clamp: Clamp, program.Min: Min, program.Max: Max, program.Quotient: Quotient, program.Root: Root}

// form fills in how one operation is computed, when all is known of those that it reads and that read it.
func (s *Selection) form(id program.ID) {
	op, o := &s.Program.Ops[id], &s.Ops[id]
	o.Fused = program.None
	if !o.Use.Live {
		return
	}
	for _, a := range op.Args {
		o.Args = append(o.Args, Operand{a, o.Width})
	}
	switch op.Kind {
	case program.Add, program.Sub:
		s.sum(id, op, o)
	case program.Mul:
		o.Form = Product
		s.byFunction(id, o)
	case program.Scale:
		s.scale(id, op, o)
	case program.Round:
		if op.Shift > 63 {
			panic(fmt.Sprintf("selection: %s is rounded by %d bits, int64 has 63", op.Name, op.Shift))
		}
		o.Form, o.Short = Round, op.Type.Bits() <= 16
	case program.Clamp, program.Min, program.Max:
		s.limit(op, o)
	case program.Angle:
		side := program.I16
		for _, a := range op.Args {
			if !inside(&s.Program.Ops[a], program.I16) {
				side = program.I32
			}
		}
		o.Form, o.Args = Angle, []Operand{{op.Args[0], side}, {op.Args[1], side}}
	case program.Table:
		o.Form, o.Args[0].Width = Table, program.I16
		if !inside(&s.Program.Ops[op.Args[0]], program.I16) {
			o.Args[0].Width = program.I32
		}
		if s.Target.Forms && isShort(op.Curve) {
			o.Form = ShortTable
		}
	default:
		o.Form = plain[op.Kind]
	}
}

// isShort tells whether places, values and slopes of a table, and what it rises in a line, fit 16 bits, and the products 32.
func isShort(c *program.Curve) bool {
	fits := func(n int64) bool { return math.MinInt16 <= n && n <= math.MaxInt16 }
	lo, hi := c.Ends()
	short := fits(c.X[0]) && fits(c.X[len(c.X)-1]) && fits(lo) && fits(hi)
	for i, k := range c.Slope {
		length := c.X[i+1] - c.X[i]
		product := max(k, -k)*length + 1<<c.Shift
		short = short && fits(length) && fits(k) && product < 1<<31 && fits(product>>c.Shift)
	}
	return short
}

// sum chooses the form of a sum or difference. A product that nothing else uses is added to the sum in one.
func (s *Selection) sum(id program.ID, op *program.FixedOp, o *Operation) {
	o.Form = Sum
	if op.Kind == program.Sub {
		o.Form = Difference
	}
	if r := op.Args[1]; s.Ops[r].Inline && s.lessRounded(id, r) {
		s.fuse(o, LessRounded, r, Operand{op.Args[0], program.I16}, Operand{s.Program.Ops[r].Args[0], program.I32})
		return
	}
	for n, a := range op.Args {
		if !s.Ops[a].Inline {
			continue
		}
		if m, ok := s.fuses(id, a); ok {
			o.Multiplication = m
			s.fuse(o, MultiplyAdd, a, append([]Operand{{op.Args[1-n], program.I32}}, m.operands()...)...)
			return
		}
	}
}

func (s *Selection) fuse(o *Operation, form Form, with program.ID, args ...Operand) {
	o.Form, o.Fused, o.Args = form, with, args
	s.Ops[with].Form, s.Ops[with].Args = Fused, nil
}

// byFunction makes a multiplication of a product in C where it has a shape.
func (s *Selection) byFunction(id program.ID, o *Operation) {
	m, ok := s.multiply(id, false)
	if !ok {
		return
	}
	o.Form, o.Multiplication, o.Args = Multiply, m, m.operands()
}

// AddedTo0 tells whether a product is computed by the function that adds it to a sum.
func (s *Selection) AddedTo0(o *Operation) bool {
	return o.Form == Multiply && o.Shape == Signed && s.share.sums
}

// scale chooses the form of a product by a constant.
func (s *Selection) scale(id program.ID, op *program.FixedOp, o *Operation) {
	o.Factor = op.K.Num().Int64()
	switch o.Factor {
	case 1:
		o.Form = Copy
		return
	case -1:
		o.Form = Negate
		return
	}
	o.Form = Scale
	switch form, bits := s.up(id); form {
	case Up:
		o.Form, o.Bits, o.Args[0].Width = Up, bits, program.I16
	case UpWide:
		o.Form, o.Bits, o.Args[0].Width = UpWide, bits, program.I32
	default:
		s.byFunction(id, o)
	}
}

// limit chooses the form of a clamp, minimum or maximum: limits by constants have one that knows them.
func (s *Selection) limit(op *program.FixedOp, o *Operation) {
	o.Form = plain[op.Kind]
	if !s.Target.Forms || o.Width == program.I64 || o.Width == program.I16 && op.Kind != program.Clamp {
		return
	}
	if op.Kind == program.Clamp {
		lo, hi := s.constant(op.Args[1]), s.constant(op.Args[2])
		if lo == nil || hi == nil || *lo > 0 || *hi < 0 || *lo >= *hi {
			return
		}
		o.Form, o.Least, o.Most = Within, lo, hi
		if o.Width == program.I32 && s.share.symmetric && *lo == -*hi {
			o.Form = Symmetric
		}
		return
	}
	for n, a := range op.Args {
		v := s.constant(a)
		if v == nil {
			continue
		}
		o.Form, o.Args = Within, []Operand{o.Args[1-n], o.Args[n]}
		if op.Kind == program.Max {
			o.Least = v
		} else {
			o.Most = v
		}
		return
	}
}

// HasTable tells whether AVR has a form for an arctangent: a short division and a look-up, by table and sides.
func HasTable(t *program.Arctan, side program.Type) bool {
	step := t.QuotientBits - t.LogEntries
	if side != program.I16 || t.LogEntries < 1 || t.LogEntries > 8 || step < 1 || step > 8 || 2*t.Quarter > math.MaxInt16 || t.Entries[0] != 0 {
		return false
	}
	for i := 1; i < len(t.Entries); i++ {
		d := t.Entries[i] - t.Entries[i-1]
		if d < 0 || d > math.MaxUint8 || i == 1<<t.LogEntries && d > 1<<(step-1) { // the quotient 1 - 2^-QuotientBits then looks up the same as 1
			return false
		}
	}
	return true
}
