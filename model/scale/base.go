package scale

import (
	"cmp"
	"fmt"
	"math/big"

	"gainwright/model/program"
)

// aligned lists which arguments of an operation must share the format of its result.
func aligned(op *program.RealOp) []int {
	if op.Bool {
		return nil
	}
	return op.Kind.Of().Aligned
}

// isCopy tells whether the operation hands its argument on.
func isCopy(op *program.RealOp) bool {
	return op.Kind == program.Scale && !op.Change && isOne(op.K) && op.K.Sign() > 0
}

// isProduct tells whether the operation multiplies by a number that must be stored.
func isProduct(op *program.RealOp) bool {
	return op.Change || op.Kind == program.Mul || op.Kind == program.Scale && !isOne(op.K)
}

// ofSignals tells whether the format of the operation follows from those of two values neither of which is a live coefficient: nothing is to be stored.
func ofSignals(p *program.Real, op *program.RealOp) bool {
	return op.Kind.Of().Format != nil && p.Ops[op.Args[0]].Kind != program.Coef && p.Ops[op.Args[1]].Kind != program.Coef
}

// isOne tells whether k is 1 or -1.
func isOne(k *big.Rat) bool { return k.IsInt() && k.Num().BitLen() == 1 }

// bases finds what each value is best counted in, as joined does. A wrapped value that only an output says the count of, no even whole
// number of them a turn, is counted in 1/65536 of its turn; a product of two values, say, in the product of what they are counted in. Where
// they are products themselves, that is known once it is known of them: so it is asked again until nothing changes.
func bases(p *program.Real) []*big.Rat {
	found := joined(p, nil)
	bound, follows := map[program.ID]*big.Rat{}, []program.ID{}
	for i := range p.Ops {
		if op := &p.Ops[i]; op.Kind == program.Wrap && found[i] != nil && !wholeTurn(op.K, found[i]) && !countedByInput(p, found[i]) {
			bound[program.ID(i)] = new(big.Rat).Quo(op.K, big.NewRat(1<<16, 1))
		} else if ofSignals(p, op) {
			follows = append(follows, program.ID(i))
		}
	}
	if len(bound) == 0 && len(follows) == 0 {
		return found
	}
	for range len(follows) + 1 {
		changed := false
		for _, i := range follows {
			op := &p.Ops[i]
			of := func(n int) *big.Rat { return cmp.Or(bound[op.Args[n]], found[op.Args[n]], big.NewRat(1, 1)) }
			if base := op.Kind.Of().Format(of(0), of(1)); bound[i] == nil || bound[i].Cmp(base) != 0 {
				bound[i], changed = base, true
			}
		}
		if found = joined(p, bound); !changed {
			break
		}
	}
	return found
}

// countedByInput tells whether base is a power of two of what some input counts: it is there that a turn is made a whole number of counts.
func countedByInput(p *program.Real, base *big.Rat) bool {
	for _, in := range p.Inputs {
		if !in.IsSwitch {
			if _, ok := powerOfTwo(new(big.Rat).Quo(in.LSB, base)); ok {
				return true
			}
		}
	}
	return false
}

// wholeTurn tells whether a turn is an even whole number of base's power-of-two fractions, from some fraction on.
func wholeTurn(turn, base *big.Rat) bool {
	n := evenTurn(turn, base, 0)
	counts := new(big.Rat).Quo(turn, new(big.Rat).Mul(base, two(1-n)))
	return counts.IsInt()
}

// joined finds for each value, but those that are bound to a count already, the real number whose power-of-two fractions it is best counted in: that of
// the input or output it comes from or goes to. Values that share a format get one base, unless two of
// them are bound to different ones; then Align puts a multiplication between.
func joined(p *program.Real, bound map[program.ID]*big.Rat) []*big.Rat {
	b := &baser{up: make([]program.ID, len(p.Ops)), base: make([]*big.Rat, len(p.Ops))}
	for i := range p.Ops {
		b.up[i] = program.ID(i)
	}
	for i := range p.Ops {
		switch op := &p.Ops[i]; {
		case op.Bool:
		case bound[program.ID(i)] != nil:
			b.base[i] = bound[program.ID(i)]
		case op.Base != nil:
			b.base[i] = op.Base
		case op.Kind == program.Input:
			b.base[i] = p.Inputs[op.Index].LSB
		case op.Kind == program.Angle:
			b.base[i] = big.NewRat(1, 1)
		case op.Kind == program.State && p.States[op.Index].Base != nil:
			b.base[i] = p.States[op.Index].Base
		case op.Kind == program.State && p.States[op.Index].Purpose == program.Counter:
			b.base[i] = big.NewRat(1, 1)
		}
	}
	for _, o := range p.Outputs {
		b.base[o.Value] = o.LSB
	}
	reader := p.View().Readers()
	join := func(a, c program.ID) {
		if a != program.None && c != program.None && !p.Ops[a].Bool && p.Ops[a].Kind != program.Const && p.Ops[c].Kind != program.Const {
			b.join(a, c)
		}
	}
	for n, s := range p.States {
		if !s.Bool {
			join(reader[n], s.Next)
			join(reader[n], s.ResetTo)
			join(reader[n], s.Like)
		}
	}
	for i := range p.Ops { // what reads a state goes with it: a change of base inside a recursion would be a gain there
		for _, j := range aligned(&p.Ops[i]) {
			if a := p.Ops[i].Args[j]; p.Ops[a].Kind == program.State {
				join(program.ID(i), a)
			}
		}
	}
	for i := range p.Ops {
		op := &p.Ops[i]
		if op.Kind == program.Scale && !isProduct(op) && !op.Bool {
			join(program.ID(i), op.Args[0])
		}
		for _, j := range aligned(op) {
			join(program.ID(i), op.Args[j])
		}
		if c := op.Kind.Of().Compared; c != nil {
			join(op.Args[0], op.Args[1])
		}
	}
	for i := range p.Ops {
		b.base[i] = b.base[b.root(program.ID(i))]
	}
	return b.base
}

// baser joins values into classes of one base.
type baser struct {
	up   []program.ID
	base []*big.Rat // of a class, at its root; nil: free
}

func (b *baser) root(a program.ID) program.ID {
	for b.up[a] != a {
		b.up[a] = b.up[b.up[a]]
		a = b.up[a]
	}
	return a
}

func (b *baser) join(a, c program.ID) {
	a, c = b.root(a), b.root(c)
	if a == c {
		return
	}
	if b.base[a] != nil && b.base[c] != nil && b.base[a].Cmp(b.base[c]) != 0 {
		return // bound to different bases; a shift or a multiplication leads between
	}
	if b.base[c] != nil {
		b.base[a] = b.base[c]
	}
	b.up[c] = a
}

// powerOfTwo returns k with r = 2^k.
func powerOfTwo(r *big.Rat) (k int, ok bool) {
	n, d := r.Num(), r.Denom()
	if r.Sign() <= 0 || !isPower(n) || !isPower(d) {
		return 0, false
	}
	return n.BitLen() - d.BitLen(), true
}

func isPower(n *big.Int) bool { return n.TrailingZeroBits() == uint(n.BitLen()-1) }

// Align returns p with a multiplication by one inserted wherever neighbours are counted in numbers that no
// shift leads between, such as counts of two sensors. The multiplication's constant is then stored,
// and listed, like any other.
func Align(p *program.Real) *program.Real {
	const most = 4 // a conversion can move what values around it are best counted in, and so the root of one
	q := converted(p)
	for n := 1; n < most && !rootsAligned(q); n++ {
		q = converted(q)
	}
	return q
}

// rootsAligned tells whether a count of each root's argument is the square of one of the root, times a power of two.
func rootsAligned(p *program.Real) bool {
	base, one := bases(p), big.NewRat(1, 1)
	for i := range p.Ops {
		if op := &p.Ops[i]; op.Kind == program.Root {
			count := cmp.Or(base[i], one)
			if _, ok := powerOfTwo(new(big.Rat).Quo(cmp.Or(base[op.Args[0]], one), new(big.Rat).Mul(count, count))); !ok {
				return false
			}
		}
	}
	return true
}

// converted makes the conversions that the bases of p ask for.
func converted(p *program.Real) *program.Real {
	q := p.Clone()
	q.Ops = nil
	base := bases(p)
	moved := make([]program.ID, len(p.Ops))
	differ := func(a program.ID, want *big.Rat) bool {
		if want == nil || base[a] == nil {
			return false
		}
		_, ok := powerOfTwo(new(big.Rat).Quo(base[a], want))
		return !ok
	}
	change := func(a program.ID, want *big.Rat, section int) program.ID {
		from := p.Ops[a]
		q.Ops = append(q.Ops, program.RealOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{moved[a]}, K: big.NewRat(1, 1), Section: section,
			Name: fmt.Sprintf("%s_counted_%d", from.Name, len(q.Ops)), Doc: "the same, counted otherwise", Unit: from.Unit}, Change: true, Base: want})
		return program.ID(len(q.Ops) - 1)
	}
	for i := range p.Ops {
		op := p.Ops[i]
		args := make([]program.ID, len(op.Args))
		for j, a := range op.Args {
			args[j] = moved[a]
		}
		alike, want := aligned(&op), base[i]
		if c := op.Kind.Of().Compared; c != nil {
			alike, want = c, cmp.Or(base[op.Args[0]], base[op.Args[1]])
		} else if op.Kind == program.Scale && !isProduct(&op) && !op.Bool { // a copy, or turned round
			alike = []int{0}
		} else if op.Kind == program.Root { // a count of the argument is the square of one of the root, times a power of two
			one := big.NewRat(1, 1)
			count := cmp.Or(base[i], one)
			alike, want = []int{0}, new(big.Rat).Mul(count, count)
			base[op.Args[0]] = cmp.Or(base[op.Args[0]], one)
		}
		for _, j := range alike {
			if differ(op.Args[j], want) {
				args[j] = change(op.Args[j], want, op.Section)
			}
		}
		op.Args = args
		if op.Kind == program.Wrap && base[i] != nil {
			op.Base = base[i]
		}
		if op.Same != 0 {
			op.Same = moved[op.Same]
		}
		if op.FinerThan != 0 {
			op.FinerThan = moved[op.FinerThan]
		}
		moved[i] = program.ID(len(q.Ops))
		q.Ops = append(q.Ops, op)
	}
	for i := range q.States {
		s := &q.States[i]
		if s.Renumber(moved); s.Like != program.None {
			s.Like = moved[s.Like]
		}
	}
	q.Frame.Renumber(moved)
	return q
}
