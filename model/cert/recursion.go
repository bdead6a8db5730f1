package cert

import (
	"fmt"
	"math/big"

	"gainwright/model/affine"
	"gainwright/model/interval"
	"gainwright/model/response"
)

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
func (r Recursion) bounds(of func(symbol int) interval.Range, sums func(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error), taps int) (out []interval.Range, loss float64, err error) {
	m := len(r.Symbols)
	index := map[int]int{}
	for i, s := range r.Symbols {
		index[s] = i
	}
	a := make([][]*big.Rat, m)
	columns, in := [][]*big.Rat{r.Start}, []interval.Range{interval.Ints(1, 1)} // of the start: one impulse
	at := map[int]int{}                                                         // the column of a symbol
	column := func(symbol int) []*big.Rat {
		if _, known := at[symbol]; !known {
			at[symbol] = len(columns)
			columns = append(columns, zeros(m))
			if symbol == unity {
				in = append(in, interval.Ints(1, 1))
			} else {
				in = append(in, of(symbol))
			}
		}
		return columns[at[symbol]]
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
	r.Own = len(e.linear.of[section])
	for _, n := range e.linear.merged(section) {
		r.Symbols = append(r.Symbols, int(e.linear.reader[n]))
		r.Next = append(r.Next, e.Form(e.p.States[n].Next, e.p.States[n].Section))
		r.Start = append(r.Start, e.p.States[n].Start)
	}
	return r
}

// LinearBounds is what the linear states of a section can reach, from the ranges last found there.
func (e *Evaluator) LinearBounds(section, taps int) ([]interval.Range, float64, error) {
	out, loss, err := e.Recursion(section).bounds(e.Of, e.Sums, max(taps, -taps))
	if err == nil && e.fixed != nil {
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

// Recursion gathers the differences of a section's linear states: with those of its part where the whole programs are
// compared, alone where each section is fed. A state of which nothing is known makes all of it unknown.
func (d *Differences) Recursion(section int) (r Recursion, err error) {
	states := d.linear.of[section]
	r.Own = len(states)
	if d.chain {
		states = d.linear.merged(section)
	}
	for _, n := range states {
		s := &d.p.States[n]
		g := d.seen(s.Next, s.Section)
		if !g.known || g.turn != nil {
			return r, fmt.Errorf("nothing is known of what %s becomes", s.Name)
		}
		if g.alt != nil {
			g.form = affine.Symbol(int(s.Next))
		}
		r.Symbols = append(r.Symbols, int(d.linear.reader[n]))
		r.Next = append(r.Next, g.form)
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
