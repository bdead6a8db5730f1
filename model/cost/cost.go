// Package cost estimates what one tick of an integer program costs on a target, without a compiler.
//
// A program is taken apart into features, such as a product of 16 by 16 into 32 bits, or a rounding of a
// 32-bit value by a number of bits that is no whole byte. A table holds what each costs; the tables are
// measured (see the calibration test of gen/target), and their error is stated with them.
package cost

import (
	"fmt"
	"sort"

	"gainwright/model/program"
)

// Unit is what a target counts.
type Unit string

// Cycles are those of the AVR core, instructions those that an instruction-set simulator retires.
const (
	Cycles       Unit = "cycles"
	Instructions Unit = "instructions"
)

// Table is the cost of each feature on one target.
type Table struct {
	Target string
	Unit   Unit
	Base   float64            // call, return and the moving of inputs and outputs
	Costs  map[string]float64 // by feature
}

// For returns the table of a target, or nil where there is none.
func For(target string) *Table {
	for i := range tables {
		if tables[i].Target == target {
			return &tables[i]
		}
	}
	return nil
}

// Features counts what a program is made of. Types must be filled in.
func Features(p *program.Program) map[string]int { return features(p, 0, len(p.Ops), p.States) }

// SectionFeatures counts what one section is made of, the states it owns included.
func SectionFeatures(p *program.Program, section int) map[string]int {
	first := sort.Search(len(p.Ops), func(i int) bool { return p.Ops[i].Section >= section })
	end := sort.Search(len(p.Ops), func(i int) bool { return p.Ops[i].Section > section })
	var states []program.StateInfo
	for i := range p.States {
		if p.States[i].Section == section {
			states = append(states, p.States[i])
		}
	}
	return features(p, first, end, states)
}

func features(p *program.Program, first, end int, states []program.StateInfo) map[string]int {
	out := map[string]int{}
	for i := first; i < end; i++ {
		if f := feature(p, program.ID(i)); f != "" {
			out[f]++
		}
	}
	for i := range states {
		s := &states[i]
		out[fmt.Sprintf("state%d", s.Type.Bits())]++
		if s.Enable != program.None || s.Reset != program.None {
			out["condition"]++
		}
	}
	return out
}

// feature names the cost class of one operation; empty: it costs nothing of its own.
func feature(p *program.Program, id program.ID) string {
	op := &p.Ops[id]
	w := p.Width(id).Bits()
	switch op.Kind {
	case program.Const, program.State, program.Input:
		return ""
	case program.Coef:
		return fmt.Sprintf("load%d", op.Type.Bits())
	case program.Scale:
		a := p.Ops[op.Args[0]].Type.Bits()
		k := op.K.Num()
		switch {
		case op.Bool || op.K.IsInt() && k.IsInt64() && k.Int64() == 1:
			return ""
		case k.Sign() > 0 && k.TrailingZeroBits() == uint(k.BitLen()-1):
			if k.BitLen()%8 == 1 {
				return fmt.Sprintf("byteup%d", w)
			}
			return fmt.Sprintf("up%d", w)
		}
		return product(a, program.Holding(k.Int64(), k.Int64()).Bits(), w)
	case program.Mul:
		return product(p.Ops[op.Args[1]].Type.Bits(), p.Ops[op.Args[0]].Type.Bits(), w)
	case program.Round:
		if op.Shift%8 == 0 {
			return fmt.Sprintf("byteround%d", w)
		}
		return fmt.Sprintf("round%d", w)
	case program.Angle:
		return fmt.Sprintf("angle%d", op.Table.QuotientBits)
	case program.Less, program.LessEqual, program.Clamp, program.Select, program.Wrap, program.Min, program.Max, program.Abs, program.Add, program.Sub:
		return fmt.Sprintf("%s%d", op.Kind, w)
	}
	return op.Kind.String() // and, or, not
}

// product is a multiplication of operands of a and b bits in w bits; the narrower operand is named first.
func product(a, b, w uint) string {
	a, b = max(a, 16), max(b, 16)
	return fmt.Sprintf("product%dx%din%d", min(a, b), max(a, b), w)
}

// Estimate is the cost of one tick. unknown lists features that the table does not hold; they count as the
// dearest that it holds.
func (t *Table) Estimate(features map[string]int) (total float64, unknown []string) {
	total = t.Base
	dearest := 0.0
	for _, c := range t.Costs {
		dearest = max(dearest, c)
	}
	names := make([]string, 0, len(features))
	for f := range features {
		names = append(names, f)
	}
	sort.Strings(names) // sums of floats in one order
	for _, f := range names {
		c, ok := t.Costs[f]
		if !ok {
			c = dearest
			unknown = append(unknown, f)
		}
		total += c * float64(features[f])
	}
	return total, unknown
}
