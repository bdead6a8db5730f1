package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/response"
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

// mostTerms is how many terms a form may have; a longer one is cut to a symbol of its own. Eight filters in series, with what their
// roundings leave, take some 100.
const mostTerms = 160

// unity is the symbol of what is 1 at every tick.
const unity = 1 << 60

// Recursion is x' = A*x + sum of B_w*w, started at x = Start.
type Recursion struct {
	Own     int           // the states that are asked for, the last ones
	Symbols []int         // of the states x
	Next    []affine.Form // of x'
	Start   []*big.Rat
}

// bounds is what each of the states that are asked for can reach, for ever, while each symbol w stays inside its interval. loss is the share by
// which that may be too much for want of taps.
func (r Recursion) bounds(of func(sym int) interval.Range, sums func(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error), taps int) (out []interval.Range, loss float64, err error) {
	m := len(r.Symbols)
	index := map[int]int{}
	for i, s := range r.Symbols {
		index[s] = i
	}
	a := make([][]*big.Rat, m)
	columns, in := [][]*big.Rat{r.Start}, []interval.Range{interval.Ints(1, 1)} // of the start: one impulse
	at := map[int]int{}                                                         // the column of a symbol
	column := func(sym int) []*big.Rat {
		if _, known := at[sym]; !known {
			at[sym] = len(columns)
			columns = append(columns, zeros(m))
			if sym == unity {
				in = append(in, interval.Ints(1, 1))
			} else {
				in = append(in, of(sym))
			}
		}
		return columns[at[sym]]
	}
	for i, f := range r.Next {
		a[i] = zeros(m)
		if f.C.Sign() != 0 {
			column(unity)[i] = f.C
		}
		for _, t := range f.Terms {
			if j, ok := index[t.Symbol]; ok {
				a[i][j] = t.K
			} else {
				column(t.Symbol)[i] = t.K
			}
		}
	}
	all, loss, err := sums(a, columns, r.Own, taps)
	if err != nil {
		return nil, 0, err
	}
	out = make([]interval.Range, r.Own)
	for i := range out {
		out[i] = interval.Point(new(big.Rat))
		for w := range columns {
			out[i] = out[i].Add(all[w][i].Reach(in[w]))
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

// Recursion gathers the linear states of a section from the forms last found there.
func (e *Evaluator) Recursion(section int) (r Recursion) {
	r.Own = len(e.linear[section])
	for _, n := range merged(e.linear, e.part, section) {
		r.Symbols = append(r.Symbols, int(e.reader[n]))
		r.Next = append(r.Next, e.Form(e.p.States[n].Next, e.p.States[n].Section))
		r.Start = append(r.Start, e.p.States[n].Start)
	}
	return r
}

// LinearBounds is what the linear states of a section can reach, from the ranges last found there.
func (e *Evaluator) LinearBounds(section, taps int) ([]interval.Range, float64, error) {
	out, loss, err := e.Recursion(section).bounds(e.Of, e.Sums, max(taps, -taps))
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

// Recursion is the same for differences; a state of which nothing is known makes the whole part unknown.
func (d *Differences) Recursion(section int) (r Recursion, err error) {
	r.Own = len(d.linear[section])
	for _, n := range d.together(section) {
		g := d.seen(d.p.States[n].Next, d.p.States[n].Section)
		if !g.known || g.loose || g.turn != nil {
			return r, fmt.Errorf("nothing is known of what %s becomes", d.p.States[n].Name)
		}
		r.Symbols = append(r.Symbols, int(d.reader[n]))
		next := g.form
		if g.alt != nil {
			next = affine.Symbol(int(d.p.States[n].Next))
		}
		r.Next = append(r.Next, next)
		r.Start = append(r.Start, new(big.Rat))
	}
	return r, nil
}

// LinearBounds is how far the linear states of a section can be apart in the two programs.
func (d *Differences) LinearBounds(section, taps int) ([]interval.Range, float64, error) {
	r, err := d.Recursion(section)
	if err != nil {
		return nil, 0, err
	}
	return r.bounds(d.Of, d.Sums, max(taps, -taps))
}

// together lists the states whose differences go into one recursion: those of a part where the whole programs are
// compared, those of the section where each section is fed.
func (d *Differences) together(section int) []int {
	if d.chain {
		return merged(d.linear, d.part, section)
	}
	return d.linear[section]
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
