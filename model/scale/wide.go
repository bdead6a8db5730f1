package scale

import (
	"math/big"
	"slices"

	"gainwright/model/program"
)

// chooseWide makes a sum of products or a state as fine as 32 bits and 16-bit constants allow. A product
// whose constant would keep too few bits there gets a finer format of its own and is rounded when it is
// added; where that must not be, the whole group takes 64 bits.
func (c *chooser) chooseWide(g *group) {
	n := fit(g.span(c.Asked, c.Ranges), g.base, wideBits)
	most := 62 // fraction bits at which a constant outgrows 16 bits
	need, exact := -62, false
	type factor struct {
		id  program.ID
		min int // fewest fraction bits that keep the constant
	}
	var products []factor
	var own []program.ID // products of a state by a constant, in the format that is being chosen
	for _, id := range g.members {
		op := &c.Asked.Ops[id]
		exact = exact || op.Exact
		if !isProduct(op) || ofSignals(c.Asked, op) {
			continue
		}
		x, k := op.Args[0], op.K
		if op.Kind == program.Mul {
			var coef program.ID
			coef, x = factors(c.Asked, op)
			k = c.Ranges[coef].Size()
		}
		if c.of[x] == g {
			own = append(own, id)
			continue
		}
		c.choose(c.of[x])
		k = new(big.Rat).Mul(new(big.Rat).Abs(k), c.of[x].lsb())
		if k.Sign() == 0 {
			continue
		}
		keep := constBits
		if op.Keep > 0 {
			keep = op.Keep
		}
		perBase := new(big.Rat).Quo(k, g.base) // the constant has perBase * 2^n counts
		most = min(most, log2(new(big.Rat).Quo(mostCount, perBase)))
		m := keep - log2(perBase)
		if op.Kind != program.Mul {
			for f := m - keep; f < m; f++ { // fewer bits may do as well
				if close(perBase, f, keep) {
					m = f
				}
			}
		}
		m = min(m, 62)
		products = append(products, factor{id, m})
	}
	c.leaves(g, func(a program.ID) {
		leaf := c.of[a]
		c.choose(leaf)
		if exact && leaf.ready && !leaf.busy {
			need = max(need, c.fraction(leaf, g.base))
		}
	})
	n = min(n, most)
	need = max(need, c.forConstants(g))
	for _, f := range products {
		if f.min <= n || c.Asked.Ops[f.id].Exact || len(products) == 1 || f.id == g.root {
			need = max(need, f.min)
			continue
		}
		c.apart(g, f.id)
	}
	if need > n { // 64 bits: then there is room
		n = max(need, min(most, fit(g.span(c.Asked, c.Ranges), g.base, 60)))
	}
	g.n = n
	for _, id := range own { // finer than the state, by the bits of the constant
		c.apart(g, id)
	}
	if c.Target.Barrel {
		return
	}
	for _, id := range c.readouts(g) { // shifts by whole bytes are moves
		if c.choose(c.of[id]); c.of[id].busy {
			continue
		}
		shift := n - c.fraction(c.of[id], g.base)
		if rest := shift % 8; shift > 0 && rest > 0 && n-rest >= need {
			g.n = n - rest
		}
		return
	}
}

// apart gives a product a format of its own; it is rounded where it is added.
func (c *chooser) apart(g *group, id program.ID) {
	alone := &group{purpose: product, root: id, state: -1, members: []program.ID{id}, base: g.base}
	g.members = slices.DeleteFunc(g.members, func(member program.ID) bool { return member == id })
	c.of[id] = alone
	c.choose(alone)
}

// mostCount is the largest constant that a 16-bit multiplicand holds.
var mostCount = big.NewRat(1<<15-1, 1)

// readouts lists the values outside the group that take one of its members in a format of their own: copies
// that hand it on, then sums that it is added to.
func (c *chooser) readouts(g *group) []program.ID {
	var copies, sums []program.ID
	span := c.spans[c.Asked.Ops[g.root].Section]
	for i := span.First; i < span.End; i++ {
		op := &c.Asked.Ops[i]
		if op.Bool || c.of[i] == g {
			continue
		}
		if isCopy(op) && c.of[op.Args[0]] == g {
			copies = append(copies, program.ID(i))
		}
		for _, j := range aligned(op) {
			if c.of[op.Args[j]] == g {
				sums = append(sums, program.ID(i))
			}
		}
	}
	return append(copies, sums...)
}
