package response

import (
	"errors"
	"fmt"
	"math"
	"math/big"
)

// mostCascade is the work, in products, up to which several sections are bounded as one part. Beyond it they are cut.
const mostCascade = 1 << 26

// ErrLong says that sections in series would take too long as one part.
var ErrLong = errors.New("the responses of these sections together take too long")

// ErrShort says that more taps are needed, or that a recursion is not stable.
var ErrShort = errors.New("the recursion is not stable, or decays too slowly for the taps")

// response is the impulse response of one state, in sums: of its positive and of its negative taps, as computed, and how far the exact
// response can be from that, in the sum of absolute values.
type response struct{ up, down, off float64 }

// sum bounds the sums of the exact response.
func (r response) sum() (s Sum) {
	s.Up, s.Down = new(big.Rat), new(big.Rat)
	if x := (r.up + r.off) * (1 + 2*unit); x > 0 {
		s.Up.SetFloat64(x)
	}
	if x := (r.down + r.off) * (1 + 2*unit); x > 0 {
		s.Down.SetFloat64(x)
	}
	return s
}

// cascade bounds what an impulse that enters x' = A*x + b*w does to each of the last own states, for several columns b. It never forms the
// common denominator: that of filters in series has as many roots close to 1 as there are filters, and float64 cannot hold it.
//
// A column runs through the recursion in float64 for taps ticks, G of it by state; what it misses, (I - A/z)*G - b, is a residual that is
// bounded as it goes, roundings and the cut tail included. It shows in rows that compute; a row that only copies has none. For unit
// impulses at the rows that compute, (I - A/z)*G = I + D: H = G*(I + D)^-1 where the sums of |D| along each row stay below 1, which proves stability
// too, and every other column is off by |H| times its own residuals at most.
func cascade(a, columns [][]*big.Rat, own, taps int) (out [][]response, loss float64, err error) {
	if taps < 1 || taps > mostTaps {
		return nil, 0, fmt.Errorf("%d taps of an impulse response, 1 to %d are expected", taps, mostTaps)
	}
	c := newChain(a, columns)
	work := float64(taps+len(a)) * float64(len(c.row)+len(a)) * float64(len(columns)+len(c.computing))
	if work > mostCascade {
		return nil, 0, ErrLong
	}
	m, n := len(a), len(c.computing)
	first := m - own
	h := make([][]float64, own) // h[i][l]: sum of |response| of the own state i to an impulse at computing row l
	for i := range h {
		h[i] = make([]float64, n)
	}
	most := make([]float64, n)     // by column of D: its largest entry
	row := make([]float64, n)      // sums along the rows of D
	rounding := make([]float64, n) // the same, without the cut tails
	for l, at := range c.computing {
		impulse := numbers(m)
		impulse[at] = big.NewRat(1, 1)
		run := c.run(impulse, first, taps)
		if !run.ends {
			return nil, 0, ErrShort
		}
		for i := range h {
			h[i][l] = run.sums[i].up + run.sums[i].down
		}
		for k := range n {
			d := run.rounding[k] + run.tail[k]
			most[l] = math.Max(most[l], d)
			row[k] += d
			rounding[k] += run.rounding[k]
		}
	}
	rho := 0.0
	for k := range n {
		if !(rounding[k] < 0.5) {
			return nil, 0, ErrCoarse
		}
		rho = math.Max(rho, row[k]*(1+float64(n)*2*unit))
	}
	if !(rho < 0.5) {
		return nil, 0, ErrShort
	}
	for i := range h {
		all := 0.0
		for _, x := range h[i] {
			all += x
		}
		for l := range h[i] {
			h[i][l] = (h[i][l] + all/(1-rho)*most[l]) * (1 + float64(n+8)*2*unit)
		}
	}
	for _, b := range columns {
		run := c.run(b, first, taps)
		if !run.ends {
			return nil, 0, ErrShort
		}
		for i := range run.sums {
			off := 0.0
			for l := range n {
				off += h[i][l] * (run.rounding[l] + run.tail[l])
			}
			r := &run.sums[i]
			r.off = off * (1 + float64(n+8)*2*unit)
			if x := r.up + r.down + r.off; math.IsInf(x, 0) || math.IsNaN(x) {
				return nil, 0, ErrCoarse
			}
			if all := r.up + r.down; all > 0 {
				loss = math.Max(loss, r.off/all)
			}
		}
		out = append(out, run.sums)
	}
	return out, loss, nil
}

// chain is A by rows, in float64.
type chain struct {
	from, to  []int // the entries of each row
	row       []int // the column of each entry
	k         []float64
	share     []float64 // by row: the relative error of computing it
	computing []int     // rows that do more than copy
	place     []int     // of a row among those; -1: it copies
}

// newChain takes for a row that copies one whose entries of the columns float64 holds, too.
func newChain(a, columns [][]*big.Rat) *chain {
	c := &chain{}
	one := big.NewRat(1, 1)
	for i, r := range a {
		c.from = append(c.from, len(c.row))
		copies := true
		for j, x := range r {
			if x.Sign() != 0 {
				f, _ := x.Float64()
				copies = copies && x.Cmp(one) == 0 && len(c.row) == c.from[i]
				c.row, c.k = append(c.row, j), append(c.k, f)
			}
		}
		for _, b := range columns {
			_, exact := b[i].Float64()
			copies = copies && exact
		}
		c.to = append(c.to, len(c.row))
		c.share = append(c.share, float64(2*(c.to[i]-c.from[i])+4)*unit)
		c.place = append(c.place, -1)
		if !copies {
			c.place[i] = len(c.computing)
			c.computing = append(c.computing, i)
		}
	}
	return c
}

// ran is what became of one column: sums by own state, residuals by computing row.
type ran struct {
	sums           []response
	rounding, tail []float64
	ends           bool // nothing goes round for ever in rows that copy
}

// tiny stands for products so small that float64 keeps fewer bits of them.
const tiny = 0x1p-960

func (c *chain) run(b []*big.Rat, first, taps int) ran {
	m, n := len(c.from), len(c.computing)
	out := ran{sums: make([]response, m-first), rounding: make([]float64, n), tail: make([]float64, n)}
	x, next := make([]float64, m), make([]float64, m)
	for i, k := range b {
		f, exact := k.Float64()
		if x[i] = f; !exact {
			out.rounding[c.place[i]] += math.Abs(f) * unit
		}
	}
	for tick := 0; tick < taps+m; tick++ {
		for i := range out.sums {
			if v := x[first+i]; v > 0 {
				out.sums[i].up += v
			} else {
				out.sums[i].down -= v
			}
		}
		for i := range m {
			if c.place[i] < 0 {
				if next[i] = 0; c.from[i] < c.to[i] {
					next[i] = x[c.row[c.from[i]]]
				}
				continue
			}
			var y, local float64
			for e := c.from[i]; e < c.to[i]; e++ {
				p := float64(c.k[e] * x[c.row[e]])
				y += p
				local += math.Abs(p)
			}
			if tick < taps {
				out.rounding[c.place[i]] += c.share[i]*local + tiny
				next[i] = y
			} else {
				out.tail[c.place[i]] += local*(1+c.share[i]) + tiny
				next[i] = 0
			}
		}
		x, next = next, x
	}
	out.ends = true
	for i := range x {
		out.ends = out.ends && x[i] == 0
	}
	grow := 1 + float64(taps+m+8)*2*unit // these are float64 sums of positive numbers
	for i := range out.sums {
		out.sums[i].up *= grow
		out.sums[i].down *= grow
	}
	for k := range n {
		out.rounding[k] *= grow
		out.tail[k] *= grow
	}
	return out
}
