package trial

import (
	"math"

	"gainwright/model/program"
)

// becomes is what a state can be after a tick, but for keeping its value: what it becomes, and what a reset makes it.
func (a *allowances) becomes(n, states int) flaw {
	s := &a.p.States[n]
	f := a.seen(s.Next, s.Section)
	if s.Reset != program.None {
		f = join(states, f, a.seen(s.ResetTo, s.Section))
	}
	if a.chain && a.p.Ops[s.Next].Section > s.Section { // what comes back is not followed
		f.fresh = math.Inf(1)
	}
	for _, c := range []program.ID{s.Enable, s.Reset} {
		if c != program.None && a.seen(c, s.Section).trust != exact {
			f.fresh = math.Inf(1)
		}
	}
	start := a.constant(s.Start)
	f.trust, f.grid = min(f.trust, start.trust), max(f.grid, start.grid)
	return f
}

// near is how many ticks are followed one by one.
const near = 1 << 20

// carry is the error of each state from now on: after the first tick, or after any later one of the run.
func (a *allowances) carry(states []int, now []float64) []float64 {
	flaws := make([]flaw, len(states))
	linear := a.later
	for i, n := range states {
		flaws[i] = a.becomes(n, len(states))
		s := a.p.States[n]
		linear = linear && s.Enable == program.None
		for _, d := range flaws[i].slopes {
			linear = linear && d.lo == d.hi
		}
	}
	if linear {
		return carryLinear(flaws, now, a.ticks)
	}
	ticks := 1
	if a.later {
		ticks = a.ticks
	}
	for range min(ticks, near) {
		moved := false
		next := make([]float64, len(states))
		for i, n := range states {
			next[i] = max(now[i], total(flaws[i], now)) // a state that keeps its value keeps its error
			if a.trusts[n] != rough {                   // rounded once, however long it is kept
				next[i] = flaws[i].fresh
			}
			moved = moved || next[i] > now[i]
		}
		if now = next; !moved {
			return now
		}
	}
	return carryFar(flaws, now, ticks-near)
}

// carryLinear adds up what the errors before and the new error of each tick become by the last one: |A^k| times
// each, which stays finite where the sizes of the slopes alone would grow. A thousandth more covers the roundings
// of A^k.
func carryLinear(flaws []flaw, before []float64, ticks int) []float64 {
	m := len(flaws)
	power, next := make([][]float64, m), make([][]float64, m)
	sum, old := make([]float64, m), make([]float64, m)
	for i := range power {
		power[i], next[i] = make([]float64, m), make([]float64, m)
		power[i][i] = 1
	}
	settled := false
	for range min(ticks+1, near) {
		moved := false
		for i := range m {
			more, left := 0.0, 0.0
			for j, p := range power[i] {
				if p != 0 {
					more += math.Abs(p) * flaws[j].fresh * 1.001
					left += math.Abs(p) * before[j] * 1.001
				}
			}
			moved = moved || sum[i]+more/16 > sum[i] || left > old[i]
			sum[i], old[i] = sum[i]+more, max(old[i], left)
		}
		if settled = !moved; settled {
			break
		}
		for i := range m {
			for j := range m {
				next[i][j] = 0
				for k := range m {
					if flaws[k].slopes != nil {
						next[i][j] += power[i][k] * flaws[k].slopes[j].lo
					}
				}
			}
		}
		power, next = next, power
	}
	for i := range sum {
		sum[i] += old[i]
	}
	if settled {
		return sum
	}
	return carryFar(flaws, sum, ticks+1-near)
}

// carryFar goes on for many ticks that have not come to rest in near ones: errors e become at most
// max(1, |slopes|)*e + fresh in a tick, and that map is squared until the ticks are reached.
func carryFar(flaws []flaw, now []float64, ticks int) []float64 {
	if ticks <= 0 {
		return now
	}
	m := len(flaws)
	a, b := make([][]float64, m), make([]float64, m)
	for i, f := range flaws {
		a[i], b[i] = make([]float64, m), f.fresh
		for j := range f.slopes {
			a[i][j] = f.slopes[j].size()
		}
		a[i][i] = max(a[i][i], 1)
	}
	times := func(row, v []float64) (sum float64) {
		for j, k := range row {
			if k != 0 {
				sum += k * v[j]
			}
		}
		return sum
	}
	for ; ticks > 0; ticks /= 2 {
		if ticks%2 == 1 {
			next := make([]float64, m)
			for i := range m {
				next[i] = times(a[i], now) + b[i]
			}
			now = next
		}
		square, twice := make([][]float64, m), make([]float64, m)
		for i := range m {
			square[i], twice[i] = make([]float64, m), times(a[i], b)+b[i]
			for k := range m {
				for j := range m {
					if a[i][k] != 0 {
						square[i][j] += a[i][k] * a[k][j]
					}
				}
			}
		}
		a, b = square, twice
	}
	return now
}

func total(f flaw, states []float64) float64 {
	sum := f.fresh
	for i, s := range f.slopes {
		if s.size() > 0 {
			sum += s.size() * states[i]
		}
	}
	return sum
}
