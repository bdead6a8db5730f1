package response

import (
	"fmt"
	"math"
)

// Filter is x' = A*x + B*w, y = C*x + D*w, started at x = S*w, where w is that of the first tick. Each number may be off by a rounding to
// float64.
type Filter struct {
	A    [][]Cell    // rows
	C, D []float64   // by state, by source
	B, S [][]float64 // by source and state
}

// Cell is a factor of a row.
type Cell struct {
	At     int
	K      float64
	Copies bool // K is exactly 1
}

// Parting is how far two filters that are fed alike come apart, by source w: what w adds to the difference of their outputs, at any tick, lies in
// [-Down, Up] times w where w keeps its sign, and so between Up*high - Down*low and Up*low - Down*high. Size is the
// same for the second filter alone, of either sign.
type Parting struct {
	Up, Down, Size []float64
	Loss           float64 // share of them that is owed to the end of the taps and to float64
}

// columns lists the vectors that the recursion is started from: each state alone, and what each source feeds in and starts with.
func (f Filter) columns() [][]float64 {
	m := len(f.A)
	out := zeros(m, m)
	for i := range out {
		out[i][i] = 1
	}
	for w := range f.B {
		out = append(out, f.B[w], f.S[w])
	}
	return out
}

// Apart bounds the difference of two filters by the residual of their responses. A response x from v is run in float64: x[k+1] is A*x[k] but for a
// residual, whose sizes are added up as it goes, with all that is cut off at the end. The true response is x less what the
// residuals lead to, each by the response of the state that it stands in. These responses of single states are bounded in the same
// way by themselves: where the residuals add up to less than 1, that proves stability, with no eigenvalues.
func Apart(s, a Filter, taps int) (Parting, error) {
	if taps < 1 || taps > mostTaps {
		return Parting{}, fmt.Errorf("%d taps of an impulse response, 1 to %d are expected", taps, mostTaps)
	}
	w := len(s.D)
	out := Parting{Up: make([]float64, w), Down: make([]float64, w), Size: make([]float64, w)}
	runs := [2]*running{newRunning(s), newRunning(a)}
	high, low, sum := make([]float64, w), make([]float64, w), make([]float64, w) // up to the tick before
	for k := range taps {
		runs[0].tick(k == 0)
		runs[1].tick(k == 0)
		for i := range w {
			last := (runs[0].fed[i] + runs[0].begun[i]) - (runs[1].fed[i] + runs[1].begun[i]) // at the first tick, so long ago
			out.Up[i] = max(out.Up[i], high[i]+max(last, 0))
			out.Down[i] = max(out.Down[i], low[i]+max(-last, 0))
			out.Size[i] = max(out.Size[i], sum[i]+math.Abs(runs[1].fed[i]+runs[1].begun[i]))
			d := runs[0].fed[i] - runs[1].fed[i]
			high[i] += max(d, 0)
			low[i] += max(-d, 0)
			sum[i] += math.Abs(runs[1].fed[i])
		}
	}
	grow := 1 + float64(taps+16)*4*unit // sums of positive numbers
	off := [2][]float64{}
	for p, r := range runs {
		var err error
		if off[p], err = r.errors(taps); err != nil {
			return Parting{}, err
		}
	}
	for i := range w {
		most := off[0][i] + off[1][i]
		out.Up[i] = (max(out.Up[i], high[i])*grow + most) * (1 + 8*unit)
		out.Down[i] = (max(out.Down[i], low[i])*grow + most) * (1 + 8*unit)
		out.Size[i] = (max(out.Size[i], sum[i])*grow + most) * (1 + 8*unit)
		if both := out.Up[i] + out.Down[i]; both > 0 {
			out.Loss = max(out.Loss, 2*most/both)
		}
		if math.IsNaN(out.Up[i]+out.Down[i]+out.Size[i]) || math.IsInf(out.Up[i]+out.Down[i]+out.Size[i], 0) {
			return Parting{}, ErrCoarse
		}
	}
	return out, nil
}

// running runs a filter from each of its columns.
type running struct {
	Filter
	x        [][]float64 // by column and state
	next     []float64
	residual [][]float64 // sums of sizes, by column and state
	rounding []float64   // of the outputs, by column
	total    []float64   // sizes of the outputs, by column
	idle     []bool      // columns of zeros
	fed      []float64   // by source: what it adds to the output of this tick from so many ticks ago
	begun    []float64   // by source: what its start adds
}

func newRunning(f Filter) *running {
	columns := f.columns()
	r := &running{Filter: f, next: make([]float64, len(f.A)), residual: zeros(len(columns), len(f.A)), rounding: make([]float64, len(columns)), total: make([]float64, len(columns)),
		idle: make([]bool, len(columns)), fed: make([]float64, len(f.D)), begun: make([]float64, len(f.D))}
	for n, v := range columns {
		r.x = append(r.x, append([]float64(nil), v...))
		r.idle[n] = true
		for i, k := range v {
			r.idle[n] = r.idle[n] && k == 0
			if n >= len(f.A) {
				r.residual[n][i] = unit * math.Abs(k)
			}
		}
	}
	return r
}

// tick hands out the outputs and moves on. What a source feeds in shows a tick later, so that its column waits at the first.
func (r *running) tick(first bool) {
	m := len(r.A)
	for n := range r.x {
		w, fed := (n-m)/2, n >= m && (n-m)%2 == 0
		if first && fed {
			r.fed[w] = r.D[w]
			continue
		}
		if r.idle[n] {
			if fed {
				r.fed[w] = 0
			}
			continue
		}
		y := r.output(n)
		switch {
		case fed:
			r.fed[w] = y
		case n >= m:
			r.begun[w] = y
		}
		r.step(n)
	}
}

func (r *running) output(n int) float64 {
	var y, size float64
	for j, k := range r.C {
		p := float64(k * r.x[n][j])
		y += p
		size += math.Abs(p)
	}
	r.rounding[n] += size
	r.total[n] += math.Abs(y)
	return y
}

// step takes column n to the next tick and notes what may be missing.
func (r *running) step(n int) {
	x := r.x[n]
	for i, row := range r.A {
		var sum, size float64
		for _, e := range row {
			p := float64(e.K * x[e.At])
			sum += p
			size += math.Abs(p)
		}
		if r.next[i] = sum; len(row) != 1 || !row[0].Copies { // a copy misses nothing
			r.residual[n][i] += size * (unit * float64(2*len(row)+4))
		}
	}
	copy(x, r.next)
}

// errors bounds, by source, how far its response in sizes can be from the one that was run, feeding and start together.
func (r *running) errors(taps int) ([]float64, error) {
	m := len(r.A)
	grow := 1 + float64(taps+16)*4*unit
	missing := func(n int) (list []float64) { // all residuals of a column, what is left at the end included
		for i, d := range r.residual[n] {
			list = append(list, (d+math.Abs(r.x[n][i]))*grow+1e-290)
		}
		return list
	}
	rounded := func(n int) float64 { return r.rounding[n] * grow * unit * float64(2*m+6) }
	size, share := make([]float64, m), 0.0 // of the response of each state alone
	for n := range m {
		sum := 0.0
		for _, d := range missing(n) {
			sum += d
		}
		if share = max(share, sum*(1+float64(m)*2*unit)); !(share < 1) {
			return nil, fmt.Errorf("the recursion is not stable, or decays too slowly for %d taps", taps)
		}
		size[n] = r.total[n]*grow + rounded(n)
	}
	most := 0.0
	for _, k := range size {
		most = max(most, k)
	}
	most = most / (1 - share) * (1 + 8*unit)
	out := make([]float64, len(r.D))
	for w := range out {
		out[w] = 4 * unit * math.Abs(r.D[w])
		for n := m + 2*w; n < m+2*w+2; n++ {
			if r.idle[n] {
				continue
			}
			out[w] += rounded(n)
			for j, d := range missing(n) {
				out[w] += d * min(most, (size[j]+most*share)*(1+8*unit)) * (1 + 8*unit)
			}
		}
	}
	return out, nil
}
