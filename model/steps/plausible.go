package steps

import (
	"fmt"
	"math/big"
	"slices"

	"gainwright/model/program"
	"gainwright/model/spec"
)

var plausibleKind = &Kind{
	Name:     "plausible",
	Doc:      "A switch that is on while a reading can be believed: inside its range, not faster than its machine, not frozen.",
	Equation: "on = when, and in range for back_after, and no jump or freeze since the reset",
	Source:   "range, rate and freeze checks of a sensor, common practice, no source",
	IsSwitch: true,
	Units:    "of = range",
	Params: []Param{
		{Key: "of", Form: Signal, Required: true, Doc: "the reading: an input"},
		{Key: "range", Form: Limits, Doc: "[low, high]: outside the switch is off; default the range of the input"},
		{Key: "back_after", Form: Duration, Doc: "time in range before it comes on, at start too; default 1 tick"},
		{Key: "fastest", Form: Quantity, Doc: "change in a second: more of it in a tick is a jump, which lasts until reset"},
		{Key: "frozen_after", Form: Duration, Doc: "the same count for so long is a freeze, which lasts until reset"},
		{Key: "reset", Form: Condition, Doc: "coming on, it ends a jump or freeze; without it only init does, as at power up"},
		{Key: "when", Form: Condition, Doc: "the switch is off while this is off"},
	},
	Signals: []string{"tripped"},
	Lower:   lowerPlausible,
}

// plausible is the check while it is put together.
type plausible struct {
	*Lowering
	x      signal
	in     *spec.Input // that it is; nil where that could not be read
	lsb    *big.Rat
	zero   *big.Rat   // the offset of the input; nil: none
	read   program.ID // the reading, without the offset
	change program.ID // since the last reading in range
	inside program.ID // the reading is in range
	last   program.ID // the last reading in range
	before program.ID // that of the last tick was in range
}

func lowerPlausible(l *Lowering) {
	c := &plausible{Lowering: l, x: l.Signal("of"), change: program.None}
	c.read = c.x.id
	if c.x.lo == nil {
		l.fail(l.argPos("of"), "of", "not-an-input", "the name of an input", "what a sensor says is checked, %q is a step", l.arg("of").Value.Text)
		return
	}
	c.lsb = big.NewRat(1, 1)
	if c.in = l.input(l.arg("of").Value.Text); c.in != nil {
		c.lsb = new(big.Rat).Inv(new(big.Rat).Abs(c.in.CountsPerUnit))
	}
	back := int64(1)
	if l.Has("back_after") {
		back = l.Ticks("back_after", 1<<15-1)
	}
	lo, hi, good := c.span()
	if !good {
		l.publishUnknown()
		return
	}
	c.offset()
	outside := c.readInside(lo, hi)
	step := c.step(new(big.Rat).Sub(hi, lo))
	c.believe(lo, hi, step)
	steady, trips := c.inside, program.None
	if l.Has("fastest") || l.Has("frozen_after") {
		c.remember()
	}
	switch {
	case step != nil:
		steady, trips = c.jump(step, back, outside)
	case back > 1:
		steady = c.lasts("good", "in range", back, outside)
	}
	if frozen := c.freeze(outside); trips == program.None {
		trips = frozen
	} else if frozen != program.None {
		trips = l.Logic(program.Or, "trips", "jumps or is frozen", trips, frozen)
	}
	if trips == program.None {
		if l.Has("reset") && !l.Has("fastest") && !l.Has("frozen_after") {
			l.fail(l.argPos("reset"), "reset", "nothing-to-reset", "leave it out, or give fastest or frozen_after", "only a jump or a freeze is reset, and neither is looked for")
		}
		l.Publish(c.when(steady), "", nil)
		l.Publish(l.Logic(program.And, "never", "never: nothing trips", c.inside, outside), "tripped", nil)
		return
	}
	tripped := c.latch(trips)
	on := l.Logic(program.And, "believed", "in range and not tripped", steady, l.Logic(program.Not, "sound", "not tripped", tripped))
	l.Publish(c.when(on), "", nil)
	l.Publish(tripped, "tripped", nil)
}

// when keeps a switch off while the condition under that key does not hold.
func (l *Lowering) when(on program.ID) program.ID {
	when := l.Condition("when")
	if when == program.None {
		return on
	}
	l.facts().Gate = &when
	return l.Logic(program.And, "armed", "and armed", on, when)
}

// input is the input of that name, or nil.
func (l *Lowering) input(name string) *spec.Input {
	if i := slices.Index(l.spec.InputNames(), name); i >= 0 && l.spec.Inputs[i].CountsPerUnit != nil {
		return &l.spec.Inputs[i]
	}
	return nil
}

// span is the range in which a reading is believed. One that holds all that the register can say would check nothing. It is not good where the counts
// of the input are upside down: what else could be said follows from that.
func (c *plausible) span() (lo, hi *big.Rat, good bool) {
	pos, key := c.argPos("range"), "range"
	if lo, hi = c.Limits("range", c.x.unit); lo == nil {
		pos, key = c.argPos("of"), "of"
		lo, hi = c.x.lo, c.x.hi
		if c.in != nil && c.in.Lo != nil {
			lo, hi = c.in.Lo, c.in.Hi
		}
	}
	if c.in != nil && c.upsideDown(c.in, lo, hi) {
		return lo, hi, false
	}
	switch {
	case isUnknown(c.x.unit):
	case lo.Cmp(c.x.lo) <= 0 && hi.Cmp(c.x.hi) >= 0:
		c.fail(pos, key, "range-holds-all", "range: (what the sensor says in good use)", "every reading that the register can hold is in range: none would be out of it")
	case hi.Cmp(c.x.lo) < 0 || lo.Cmp(c.x.hi) > 0 || c.counts(hi).Cmp(c.counts(lo)) <= 0:
		c.fail(pos, key, "range-holds-none", "range: (what the sensor says in good use)", "in [%s, %s] lies at most one reading that the register can hold", decimal(lo), decimal(hi))
	}
	c.facts().Check = &program.Check{Of: c.x.id, Lo: lo, Hi: hi, Trip: program.None, Reset: program.None}
	return c.onCount(lo, true), c.onCount(hi, false), true
}

// offset takes the offset of the input off again: what is left are whole counts, in the real program and in the integer one, whose offset is rounded.
func (c *plausible) offset() {
	if c.in != nil && c.in.Offset != nil && c.in.Offset.Sign() != 0 {
		c.zero = c.in.Offset
		c.read = c.Sub(c.x.id, c.Const(c.zero, c.x.unit, "offset"), "counted", "the reading without its offset")
		c.Exact(c.read)
	}
}

// half is half a count of the input: a limit there lies between two readings, so that no rounding of float64 decides.
func (c *plausible) half() *big.Rat { return new(big.Rat).Quo(c.lsb, big.NewRat(2, 1)) }

// believe notes what is believed of the raw reading.
func (c *plausible) believe(lo, hi, step *big.Rat) {
	for i, in := range c.p.Inputs {
		if in.Name != c.arg("of").Value.Text || isUnknown(c.x.unit) {
			continue
		}
		b := program.Belief{Input: i, Moves: c.Has("frozen_after")}
		if step != nil || b.Moves {
			b.Last = c.prefix + "_last"
		}
		least, most := in.Type.Range()
		from, to := c.counts(c.onCount(lo, true)).Int64(), c.counts(hi).Int64()
		b.Lo, b.Hi = least+from, least+to
		if in.Turned {
			b.Lo, b.Hi = most-to, most-from
		}
		if step != nil {
			b.Step = new(big.Rat).Quo(step, c.lsb).Num().Int64()
		}
		b.Lo, b.Hi = min(max(b.Lo, least), most), max(min(b.Hi, most), least)
		c.p.Beliefs = append(c.p.Beliefs, b)
	}
}

// counts is how far a value lies above the lowest reading, in whole counts of the input, rounded down.
func (c *plausible) counts(v *big.Rat) *big.Int {
	n := new(big.Rat).Sub(v, c.x.lo)
	n.Quo(n, c.lsb)
	return new(big.Int).Div(n.Num(), n.Denom()) // Euclidean: down, the denominator is positive
}

// onCount rounds a limit inwards to a reading: comparisons of counts decide.
func (c *plausible) onCount(v *big.Rat, up bool) *big.Rat {
	if isUnknown(c.x.unit) {
		return v
	}
	n := new(big.Rat).SetInt(c.counts(v))
	at := n.Mul(n, c.lsb).Add(n, c.x.lo)
	if up && at.Cmp(v) < 0 {
		at.Add(at, c.lsb)
	}
	return at
}

func (c *plausible) readInside(lo, hi *big.Rat) (outside program.ID) {
	if c.zero != nil {
		lo, hi = new(big.Rat).Sub(lo, c.zero), new(big.Rat).Sub(hi, c.zero)
		lo, hi = lo.Sub(lo, c.half()), hi.Add(hi, c.half())
	}
	above := c.Logic(program.LessEqual, "above", "not below the range", c.Const(lo, c.x.unit, "low"), c.read)
	below := c.Logic(program.LessEqual, "below", "not above the range", c.read, c.Const(hi, c.x.unit, "high"))
	c.inside = c.Logic(program.And, "inside", "in range", above, below)
	return c.Logic(program.Not, "outside", "out of range", c.inside)
}

// lasts tells whether something has been so for n ticks in a row, this one included. The count stays at n.
func (c *plausible) lasts(role, what string, n int64, ends program.ID) program.ID {
	count, counted := c.State(program.RealState{StateInfo: program.StateInfo{Purpose: program.Counter}, Like: program.None}, role+"_count", "ticks in a row: "+what)
	enough := big.NewRat(n-1, 1) // with this one n: the state need not hold the last
	s := c.Update(count, c.add(program.RealOp{Op: program.Op{Kind: program.Min, Args: []program.ID{c.Add(counted, c.Const(big.NewRat(1, 1), "", role+"_one"), role+"_more", "one more"),
		c.Const(enough, "", role+"_enough")}}}, role+"_counted", "ticks in a row, this one included, as far as they are counted"))
	s.Reset, s.ResetTo = ends, c.Const(new(big.Rat), "", role+"_none")
	long := c.Logic(program.LessEqual, role+"_long", "long enough before", c.Const(enough, "", role+"_wanted"), counted)
	return c.Logic(program.And, role+"_lasts", "for long enough: "+what, long, c.Logic(program.Not, role+"_goes_on", "still: "+what, ends))
}

// remember keeps the last reading in range.
func (c *plausible) remember() {
	n, last := c.State(program.RealState{StateInfo: program.StateInfo{Unit: c.x.unit, Purpose: program.Copy}, Like: c.read}, "last", "last reading in range")
	s := c.Update(n, c.read)
	s.Enable = c.inside
	c.last = last
	if c.Has("fastest") {
		n, c.before = c.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter}, Like: program.None}, "before", "in range at the last tick")
		c.Update(n, c.inside)
	}
}

// step is how far the machine can go in a tick, in whole counts; nil where that is not asked or cannot be.
func (c *plausible) step(width *big.Rat) *big.Rat {
	if !c.Has("fastest") {
		return nil
	}
	fastest := c.Number("fastest", c.x.unit+"/s", nil)
	step := new(big.Rat).Mul(fastest, c.Period())
	whole := new(big.Rat).Quo(step, c.lsb)
	switch {
	case isUnknown(c.x.unit):
		return nil
	case fastest.Sign() <= 0:
		c.fail(c.argPos("fastest"), "fastest", "not-positive", "fastest: 2 "+c.x.unit+"/s", "the rate is %s, a value above zero is expected", decimal(fastest))
	case whole.Cmp(big.NewRat(1, 1)) < 0:
		c.fail(c.argPos("fastest"), "fastest", "below-a-count", "fastest: "+decimal(new(big.Rat).Mul(c.lsb, c.rate()))+" "+c.x.unit+"/s, or more",
			"in %s this is %s %s, less than the count of %s: every change would be a jump", c.aRun(), decimal(step), c.x.unit, decimal(c.lsb))
	case step.Cmp(width) >= 0:
		c.fail(c.argPos("fastest"), "fastest", "no-jump", "a slower rate, or leave it out", "in %s this is %s %s, as much as the range is wide: no change would be a jump", c.aRun(), decimal(step), c.x.unit)
	default:
		return step.Mul(new(big.Rat).SetInt(new(big.Int).Div(whole.Num(), whole.Denom())), c.lsb)
	}
	return nil
}

// jump tells whether the reading is further from the last one in range than the machine can have gone. One that leaves the range so has
// n ticks to be back, and then may have gone n times as far. Before the first reading in range there is none to compare with.
// It tells too whether the reading has been in range for n ticks: one count serves both.
func (c *plausible) jump(step *big.Rat, n int64, outside program.ID) (good, jumps program.ID) {
	const far = "further than the machine goes"
	leap := c.Logic(program.And, "leap", "further in one tick", c.before, c.beyond("fast", far, step))
	if n == 1 {
		return c.inside, leap
	}
	away := c.Logic(program.Not, "away", "out of range at the last tick", c.before)
	returns := c.Logic(program.And, "returns", "in range again", c.inside, away)
	leaves := c.Logic(program.And, "leaves", "no longer in range", outside, c.before)

	count, counted := c.State(program.RealState{StateInfo: program.StateInfo{Purpose: program.Counter}, Like: program.None}, "count", "ticks in a row in range, or out of it")
	enough := big.NewRat(n-1, 1)
	s := c.Update(count, c.add(program.RealOp{Op: program.Op{Kind: program.Min, Args: []program.ID{c.Add(counted, c.Const(big.NewRat(1, 1), "", "one"), "more", "one more"),
		c.Const(enough, "", "enough")}}}, "counted", "ticks in a row, this one included, as far as they are counted"))
	s.Reset, s.ResetTo = c.Logic(program.Or, "turns", "in range and was not, or the other way", returns, leaves), c.Const(big.NewRat(1, 1), "", "first")
	long := c.Logic(program.LessEqual, "long", "long enough before", c.Const(enough, "", "wanted"), counted)
	good = c.Logic(program.And, "good", "in range for long enough", long, c.Logic(program.And, "stays", "still in range", c.inside, c.before))

	m, gone := c.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter}, Like: program.None}, "gone", "it left the range further in one tick than the machine goes")
	c.Update(m, c.Logic(program.And, "gone_now", "out of range, and left so", outside, c.Logic(program.Or, "gone_or_leaps", "now or before", gone, leap)))
	lost := c.Logic(program.And, "lost", "for too long", c.Logic(program.And, "still_gone", "and still out of range", gone, outside), long)

	m, seen := c.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter}, Like: program.None}, "seen", "some reading was in range")
	c.Update(m, c.Logic(program.Or, "seen_now", "now or before", seen, c.inside))
	elsewhere := c.Logic(program.And, "elsewhere", "back, and not near where it left", c.Logic(program.And, "comes_back", "back in range", returns, seen), c.beyond("far", far, new(big.Rat).Mul(step, big.NewRat(n, 1))))
	inRange := c.Logic(program.And, "leap_inside", "from one reading in range to another", leap, c.inside)
	return good, c.Logic(program.Or, "jumps", "a jump", c.Logic(program.Or, "astray", "lost, or back elsewhere", lost, elsewhere), inRange)
}

// beyond tells whether the reading is more than so many counts from the last one in range.
func (c *plausible) beyond(role, doc string, most *big.Rat) program.ID {
	if c.change == program.None {
		c.change = c.Sub(c.read, c.last, "change", "change since the last reading in range")
		c.Exact(c.change)
	}
	most = new(big.Rat).Add(most, c.half())
	up := c.Logic(program.Less, role+"_up", "further up", c.Const(most, c.x.unit, role+"_most"), c.change)
	down := c.Logic(program.Less, role+"_down", "further down", c.change, c.Const(new(big.Rat).Neg(most), c.x.unit, role+"_least"))
	return c.Logic(program.Or, role, doc, up, down)
}

// moves tells whether the reading is another than the last one.
func (c *plausible) moves() program.ID {
	const doc = "another reading than the last one"
	if c.zero != nil { // a difference of sums, which float64 rounds
		return c.beyond("moves", doc, new(big.Rat))
	}
	below := c.Logic(program.Less, "falls", "below the last one", c.read, c.last)
	above := c.Logic(program.Less, "rises", "above the last one", c.last, c.read)
	return c.Logic(program.Or, "moves", doc, below, above)
}

// freeze tells whether the reading was the same for too long.
func (c *plausible) freeze(outside program.ID) program.ID {
	if !c.Has("frozen_after") {
		return program.None
	}
	before := len(*c.findings)
	n := c.Ticks("frozen_after", 1<<15-1)
	if len(*c.findings) > before {
		return program.None
	}
	if n < 2 {
		c.fail(c.argPos("frozen_after"), "frozen_after", "too-short", fmt.Sprintf("frozen_after: %d ticks or more", 2*c.clock.Ticks()), "a reading that is the same once is not frozen")
		return program.None
	}
	moves := c.moves()
	fresh := c.Logic(program.Or, "fresh", "out of range, or another reading", outside, moves)
	frozen := c.lasts("same", "the same reading", n, fresh)
	c.p.States[len(c.p.States)-1].Freeze = true
	return frozen
}

// latch keeps a trip until the reset comes on, restarts or not: one that was on before a restart does not come on in it. What still trips then does so anew.
func (c *plausible) latch(trips program.ID) program.ID {
	n, before := c.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter, Latch: true}, Like: program.None}, "trip", "a jump or a freeze since the last reset")
	kept, check := before, c.facts().Check
	check.Trip = before
	if reset := c.Condition("reset"); reset != program.None {
		m, was := c.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter, Latch: true}, Like: program.None}, "reset_last", "the reset at the last tick")
		check.Reset = was
		c.Update(m, reset)
		still := c.Logic(program.Not, "reset_off", "no reset comes on", c.Logic(program.And, "reset_rises", "the reset comes on", reset,
			c.Logic(program.Not, "reset_was_off", "the reset was off", was)))
		kept = c.Logic(program.And, "trip_kept", "tripped and not reset", before, still)
	}
	now := c.Logic(program.Or, "trip_now", "tripped", kept, trips)
	c.Update(n, now)
	return now
}
