package scale

import (
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// chooser finds the format of every group.
type chooser struct {
	p        *program.Program
	of       []*group
	ranges   []interval.Range // of the real values, at any raw input
	declared []interval.Range // at inputs inside their declared ranges
	target   string
	want     map[program.ID]*big.Rat // signal or copy: largest error asked for, in units
	pinned   map[program.ID]int      // fraction bits
	outputs  map[program.ID]*big.Rat // lsb of output counts
	tables   map[program.ID]*program.Arctan
}

// The widths that the rule aims at: a multiplicand and a signal fit 16 bits, a sum of products and a state 32,
// and no constant has fewer than eight significant bits, 0.2 % of its value.
const (
	narrowBits = 16
	wideBits   = 32
	constBits  = 8
)

// fit is the largest n with every |x| / (base * 2^-n) inside a signed word, leaving room for roundings.
func fit(r interval.Range, base *big.Rat, bits int) int {
	top := two(bits - 1)
	n := 62
	for ; n > -62; n-- {
		lsb := new(big.Rat).Mul(base, two(-n))
		slack := new(big.Rat).Mul(lsb, big.NewRat(2, 1))
		if bits <= narrowBits {
			slack = new(big.Rat)
		}
		low := new(big.Rat).Neg(new(big.Rat).Mul(top, lsb))
		high := new(big.Rat).Mul(new(big.Rat).Sub(top, big.NewRat(1, 1)), lsb)
		if low.Cmp(new(big.Rat).Sub(r.Lo, slack)) <= 0 && new(big.Rat).Add(r.Hi, slack).Cmp(high) <= 0 {
			break
		}
	}
	return n
}

func (c *chooser) choose(g *group) {
	if g.ready || g.busy {
		return
	}
	g.busy = true
	defer func() { g.busy, g.ready = false, true }()
	pin, isPinned := c.pinned[g.root]
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
		arg := c.p.Ops[g.root].Args[0]
		n := fit(c.ranges[g.root], g.base, narrowBits)
		if w := c.want[g.root]; w != nil { // half a count of rounding, and as much again where the value was rounded before
			for new(big.Rat).Mul(g.base, two(-n)).Cmp(w) > 0 {
				n++
			}
		}
		if ag := c.of[arg]; ag != nil && c.p.Ops[arg].Section == c.p.Ops[g.root].Section {
			c.choose(ag)
			switch {
			case c.p.Ops[g.root].Section == 0 && ag.ready:
				g.base, n = ag.base, ag.n // an input is never rounded
			case ag.ready && ag.purpose != wide && ag.purpose != product:
				// A sum is not made coarser for readings far outside the declared ranges: it takes a wider word.
				have := c.fraction(ag, g.base)
				n = min(max(n, fit(c.declared[g.root], g.base, narrowBits)), have)
			}
		}
		g.n = n
		if isPinned {
			g.n = pin
		}
	case plain:
		c.choosePlain(g)
	case product, wide:
		c.chooseWide(g)
	}
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
	s := c.p.States[g.state]
	if s.Like == program.None || c.of[s.Like] == nil {
		return
	}
	from := c.of[s.Like]
	c.choose(from)
	g.base, g.n = from.base, from.n
}

// leaves calls f for each argument that a group takes from outside in its own format.
func (c *chooser) leaves(g *group, f func(id program.ID)) {
	for _, id := range g.members {
		op := &c.p.Ops[id]
		for _, j := range aligned(op) {
			if a := op.Args[j]; c.of[a] != nil && c.of[a] != g {
				f(a)
			}
		}
	}
}

// choosePlain takes the finest format among the values that the group is made of; a state on the way to be chosen
// is as fine as it is asked to be.
func (c *chooser) choosePlain(g *group) {
	if op := &c.p.Ops[g.root]; op.Kind == program.Angle {
		c.chooseAngle(g, op)
		return
	}
	for _, id := range g.members {
		if op := &c.p.Ops[id]; op.Kind == program.Scale && !isProduct(op) { // turned round
			if from := c.of[op.Args[0]]; from != nil {
				c.choose(from)
				g.base, g.n = from.base, from.n
				return
			}
		}
	}
	best, found, busy := 0, false, false
	c.leaves(g, func(a program.ID) {
		leaf := c.of[a]
		c.choose(leaf)
		if !leaf.ready {
			busy = true
			return
		}
		if n := c.fraction(leaf, g.base); !found || n > best {
			best, found = n, true
		}
	})
	narrow := fit(g.span(c.ranges), g.base, narrowBits)
	switch {
	case !found:
		best = narrow
	case busy:
		best = max(best, narrow)
	}
	g.n = best
}

// chooseAngle takes the cheapest table and format whose proven error is small enough.
func (c *chooser) chooseAngle(g *group, op *program.Op) {
	wanted := op.Within
	for id, w := range c.want { // an accuracy asked of the step takes its place; rounding to the signal comes on top
		if c.p.Ops[id].Section == op.Section {
			wanted = new(big.Rat).Mul(w, big.NewRat(3, 4))
		}
	}
	for _, form := range arctanForms {
		t := newArctan(form.quotient, form.entries, form.fraction)
		c.tables[g.root], g.n = t, form.fraction
		if wanted == nil || new(big.Rat).Mul(t.MaxError, g.lsb()).Cmp(wanted) <= 0 {
			return
		}
	}
}

// chooseWide makes a sum of products or a state as fine as 32 bits and 16-bit constants allow. A product
// whose constant would keep too few bits there gets a finer format of its own and is rounded when it is
// added; where that must not be, the whole group takes 64 bits.
func (c *chooser) chooseWide(g *group) {
	n := fit(g.span(c.ranges), g.base, wideBits)
	need, exact := -62, false
	type factor struct {
		id  program.ID
		min int // fewest fraction bits that keep the constant
	}
	var factors []factor
	for _, id := range g.members {
		op := &c.p.Ops[id]
		exact = exact || op.Exact
		if !isProduct(op) {
			continue
		}
		x := op.Args[len(op.Args)-1]
		k := op.K
		if op.Kind == program.Mul {
			k = c.ranges[op.Args[0]].Size()
		}
		c.choose(c.of[x])
		k = new(big.Rat).Mul(new(big.Rat).Abs(k), c.of[x].lsb())
		if k.Sign() == 0 {
			continue
		}
		unit := func(m int) *big.Rat { return new(big.Rat).Mul(g.base, two(-m)) }
		for n > -62 && new(big.Rat).Quo(k, unit(n)).Cmp(mostCount) > 0 {
			n--
		}
		m := -62
		for m < 62 && new(big.Rat).Quo(k, unit(m)).Cmp(two(constBits)) < 0 && (op.Kind == program.Mul || !exactAt(k, unit(m))) {
			m++
		}
		factors = append(factors, factor{id, m})
	}
	c.leaves(g, func(a program.ID) {
		leaf := c.of[a]
		c.choose(leaf)
		if exact && leaf.ready {
			need = max(need, c.fraction(leaf, g.base))
		}
	})
	for _, f := range factors {
		if f.min <= n || c.p.Ops[f.id].Exact || len(factors) == 1 || f.id == g.root {
			need = max(need, f.min)
			continue
		}
		alone := &group{purpose: product, root: f.id, state: -1, members: []program.ID{f.id}, base: g.base}
		g.members = slices.DeleteFunc(g.members, func(id program.ID) bool { return id == f.id })
		c.of[f.id] = alone
		c.choose(alone)
	}
	n = max(n, need)
	g.n = n
	if c.target != "avr8" {
		return
	}
	for _, id := range c.readouts(g) { // shifts by whole bytes are moves on an 8-bit part
		c.choose(c.of[id])
		if !c.of[id].ready {
			continue
		}
		shift := n - c.fraction(c.of[id], g.base)
		if rest := shift % 8; shift > 8 && rest > 0 && n-rest >= need {
			g.n = n - rest
		}
		return
	}
}

// mostCount is the largest constant that a 16-bit multiplicand holds.
var mostCount = big.NewRat(1<<15-1, 1)

// exactAt tells whether k is a whole number of counts.
func exactAt(k, lsb *big.Rat) bool { return new(big.Rat).Quo(k, lsb).IsInt() }

// readouts lists the copies that hand a member of the group on.
func (c *chooser) readouts(g *group) []program.ID {
	var out []program.ID
	for i := range c.p.Ops {
		op := &c.p.Ops[i]
		if isCopy(op) && !op.Bool && c.of[op.Args[0]] == g && op.Section == c.p.Ops[g.root].Section {
			out = append(out, program.ID(i))
		}
	}
	return out
}
