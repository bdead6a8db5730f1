package scale

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// chooser finds the format of every group.
type chooser struct {
	Request
	spans   []program.Span
	of      []*group
	outputs map[program.ID]*big.Rat // lsb of output counts
	tables  map[program.ID]*program.Arctan
}

func (c *chooser) choose(g *group) {
	if g.ready || g.busy {
		return
	}
	g.busy, g.ready = true, true
	defer func() {
		g.busy, g.n = false, g.n+c.Adjust[g.root]
		if c.Adjust[g.root] < 0 && c.inOutput(g) {
			g.n = max(g.n, 0)
		}
	}()
	pin, isPinned := c.Pinned[g.root]
	switch g.purpose {
	case fixed, counted:
		g.n = 0
	case copied:
		c.chooseCopied(g)
	case public:
		if lsb, ok := c.outputs[g.root]; ok {
			g.base, g.n = lsb, 0
			return
		}
		c.choosePublic(g)
		if isPinned {
			g.n = pin
		}
	case plain:
		c.choosePlain(g)
	case product, accumulated:
		c.chooseWide(g)
	}
}

// choosePublic makes a copy as fine as 16 bits allow, and no finer than what it copies.
func (c *chooser) choosePublic(g *group) {
	op := &c.Asked.Ops[g.root]
	n := fit(c.Ranges[g.root], g.base, narrowBits)
	if w := c.Want[g.root]; w != nil { // half a count of rounding, and as much again where the value was rounded before
		for new(big.Rat).Mul(g.base, two(-n)).Cmp(w) > 0 {
			n++
		}
	}
	if op.FinerThan != 0 {
		c.choose(c.of[op.FinerThan])
		n = max(n, min(c.fraction(c.of[op.FinerThan], g.base), fit(c.Declared[g.root], g.base, narrowBits+1)))
	}
	if from := c.of[op.Args[0]]; from != nil && from.purpose != accumulated && from.purpose != product && c.Asked.Ops[op.Args[0]].Section == op.Section {
		c.choose(from)
		switch {
		case op.Section == 0 && !from.busy:
			g.base, n = from.base, from.n // an input is never rounded
		case !from.busy:
			// A sum is not made coarser for readings far outside the declared ranges: it takes a wider word.
			n = max(n, fit(c.Declared[g.root], g.base, narrowBits))
			if whole := c.fraction(from, g.base); c.halfOpen(op.Args[0], from, g.base, whole) || c.toWrap(g.root) {
				n = max(n, whole)
			}
			n = min(n, c.fraction(from, g.base))
		}
	}
	for i := range c.Asked.Ops {
		if wrap := &c.Asked.Ops[i]; wrap.Kind == program.Wrap && wrap.Args[0] == g.root {
			n = evenTurn(wrap.K, g.base, n)
		}
	}
	n += op.Guard
	g.n = n
}

// evenTurn is n, or as many fraction bits more as make a turn an even whole number of counts, where some do.
func evenTurn(turn, base *big.Rat, n int) int {
	half := new(big.Rat).Quo(turn, new(big.Rat).Mul(base, big.NewRat(2, 1)))
	if k, ok := powerOfTwo(new(big.Rat).SetInt(half.Denom())); ok && k < narrowBits {
		return max(n, k-int(half.Num().TrailingZeroBits()))
	}
	return n
}

// halfOpen tells whether a wrapped value fits 16 bits without being rounded: it stays below half a turn, if only by one count, and so
// 65536 counts a turn fill the word.
func (c *chooser) halfOpen(wrapped program.ID, from *group, base *big.Rat, n int) bool {
	op := &c.Asked.Ops[wrapped]
	if op.Kind != program.Wrap {
		return false
	}
	half := new(big.Rat).Mul(op.K, big.NewRat(1, 2))
	inside := interval.Range{Lo: new(big.Rat).Neg(half), Hi: half.Sub(half, from.lsb())}
	return fit(inside, base, narrowBits) >= n
}

// toWrap tells whether a step wraps the value: what it loses there are whole turns, so that none of the bits below need be given up for them.
func (c *chooser) toWrap(signal program.ID) bool {
	for i := range c.Asked.Ops {
		if op := &c.Asked.Ops[i]; op.Kind == program.Wrap && op.Args[0] == signal {
			return true
		}
	}
	return false
}

// fraction is the n of a group counted in another base that a shift leads to.
func (c *chooser) fraction(g *group, base *big.Rat) int {
	k, ok := powerOfTwo(new(big.Rat).Quo(g.base, base))
	if !ok {
		return g.n
	}
	return g.n - k
}

func (c *chooser) chooseCopied(g *group) {
	s := c.Asked.States[g.state]
	if s.Like == program.None || c.of[s.Like] == nil {
		return
	}
	from := c.of[s.Like]
	c.choose(from)
	g.base, g.n = from.base, from.n
	g.ready = !from.busy && from.ready // a rounding's rest takes the format of the sum that is being chosen
}

// leaves calls f for each argument that a group takes from outside in its own format.
func (c *chooser) leaves(g *group, f func(id program.ID)) {
	for _, id := range g.members {
		op := &c.Asked.Ops[id]
		for _, j := range aligned(op) {
			if a := op.Args[j]; c.of[a] != nil && c.of[a] != g {
				f(a)
			}
		}
		if op.Kind == program.Scale && !isProduct(op) && !isCopy(op) && c.of[op.Args[0]] != nil { // turned round
			f(op.Args[0])
		}
	}
}

// choosePlain takes the finest format among the values that the group is made of; a state on the way to be chosen
// is as fine as it is asked to be.
func (c *chooser) choosePlain(g *group) {
	if op := &c.Asked.Ops[g.root]; op.Kind == program.Angle {
		c.chooseAngle(g, op)
		return
	}
	best, found, busy := 0, false, false
	c.leaves(g, func(a program.ID) {
		leaf := c.of[a]
		c.choose(leaf)
		if leaf.busy || !leaf.ready {
			busy = true
			return
		}
		if n := c.fraction(leaf, g.base); !found || n > best {
			best, found = n, true
		}
	})
	narrow := fit(g.span(c.Asked, c.Ranges), g.base, narrowBits)
	switch {
	case !found:
		best = narrow
	case busy:
		best = max(best, narrow)
	}
	g.n = max(best+c.Asked.Ops[g.root].Guard, c.forConstants(g))
	for _, id := range g.members {
		if op := &c.Asked.Ops[id]; op.Kind == program.Wrap {
			g.n = evenTurn(op.K, g.base, g.n)
		}
	}
}

// forConstants is how many fraction bits the constants of a group need, such as the limits of a clamp: each is
// stored exactly or as well as any other constant.
func (c *chooser) forConstants(g *group) int {
	need := -62
	if c.inOutput(g) {
		need = 0
	}
	for _, id := range g.members {
		op := &c.Asked.Ops[id]
		if op.Kind != program.Const {
			continue
		}
		limit := onGrid(op, g.base)
		switch k := limit.Inward(op.K); {
		case k.Sign() == 0:
		case limit != nil:
			need = max(need, exactly(new(big.Rat).Quo(k, g.base))) // whole counts are stored as they are
		default:
			need = max(need, bitsFor(k, g.base))
		}
	}
	return need
}

// inOutput tells whether the group belongs to an output, whose limits could leave the raw type if they were rounded
// to something coarser than its counts.
func (c *chooser) inOutput(g *group) bool {
	return c.Asked.Sections[c.Asked.Ops[g.root].Section].Role == program.Stage
}

// chooseAngle takes the cheapest table and format whose proven error is small enough.
func (c *chooser) chooseAngle(g *group, op *program.RealOp) {
	wanted := op.Within
	for id, w := range c.Want { // an accuracy asked of the step takes its place; rounding to the signal comes on top
		if c.Asked.Ops[id].Section == op.Section {
			wanted = new(big.Rat).Mul(w, big.NewRat(3, 4))
		}
	}
	for i, form := range arctanForms {
		t := arctans[i]()
		c.tables[g.root], g.n = t, form.fraction
		if wanted == nil || new(big.Rat).Mul(t.MaxError, g.lsb()).Cmp(wanted) <= 0 {
			return
		}
	}
}
