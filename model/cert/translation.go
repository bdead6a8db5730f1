package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// translation verifies that each operation of the integer program does what its real counterpart does with the stored constant, in
// counts. Formats may change on the way: a rounding or a whole factor gives a value another LSB, and stands for the same real value.
type translation struct {
	p      *program.Fixed
	q      *program.Real
	ranges []interval.Range // of the integer values
	signal map[program.ID]bool
	tables map[program.ID]*big.Rat // by angle and table: the largest error, in counts
	loose  []bool                  // by value: whole turns are still to be taken off, by the next stage of a wrap alone
}

// translate verifies every operation. ranges are those of the integer program's values: a wrap rests on them.
func translate(stored *program.Real, integer *program.Fixed, ranges []interval.Range) (*translation, error) {
	t := &translation{integer, stored, ranges, map[program.ID]bool{}, map[program.ID]*big.Rat{}, make([]bool, len(integer.Ops))}
	for _, s := range integer.Sections {
		for _, sig := range s.Signals {
			t.signal[sig.Value] = true
		}
	}
	for i := range integer.Ops {
		if err := t.operation(program.ID(i)); err != nil {
			op := &integer.Ops[i]
			return nil, fmt.Errorf("value %s does not do what %s of the real program does: %w", op.Name, stored.Ops[op.Real].Name, err)
		}
	}
	return t, nil
}

func (t *translation) operation(id program.ID) error {
	op := &t.p.Ops[id]
	for _, a := range op.Args {
		if arg := &t.p.Ops[a]; arg.Section != op.Section && !t.signal[a] {
			return fmt.Errorf("%s crosses sections and is no signal", arg.Name)
		}
		if t.loose[a] && op.Kind != program.Wrap {
			return fmt.Errorf("it reads a half-wrapped value")
		}
	}
	if t.converts(op) {
		return t.conversion(id, op)
	}
	real := &t.q.Ops[op.Real]
	if op.Kind != real.Kind || op.Section != real.Section || len(op.Args) != len(real.Args) {
		return fmt.Errorf("it is another operation")
	}
	for i, a := range op.Args {
		if !t.standsFor(a, real.Args[i]) && !t.loose[a] {
			return fmt.Errorf("argument %d is another value", i+1)
		}
	}
	return translationRules[op.Kind](t, id, op, real)
}

// translationRules say by kind what must hold besides: the arguments stand for those of the real operation, and no format has changed yet.
var translationRules = [program.Kinds]func(t *translation, id program.ID, op *program.FixedOp, real *program.RealOp) error{
	program.Const: func(_ *translation, _ program.ID, op *program.FixedOp, real *program.RealOp) error {
		return unless(equal(mul(op.K, op.LSB), real.K), "the constant differs")
	},
	program.Input: func(t *translation, _ program.ID, op *program.FixedOp, real *program.RealOp) error {
		return unless(op.Index == real.Index && equal(op.LSB, t.q.Inputs[op.Index].LSB), "the input's format differs")
	},
	program.Coef: func(t *translation, _ program.ID, op *program.FixedOp, real *program.RealOp) error {
		return unless(op.Index == real.Index && equal(op.LSB, t.p.Coefs[op.Index].LSB), "the coefficient's format differs")
	},
	program.State: func(t *translation, _ program.ID, op *program.FixedOp, real *program.RealOp) error {
		s := &t.p.States[op.Index]
		return unless(s.Real == real.Index && equal(op.LSB, s.LSB), "the state's format differs")
	},
	program.Add: alike(0),
	program.Sub: alike(0),
	program.Scale: func(t *translation, _ program.ID, op *program.FixedOp, real *program.RealOp) error {
		return unless(equal(mul(op.K, op.LSB), mul(real.K, t.lsb(op, 0))), "the factor differs")
	},
	program.Mul: func(t *translation, _ program.ID, op *program.FixedOp, _ *program.RealOp) error {
		return unless(equal(op.LSB, mul(t.lsb(op, 0), t.lsb(op, 1))), "the formats do not multiply")
	},
	program.Round: func(*translation, program.ID, *program.FixedOp, *program.RealOp) error { // it converts, or it is none
		return fmt.Errorf("it is another operation")
	},
	program.Clamp: alike(0),
	program.Min:   alike(0),
	program.Max:   alike(0),
	program.Abs:   alike(0),
	program.Wrap:  (*translation).wrap,
	program.Angle: func(t *translation, id program.ID, op *program.FixedOp, real *program.RealOp) (err error) {
		if t.tables[id], err = ArctanError(op.Arctan); err != nil {
			return err
		}
		turn := mul(new(big.Rat).SetInt64(4*op.Arctan.Quarter), op.LSB)
		return unless(equal(turn, program.Turn(real.Unit)) && equal(t.lsb(op, 0), t.lsb(op, 1)), "the formats make another angle")
	},
	program.Less:      compared,
	program.LessEqual: compared,
	program.And:       logical,
	program.Or:        logical,
	program.Not:       logical,
	program.Select:    alike(1),
}

// alike wants the arguments from one on to have the result's format.
func alike(from int) func(*translation, program.ID, *program.FixedOp, *program.RealOp) error {
	return func(t *translation, _ program.ID, op *program.FixedOp, _ *program.RealOp) error {
		for i := from; i < len(op.Args); i++ {
			if !equal(t.lsb(op, i), op.LSB) {
				return fmt.Errorf("the formats of the arguments differ")
			}
		}
		return nil
	}
}

func compared(t *translation, _ program.ID, op *program.FixedOp, _ *program.RealOp) error {
	return unless(equal(t.lsb(op, 0), t.lsb(op, 1)), "values of different formats are compared")
}

// logical operations are the same in both programs; checkTypes holds their arguments to 0 and 1.
func logical(*translation, program.ID, *program.FixedOp, *program.RealOp) error { return nil }

func unless(holds bool, why string) error {
	if holds {
		return nil
	}
	return fmt.Errorf("%s", why)
}

// lsb is that of an argument.
func (t *translation) lsb(op *program.FixedOp, arg int) *big.Rat { return t.p.Ops[op.Args[arg]].LSB }

// wrap verifies one stage of a wrap. A stage takes off a turn at most, or two, four, ... turns at most;
// the last one must leave the value inside half a turn, or it had no turn to take off.
func (t *translation) wrap(id program.ID, op *program.FixedOp, real *program.RealOp) error {
	a := op.Args[0]
	arg := &t.p.Ops[a]
	if t.loose[a] && (arg.Real != op.Real || arg.Section != op.Section) || !equal(arg.LSB, op.LSB) {
		return fmt.Errorf("it wraps another value")
	}
	turns := quo(mul(op.K, op.LSB), real.K)
	if !turns.IsInt() || op.K.Num().Bit(0) != 0 {
		return fmt.Errorf("it wraps by %s counts: an even number that makes whole turns is needed", text(op.K))
	}
	half := op.K.Num().Int64() / 2
	inside := interval.Ints(-half, half-1)
	t.loose[id] = !t.isTurn(op, real) || !inside.Holds(t.ranges[id]) && !inside.Holds(t.ranges[a])
	return nil
}

// isTurn tells whether a stage of a wrap takes off one turn at most.
func (t *translation) isTurn(op *program.FixedOp, real *program.RealOp) bool {
	return equal(mul(op.K, op.LSB), real.K)
}

// converts tells whether op only gives its argument another format.
func (t *translation) converts(op *program.FixedOp) bool {
	return (op.Kind == program.Round || op.Kind == program.Scale) && t.standsFor(op.Args[0], op.Real)
}

// conversion verifies that an operation which only gives its argument another format keeps the value. Where it is computed at other ticks than
// what it stands for, it is that value at its own: nobody else may take it for it.
func (t *translation) conversion(id program.ID, op *program.FixedOp) error {
	if t.signal[id] && t.p.At(op.Section) != t.q.ClockOf(op.Real) {
		return fmt.Errorf("it is computed at other ticks")
	}
	keeps := equal(mul(new(big.Rat).SetInt(pow2(op.Shift)), t.lsb(op, 0)), op.LSB)
	if op.Kind == program.Scale {
		keeps = equal(mul(op.K, op.LSB), t.lsb(op, 0))
	}
	return unless(keeps, "a change of format changes the value")
}

func isCopy(op *program.Op) bool {
	return op.Kind == program.Scale && op.K.Cmp(big.NewRat(1, 1)) == 0
}

// copies tells whether an operation of a real program hands its argument on: at other ticks than that is computed at, it holds what it was.
func copies(p *program.Real, id program.ID) bool {
	op := &p.Ops[id].Op
	return isCopy(op) && p.ClockOf(id) == p.ClockOf(op.Args[0])
}

// standsFor tells whether integer value a is a form of real value r, through copies.
func (t *translation) standsFor(a, r program.ID) bool {
	real := t.p.Ops[a].Real
	for real != r {
		switch {
		case copies(t.q, r):
			r = t.q.Ops[r].Args[0]
		case copies(t.q, real) && real > r:
			real = t.q.Ops[real].Args[0]
		default:
			return false
		}
	}
	return true
}

// links verifies that states, signals and outputs of the integer program stand for those of the real one.
func (t *translation) links() error {
	both := func(what string, a, r program.ID) error {
		if (a == program.None) != (r == program.None) || a != program.None && !t.standsFor(a, r) {
			return fmt.Errorf("%s stands for another value than in the real program", what)
		}
		return nil
	}
	for _, s := range t.p.States {
		r := &t.q.States[s.Real]
		if !s.Start.IsInt() || !equal(mul(s.Start, s.LSB), r.Start) {
			return fmt.Errorf("state %s starts elsewhere than in the real program", s.Name)
		}
		for _, pair := range [][2]program.ID{{s.Next, r.Next}, {s.Enable, r.Enable}, {s.Reset, r.Reset}, {s.ResetTo, r.ResetTo}} {
			if err := both("state "+s.Name, pair[0], pair[1]); err != nil {
				return err
			}
			if pair[0] != program.None && t.p.Ops[pair[0]].Section != s.Section && !t.signal[pair[0]] {
				return fmt.Errorf("state %s reads %s of another section, which is no signal", s.Name, t.p.Ops[pair[0]].Name)
			}
		}
		for _, v := range []program.ID{s.Next, s.ResetTo} {
			if v != program.None && !equal(t.p.Ops[v].LSB, s.LSB) {
				return fmt.Errorf("state %s takes a value of another format", s.Name)
			}
		}
	}
	for i := range t.p.Sections {
		for j, sig := range t.p.Sections[i].Signals {
			if err := both("signal "+sig.Name, sig.Value, t.q.Sections[i].Signals[j].Value); err != nil {
				return err
			}
		}
	}
	for i, o := range t.p.Outputs {
		if err := both("output "+o.Name, o.Value, t.q.Outputs[i].Value); err != nil {
			return err
		}
		if t.p.ClockOf(o.Value) != t.q.ClockOf(t.q.Outputs[i].Value) {
			return fmt.Errorf("output %s is computed at other ticks than in the real program", o.Name)
		}
		if !equal(t.p.Ops[o.Value].LSB, o.LSB) {
			return fmt.Errorf("output %s has another format than its value", o.Name)
		}
	}
	return nil
}

func equal(a, b *big.Rat) bool { return a != nil && b != nil && a.Cmp(b) == 0 }

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }

func quo(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }

func pow2(n uint) *big.Int { return new(big.Int).Lsh(big.NewInt(1), n) }
