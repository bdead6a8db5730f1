package scale

import (
	"math/big"

	"gainwright/model/program"
)

// Constant says what a number of the spec became.
type Constant struct {
	Name, Unit    string // effort_kp
	Asked, Stored *big.Rat
	Count         int64    // in the integer program
	LSB           *big.Rat // what one count stands for
	Section       int
	Of            program.ID     // the value that it is, or is the factor of; None: of a state or a live gain
	Line          int            // of the spec
	Live          bool           // a live gain: Stored is the value at start
	Given         bool           // the spec names it, by a key
	Start         bool           // where a state starts
	Point         bool           // a number of a table: half a count off at most, which is little against the table and may be much against itself
	Limit         *program.Limit // of an output: stored inwards; nil: another number
}

// nearest is the whole number next to x, halves up.
func nearest(x *big.Rat) *big.Int {
	n := new(big.Int).Lsh(x.Num(), 1)
	n.Add(n, x.Denom())
	return n.Div(n, new(big.Int).Lsh(x.Denom(), 1))
}

// constant stores a constant in the format of its use.
func (e *emitter) constant(v program.ID, lsb *big.Rat, section int) program.ID {
	op := &e.Asked.Ops[v]
	if op.Bool {
		return e.add(program.Op{Kind: program.Const, K: op.K}, v, big.NewRat(1, 1), section, "")
	}
	limit := onGrid(op, lsb)
	count := new(big.Rat).SetInt(inCounts(limit, new(big.Rat).Quo(limit.Inward(op.K), lsb)))
	e.store(v, op.K, new(big.Rat).Mul(count, lsb), count, lsb, nil)
	return e.add(program.Op{Kind: program.Const, K: count}, v, lsb, section, "")
}

// store notes what a constant became.
func (e *emitter) store(v program.ID, asked, stored, count, lsb, factor *big.Rat) {
	op := &e.Asked.Ops[v]
	e.result.Stored.Ops[v].K = stored
	if !count.Num().IsInt64() {
		e.fail(op.Section, "constant-too-large", e.Asked.Sections[op.Section].Key(), "a smaller number, or a coarser pinned format", "the constant %s needs more than 64 bits", op.K.FloatString(6))
		return
	}
	if stored.Sign() == 0 && asked.Sign() != 0 && onGrid(op, lsb) == nil {
		value, _ := asked.Float64()
		count, _ := lsb.Float64()
		e.fail(op.Section, "constant-vanishes", e.Asked.Sections[op.Section].Key(), "a larger number, a finer pinned format, or 0", "the constant %.6g (%s) is stored as 0: it is counted in steps of %.3g", value, op.Name, count)
	}
	if asked.Sign() == 0 {
		return
	}
	unit := op.Unit
	if op.Kind == program.Scale {
		unit = op.OfUnit
	}
	c := Constant{Name: op.Label, Unit: unit, Asked: asked, Stored: stored, Count: count.Num().Int64(), LSB: lsb, Section: op.Section, Of: v, Given: op.Label != "", Limit: onGrid(op, lsb)}
	if c.Name == "" {
		c.Name = op.Name
	}
	if factor != nil {
		c.Asked, c.Stored = new(big.Rat).Quo(asked, factor), new(big.Rat).Quo(stored, factor)
		c.LSB = new(big.Rat).Quo(lsb, factor)
	}
	e.note(c)
}

func (e *emitter) note(c Constant) {
	c.Line = e.Place(c.Section).Line
	e.result.Constants = append(e.result.Constants, c)
}
