package program

import (
	"errors"
	"fmt"
	"math/big"
)

// Verify tells which law of real programs p breaks; nil where it keeps all.
func (p *Real) Verify() error {
	if err := p.View().verify(); err != nil {
		return err
	}
	for _, op := range p.Ops {
		row := op.Kind.Of()
		if !op.Kind.held() && row.Real == nil && !row.Drawn {
			return fmt.Errorf("%s: %v is no operation of a real program", op.Name, op.Kind)
		}
		if row.Drawn != (len(op.Points) > 1) || !rising(op.Points) {
			return fmt.Errorf("%s: a table and nothing else has points, two or more and in order", op.Name)
		}
		for _, n := range row.Aligned { // an integer program counts: a factor of 1 between two units leaves no operation there
			if a := p.Ops[op.Args[n]]; a.Unit != op.Unit && !op.Bool {
				return fmt.Errorf("%s: its unit is %q, that of %s is %q", op.Name, op.Unit, a.Name, a.Unit)
			}
		}
	}
	return nil
}

// Verify tells which law of integer programs p breaks; nil where it keeps all. Types and ranges are looked at where they have been found.
func (p *Fixed) Verify() error {
	if err := p.View().verify(); err != nil {
		return err
	}
	for i := range p.Ops {
		if err := p.verifyOp(&p.Ops[i]); err != nil {
			return fmt.Errorf("%s: %w", p.Ops[i].Name, err)
		}
	}
	for _, s := range p.States {
		same := positive(s.LSB) && s.Start.IsInt() && p.alike(s.LSB, s.Next) && (s.Reset == None || p.alike(s.LSB, s.ResetTo))
		if !same || s.Type != NoType && !s.Type.holds(s.Lo, s.Hi) {
			return fmt.Errorf("state %s has another format than what it becomes", s.Name)
		}
	}
	for _, c := range p.Coefs {
		if !positive(c.LSB) || c.Setter.Shift < 1 || c.Setter.Shift > 60 {
			return fmt.Errorf("coefficient %s has no format", c.Name)
		}
	}
	for _, o := range p.Outputs {
		if !p.alike(o.LSB, o.Value) {
			return fmt.Errorf("output %s has another format than its value", o.Name)
		}
	}
	return nil
}

// MostShift is the longest shift of a rounding.
const MostShift = 61

func (p *Fixed) verifyOp(op *FixedOp) error {
	row := op.Kind.Of()
	shift, whole := uint(0), op.K == nil || op.K.IsInt()
	if op.Kind == Round {
		shift = MostShift
	}
	switch {
	case !positive(op.LSB) || op.Bool && op.LSB.Cmp(big.NewRat(1, 1)) != 0:
		return errors.New("it has no format")
	case op.Shift > shift || op.Kind == Round && op.Shift == 0:
		return fmt.Errorf("it is shifted by %d", op.Shift)
	case !whole || op.Kind == Wrap && (op.K.Sign() <= 0 || op.K.Num().Bit(0) != 0):
		return errors.New("its constant is no such number of counts")
	case (op.Arctan != nil) != (op.Kind == Angle):
		return errors.New("an arctangent and nothing else has a table")
	case (op.Curve != nil) != row.Drawn:
		return errors.New("a table and nothing else has a curve")
	case op.Type != NoType && !op.Type.holds(op.Lo, op.Hi):
		return errors.New("its type does not hold its range")
	case row.Format != nil && op.LSB.Cmp(row.Format(p.Ops[op.Args[0]].LSB, p.Ops[op.Args[1]].LSB)) != 0:
		return errors.New("its format does not follow from those of its arguments")
	}
	for _, n := range row.Aligned {
		if !op.Bool && !p.alike(op.LSB, op.Args[n]) {
			return fmt.Errorf("argument %d has another format", n+1)
		}
	}
	for _, n := range row.Compared {
		if !p.alike(p.Ops[op.Args[row.Compared[0]]].LSB, op.Args[n]) {
			return errors.New("arguments of different formats are compared")
		}
	}
	return nil
}

// rising tells whether the points of a table are in order.
func rising(points []Point) bool {
	for i := 1; i < len(points); i++ {
		if points[i-1].X.Cmp(points[i].X) >= 0 {
			return false
		}
	}
	return true
}

// alike tells whether a value is counted in an LSB.
func (p *Fixed) alike(lsb *big.Rat, id ID) bool { return p.Ops[id].LSB.Cmp(lsb) == 0 }

func positive(x *big.Rat) bool { return x != nil && x.Sign() > 0 }

// holds tells whether a range has two ends in order inside the type.
func (t Type) holds(lo, hi int64) bool {
	least, most := t.Range()
	return least <= lo && lo <= hi && hi <= most
}

// held tells whether a machine holds what an operation of the kind yields.
func (k Kind) held() bool { return k == Const || k.Of().Indexed }

// verify looks at the laws of both dialects.
func (p View) verify() error {
	shown := map[ID]bool{}
	for s, sec := range p.Sections {
		if !sec.Clock.Valid() {
			return fmt.Errorf("section %s runs at no ticks that can be counted", sec.Name)
		}
		for _, sig := range sec.Signals {
			if !p.there(sig.Value) || p.Ops[sig.Value].Section != s {
				return fmt.Errorf("signal %s is no value of its section", sig.Name)
			}
			shown[sig.Value] = true
		}
	}
	reads := func(id ID, section int) error {
		switch {
		case !p.there(id):
			return errors.New("it reads a value that is not there")
		case p.Ops[id].Section != section && !shown[id]:
			return fmt.Errorf("it reads %s of another section, which is no signal", p.Ops[id].Name)
		}
		return nil
	}
	last := 0
	for i, op := range p.Ops {
		if op.Section < last || op.Section >= len(p.Sections) {
			return fmt.Errorf("%s stands outside its section", op.Name)
		}
		last = op.Section
		if err := p.verifyOp(ID(i), op, reads); err != nil {
			return fmt.Errorf("%s: %w", op.Name, err)
		}
	}
	for _, c := range p.Coefs {
		if c.Gain < 0 || c.Gain >= len(p.Gains) || c.Factor == nil {
			return fmt.Errorf("coefficient %s is made of no gain", c.Name)
		}
	}
	for _, s := range p.States {
		if err := p.verifyState(s, reads); err != nil {
			return fmt.Errorf("state %s: %w", s.Name, err)
		}
	}
	for _, in := range p.Inputs {
		if !positive(in.LSB) {
			return fmt.Errorf("input %s counts nothing", in.Name)
		}
	}
	for _, o := range p.Outputs {
		if !p.there(o.Value) || !positive(o.LSB) {
			return fmt.Errorf("output %s has no value", o.Name)
		}
	}
	return nil
}

func (p View) there(id ID) bool { return id >= 0 && int(id) < len(p.Ops) }

func (p View) verifyOp(id ID, op *Op, reads func(ID, int) error) error {
	row := op.Kind.Of()
	most := map[Kind]int{Input: len(p.Inputs), Coef: len(p.Coefs), State: len(p.States)}[op.Kind]
	switch {
	case row.Name == "":
		return errors.New("there is no such operation")
	case len(op.Args) != row.Arity:
		return fmt.Errorf("it has %d arguments, %v takes %d", len(op.Args), op.Kind, row.Arity)
	case (op.K != nil) != row.HasK:
		return errors.New("it lacks a constant or has one too many")
	case row.Indexed && (op.Index < 0 || op.Index >= most) || !row.Indexed && op.Index != 0:
		return fmt.Errorf("it is number %d of %d", op.Index, most)
	case row.Truth && !op.Bool:
		return errors.New("a truth value is called a number")
	}
	for _, a := range op.Args {
		if a >= id {
			return errors.New("it reads a value that is not there yet")
		}
		if err := reads(a, op.Section); err != nil {
			return err
		}
	}
	for _, n := range row.Truths {
		if !p.Ops[op.Args[n]].Bool {
			return fmt.Errorf("it is decided by %s, a number", p.Ops[op.Args[n]].Name)
		}
	}
	for _, n := range row.Aligned {
		if a := p.Ops[op.Args[n]]; a.Bool != op.Bool {
			return fmt.Errorf("numbers and truth values are mixed up in it and %s", a.Name)
		}
	}
	return nil
}

func (p View) verifyState(s *StateInfo, reads func(ID, int) error) error {
	if s.Start == nil || s.Section < 0 || s.Section >= len(p.Sections) || (s.Reset == None) != (s.ResetTo == None) {
		return errors.New("it is not said where it starts, stands or is reset to")
	}
	become := []ID{s.Next, s.ResetTo, s.Enable, s.Reset}
	for n, id := range become {
		if n > 0 && id == None {
			continue
		}
		if err := reads(id, s.Section); err != nil {
			return err
		}
		if p.Ops[id].Bool != (s.Bool || n > 1) {
			return fmt.Errorf("numbers and truth values are mixed up in it and %s", p.Ops[id].Name)
		}
	}
	return nil
}
