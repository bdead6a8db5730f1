package bound

import (
	"fmt"
	"math/big"
	"sync"

	"gainwright/model/response"
)

// sums is response.Sums, remembered and billed.
func (b *bill) sums(a, columns [][]*big.Rat, own, taps int) ([][]response.Sum, float64, error) {
	key := fmt.Sprint(own, taps, a, columns) // rational numbers in full
	r := sumMemory.of(key, func() (r sumsFound) {
		r.sums, r.loss, r.err = response.Sums(a, columns, own, taps)
		r.different = different(r.sums)
		return r
	})
	m, c := float64(len(a)), float64(len(columns))
	switch {
	case own == len(a):
		b.sum += Effort(100*m*m*m + 5000*m*c)
		// half of the states only remember what others were: they add nothing to the denominator
		b.once(key, float64(taps)*(m/2+1)*float64(r.different+1))
	case r.err != response.ErrLong:
		b.once(key, float64(taps)*3*m*(c+m/2))
	}
	return r.sums, r.loss, r.err
}

type sumsFound struct {
	sums      [][]response.Sum
	loss      float64
	err       error
	different int // responses that had to be summed
}

// different counts the different responses: what enters a recursion at several places often has the same.
func different(sums [][]response.Sum) int {
	seen := map[string]bool{}
	for _, row := range sums {
		for _, s := range row {
			if s.Up.Sign()+s.Down.Sign() != 0 {
				seen[new(big.Rat).Add(s.Up, s.Down).RatString()] = true
			}
		}
	}
	return len(seen)
}

// apart is response.Apart, remembered and billed.
func (b *bill) apart(stored, asked response.Filter, taps int) (response.Parting, error) {
	key := fmt.Sprint(taps, stored, asked) // float64 in as many digits as tell them apart
	b.once(key, float64(taps)*tick(stored, asked))
	r := partingMemory.of(key, func() (r partingFound) {
		r.parting, r.err = response.Apart(stored, asked, taps)
		return r
	})
	return r.parting, r.err
}

type partingFound struct {
	parting response.Parting
	err     error
}

// tick is about what a tick of both filters costs.
func tick(stored, asked response.Filter) float64 {
	cells := 0
	for _, f := range []response.Filter{stored, asked} {
		for _, row := range f.A {
			cells += len(row)
		}
	}
	states, sources := len(stored.A), len(stored.D)
	return 3 * float64((states+2*sources)*(cells+6*states))
}

// memory keeps the last results of functions that depend on their arguments alone: the same responses are asked for by each round of
// a search.
type memory[T any] struct {
	sync.Mutex
	results map[string]T
	order   []string
}

const mostRemembered = 64

var (
	sumMemory     memory[sumsFound]
	partingMemory memory[partingFound]
)

// of returns the result for the arguments that key stands for; find works it out where it is not remembered.
func (m *memory[T]) of(key string, find func() T) T {
	m.Lock()
	r, known := m.results[key]
	m.Unlock()
	if known {
		return r
	}
	r = find()
	m.Lock()
	defer m.Unlock()
	if _, twice := m.results[key]; twice {
		return r
	}
	if m.results == nil {
		m.results = map[string]T{}
	}
	if len(m.order) == mostRemembered {
		delete(m.results, m.order[0])
		m.order = m.order[1:]
	}
	m.results[key], m.order = r, append(m.order, key)
	return r
}
