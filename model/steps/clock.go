package steps

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/formula"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// A step may run at every n-th tick alone. Between its runs its signals are held. Ticks stay ticks of the controller wherever a spec says them; what a
// step computes with is the time from one of its runs to the next.

// mostEvery is how many ticks may lie between two runs of a step.
const mostEvery = 1<<16 - 1

// readClocks finds at which ticks each step runs.
func (l *Lowering) readClocks(order []*spec.Step, kinds map[string]*Kind) {
	l.clocks, l.uneven = map[string]program.Clock{}, map[string]bool{}
	for _, st := range order {
		l.step, l.kind, l.clock = st, kinds[st.Name], program.Clock{}
		if l.kind != nil {
			l.clocks[st.Name] = l.readClock()
		}
	}
	for _, st := range order {
		for _, r := range references(st, kinds[st.Name]) {
			if of, _, _ := strings.Cut(r.name, "."); r.previous && l.clocks[st.Name] != l.clocks[of] {
				l.uneven[of] = true
			}
		}
	}
}

func (l *Lowering) readClock() program.Clock {
	every, ok := l.wholeTicks("every", 1, mostEvery)
	if !l.Has("every") {
		if l.Has("phase") {
			l.fail(l.argPos("phase"), "phase", "phase-without-every", "every: 4 ticks, beside the phase", "the phase says which of the ticks between two runs it is, and the step runs at each")
		}
		return program.Clock{}
	}
	if !ok || every == 1 {
		return program.Clock{}
	}
	phase, ok := l.wholeTicks("phase", 0, every-1)
	if !ok {
		phase = 0
	}
	return program.Clock{Every: every, Phase: phase}
}

// wholeTicks reads a time as a whole number of the controller's ticks; ok is false where there is none, or another one.
func (l *Lowering) wholeTicks(key string, least, most int) (n int, ok bool) {
	a := l.arg(key)
	if a == nil {
		return 0, false
	}
	q, ok := l.parse(a.Value, key, "not-a-time", "a time", "4 ticks", isTime, "s")
	if !ok {
		return 0, false
	}
	unit := seconds[q.Unit]
	switch {
	case q.Unit == "tick" || q.Unit == "ticks":
		unit = new(big.Rat).Inv(l.spec.Rate)
	case q.Unit == "" && q.Number.Sign() != 0:
		l.fail(a.Value.Pos, key, "time-without-unit", fmt.Sprintf("%s: %s ticks, or a time such as 40 ms", key, a.Value.Text), "%s has no unit, ticks or a time are expected", a.Value.Text)
		return 0, false
	case isFrequency(q.Unit) && q.Number.Sign() > 0:
		rate := map[string]int64{"Hz": 1, "kHz": 1000}[q.Unit]
		ticks := new(big.Rat).Quo(l.spec.Rate, new(big.Rat).Mul(q.Number, big.NewRat(max(rate, 1), 1)))
		l.fail(a.Value.Pos, key, "not-a-time", l.nearest(key, ticks, least, most), "%s is a frequency, a time is expected", a.Value.Text)
		return 0, false
	case unit == nil:
		l.fail(a.Value.Pos, key, "not-a-time", key+": 4 ticks", "the unit is %s, one of time or ticks is expected", q.Unit)
		return 0, false
	}
	ticks := new(big.Rat).Mul(new(big.Rat).Mul(q.Number, unit), l.spec.Rate)
	if !ticks.IsInt() || ticks.Cmp(big.NewRat(int64(least), 1)) < 0 || ticks.Cmp(big.NewRat(int64(most), 1)) > 0 {
		l.fail(a.Value.Pos, key, "not-whole-ticks", l.nearest(key, ticks, least, most), "this is %s ticks, a whole number from %d to %d is expected", decimal(ticks), least, most)
		return 0, false
	}
	return int(ticks.Num().Int64()), true
}

// nearest words the two whole numbers of ticks next to a time, or the one inside the limits.
func (l *Lowering) nearest(key string, ticks *big.Rat, least, most int) string {
	f, _ := ticks.Float64()
	below := int(min(max(f, float64(least)), float64(most)))
	word := func(n int) string {
		unit := "ticks"
		if n == 1 {
			unit = "tick"
		}
		return fmt.Sprintf("%s: %d %s", key, n, unit)
	}
	if float64(below) >= f || below == most {
		return word(below)
	}
	return word(below) + ", or " + word(below+1)
}

// Period is the time from one run of the step to the next in seconds: a tick's, where its clock does not say otherwise.
func (l *Lowering) Period() *big.Rat {
	return new(big.Rat).Quo(big.NewRat(int64(l.clock.Ticks()), 1), l.spec.Rate)
}

// rate is how often the step runs in a second.
func (l *Lowering) rate() *big.Rat { return new(big.Rat).Inv(l.Period()) }

// ofRuns says of which rate is spoken, where the step does not run at each tick.
func (l *Lowering) ofRuns() string {
	if l.clock.Every == 0 {
		return ""
	}
	return fmt.Sprintf(" of %s Hz at which the step runs", decimal(l.rate()))
}

// aRun words the time from one run of the step to the next.
func (l *Lowering) aRun() string {
	if l.clock.Every == 0 {
		return "a tick"
	}
	return fmt.Sprintf("the %d ticks from run to run", l.clock.Every)
}

// clockOfLast is the clock of the section that holds the last value of a step's signal. What that is changes as the step runs: where all that read it run
// with the step, so may the section; else it looks at each tick.
func (l *Lowering) clockOfLast(owner string) program.Clock {
	if l.uneven[owner] {
		return program.Clock{}
	}
	return l.clocks[owner]
}

// What comes and goes between two runs of a step would be missed by it: that a switch comes on, or goes off, and the condition of a reset. So these
// are looked at in each tick, by a section before the step, and kept until the step has run.

// keep puts signals that are kept in the place of those parts of a condition or formula that would be missed.
func (l *Lowering) keep(key string, e *expr, whole bool) *expr {
	switch edge := e.Op == formula.Rises || e.Op == formula.Falls; {
	case l.clock.Every == 0:
		return e
	case (whole || edge && e.signal == nil) && l.misses(e):
		return l.kept(key, e)
	}
	for i, a := range e.args {
		e.args[i] = l.keep(key, a, false)
	}
	return e
}

// misses tells whether a part of a formula is made of signals that change between two runs of the step.
func (l *Lowering) misses(e *expr) (out bool) {
	e.each(func(x *expr) {
		out = out || x.signal != nil && !l.isOwnLast(x) && !l.clock.Sees(l.p.ClockOf(x.signal.id))
	})
	return out
}

// isOwnLast tells whether an expression is the last value of the step's own signal.
func (l *Lowering) isOwnLast(e *expr) bool { return l.last != nil && e.signal == &l.last.signal }

// kept makes the section that keeps a condition until the step has run.
func (l *Lowering) kept(key string, e *expr) *expr {
	own := false
	e.each(func(x *expr) { own = own || l.isOwnLast(x) })
	if own {
		l.fail(l.argPos(key), key, "no-previous", "a step of kind formula that runs at each tick, and its name here",
			"%s is looked at in each tick, and kept until %s runs: what that was itself is not known there", clip(e.String()), l.step.Name)
		return &expr{Node: e.Node, truth: true, wild: true}
	}
	slow := l.clock
	runs := l.runs(slow)
	l.clock = program.Clock{}
	defer func() { l.clock = slow }()
	l.lift(key, e, map[string]*signal{})
	name := l.further(key + "_kept")
	l.begin(name, "The condition "+clip(e.String())+", kept until the step has run: it may come and go between two runs.", name+" = "+e.String()+", since the last run")
	w := &writer{Lowering: l, key: key}
	now := w.truth(e)
	n, before := l.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Copy, Start: new(big.Rat)}, Like: now}, key+"_waits", clip(e.String())+" since the last run")
	on := l.Logic(program.Or, key+"_on", "now, or since the last run", now, before)
	left := l.Logic(program.And, key+"_left", "kept, unless the step runs in this tick", on, l.Logic(program.Not, key+"_idle", "the step does not run in this tick", runs))
	l.Update(n, left)
	l.Publish(on, name[len(l.prefix)+1:], nil)
	s := l.signals[name]
	return &expr{Node: e.Node, truth: true, signal: &s}
}

// further is a name for a further signal of the step that nothing has.
func (l *Lowering) further(role string) string {
	name := l.prefix + "." + role
	for n := 2; l.isSignal(name); n++ {
		name = fmt.Sprintf("%s.%s_%d", l.prefix, role, n)
	}
	return name
}

// begin makes a section of the step before the step's own.
func (l *Lowering) begin(name, sentence, equation string) {
	l.section = len(l.p.Sections)
	l.p.Sections = append(l.p.Sections, program.Section{Name: name, Kind: l.step.Kind, Clock: l.clock, Line: l.step.Pos.Line, Sentence: sentence, Equation: equation})
}

// runs is a switch that is on in the ticks at which a clock runs: a section by that clock turns a switch over at each run, and another looks at each tick
// whether it was turned.
func (l *Lowering) runs(clock program.Clock) program.ID {
	name := fmt.Sprintf("runs.every_%d_phase_%d", clock.Every, clock.Phase)
	if s, there := l.signals[name]; there {
		return s.id
	}
	prefix, own := l.prefix, l.clock
	defer func() { l.prefix, l.clock = prefix, own }()
	l.prefix = strings.ReplaceAll(name, ".", "_")
	l.clock = clock
	l.begin(name+".turns", "Turned over at each run.", "turns = not turns")
	l.p.Sections[l.section].Kind = "clock"
	n, before := l.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Counter, Start: new(big.Rat)}}, "turns", "turned over at each run")
	turns := l.Logic(program.Not, "turned", "turned over in this run", before)
	l.Update(n, turns)
	l.publishAs(name+".turns", turns)
	turns = l.signals[name+".turns"].id

	l.clock = program.Clock{}
	l.begin(name, fmt.Sprintf("Whether the steps of every %d ticks, phase %d, run in this tick.", clock.Every, clock.Phase), "runs where turns is another than in the last tick")
	l.p.Sections[l.section].Kind = "clock"
	n, last := l.State(program.RealState{StateInfo: program.StateInfo{Bool: true, Purpose: program.Copy, Start: new(big.Rat)}, Like: turns}, "last", "how it was turned at the last tick")
	l.Update(n, turns)
	off := l.Logic(program.Not, "not_last", "the other way than at the last tick", last)
	l.publishAs(name, l.Select(turns, off, last, "differs", "it was turned over"))
	return l.signals[name].id
}

// publishAs makes a value a signal of that name, of a section that is no step.
func (l *Lowering) publishAs(name string, v program.ID) {
	there, was := l.signals[l.prefix]
	l.Publish(v, "", nil)
	l.signals[name] = l.signals[l.prefix]
	if delete(l.signals, l.prefix); was {
		l.signals[l.prefix] = there
	}
	signals := l.p.Sections[l.section].Signals
	signals[len(signals)-1].Name = name
}
