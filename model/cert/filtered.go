package cert

import (
	"math"
	"math/big"
	"slices"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// unity is the symbol of what is 1 at every tick.
const unity = 1 << 60

// filtered is the drift of a value that depends on linear states.
func (a *Asked) filtered(v [2]form, moving []int) drift {
	unknown := drift{done: true}
	if len(moving) > mostMoving {
		return unknown
	}
	l := &linearPart{Asked: a, moving: moving, index: map[int]int{}, column: map[int]int{}}
	for j, sym := range moving {
		l.index[sym] = j
	}
	alike, cells := l.look(v)
	for _, sym := range l.sources {
		if sym != unity {
			g := a.drifts[sym]
			if !g.known || g.turn != nil {
				return unknown
			}
			alike = alike && g.r.IsZero()
		}
	}
	r := interval.Point(new(big.Rat))
	if alike {
		return drift{done: true, known: true, r: r}
	}
	a.work += work(len(moving), len(l.sources), cells)
	for _, sym := range moving {
		if !slices.Contains(a.met, sym) {
			a.met = append(a.met, sym)
		}
	}
	if a.taps == 0 {
		return unknown
	}
	for p := range 2 {
		l.gather(p, v[p])
	}
	s, k := l.floats(0), l.floats(1)
	found := knownApart(s, k, a.taps, &a.effort)
	if found.err != nil {
		a.loss = math.Inf(1)
		return unknown
	}
	zero := interval.Point(new(big.Rat))
	for w, sym := range l.sources {
		in, g := interval.Ints(0, 1), zero
		if sym != unity {
			var ok bool
			if g = a.drifts[sym].r; found.up[w] != 0 || found.down[w] != 0 {
				if in, ok = a.ranged(program.ID(sym)); !ok {
					return unknown
				}
				in = in.Hull(zero) // before the start nothing came in
			}
		}
		up, down, size := new(big.Rat).SetFloat64(found.up[w]), new(big.Rat).SetFloat64(found.down[w]), new(big.Rat).SetFloat64(found.size[w])
		most := mul(size, g.Size())
		r = r.Add(in.Scale(up).Sub(in.Scale(down))).Add(interval.Range{Lo: new(big.Rat).Neg(most), Hi: most})
	}
	a.loss = max(a.loss, found.loss)
	return drift{done: true, known: true, r: r}
}

// linearPart is x' = A*x + B*w, y = C*x + D*w, x = S*w at the first tick, in both programs: stored and asked.
type linearPart struct {
	*Asked
	moving  []int       // symbols of x
	index   map[int]int // of each
	sources []int       // symbols of w
	column  map[int]int // of each
	forms   [2]struct {
		next, start []form // by state; starts in sources alone
		out         form
	}
}

// look lists the sources, and tells whether both programs are the same here and how many products of states a tick takes in both.
func (l *linearPart) look(out [2]form) (alike bool, cells int) {
	alike = true
	see := func(v [2]form, next bool) {
		alike = alike && sameForm(v[0], v[1])
		for _, f := range v {
			if f.c.Sign() != 0 {
				l.source(unity)
			}
			for _, t := range f.terms {
				if _, ok := l.index[t.sym]; !ok {
					l.source(t.sym)
				} else if next {
					cells++
				}
			}
		}
	}
	see(out, false)
	for _, sym := range l.moving {
		m, section := l.motions[sym], l.Asked.s.Ops[sym].Section
		see(l.seen(m.next, section), true)
		if m.start >= 0 {
			see(l.seen(m.start, section), false)
		} else {
			see([2]form{constant(l.Asked.s.States[m.n].Start), constant(l.Asked.a.States[m.n].Start)}, false)
		}
	}
	return alike, cells
}

// sameForm tells whether two forms are the same.
func sameForm(f, g form) bool {
	return f.c.Cmp(g.c) == 0 && slices.EqualFunc(f.terms, g.terms, func(x, y term) bool { return x.sym == y.sym && x.k.Cmp(y.k) == 0 })
}

// gather resolves one of the programs: what a linear state starts at may depend on what others start at.
func (l *linearPart) gather(p int, out form) {
	f := &l.forms[p]
	f.out = out
	begun := map[int]form{}
	var start func(sym int) form
	start = func(sym int) form { // states that a start reads stand before it: this ends
		if known, ok := begun[sym]; ok {
			return known
		}
		m := l.motions[sym]
		program := [2]*program.Real{l.s, l.a}[p]
		if m.start < 0 {
			return constant(program.States[m.n].Start)
		}
		from := l.seen(m.start, l.s.Ops[sym].Section)[p]
		sum := constant(from.c)
		for _, t := range from.terms {
			part := symbol(t.sym)
			if l.moves(t.sym) {
				part = start(t.sym)
			}
			l.effort.add(Effort(perTerm * len(part.terms)))
			sum = sum.add(part.scale(t.k))
		}
		begun[sym] = sum
		return sum
	}
	for _, sym := range l.moving {
		f.next = append(f.next, l.seen(l.motions[sym].next, l.s.Ops[sym].Section)[p])
		f.start = append(f.start, start(sym))
	}
}

func (l *linearPart) source(sym int) {
	if _, known := l.column[sym]; !known {
		l.column[sym] = len(l.sources)
		l.sources = append(l.sources, sym)
	}
}

// floats gives one of the programs in float64, each number rounded once.
func (l *linearPart) floats(p int) filter {
	m, w := len(l.moving), len(l.sources)
	f := filter{c: make([]float64, m), d: make([]float64, w), rows: make([][]cell, m), b: grid(w, m), s: grid(w, m)}
	one := big.NewRat(1, 1)
	at := func(g form, state func(j int, k float64, copies bool), source func(w int, k float64)) {
		if k, _ := g.c.Float64(); k != 0 {
			source(l.column[unity], k)
		}
		for _, t := range g.terms {
			k, _ := t.k.Float64()
			if j, ok := l.index[t.sym]; ok {
				state(j, k, t.k.Cmp(one) == 0)
			} else {
				source(l.column[t.sym], k)
			}
		}
	}
	for i := range m {
		at(l.forms[p].next[i], func(j int, k float64, copies bool) { f.rows[i] = append(f.rows[i], cell{j, k, copies}) }, func(w int, k float64) { f.b[w][i] = k })
		at(l.forms[p].start[i], func(int, float64, bool) {}, func(w int, k float64) { f.s[w][i] = k })
	}
	at(l.forms[p].out, func(j int, k float64, _ bool) { f.c[j] = k }, func(w int, k float64) { f.d[w] = k })
	return f
}

func grid(rows, columns int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, columns)
	}
	return out
}

// Matrix is the A of the stored program's linear states that the last section's drifts depend on, to guess by how many taps they need.
func (a *Asked) Matrix() [][]float64 {
	l := &linearPart{Asked: a, moving: a.met, index: map[int]int{}, column: map[int]int{}}
	for j, sym := range a.met {
		l.index[sym] = j
	}
	out := grid(len(a.met), len(a.met))
	for i, sym := range a.met {
		for _, t := range a.seen(a.motions[sym].next, a.s.Ops[sym].Section)[0].terms {
			if j, ok := l.index[t.sym]; ok {
				out[i][j], _ = t.k.Float64()
			}
		}
	}
	return out
}

// Work is about how many nanoseconds each tap takes in the last section; 0: no drift there needs any.
func (a *Asked) Work() float64 { return a.work }
