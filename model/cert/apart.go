package cert

import (
	"encoding/binary"
	"fmt"
	"math"
)

// filter is x' = A*x + B*w, y = C*x + D*w, started at x = S*w, where w is that of the first tick. Each number may be off by a rounding to
// float64.
type filter struct {
	rows [][]cell    // of A
	c, d []float64   // by state, by source
	b, s [][]float64 // by source and state
}

type cell struct {
	at     int
	k      float64
	copies bool // k is exactly 1
}

// parting is how far two filters that are fed alike come apart, by source w: what w adds to the difference of their outputs, at any tick, lies in
// [-down, up] times w where w keeps its sign, and so between up*high - down*low and up*low - down*high. size is the
// same for the second filter alone, of either sign.
type parting struct {
	up, down, size []float64
	loss           float64 // share of them that is owed to the end of the taps and to float64
	err            error
}

var partingMemory memory[parting]

// knownApart is apart, whose last results are remembered.
func knownApart(s, a filter, taps int, effort *bill) parting {
	key := string(a.append(s.append(binary.LittleEndian.AppendUint64(nil, uint64(taps)))))
	effort.once(key, Effort(float64(taps)*work(len(s.rows), len(s.d), s.cells()+a.cells())))
	return partingMemory.of(key, func() parting { return apart(s, a, taps) })
}

// append writes the filter to a key: what depends on it depends on these numbers alone.
func (f filter) append(key []byte) []byte {
	put := func(n int, k float64) {
		key = binary.LittleEndian.AppendUint64(binary.LittleEndian.AppendUint64(key, uint64(n)), math.Float64bits(k))
	}
	for i, row := range f.rows {
		put(-1-i, 0)
		for _, e := range row {
			if put(e.at, e.k); e.copies {
				put(-1, 0)
			}
		}
	}
	for _, list := range append(append([][]float64{f.c, f.d}, f.b...), f.s...) {
		put(len(list), 0)
		for i, k := range list {
			put(i, k)
		}
	}
	return key
}

// work is about what a tick of both programs costs, in nanoseconds: for so many states, sources and products of states in all.
func work(states, sources, cells int) float64 {
	return 3 * float64((states+2*sources)*(cells+6*states))
}

func (f filter) cells() (n int) {
	for _, row := range f.rows {
		n += len(row)
	}
	return n
}

// columns lists the vectors that the recursion is started from: each state alone, and what each source feeds in and starts with.
func (f filter) columns() [][]float64 {
	m := len(f.rows)
	out := grid(m, m)
	for i := range out {
		out[i][i] = 1
	}
	for w := range f.b {
		out = append(out, f.b[w], f.s[w])
	}
	return out
}

// apart bounds the difference of two filters by the residual of their responses. A response x from v is run in float64: x[k+1] is A*x[k] but for a
// residual, whose sizes are added up as it goes, with all that is cut off at the end. The true response is x less what the
// residuals lead to, each by the response of the state that it stands in. These responses of single states are bounded in the same
// way by themselves: where the residuals add up to less than 1, that proves stability, with no eigenvalues.
func apart(s, a filter, taps int) parting {
	if taps < 1 || taps > mostTaps {
		return parting{err: fmt.Errorf("%d taps of an impulse response, 1 to %d are expected", taps, mostTaps)}
	}
	w := len(s.d)
	out := parting{up: make([]float64, w), down: make([]float64, w), size: make([]float64, w)}
	runs := [2]*running{newRunning(s), newRunning(a)}
	high, low, sum := make([]float64, w), make([]float64, w), make([]float64, w) // up to the tick before
	for k := range taps {
		runs[0].tick(k == 0)
		runs[1].tick(k == 0)
		for i := range w {
			last := (runs[0].fed[i] + runs[0].begun[i]) - (runs[1].fed[i] + runs[1].begun[i]) // at the first tick, so long ago
			out.up[i] = max(out.up[i], high[i]+max(last, 0))
			out.down[i] = max(out.down[i], low[i]+max(-last, 0))
			out.size[i] = max(out.size[i], sum[i]+math.Abs(runs[1].fed[i]+runs[1].begun[i]))
			d := runs[0].fed[i] - runs[1].fed[i]
			high[i] += max(d, 0)
			low[i] += max(-d, 0)
			sum[i] += math.Abs(runs[1].fed[i])
		}
	}
	grow := 1 + float64(taps+16)*4*unit // sums of positive numbers
	off := [2][]float64{}
	for p, r := range runs {
		if off[p], out.err = r.errors(taps); out.err != nil {
			return out
		}
	}
	for i := range w {
		most := off[0][i] + off[1][i]
		out.up[i] = (max(out.up[i], high[i])*grow + most) * (1 + 8*unit)
		out.down[i] = (max(out.down[i], low[i])*grow + most) * (1 + 8*unit)
		out.size[i] = (max(out.size[i], sum[i])*grow + most) * (1 + 8*unit)
		if both := out.up[i] + out.down[i]; both > 0 {
			out.loss = max(out.loss, 2*most/both)
		}
		if math.IsNaN(out.up[i]+out.down[i]+out.size[i]) || math.IsInf(out.up[i]+out.down[i]+out.size[i], 0) {
			out.err = ErrCoarse
		}
	}
	return out
}

// running runs a filter from each of its columns.
type running struct {
	filter
	x        [][]float64 // by column and state
	next     []float64
	residual [][]float64 // sums of sizes, by column and state
	rounding []float64   // of the outputs, by column
	total    []float64   // sizes of the outputs, by column
	idle     []bool      // columns of zeros
	fed      []float64   // by source: what it adds to the output of this tick from so many ticks ago
	begun    []float64   // by source: what its start adds
}

func newRunning(f filter) *running {
	columns := f.columns()
	r := &running{filter: f, next: make([]float64, len(f.rows)), residual: grid(len(columns), len(f.rows)), rounding: make([]float64, len(columns)), total: make([]float64, len(columns)),
		idle: make([]bool, len(columns)), fed: make([]float64, len(f.d)), begun: make([]float64, len(f.d))}
	for n, v := range columns {
		r.x = append(r.x, append([]float64(nil), v...))
		r.idle[n] = true
		for i, k := range v {
			r.idle[n] = r.idle[n] && k == 0
			if n >= len(f.rows) {
				r.residual[n][i] = unit * math.Abs(k)
			}
		}
	}
	return r
}

// tick hands out the outputs and moves on. What a source feeds in shows a tick later, so that its column waits at the first.
func (r *running) tick(first bool) {
	m := len(r.rows)
	for n := range r.x {
		w, fed := (n-m)/2, n >= m && (n-m)%2 == 0
		if first && fed {
			r.fed[w] = r.d[w]
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
	for j, k := range r.c {
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
	for i, row := range r.rows {
		var sum, size float64
		for _, e := range row {
			p := float64(e.k * x[e.at])
			sum += p
			size += math.Abs(p)
		}
		if r.next[i] = sum; len(row) != 1 || !row[0].copies { // a copy misses nothing
			r.residual[n][i] += size * (unit * float64(2*len(row)+4))
		}
	}
	copy(x, r.next)
}

// errors bounds, by source, how far its response in sizes can be from the one that was run, feeding and start together.
func (r *running) errors(taps int) ([]float64, error) {
	m := len(r.rows)
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
	out := make([]float64, len(r.d))
	for w := range out {
		out[w] = 4 * unit * math.Abs(r.d[w])
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
