package scale

import (
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// purpose is what a group's format is chosen for.
type purpose uint8

const (
	plain       purpose = iota // sums and limits of values that have formats: no finer than the finest of them
	product                    // sums that hold products: wide, as fine as the word and the constants allow
	accumulated                // a state that is an accumulator and what it becomes: likewise
	copied                     // a state that holds a value: that value's format
	counted                    // whole numbers
	public                     // a signal, or a value that is multiplied: narrow
	fixed                      // an input or output: its own count
)

// group is a set of operations that share one format, lsb = base * 2^-n.
type group struct {
	purpose purpose
	members []program.ID
	base    *big.Rat
	n       int
	count   *big.Rat // base * 2^-n, as lsb worked it out last: for the base of and the n at
	of      *big.Rat
	at      int
	root    program.ID // gives the group its name
	state   int        // accumulated, copied, counted; else -1
	ready   bool       // its format is chosen, or is being chosen
	busy    bool       // it is being chosen: who asks for it meanwhile must do without
}

// lsb is what one count stands for; it is asked for many times.
func (g *group) lsb() *big.Rat {
	if g.count == nil || g.of != g.base || g.at != g.n {
		g.count, g.of, g.at = new(big.Rat).Mul(g.base, two(-g.n)), g.base, g.n
	}
	return g.count
}

// two is 2^k. Nobody changes it in place.
func two(k int) *big.Rat {
	if -mostKept <= k && k <= mostKept {
		return powers[k+mostKept]
	}
	return power(k)
}

// mostKept is the size of the exponents whose powers are kept: the search of formats asks for them again and again.
const mostKept = 80

var powers = func() (out [2*mostKept + 1]*big.Rat) {
	for i := range out {
		out[i] = power(i - mostKept)
	}
	return out
}()

func power(k int) *big.Rat {
	if k < 0 {
		return new(big.Rat).SetFrac(big.NewInt(1), new(big.Int).Lsh(big.NewInt(1), uint(-k)))
	}
	return new(big.Rat).SetInt(new(big.Int).Lsh(big.NewInt(1), uint(k)))
}

// grouping sorts the operations of a real program into groups.
func grouping(p *program.Real, base []*big.Rat) (groups []*group, of []*group) {
	of = make([]*group, len(p.Ops))
	start := func(root program.ID, why purpose, state int) *group {
		g := &group{purpose: why, root: root, state: state}
		groups = append(groups, g)
		return g
	}
	var pull func(g *group, id program.ID, section int)
	pull = func(g *group, id program.ID, section int) {
		op := &p.Ops[id]
		if of[id] != nil || op.Section != section || op.Bool || isCopy(op) || op.Same != 0 {
			return
		}
		switch op.Kind {
		case program.Input, program.State, program.Angle, program.Table, program.Root:
			return
		}
		of[id] = g
		g.members = append(g.members, id)
		for _, j := range aligned(op) {
			pull(g, op.Args[j], section)
		}
	}
	reader := p.View().Readers()
	for n, s := range p.States {
		if s.Bool {
			continue
		}
		why := map[program.Purpose]purpose{program.Accumulator: accumulated, program.Copy: copied, program.Counter: counted}[s.Purpose]
		g := start(reader[n], why, n)
		of[reader[n]] = g
		g.members = append(g.members, reader[n])
		if s.Next != s.Like { // a value that the state is like has a format of its own
			pull(g, s.Next, s.Section)
		}
		if s.ResetTo != program.None && p.Ops[s.ResetTo].Kind == program.Const {
			pull(g, s.ResetTo, s.Section)
		}
	}
	for i := len(p.Ops) - 1; i >= 0; i-- {
		id, op := program.ID(i), &p.Ops[i]
		if of[i] != nil || op.Bool || op.Kind == program.Const || op.Kind == program.Coef || op.Same != 0 {
			continue
		}
		why := plain
		switch {
		case op.Kind == program.Input:
			why = fixed
		case isCopy(op):
			why = public
		}
		g := start(id, why, -1)
		of[i] = g
		g.members = append(g.members, id)
		if why == plain {
			for _, j := range aligned(op) {
				pull(g, op.Args[j], op.Section)
			}
		}
	}
	for i := range p.Ops {
		if same := p.Ops[i].Same; same != 0 && of[i] == nil {
			of[i] = of[same]
			of[same].members = append(of[same].members, program.ID(i))
		}
	}
	for _, g := range groups {
		for _, id := range g.members {
			if g.base == nil && base[id] != nil {
				g.base = base[id]
			}
			if g.purpose == plain && isProduct(&p.Ops[id]) && !ofSignals(p, &p.Ops[id]) {
				g.purpose = product
			}
		}
		if g.base == nil {
			g.base = big.NewRat(1, 1)
		}
	}
	return groups, of
}

// span is what the group's members reach, and the turns that they are wrapped by.
func (g *group) span(p *program.Real, ranges []interval.Range) interval.Range {
	r := ranges[g.members[0]]
	for _, id := range g.members {
		r = r.Hull(ranges[id])
		if op := &p.Ops[id]; op.Kind == program.Wrap {
			r = r.Hull(interval.Range{Lo: new(big.Rat).Neg(op.K), Hi: op.K})
		}
	}
	return r
}
