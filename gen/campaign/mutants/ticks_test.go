package mutants

import (
	"math/big"
	"slices"
	"strings"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/selection"
)

// sameTicks: a constant that is one more or one less where values are chosen, limited or added shows in the value that it makes, and in those made
// from that, but in none that an output gives or a state becomes. A tick starts with the same states then with the change and without: all do.
func sameTicks(u *model.Unit, code string, m Mutant) (string, bool) {
	s, locals := c.Emitted(u)
	seeds, by := seedsAt(s, locals, code, m)
	if len(seeds) == 0 {
		return "", false
	}
	whose := make([]int, len(s.Ops)) // the seed that a value may differ by, from 1 on
	var ends []string
	for n, at := range seeds {
		d, ok := differing(s, at, by)
		if !ok {
			return "", false
		}
		for id := range whose {
			switch r := d.less[id]; {
			case !d.seen[id], r.IsZero():
			case whose[id] != 0:
				return "", false // two of them in one value: each is looked at as if the other were not
			default:
				whose[id] = n + 1
			}
		}
		ends = append(ends, d.ends...)
	}
	for id, op := range s.Program.Ops {
		from := whose[id]
		for _, a := range op.Args {
			if s.Ops[id].Use.Live && whose[a] != 0 && from != 0 && whose[a] != from {
				return "", false
			}
			from = max(from, whose[a])
		}
	}
	return strings.Join(ends, ", ") + " is the same", true
}

// difference is what a change of one operand makes of the values of a tick in which it shows.
type difference struct {
	value []interval.Range // without the change
	grid  []uint           // and a power of two, as its exponent, that it is a multiple of
	seen  []bool           // it is made from the operand
	less  []interval.Range // the value with the change less that without; Lo is nil where nothing is known of it
	ends  []string         // values that are made from one that differs, and do not
}

// differing follows the change of an operand through a tick in which it shows: a choice takes it, or a limit is reached, and what is chosen or
// limited is that constant. ok is false where it may lead to an output or a state, change a choice, or overflow.
func differing(s *selection.Selection, at seed, by int64) (d difference, ok bool) {
	p := s.Program
	states := divisors(p)
	d = difference{make([]interval.Range, len(p.Ops)), make([]uint, len(p.Ops)), make([]bool, len(p.Ops)), make([]interval.Range, len(p.Ops)), nil}
	shows := func(id program.ID) bool {
		return id != program.None && d.seen[id] && (d.less[id].Lo == nil || !d.less[id].IsZero())
	}
	constant := p.Ops[at.id].Args[at.arg]
	pinned := p.Ops[at.id].Kind != program.Add
	for _, id := range inOrder(p) {
		op := p.Ops[id]
		live := s.Ops[id].Use.Live
		switch {
		case op.Kind == program.Const:
			d.value[id], d.grid[id], d.less[id] = interval.Point(op.K), states[id], interval.Ints(0, 0)
		case id == at.id && pinned:
			d.value[id], d.grid[id], d.less[id], d.seen[id] = d.value[constant], d.grid[constant], interval.Ints(by, by), true
		default:
			d.value[id] = valueOf(op, d.value)
			d.grid[id] = max(states[id], multiple(&p.Ops[id], d.grid, states[id]))
			if v := d.value[id]; v.IsPoint() {
				d.grid[id] = max(d.grid[id], of(v.Lo))
			}
			d.less[id] = interval.Ints(0, 0)
			if id == at.id {
				d.less[id], d.seen[id] = interval.Ints(by, by), true
			}
			if slices.ContainsFunc(op.Args, shows) {
				d.seen[id] = true
				if d.less[id] = d.lessOf(id, s); d.less[id].Lo != nil && d.less[id].IsZero() && live {
					d.ends = append(d.ends, op.Name)
				}
			}
		}
		if live && d.seen[id] && (d.less[id].Lo == nil || !d.fits(id, s)) {
			return d, false
		}
	}
	for _, state := range p.States {
		if shows(state.Next) || shows(state.Enable) || shows(state.Reset) || state.Reset != program.None && shows(state.ResetTo) {
			return d, false
		}
	}
	return d, !slices.ContainsFunc(p.Outputs, func(o program.Output) bool { return shows(o.Value) })
}

// lessOf is the difference in a value that is made from others; Lo is nil where nothing is known.
func (d *difference) lessOf(id program.ID, s *selection.Selection) interval.Range {
	op := &s.Program.Ops[id]
	less := func(n int) interval.Range { return d.less[op.Args[n]] }
	same := func(n int) bool { r := less(n); return r.Lo != nil && r.IsZero() }
	for n := range op.Args {
		if less(n).Lo == nil {
			return interval.Range{}
		}
	}
	switch op.Kind {
	case program.Add:
		return less(0).Add(less(1))
	case program.Sub:
		return less(0).Sub(less(1))
	case program.Scale:
		return less(0).Scale(op.K)
	case program.Mul:
		for n := range 2 {
			if same(n) {
				return less(1 - n).Mul(d.value[op.Args[n]])
			}
		}
	case program.Clamp, program.Min, program.Max: // what is limited moves no further than what limits it or it itself
		r := less(0)
		for n := range op.Args {
			r = r.Hull(less(n))
		}
		return r
	case program.Round:
		return roundedLess(less(0), selection.Halves(op.Shift, s.Ops[id].First), op.Shift, d.grid[op.Args[0]])
	case program.Less, program.LessEqual:
		with := func(n int) interval.Range { return d.value[op.Args[n]].Add(less(n)) }
		if answer, known := order(op.Kind, with(0), with(1)); known && d.value[id].IsPoint() && d.value[id].Holds(interval.Ints(answer, answer)) {
			return interval.Ints(0, 0)
		}
	case program.Select:
		switch truth := d.value[op.Args[0]]; {
		case !same(0):
		case truth.IsZero():
			return less(2)
		case truth.IsPoint():
			return less(1)
		default:
			return less(1).Hull(less(2))
		}
	}
	return interval.Range{}
}

// roundedLess is the difference in (x + half) >> shift where x, a multiple of 2^k, differs by so much.
func roundedLess(less interval.Range, half int64, shift, k uint) interval.Range {
	grid := int64(1) << min(k, shift, 32)
	over := new(big.Rat).SetInt64(half % grid) // what x + half is more than a multiple of the grid
	inside := interval.Ints(0, grid-1)
	if inside.Holds(less.Add(interval.Point(over))) {
		return interval.Ints(0, 0)
	}
	r := less.Scale(big.NewRat(1, 1<<shift))
	return interval.Range{Lo: new(big.Rat).SetInt(interval.Floor(r.Lo)), Hi: new(big.Rat).SetInt(interval.Ceil(r.Hi))}
}

// fits tells whether a value that differs has the type that it has without the change, and what is added before a shift the arithmetic's.
func (d *difference) fits(id program.ID, s *selection.Selection) bool {
	op := &s.Program.Ops[id]
	inside := func(t program.Type, r interval.Range) bool {
		lo, hi := t.Range()
		return interval.Ints(lo, hi).Holds(r)
	}
	if op.Kind == program.Round {
		a := op.Args[0]
		half := new(big.Rat).SetInt64(selection.Halves(op.Shift, s.Ops[id].First))
		if !inside(s.Ops[id].Width, d.value[a].Add(d.less[a]).Add(interval.Point(half))) {
			return false
		}
	}
	return inside(op.Type, d.value[id].Add(d.less[id]))
}

// valueOf is where an operation lies when what it is made from does: inside its certified range at least.
func valueOf(op program.FixedOp, values []interval.Range) interval.Range {
	certified := interval.Ints(op.Lo, op.Hi)
	arg := func(n int) interval.Range { return values[op.Args[n]] }
	r := certified
	switch op.Kind {
	case program.Add:
		r = arg(0).Add(arg(1))
	case program.Sub:
		r = arg(0).Sub(arg(1))
	case program.Scale:
		r = arg(0).Scale(op.K)
	case program.Clamp:
		r = arg(0).Limit(arg(1), arg(2))
	case program.Less, program.LessEqual:
		if answer, known := order(op.Kind, arg(0), arg(1)); known {
			r = interval.Ints(answer, answer)
		}
	case program.Select:
		switch truth := arg(0); {
		case truth.IsZero():
			r = arg(2)
		case truth.IsPoint():
			r = arg(1)
		default:
			r = arg(1).Hull(arg(2))
		}
	}
	if both, some := certified.Meet(r); some {
		return both
	}
	return certified // such a tick never comes
}

// order is the answer of a comparison wherever its two sides lie in their ranges, where it is one.
func order(kind program.Kind, a, b interval.Range) (answer int64, known bool) {
	yes, no := a.Hi.Cmp(b.Lo), a.Lo.Cmp(b.Hi)
	if kind == program.Less {
		return truth(yes < 0), yes < 0 || no >= 0
	}
	return truth(yes <= 0), yes <= 0 || no > 0
}

func truth(b bool) int64 {
	if b {
		return 1
	}
	return 0
}
