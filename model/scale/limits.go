package scale

import (
	"math/big"

	"gainwright/model/program"
)

// onGrid is the limit of an output that a constant is, where a shift leads from the counts of that output to those of the constant. A step that
// counts in something else, such as the counts of a sensor, has no whole counts of the output: its limits are constants like any other.
func onGrid(op *program.RealOp, lsb *big.Rat) *program.Limit {
	if op.Kind != program.Const || op.Limit == nil {
		return nil
	}
	if _, ok := powerOfTwo(new(big.Rat).Quo(op.Limit.Count, lsb)); !ok {
		return nil
	}
	return op.Limit
}

// exactly is the fewest fraction bits at which a number other than 0 whose denominator is a power of two is a whole count.
func exactly(x *big.Rat) int {
	return x.Denom().BitLen() - 1 - int(x.Num().TrailingZeroBits())
}

// inCounts is the whole number that stands for x counts: the nearest, or the last one inside a limit.
func inCounts(limit *program.Limit, x *big.Rat) *big.Int {
	if limit == nil {
		return nearest(x)
	}
	return limit.Whole(x)
}

// checkLimits refuses limits that inward rounding leads past one another: no count lies inside them.
func (e *emitter) checkLimits(real *program.RealOp, low, high program.ID) {
	lo, hi := &e.out.Ops[low], &e.out.Ops[high]
	if lo.Kind != program.Const || hi.Kind != program.Const || lo.K.Cmp(hi.K) <= 0 {
		return
	}
	a, b := &e.Asked.Ops[real.Args[1]], &e.Asked.Ops[real.Args[2]]
	count := lo.LSB
	if a.Limit.Count.Cmp(count) > 0 { // the format may be finer or coarser than the counts of the output
		count = a.Limit.Count
	}
	message, remedy, _ := program.NoCount(a.K, b.K, count)
	e.fail(real.Section, "no-count-inside", e.Asked.Sections[real.Section].Key()+".limits", remedy, "%s", message)
}
