package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/interval"
	"gainwright/model/program"
)

// Linear states are those of a section that change linearly with one another at every tick: no enable, no
// reset. Boxes of such states are rarely inductive (a section with |a1| + |a2| > 1 leaves every box
// that interval arithmetic tries), so their facts are of the second kind: peak gains from everything that
// enters the recursion, each of which is bounded by itself or by the claims at earlier ticks.
func Linear(p program.View, section int) []int {
	var out []int
	for n, s := range p.States {
		if s.Section == section && !s.Bool && s.Enable == program.None && s.Reset == program.None {
			out = append(out, n)
		}
	}
	return out
}

// linears is Linear of every section.
func linears(p program.View) [][]int {
	out := make([][]int, len(p.Sections))
	for n, s := range p.States {
		if !s.Bool && s.Enable == program.None && s.Reset == program.None {
			out[s.Section] = append(out[s.Section], n)
		}
	}
	return out
}

// mostMerged is how many sections a linear part may have: eight filters of second order in series are one of sixteenth. A longer chain
// is cut, and what crosses the cut counts as an input of its own, bounded by itself.
const mostMerged = 8

// parts numbers the linear parts of a program by section. A section of sums, constant factors and roundings alone
// joins the part of the section that it reads, so that a notch behind a low-pass is bounded as one filter of fourth
// order and not by the product of two peak gains. Any cut is sound; taps below 0 ask for one before a section.
func parts(p program.View, taps []int) []int {
	out := make([]int, len(p.Sections))
	size := make([]int, len(p.Sections)) // in sections, of a part
	linear, states := make([]bool, len(p.Sections)), make([]bool, len(p.Sections))
	for s := range out {
		out[s], size[s], linear[s] = s, 1, p.Sections[s].Kind != "inputs"
	}
	reads := make([]int, len(p.Sections)) // the section whose signal comes last among those read; -1: none
	for s := range reads {
		reads[s] = -1
	}
	for _, op := range p.Ops {
		switch op.Kind {
		case program.Const, program.State, program.Add, program.Sub, program.Scale, program.Round:
			linear[op.Section] = linear[op.Section] && !op.Bool
		default:
			linear[op.Section] = false
		}
		for _, a := range op.Args {
			if t := p.Ops[a].Section; t != op.Section {
				reads[op.Section] = max(reads[op.Section], t)
			}
		}
	}
	for _, s := range p.States {
		states[s.Section] = true
		linear[s.Section] = linear[s.Section] && !s.Bool && s.Enable == program.None && s.Reset == program.None
	}
	for s := range out {
		t := reads[s]
		if t < 0 || !linear[s] || !linear[t] || !states[s] || size[out[t]] == mostMerged || s < len(taps) && taps[s] < 0 {
			continue
		}
		out[s] = out[t]
		size[out[t]]++
	}
	return out
}

// merged lists the linear states of a section's part, up to and with the section; its own come last.
func merged(linear [][]int, part []int, section int) []int {
	var out []int
	for s := part[section]; s <= section; s++ {
		if part[s] == part[section] {
			out = append(out, linear[s]...)
		}
	}
	return out
}

// one is the symbol of the constant.
const one = 1 << 60

// recursion is x' = A*x + sum of B_w*w, started at x = start.
type recursion struct {
	own     int    // the states that are asked for, the last ones; 0: all
	symbols []int  // of the states x
	next    []form // of x'
	start   []*big.Rat
}

// bounds is what each of the states that are asked for can reach, for ever, while each symbol w stays inside its interval. loss is the share by
// which the peak gains may be too large for want of taps. effort is what it costs.
func (r recursion) bounds(of func(sym int) interval.Range, taps int, effort *bill) (out []interval.Range, loss float64, err error) {
	m := len(r.symbols)
	index := map[int]int{}
	for i, s := range r.symbols {
		index[s] = i
	}
	a := make([][]*big.Rat, m)
	inputs := map[int][]*big.Rat{} // B by symbol
	var order []int
	column := func(sym int) []*big.Rat {
		if inputs[sym] == nil {
			inputs[sym] = zeros(m)
			order = append(order, sym)
		}
		return inputs[sym]
	}
	for i, f := range r.next {
		a[i] = zeros(m)
		if f.c.Sign() != 0 {
			column(one)[i] = f.c
		}
		for _, t := range f.terms {
			if j, ok := index[t.sym]; ok {
				a[i][j] = t.k
			} else {
				column(t.sym)[i] = t.k
			}
		}
	}
	if r.own > 0 && r.own < m {
		return r.inSeries(a, inputs, order, of, taps, effort)
	}
	den, adj := knownAdjugate(a)
	for len(den) > 1 && den[len(den)-1].Sign() == 0 {
		den = den[:len(den)-1]
	}
	var numerators [][]*big.Rat
	add := func(b []*big.Rat) {
		for i := range m {
			num := make([]*big.Rat, m)
			for k := range num {
				num[k] = new(big.Rat)
				for j, x := range b {
					if x.Sign() != 0 && adj[k][i][j].Sign() != 0 {
						num[k].Add(num[k], mul(adj[k][i][j], x))
					}
				}
			}
			numerators = append(numerators, num)
		}
	}
	for _, sym := range order {
		add(inputs[sym])
	}
	add(r.start)
	effort.add(Effort(100*m*m*m + 5000*len(numerators)))
	gains, loss, err := peaks(den, numerators, taps, effort)
	if err != nil {
		return nil, 0, err
	}
	out = make([]interval.Range, m)
	for i := range out {
		out[i] = interval.Point(new(big.Rat))
	}
	atOne := sum(den)
	half := big.NewRat(1, 2)
	for w := 0; w <= len(order); w++ {
		for i := range m {
			gain := gains[w*m+i]
			if gain == 0 {
				continue
			}
			l1 := new(big.Rat).SetFloat64(gain)
			dc := new(big.Rat).Quo(sum(numerators[w*m+i]), atOne)
			up := interval.Max(new(big.Rat), mul(half, new(big.Rat).Add(l1, dc))) // sum of the positive taps, and of the negative ones
			down := interval.Max(new(big.Rat), mul(half, new(big.Rat).Sub(l1, dc)))
			in := interval.Ints(0, 1) // of the start: one impulse, whose response is up to any part of the sums
			if w < len(order) {
				in = interval.Ints(1, 1)
				if order[w] != one {
					in = of(order[w])
				}
				in = in.Hull(interval.Point(new(big.Rat))) // before the start nothing came in
			}
			out[i] = out[i].Add(in.Scale(up).Sub(in.Scale(down)))
		}
	}
	return out, loss, nil
}

// inSeries is bounds for the last of several sections.
func (r recursion) inSeries(a [][]*big.Rat, inputs map[int][]*big.Rat, order []int, of func(sym int) interval.Range, taps int, effort *bill) ([]interval.Range, float64, error) {
	columns := [][]*big.Rat{r.start}
	in := []interval.Range{interval.Ints(1, 1)}
	for _, sym := range order {
		columns = append(columns, inputs[sym])
		if sym == one {
			in = append(in, interval.Ints(1, 1))
		} else {
			in = append(in, of(sym))
		}
	}
	responses, loss, err := knownCascade(a, columns, r.own, taps, effort)
	if err != nil {
		return nil, 0, err
	}
	out := make([]interval.Range, r.own)
	for i := range out {
		out[i] = interval.Point(new(big.Rat))
		for w, all := range responses {
			up, down := all[i].most()
			reach := in[w].Hull(interval.Point(new(big.Rat))) // up to any part of the sums
			out[i] = out[i].Add(reach.Scale(up).Sub(reach.Scale(down)))
		}
	}
	return out, loss, nil
}

func zeros(n int) []*big.Rat {
	out := make([]*big.Rat, n)
	for i := range out {
		out[i] = new(big.Rat)
	}
	return out
}

func sum(xs []*big.Rat) *big.Rat {
	s := new(big.Rat)
	for _, x := range xs {
		s.Add(s, x)
	}
	return s
}

// adjugate returns det(z*I - A) = z^m + c[1]*z^(m-1) + ... and the matrices of adj(z*I - A) =
// N[0]*z^(m-1) + N[1]*z^(m-2) + ..., exactly, by the recursion of Faddeev and LeVerrier (Gantmacher, The
// Theory of Matrices, ch. IV; from memory).
func adjugate(a [][]*big.Rat) (c []*big.Rat, n [][][]*big.Rat) {
	m := len(a)
	c = []*big.Rat{big.NewRat(1, 1)}
	cur := make([][]*big.Rat, m)
	for i := range cur {
		cur[i] = zeros(m)
		cur[i][i] = big.NewRat(1, 1)
	}
	for k := 1; k <= m; k++ {
		n = append(n, cur)
		next := make([][]*big.Rat, m)
		trace := new(big.Rat)
		for i := range next {
			next[i] = zeros(m)
			for j := range m {
				for l := range m {
					if a[i][l].Sign() != 0 && cur[l][j].Sign() != 0 {
						next[i][j].Add(next[i][j], mul(a[i][l], cur[l][j]))
					}
				}
			}
			trace.Add(trace, next[i][i])
		}
		ck := mul(trace, big.NewRat(-1, int64(k)))
		c = append(c, ck)
		for i := range next {
			next[i][i] = new(big.Rat).Add(next[i][i], ck)
		}
		cur = next
	}
	return c, n
}

// recursion gathers the linear states of a section from the forms last found there.
func (e *Evaluator) recursion(section int) (r recursion) {
	r.own = len(e.linear[section])
	for _, n := range merged(e.linear, e.part, section) {
		r.symbols = append(r.symbols, int(e.reader[n]))
		r.next = append(r.next, e.form(e.p.States[n].Next, e.p.States[n].Section))
		r.start = append(r.start, e.p.States[n].Start)
	}
	return r
}

// LinearBounds is what the linear states of a section can reach, from the ranges last found there.
func (e *Evaluator) LinearBounds(section, taps int) ([]interval.Range, float64, error) {
	out, loss, err := e.recursion(section).bounds(e.of, max(taps, -taps), &e.effort)
	if err == nil && e.whole {
		for i := range out {
			w, ok := out[i].Whole()
			if !ok {
				return nil, 0, fmt.Errorf("a state has no whole number in its range")
			}
			out[i] = w
		}
	}
	return out, loss, err
}

func (d *Differences) recursion(section int) (r recursion, err error) {
	r.own = len(d.linear[section])
	for _, n := range d.together(section) {
		g := d.seen(d.p.States[n].Next, d.p.States[n].Section)
		if !g.known || g.loose || g.turn != nil {
			return r, fmt.Errorf("nothing is known of what %s becomes", d.p.States[n].Name)
		}
		r.symbols = append(r.symbols, int(d.reader[n]))
		next := g.form
		if g.alt != nil {
			next = symbol(int(d.p.States[n].Next))
		}
		r.next = append(r.next, next)
		r.start = append(r.start, new(big.Rat))
	}
	return r, nil
}

// LinearBounds is how far the linear states of a section can be apart in the two programs; a state of
// which nothing is known makes the whole part unknown.
func (d *Differences) LinearBounds(section, taps int) ([]interval.Range, float64, error) {
	r, err := d.recursion(section)
	if err != nil {
		return nil, 0, err
	}
	return r.bounds(d.of, max(taps, -taps), &d.effort)
}

// together lists the states whose differences go into one recursion: those of a part where the whole programs are
// compared, those of the section where each section is fed.
func (d *Differences) together(section int) []int {
	if d.chain {
		return merged(d.linear, d.part, section)
	}
	return d.linear[section]
}

// Joined tells whether a section is bounded together with others before it.
func (e *Evaluator) Joined(section int) bool { return e.part[section] != section }

// Joined tells whether the differences of a section are bounded together with those of others before it.
func (d *Differences) Joined(section int) bool { return d.chain && d.part[section] != section }

// Matrix is the A of x' = A*x + ... of a section's linear states, to guess by how many taps their responses need.
func (e *Evaluator) Matrix(section int) [][]float64 { return e.recursion(section).matrix() }

// Matrix is the same for differences; nil where nothing is known.
func (d *Differences) Matrix(section int) [][]float64 {
	r, err := d.recursion(section)
	if err != nil {
		return nil
	}
	return r.matrix()
}

func (r recursion) matrix() [][]float64 {
	index := map[int]int{}
	for i, s := range r.symbols {
		index[s] = i
	}
	out := make([][]float64, len(r.symbols))
	for i, f := range r.next {
		out[i] = make([]float64, len(r.symbols))
		for _, t := range f.terms {
			if j, ok := index[t.sym]; ok {
				out[i][j], _ = t.k.Float64()
			}
		}
	}
	return out
}

// readers finds the operation that reads each state.
func readers(p program.View) []program.ID {
	out := make([]program.ID, len(p.States))
	for i, op := range p.Ops {
		if op.Kind == program.State {
			out[op.Index] = program.ID(i)
		}
	}
	return out
}

// linearNext tells by value which linear states of its section it is that become it. Where the section is marked, such a value lies
// where the state may be at the next tick.
func linearNext(p program.View, linear [][]int) [][]int {
	out := make([][]int, len(p.Ops))
	for s, states := range linear {
		for _, n := range states {
			if id := p.States[n].Next; p.Ops[id].Section == s {
				out[id] = append(out[id], n)
			}
		}
	}
	return out
}

// marked tells whether a section has facts of the second kind.
func marked(taps []int, section int) bool { return section < len(taps) && taps[section] != 0 }
