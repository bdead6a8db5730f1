package cert

import (
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
)

// mostMoving is how many linear states a response may have; a longer chain of filters is cut where it passes a signal whose drift is
// known, and what crosses the cut counts as a source. So is one whose sections run at different ticks.
const mostMoving = 24

// seen is a value as a section reads it.
func (a *Asked) seen(id program.ID, section int) [2]affine.Form {
	of := a.s.Ops[id].Section
	if of == section || a.sizes[id]+a.states(section) <= mostMoving && a.s.At(of) == a.s.At(section) {
		return a.values[id]
	}
	return [2]affine.Form{affine.Symbol(int(id)), affine.Symbol(int(id))}
}

func (a *Asked) states(section int) (n int) {
	for _, s := range a.s.States {
		if s.Section == section {
			n++
		}
	}
	return n
}

// moving lists the linear states that a value depends on, now or at earlier ticks, in order of discovery.
func (a *Asked) moving(v [2]affine.Form) (out []int) {
	found := map[int]bool{}
	add := func(v [2]affine.Form) {
		for _, f := range v {
			for _, t := range f.Terms {
				if a.moves(t.Symbol) && !found[t.Symbol] {
					found[t.Symbol] = true
					out = append(out, t.Symbol)
				}
			}
		}
	}
	add(v)
	for i := 0; i < len(out) && len(out) <= 2*mostMoving; i++ {
		m, section := a.motions[out[i]], a.s.Ops[out[i]].Section
		add(a.seen(m.next, section))
		if m.start != program.None {
			add(a.seen(m.start, section))
		}
	}
	return out
}

// filtered is the drift of a value that depends on linear states.
func (a *Asked) filtered(v [2]affine.Form, moving []int) apart {
	if len(moving) > mostMoving {
		return apart{}
	}
	l := &linearPart{Asked: a, moving: moving, index: map[int]int{}, column: map[int]int{}}
	for j, sym := range moving {
		l.index[sym] = j
	}
	alike := l.look(v)
	for _, sym := range l.sources {
		if sym != unity {
			g := a.drifts[sym]
			if g == nil || !g.known || g.turn != nil {
				return apart{}
			}
			alike = alike && g.r.IsZero()
		}
	}
	r := interval.Point(new(big.Rat))
	if alike {
		return apart{known: true, r: r}
	}
	for p := range 2 {
		l.gather(p, v[p])
	}
	found, err := a.Apart(l.floats(0), l.floats(1), a.taps)
	if err != nil {
		return apart{}
	}
	zero := interval.Point(new(big.Rat))
	for w, sym := range l.sources {
		in, g := interval.Ints(0, 1), zero
		if sym != unity {
			var ok bool
			if g = a.drifts[sym].r; found.Up[w] != 0 || found.Down[w] != 0 {
				if in, ok = a.ranged(program.ID(sym)); !ok {
					return apart{}
				}
				in = in.Hull(zero) // before the start nothing came in
			}
		}
		up, down, size := new(big.Rat).SetFloat64(found.Up[w]), new(big.Rat).SetFloat64(found.Down[w]), new(big.Rat).SetFloat64(found.Size[w])
		most := mul(size, g.Size())
		r = r.Add(in.Scale(up).Sub(in.Scale(down))).Add(interval.Range{Lo: new(big.Rat).Neg(most), Hi: most})
	}
	return apart{known: true, r: r}
}

// linearPart is x' = A*x + B*w, y = C*x + D*w, x = S*w at the first tick, in both programs: stored and asked.
type linearPart struct {
	*Asked
	moving  []int       // symbols of x
	index   map[int]int // of each
	sources []int       // symbols of w
	column  map[int]int // of each
	forms   [2]struct {
		next, start []affine.Form // by state; starts in sources alone
		out         affine.Form
	}
}

// look lists the sources, and tells whether both programs are the same here.
func (l *linearPart) look(out [2]affine.Form) (alike bool) {
	alike = true
	see := func(v [2]affine.Form) {
		alike = alike && v[0].Equal(v[1])
		for _, f := range v {
			if f.C.Sign() != 0 {
				l.source(unity)
			}
			for _, t := range f.Terms {
				if _, ok := l.index[t.Symbol]; !ok {
					l.source(t.Symbol)
				}
			}
		}
	}
	see(out)
	for _, sym := range l.moving {
		m, section := l.motions[sym], l.Asked.s.Ops[sym].Section
		see(l.seen(m.next, section))
		if m.start >= 0 {
			see(l.seen(m.start, section))
		} else {
			see([2]affine.Form{affine.Constant(l.Asked.s.States[m.n].Start), affine.Constant(l.Asked.a.States[m.n].Start)})
		}
	}
	return alike
}

// gather resolves one of the programs: what a linear state starts at may depend on what others start at.
func (l *linearPart) gather(p int, out affine.Form) {
	f := &l.forms[p]
	f.out = out
	begun := map[int]affine.Form{}
	var start func(sym int) affine.Form
	start = func(sym int) affine.Form { // states that a start reads stand before it: this ends
		if known, ok := begun[sym]; ok {
			return known
		}
		m := l.motions[sym]
		program := [2]*program.Real{l.s, l.a}[p]
		if m.start < 0 {
			return affine.Constant(program.States[m.n].Start)
		}
		from := l.seen(m.start, l.s.Ops[sym].Section)[p]
		sum := affine.Constant(from.C)
		for _, t := range from.Terms {
			part := affine.Symbol(t.Symbol)
			if l.moves(t.Symbol) {
				part = start(t.Symbol)
			}
			sum = sum.Add(part.Scale(t.K))
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
func (l *linearPart) floats(p int) response.Filter {
	m, w := len(l.moving), len(l.sources)
	f := response.Filter{A: make([][]response.Cell, m), C: make([]float64, m), D: make([]float64, w), B: grid(w, m), S: grid(w, m)}
	one := big.NewRat(1, 1)
	at := func(g affine.Form, state func(j int, k float64, copies bool), source func(w int, k float64)) {
		if k, _ := g.C.Float64(); k != 0 {
			source(l.column[unity], k)
		}
		for _, t := range g.Terms {
			k, _ := t.K.Float64()
			if j, ok := l.index[t.Symbol]; ok {
				state(j, k, t.K.Cmp(one) == 0)
			} else {
				source(l.column[t.Symbol], k)
			}
		}
	}
	for i := range m {
		at(l.forms[p].next[i], func(j int, k float64, copies bool) {
			f.A[i] = append(f.A[i], response.Cell{At: j, K: k, Copies: copies})
		}, func(w int, k float64) { f.B[w][i] = k })
		at(l.forms[p].start[i], func(int, float64, bool) {}, func(w int, k float64) { f.S[w][i] = k })
	}
	at(l.forms[p].out, func(j int, k float64, _ bool) { f.C[j] = k }, func(w int, k float64) { f.D[w] = k })
	return f
}

func grid(rows, columns int) [][]float64 {
	out := make([][]float64, rows)
	for i := range out {
		out[i] = make([]float64, columns)
	}
	return out
}
