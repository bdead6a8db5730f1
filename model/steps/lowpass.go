package steps

import (
	"math"
	"math/big"
	"strings"

	"gainwright/model/program"
)

var lowPassKind = &Kind{
	Name:     "low_pass",
	Doc:      "First-order low-pass filter.",
	Equation: "y += a * (x - y), a = period/(time_constant + period)",
	Source:   "backward Euler rule for 1/(tau*s + 1), Astrom and Wittenmark, Computer-Controlled Systems (from memory)",
	Units:    "own = of = start",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the signal"},
		{Key: "time_constant", Form: Duration, Doc: "tau; one of time_constant, cutoff, blend"},
		{Key: "cutoff", Form: Frequency, Doc: "corner frequency, tau = 1/(2*pi*cutoff)"},
		{Key: "blend", Form: Number, Doc: "share of the old value kept each tick, 1 - a"},
		{Key: "mapping", Form: Word, Choices: []string{"backward", "matched"}, Doc: "matched: a = 1 - exp(-period/tau)"},
		{Key: "start", Form: SignalOrNumber, Doc: "value at start, default the first x"},
	},
	Lower: func(l *Lowering) {
		x := l.Signal("of")
		if x.angular != nil {
			l.fail(l.argPos("of"), "of", "average-on-circle", "clamp the angle first, or filter its rate", "an angle on a circle cannot be averaged: 179 and -179 would give 0")
		}
		a := l.share()
		start := x.id
		if l.Has("start") {
			start = l.SignalOrNumber("start", x.unit, "start")
		}
		y := l.firstOrder(x.id, a, start, program.None, "output")
		l.facts().Level = &x.id
		l.Equation("%[1]s += %[2]s*(%[3]s - %[1]s)", l.step.Name, decimal(a), l.arg("of").Value.Text)
		l.Publish(y, "", nil)
	},
}

// share reads the a of y += a*(x - y) from a time constant, a corner frequency or a blend.
func (l *Lowering) share() *big.Rat {
	tau, key, a := l.readShare()
	l.noteFilter("", key, tau, a)
	return a
}

func (l *Lowering) readShare() (tau *big.Rat, key string, a *big.Rat) {
	one := big.NewRat(1, 1)
	var given []string
	for _, k := range []string{"time_constant", "cutoff", "blend"} {
		if l.Has(k) {
			given = append(given, k)
		}
	}
	switch len(given) {
	case 0:
		l.fail(l.step.Pos, "", "one-of", "time_constant: 50 ms, or cutoff: 3 Hz, or blend: 0.9", "how strongly to filter is not said: one of time_constant, cutoff and blend is expected")
		return one, "", one
	case 1:
	default:
		l.fail(l.argPos(given[1]), given[1], "one-of", "leave it out, or leave out "+given[0], "%s are given, exactly one is expected", strings.Join(given, " and "))
		return one, "", one
	}
	if l.Has("blend") {
		if l.Has("mapping") {
			l.fail(l.argPos("mapping"), "mapping", "one-of", "leave mapping out", "a blend needs no mapping")
		}
		b := l.Number("blend", "", nil)
		if b.Sign() < 0 || b.Cmp(one) >= 0 {
			l.fail(l.argPos("blend"), "blend", "blend-outside", "blend: 0.98", "the blend is %s, 0 <= blend < 1 is expected", decimal(b))
			return one, "", one
		}
		a := new(big.Rat).Sub(one, b)
		return new(big.Rat).Quo(new(big.Rat).Mul(l.Period(), b), a), "blend", a
	}
	if l.Has("time_constant") {
		tau = l.Seconds("time_constant")
	} else {
		f := l.Hertz("cutoff")
		tau = new(big.Rat).Inv(new(big.Rat).Mul(f, new(big.Rat).SetFloat64(2*math.Pi)))
	}
	if l.kind.param("mapping") != nil && l.Word("mapping") == "matched" {
		r, _ := new(big.Rat).Quo(l.Period(), tau).Float64()
		return tau, given[0], new(big.Rat).SetFloat64(-math.Expm1(-r))
	}
	return tau, given[0], new(big.Rat).Quo(l.Period(), new(big.Rat).Add(tau, l.Period()))
}

// firstOrder adds y' = y + a*(x - y) + extra, started at start (the tick's own value of it, at the first tick).
func (l *Lowering) firstOrder(x program.ID, a *big.Rat, start, extra program.ID, role string) program.ID {
	unit := l.unitOf(x)
	n, kept := l.State(program.RealState{StateInfo: program.StateInfo{Unit: unit, Purpose: program.Accumulator}, Like: x}, role, "filter state")
	before := kept
	if l.p.Ops[start].Kind == program.Const {
		l.p.States[n].Start = l.p.Ops[start].K
	} else {
		before = l.Select(l.first, start, kept, role+"_from", "state, or the start at the first tick")
	}
	// A copy of the state has a format of its own: so the gap stays narrow, and its product with a fits 32 bits.
	seen := l.Scale(big.NewRat(1, 1), before, unit, role+"_seen", "state that the gap is taken from")
	diff := l.Sub(x, seen, role+"_gap", "input less state")
	pull := l.Scale(a, diff, unit, role+"_pull", "share of the gap")
	if lag := l.facts().Lag; lag != nil {
		lag.Pull = pull
	}
	y := l.Add(before, pull, role+"_next", "state moved towards the input")
	if extra != program.None {
		y = l.Add(y, extra, role+"_led", "and led by the rate")
	}
	l.Update(n, y)
	return y
}
