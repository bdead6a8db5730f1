package trial

import (
	"math/rand/v2"

	"gainwright/model"
	"gainwright/model/program"
)

// inputKind is a kind of inputs.
type inputKind struct {
	name     string
	declared bool // inside the declared ranges
	restarts int
	scene    func(g *generator) int // sets the lanes of the next scene; its ticks
	settings int                    // a live gain is set once in so many ticks; 0: between scenes
	again    int                    // it is started over once in so many ticks; 0: never
}

// kinds are the inputs of a trial, in order; each gets the same share of the ticks.
var kinds = []inputKind{
	{name: "directed", declared: true, restarts: 8, scene: directed},
	{name: "random", declared: true, restarts: 4, scene: random, settings: 256, again: 4096},
	{name: "raw", declared: false, restarts: 6, scene: raw, settings: 64, again: 1024},
}

// generator makes the inputs of one run, from a restart on.
type generator struct {
	p       *program.Fixed
	kind    inputKind
	rng     *rand.Rand
	over    *rand.Rand // of its own, so that starting over changes no input
	keeps   bool       // the integral terms may be kept
	spans   []span
	lanes   []lane
	restart int
	rest    int // ticks after which anything that is taken at rest has been taken
	scenes  int // so far
	t, end  int64
	gentle  bool    // readings keep to what the controller believes of them
	last    []int64 // readings; nil: none so far
}

func newGenerator(u *model.Unit, kind inputKind, seed uint64, restart, ticks int) *generator {
	p := u.Integer
	integrals, all := u.KeptIntegrals()
	g := &generator{p: p, keeps: len(integrals) > 0 && all, kind: kind, restart: restart, rest: 64,
		gentle: len(p.Beliefs) > 0 && (restart%2 == 0 || kind.declared && restart%4 == 1)}
	salt := uint64(restart)
	for _, c := range []byte(kind.name) {
		salt = salt*257 + uint64(c)
	}
	g.rng, g.over = rand.New(rand.NewPCG(seed, salt)), rand.New(rand.NewPCG(seed, ^salt))
	for _, s := range p.States {
		if s.Purpose == program.Counter {
			g.rest = max(g.rest, 2*int(min(s.Hi, 1<<16))+64)
		}
	}
	g.rest = max(1, min(g.rest, ticks/3))
	for _, in := range p.Inputs {
		s := register(in)
		if kind.declared {
			s = declared(in)
		}
		g.spans = append(g.spans, s)
		g.lanes = append(g.lanes, lane{span: s, now: s.limit(0)})
	}
	return g
}

// next fills in the record of the next tick.
func (g *generator) next(record []int64) {
	fresh := g.t == g.end
	if fresh {
		g.t, g.end = 0, int64(max(1, g.kind.scene(g)))
		g.scenes++
	}
	for i := range g.lanes {
		record[i] = g.lanes[i].at(g.t, g.rng)
	}
	g.t++
	if g.gentle {
		g.p.Believe(g.last, record[:len(g.lanes)])
		g.last = append(g.last[:0], record[:len(g.lanes)]...)
	}
	for i := range g.p.Gains {
		often := g.kind.settings
		if often == 0 && fresh && g.restart > 0 || often > 0 && g.rng.IntN(often) == 0 {
			record[len(g.lanes)+2*i], record[len(g.lanes)+2*i+1] = 1, g.setting(i)
		}
	}
	if g.kind.again > 0 && g.over.IntN(g.kind.again) == 0 {
		record[len(record)-1] = StartOver
		if g.keeps && g.over.IntN(2) == 0 {
			record[len(record)-1] = KeepIntegrals
		}
	}
}

// setting is a new value of a live gain: an end of its tuning range, its start or any, and with raw
// inputs also what its setter must limit.
func (g *generator) setting(gain int) int64 {
	s := program.Setter{}
	for _, c := range g.p.Coefs {
		if c.Gain == gain {
			s = c.Setter
		}
	}
	switch g.rng.IntN(8) {
	case 0:
		return s.XLo
	case 1:
		return s.XHi
	case 2:
		return s.XStart
	case 3:
		if !g.kind.declared {
			return int64(int32(g.rng.Uint32()))
		}
	}
	return s.XLo + g.rng.Int64N(s.XHi-s.XLo+1)
}

// switches sets the switches: mostly on, off at first, now and then changing.
func (g *generator) switches(ticks int) {
	for i, in := range g.p.Inputs {
		if !in.IsSwitch {
			continue
		}
		l := &g.lanes[i]
		*l = lane{shape: hold, a: 1, span: span{0, 1}, period: 1}
		switch g.rng.IntN(6) {
		case 0:
			l.a = 0
		case 1: // armed after a while
			l.shape, l.a, l.b, l.period = late, 0, 1, 1+g.rng.Int64N(int64(max(1, ticks/2)))
		case 2: // dropped for one tick
			l.shape, l.a, l.b, l.period, l.phase = pulse, 1, 0, int64(2+ticks/3), 1
		case 3:
			l.shape, l.a, l.b, l.period = flips, 0, 1, 1+g.rng.Int64N(100)
		}
	}
}

// each calls set for the inputs that are no switches, with their place among them.
func (g *generator) each(set func(n int, l *lane)) {
	n := 0
	for i, in := range g.p.Inputs {
		if in.IsSwitch {
			continue
		}
		now := g.lanes[i].now
		g.lanes[i] = lane{span: g.spans[i], now: now, period: 1}
		set(n, &g.lanes[i])
		n++
	}
}
