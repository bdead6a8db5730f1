package golang

import (
	"github.com/dave/jennifer/jen"

	"gainwright/model/program"
)

// ticking tells whether some section does not run at each tick: then both programs count their ticks.
func (e *emitter) ticking() bool {
	for _, s := range e.p.Sections {
		if s.Clock.Every != 0 {
			return true
		}
	}
	return false
}

// runs is the condition that what goes by a clock runs in this tick of the receiver.
func runs(receiver string, c program.Clock) *jen.Statement {
	tick := func() *jen.Statement { return jen.Id(receiver).Dot("tick") }
	return tick().Op("==").Lit(0).Op("||").Add(tick()).Op("%").Lit(c.Every).Op("==").Lit(c.Phase)
}

// hold names the members that hold what the integer program computes by a clock and reads elsewhere.
func (e *emitter) hold(taken scope) {
	e.held = make([]string, len(e.p.Ops))
	keep := func(id program.ID, section int) {
		if op := &e.p.Ops[id]; e.used[id] && e.held[id] == "" && op.Section != section && op.Kind != program.Const && e.p.ClockOf(id).Every != 0 {
			e.held[id] = taken.take("held" + camel(op.Name))
		}
	}
	for _, op := range e.p.Ops {
		for _, a := range op.Args {
			keep(a, op.Section)
		}
	}
	for n, at := range updateAfter(e.p.View()) {
		for _, id := range e.p.States[n].Takes() {
			keep(id, at)
		}
	}
	for _, s := range e.p.Sections {
		for _, sig := range s.Signals {
			keep(sig.Value, -1)
		}
	}
	for _, o := range e.p.Outputs {
		keep(o.Value, -1)
	}
}

// heldFields writes the members that hold, and the count of ticks.
func (e *emitter) heldFields(g *jen.Group) {
	if !e.ticking() {
		return
	}
	field(g, "tick", jen.Int(), "since the start, or since it started over")
	for id, name := range e.held {
		if name != "" {
			field(g, name, typ(e.p.Ops[id].Type), "of the last run: "+e.p.Ops[id].Doc)
		}
	}
}

// countAnew starts the count of ticks over: at the first one every section runs.
func (e *emitter) countAnew(g *jen.Group, receiver string) {
	if e.ticking() {
		g.Id(receiver).Dot("tick").Op("=").Lit(0)
	}
}
