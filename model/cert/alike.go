package cert

import (
	"math"
	"math/big"
	"strconv"
	"strings"
	"sync"
)

// peaks is Peak for the many numerators of a recursion, of which most are alike. The sum of |h(k)| does not change with
// the sign of a numerator or when it comes some ticks later; it is 0 for a numerator of zeros, and |c| where
// the numerator is c times the denominator, of which nothing but an impulse is left.
func peaks(den []*big.Rat, numerators [][]*big.Rat, taps int, effort *bill) (gains []float64, loss float64, err error) {
	var different [][]*big.Rat
	place := map[string]int{} // in different, by text
	at := make([]int, len(numerators))
	gains = make([]float64, len(numerators))
	for i, b := range numerators {
		at[i] = -1
		b = bare(b)
		if len(b) == 0 {
			continue
		}
		if c, ok := times(b, den); ok {
			gains[i] = upward(c)
			continue
		}
		key := textOf(b)
		if _, known := place[key]; !known {
			place[key] = len(different)
			different = append(different, b)
		}
		at[i] = place[key]
	}
	found := remembered(den, different, taps, effort)
	if found.err != nil {
		return nil, 0, found.err
	}
	for i, d := range at {
		if d >= 0 {
			gains[i] = found.gains[d]
		}
	}
	return gains, found.loss, nil
}

// bare takes zeros off both ends and makes the first number positive.
func bare(b []*big.Rat) []*big.Rat {
	for len(b) > 0 && b[0].Sign() == 0 {
		b = b[1:]
	}
	for len(b) > 0 && b[len(b)-1].Sign() == 0 {
		b = b[:len(b)-1]
	}
	if len(b) == 0 || b[0].Sign() > 0 {
		return b
	}
	out := make([]*big.Rat, len(b))
	for i, x := range b {
		out[i] = new(big.Rat).Neg(x)
	}
	return out
}

// times tells whether b is c times a; a starts with 1.
func times(b, a []*big.Rat) (c *big.Rat, ok bool) {
	if len(a) != len(b) {
		return nil, false
	}
	for i := range a {
		if !equal(b[i], mul(b[0], a[i])) {
			return nil, false
		}
	}
	return b[0], true
}

// upward is |x|, not rounded down.
func upward(x *big.Rat) float64 {
	f, exact := new(big.Rat).Abs(x).Float64()
	if !exact {
		f = math.Nextafter(f, math.Inf(1))
	}
	return f
}

func textOf(b []*big.Rat) string {
	var s strings.Builder
	for _, x := range b {
		s.WriteString(x.RatString())
		s.WriteByte(' ')
	}
	return s.String()
}

// result is what Peak returns.
type result struct {
	gains []float64
	loss  float64
	err   error
}

// memory keeps the last results of functions that depend on their arguments alone: the same sums are asked for by each round of
// a search, and again by the check.
type memory[T any] struct {
	sync.Mutex
	results map[string]T
	order   []string
}

const mostRemembered = 64

var (
	peakMemory     memory[result]
	adjugateMemory memory[resolvent]
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

// resolvent is what adjugate returns; nothing changes it.
type resolvent struct {
	c []*big.Rat
	n [][][]*big.Rat
}

func knownAdjugate(a [][]*big.Rat) (c []*big.Rat, n [][][]*big.Rat) {
	var key strings.Builder
	for _, row := range a {
		key.WriteString(textOf(row) + "/")
	}
	r := adjugateMemory.of(key.String(), func() (r resolvent) {
		r.c, r.n = adjugate(a)
		return r
	})
	return r.c, r.n
}

func remembered(den []*big.Rat, numerators [][]*big.Rat, taps int, effort *bill) result {
	var key strings.Builder
	key.WriteString(strconv.Itoa(taps) + ":" + textOf(den))
	for _, b := range numerators {
		key.WriteString("/" + textOf(b))
	}
	effort.once(key.String(), Effort(taps*len(den)*(len(numerators)+1)))
	return peakMemory.of(key.String(), func() (r result) {
		r.gains, r.loss, r.err = Peak(den, numerators, taps)
		return r
	})
}
