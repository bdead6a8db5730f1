package steps

import (
	"fmt"
	"math/big"

	"gainwright/model/program"
)

// mostPlaces is how many samples a step may keep besides that of the tick.
const mostPlaces = 64

var medianKind = &Kind{
	Name:     "median",
	Doc:      "The middle one of the last 3, 5 or 7 samples: a single wrong reading does not come through.",
	Equation: "y = the middle one of x and its values of the ticks before; before the first tick x is what it is then",
	Source:   "Tukey, Exploratory Data Analysis (1977), running medians (from memory)",
	Units:    "own = of",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "over", Form: Duration, Required: true, Doc: "how many samples: 3, 5 or 7 ticks"},
	},
	Lower: func(l *Lowering) {
		x := l.onLine("the middle one of angles on a circle is none: 179, -179 and 180 would give 179")
		n, ok := l.samples("over", 7)
		if !ok {
			return
		}
		if n != 3 && n != 5 && n != 7 {
			l.fail(l.argPos("over"), "over", "not-odd", "over: 3 ticks, 5 ticks or 7 ticks", "%d samples are given, 3, 5 or 7 are expected", n)
			return
		}
		_, before := l.earlier(x, int(n-1))
		samples := append([]program.ID{x.id}, before...)
		l.facts().Level, l.facts().Passes = &x.id, true
		l.Equation("%s = the middle one of the last %d of %s", l.step.Name, n, l.arg("of").Value.Text)
		l.Publish(l.Select(l.first, x.id, l.middle(samples), "now", "the middle one; in the first tick the first value"), "", nil)
	},
}

var delayKind = &Kind{
	Name:     "delay",
	Doc:      "A signal as it was some ticks ago.",
	Equation: "y[k] = x[k - ticks]; before that many ticks the first x",
	Source:   "common practice, no source",
	Units:    "own = of",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "time", Form: Duration, Required: true, Doc: fmt.Sprintf("how long ago: 1 to %d ticks", mostPlaces)},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		n, ok := l.samples("time", mostPlaces)
		if !ok {
			return
		}
		_, before := l.earlier(x, int(n))
		l.facts().Level, l.facts().Passes = &x.id, true
		l.Equation("%s[k] = %s[k - %d]", l.step.Name, l.arg("of").Value.Text, n)
		l.Publish(l.Select(l.first, x.id, before[n-1], "then", "the value then; in the first tick the first one"), "", x.angular)
	},
}

var averageKind = &Kind{
	Name:     "moving_average",
	Doc:      "The mean of the last samples.",
	Equation: "y = (x[k] + x[k-1] + ...)/n; before the first tick x is what it is then",
	Source:   "Oppenheim and Schafer, Discrete-Time Signal Processing, moving average (from memory)",
	Units:    "own = of",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "over", Form: Duration, Required: true, Doc: fmt.Sprintf("how many samples: 2 to %d ticks", mostPlaces)},
	},
	Lower: func(l *Lowering) {
		x := l.onLine("an angle on a circle cannot be averaged: 179 and -179 would give 0")
		n, ok := l.samples("over", mostPlaces)
		if !ok {
			return
		}
		if n < 2 {
			l.fail(l.argPos("over"), "over", "too-few-samples", "over: 4 ticks, or the step left out", "the mean of %d sample is that sample", n)
			return
		}
		places, before := l.earlier(x, int(n-1))
		sum, kept := l.State(program.RealState{StateInfo: program.StateInfo{Unit: x.unit, Purpose: program.Copy, SumOf: places}, Like: x.id}, "kept", "sum of those before")
		total := l.Add(kept, x.id, "sum", "sum of all")
		state := l.Update(sum, l.Sub(total, before[n-2], "next", "sum without the oldest"))
		state.Reset, state.ResetTo = l.first, l.Scale(big.NewRat(n-1, 1), x.id, x.unit, "first", "sum of the first value, so many times")
		l.p.Ops[state.ResetTo].Same = kept
		mean := l.Scale(big.NewRat(1, n), total, x.unit, "mean", "the mean")
		l.p.Ops[mean].Keep = 15
		l.facts().Level = &x.id
		l.Equation("%s = the mean of the last %d of %s", l.step.Name, n, l.arg("of").Value.Text)
		l.Publish(l.Select(l.first, x.id, mean, "now", "the mean; in the first tick the first value"), "", nil)
	},
}

// samples reads how many ticks a step looks back; ok is false where that has been found fault with.
func (l *Lowering) samples(key string, most int64) (n int64, ok bool) {
	before := len(*l.findings)
	n = l.Ticks(key, most)
	return n, len(*l.findings) == before
}

// onLine is the signal that the step reads, which does not go around a circle.
func (l *Lowering) onLine(otherwise string) signal {
	x := l.Signal("of")
	if x.angular != nil {
		l.fail(l.argPos("of"), "of", "average-on-circle", "clamp the angle first, or filter its rate", "%s", otherwise)
	}
	return x
}

// earlier are the values that a signal had one tick ago, two ticks ago and so on, so many of them. At the end of the first tick each is the value of that tick.
func (l *Lowering) earlier(x signal, n int) (states []int, values []program.ID) {
	newest := x.id
	for k := range n {
		state, before := l.State(program.RealState{StateInfo: program.StateInfo{Unit: x.unit, Purpose: program.Copy}, Like: x.id}, fmt.Sprintf("ago_%d", k+1), fmt.Sprintf("%d before", k+1))
		s := l.Update(state, newest)
		s.Reset, s.ResetTo = l.first, x.id
		newest = before
		states, values = append(states, state), append(values, before)
	}
	return states, values
}

// middle is the middle one of an odd number of values. Of more than half of them the least and the largest cannot be it: they are left out, the next value comes in.
func (l *Lowering) middle(values []program.ID) program.ID {
	exchange := func(a, b *program.ID) {
		lesser := l.binary(program.Min, *a, *b, "least", "the lesser of two")
		*a, *b = lesser, l.binary(program.Max, *a, *b, "most", "the larger of two")
	}
	in, rest := append([]program.ID(nil), values[:len(values)/2+2]...), values[len(values)/2+2:]
	for {
		for i := range in[:len(in)-1] { // the largest to the end
			exchange(&in[i], &in[i+1])
		}
		for i := len(in) - 2; i > 0; i-- { // the least to the beginning
			exchange(&in[i-1], &in[i])
		}
		if in = in[1 : len(in)-1]; len(in) == 1 {
			return in[0]
		}
		in, rest = append(in, rest[0]), rest[1:]
	}
}
