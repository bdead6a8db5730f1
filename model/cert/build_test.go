package cert_test

import (
	"fmt"
	"math/big"
	"math/rand/v2"

	"gainwright/model/program"
)

// builder puts small integer programs of one section together.
type builder struct {
	*rand.Rand
	p *program.Fixed
}

func newBuilder(seed uint64, inputs ...program.Type) *builder {
	b := &builder{rand.New(rand.NewPCG(seed, 7)), &program.Fixed{Frame: program.Frame{Sections: make([]program.Section, 1)}}}
	for i, t := range inputs {
		b.p.Inputs = append(b.p.Inputs, program.InputInfo{Name: fmt.Sprint("in", i), Type: t, LSB: one})
		b.add(program.FixedOp{Op: program.Op{Kind: program.Input, Index: i, Bool: t == program.Bool}})
	}
	return b
}

var one = big.NewRat(1, 1)

func (b *builder) add(op program.FixedOp) program.ID {
	id := program.ID(len(b.p.Ops))
	op.Name, op.LSB, op.Real = fmt.Sprint("v", id), one, id
	b.p.Ops = append(b.p.Ops, op)
	return id
}

func (b *builder) op(kind program.Kind, args ...program.ID) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: kind, Args: args, Bool: kind >= program.Less && kind <= program.Not}})
}

func (b *builder) constant(k int64) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Const, K: big.NewRat(k, 1)}})
}

func (b *builder) scale(k int64, a program.ID) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Scale, K: big.NewRat(k, 1), Args: []program.ID{a}}})
}

func (b *builder) round(shift uint, a program.ID) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Round, Args: []program.ID{a}}, Shift: shift})
}

func (b *builder) wrap(turn int64, a program.ID) program.ID {
	return b.add(program.FixedOp{Op: program.Op{Kind: program.Wrap, K: big.NewRat(turn, 1), Args: []program.ID{a}}})
}

func (b *builder) clamp(a program.ID, lo, hi int64) program.ID {
	return b.op(program.Clamp, a, b.constant(lo), b.constant(hi))
}

// state adds a state that nothing feeds yet, and returns its number and its value.
func (b *builder) state(start int64) (int, program.ID) {
	n := len(b.p.States)
	b.p.States = append(b.p.States, program.FixedState{StateInfo: program.StateInfo{Name: fmt.Sprint("s", n), Start: big.NewRat(start, 1),
		Next: program.None, Enable: program.None, Reset: program.None, ResetTo: program.None}, LSB: one, Real: n, Type: program.I64, Lo: -1 << 62, Hi: 1 << 62})
	return n, b.add(program.FixedOp{Op: program.Op{Kind: program.State, Index: n}})
}

// any is one of some values.
func (b *builder) any(of []program.ID) program.ID { return of[b.IntN(len(of))] }
