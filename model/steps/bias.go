package steps

import (
	"math/big"

	"gainwright/model/program"
)

var biasKind = &Kind{
	Name:     "bias_at_rest",
	Doc:      "Takes off the mean that a rate shows over the first ticks at rest; motion starts the mean over.",
	Equation: "y = x - mean of `average` ticks in a row with |x| <= limit (0 until then)",
	Source:   "common practice, no source",
	Units:    "own = of = limit",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the rate: an input"},
		{Key: "limit", Form: Quantity, Required: true, Doc: "a larger |x| counts as motion"},
		{Key: "average", Form: Duration, Required: true, Doc: "ticks to average, such as 256 ticks"},
	},
	Signals: []string{"ready"},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		if x.lo == nil {
			l.fail(l.argPos("of"), "of", "not-an-input", "the name of an input", "the mean at rest is taken of an input, %q is a step", l.arg("of").Value.Text)
			return
		}
		limit := l.Number("limit", x.unit, nil)
		if limit.Sign() <= 0 {
			l.fail(l.argPos("limit"), "limit", "not-positive", "limit: 25 "+x.unit, "the limit is %s, a value above zero is expected", decimal(limit))
			return
		}
		n := l.Ticks("average", 1<<15)
		one := big.NewRat(1, 1)

		above := l.Logic(program.LessEqual, "slow_down", "not faster one way", l.Const(new(big.Rat).Neg(limit), x.unit, "least"), x.id)
		below := l.Logic(program.LessEqual, "slow_up", "not faster the other way", x.id, l.Const(limit, x.unit, "most"))
		rest := l.Logic(program.And, "resting", "at rest", above, below)
		moving := l.Logic(program.Not, "moving", "in motion", rest)

		count, counted := l.State(program.RealState{StateInfo: program.StateInfo{Purpose: program.Counter}, Like: program.None}, "count", "ticks at rest in a row")
		full := l.Logic(program.LessEqual, "ready_before", "the mean stands", l.Const(big.NewRat(n, 1), "", "wanted"), counted)
		open := l.Logic(program.Not, "open", "the mean is still being taken", full)
		more := l.add(program.RealOp{Op: program.Op{Kind: program.Min, Args: []program.ID{l.Add(counted, l.Const(one, "", "one"), "more", "one more"), l.Const(big.NewRat(n, 1), "", "enough")}}}, "counted", "ticks at rest, this one included")
		over := l.Logic(program.And, "restart", "motion before the mean stands", open, moving)

		sum, summed := l.State(program.RealState{StateInfo: program.StateInfo{Unit: x.unit, Purpose: program.Copy}, Like: x.id}, "sum", "sum at rest")
		most := new(big.Rat).Mul(limit, big.NewRat(n, 1))
		next := l.Clamp(l.Add(summed, x.id, "sum_more", "sum with this tick"), new(big.Rat).Neg(most), most, "sum_now", "never more than average * limit")
		l.Exact(next)

		s := l.Update(count, more)
		s.Enable, s.Reset, s.ResetTo = open, over, l.Const(new(big.Rat), "", "none")
		s = l.Update(sum, next)
		s.Enable, s.Reset, s.ResetTo = open, over, l.Const(new(big.Rat), x.unit, "empty")

		mean := l.Scale(big.NewRat(1, n), summed, x.unit, "mean", "mean at rest")
		bias := l.Select(full, mean, l.Const(new(big.Rat), x.unit, "unknown"), "bias", "mean where it stands, else 0")
		y := l.Clamp(l.Sub(x.id, bias, "unbiased", "rate less bias"), x.lo, x.hi, "inside", "inside what the raw input can say")
		l.Publish(y, "", nil)
		l.Publish(full, "ready", nil)
	},
}
