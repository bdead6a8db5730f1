package scale

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// A setting counts decimal steps: those that the spec asks for, or else such that the range has 10,000 to 100,000. It is
// multiplied by a number of 14 bits, or of 15 where there is room: so by that rule the product, with half a count added,
// fits 32 bits, and a setter on an 8-bit part needs no 64-bit library.
var fewestSteps = big.NewRat(1e4, 1)

const (
	mostDigits = 30
	mergeBits  = 14
)

// newSetter finds how a decimal setting becomes a coefficient of ratio counts for each unit of the gain.
func newSetter(g program.Gain, ratio *big.Rat) (program.Setter, error) {
	top := interval.Max(new(big.Rat).Abs(g.Lo), new(big.Rat).Abs(g.Hi))
	digits := 0
	power := func() *big.Rat {
		return new(big.Rat).SetInt(new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(digits)), nil))
	}
	enough := func() bool { return top.Sign() == 0 || new(big.Rat).Mul(top, power()).Cmp(fewestSteps) >= 0 }
	if g.Count != nil {
		enough = func() bool { return new(big.Rat).Mul(g.Count, power()).Cmp(big.NewRat(1, 1)) >= 0 }
	}
	for digits < mostDigits && !enough() {
		digits++
	}
	whole := func(x *big.Rat) int64 { return nearest(new(big.Rat).Mul(x, power())).Int64() }
	if new(big.Rat).Mul(top, power()).Cmp(two(30)) > 0 {
		return program.Setter{Shift: 1}, fmt.Errorf("the tuning range reaches %s, at most 1e9 is expected", top.FloatString(0))
	}
	s := program.Setter{Digits: digits, XLo: whole(g.Lo), XHi: whole(g.Hi), XStart: whole(g.Value), Shift: 1}
	m := new(big.Rat).Quo(ratio, power())
	if new(big.Rat).Abs(m).Cmp(two(29)) > 0 {
		return s, fmt.Errorf("one step of the setting is more than 2^29 counts")
	}
	s.Shift = 60
	if m.Sign() != 0 {
		s.Shift = uint(min(max(mergeBits-1-log2(new(big.Rat).Abs(m)), 1), 60)) // |m| * 2^Shift has mergeBits bits
	}
	s.M = nearest(new(big.Rat).Mul(m, two(int(s.Shift)))).Int64()
	finer := s
	finer.Shift++
	finer.M = nearest(new(big.Rat).Mul(m, two(int(finer.Shift)))).Int64()
	if size := max(finer.M, -finer.M); finer.Shift <= 31 && size < 1<<15 && max(s.XHi, -s.XLo)*size+int64(1)<<(finer.Shift-1) < 1<<31 {
		return finer, nil
	}
	return s, nil
}

// factors are the live coefficient of a product and the value that it multiplies, in whichever order they stand.
func factors(p *program.Real, op *program.RealOp) (coef, value program.ID) {
	if p.Ops[op.Args[0]].Kind == program.Coef {
		return op.Args[0], op.Args[1]
	}
	return op.Args[1], op.Args[0]
}

// product multiplies by a live coefficient, whose format follows from that of the value and that of the product.
func (e *emitter) product(v program.ID, op *program.RealOp, lsb *big.Rat) program.ID {
	c, of := factors(e.Asked, op)
	x := e.main[of]
	unit := new(big.Rat).Quo(lsb, e.out.Ops[x].LSB)
	info := &e.out.Coefs[e.Asked.Ops[c].Index]
	gain := e.Asked.Gains[info.Gain]
	info.LSB = unit
	setter, err := newSetter(gain, new(big.Rat).Quo(info.Factor, unit))
	if err != nil {
		e.fail(op.Section, "gain-range", "tuning."+gain.Key, "a narrower tuning range", "%v", err)
		gain.Value = new(big.Rat) // nothing more is said of it
	}
	info.Setter = setter
	id := e.add(program.Op{Kind: program.Coef, Index: e.Asked.Ops[c].Index}, c, unit, op.Section, "")
	e.main[c] = id
	count := setter.Apply(setter.XStart)
	stored := new(big.Rat).Quo(new(big.Rat).Mul(new(big.Rat).SetInt64(count), unit), info.Factor)
	if count == 0 && gain.Value.Sign() != 0 {
		value, _ := gain.Value.Float64()
		count, _ := new(big.Rat).Quo(unit, info.Factor).Float64()
		end, _ := gain.Hi.Float64() // with 64 steps up to the gain
		if value < 0 {
			end, _ = gain.Lo.Float64()
		}
		remedy := fmt.Sprintf("below tuning, a range that ends near %.4g; or a gain of %.3g or more", end*math.Abs(value/count)/64, math.Abs(count))
		e.fail(op.Section, "gain-vanishes", "steps."+gain.Key, remedy, "the gain %.6g is stored as 0: its tuning range leaves steps of %.3g", value, math.Abs(count))
	}
	e.note(Constant{Of: program.None, Name: gain.Name, Unit: gain.Unit, Asked: gain.Value, Stored: stored, Count: count,
		LSB: new(big.Rat).Quo(unit, info.Factor), Section: op.Section, Live: true})
	args := []program.ID{id, x}
	if op.Args[1] == c {
		args = []program.ID{x, id}
	}
	return e.add(program.Op{Kind: program.Mul, Args: args}, v, lsb, op.Section, "")
}
