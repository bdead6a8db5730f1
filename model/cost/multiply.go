package cost

import "math/bits"

// A compiler makes a product by a constant of shifts, sums and differences where it believes that to be cheaper than the
// multiplication. How few of them it takes was published by Bernstein, "Multiplication by integer constants" (Software: Practice and
// Experience 16, 1986); compilers search by his rules, and so does this.

// chain is the number of shifts, additions and subtractions that multiply by k in 32 bits, or most where it takes as many or more. Where
// those bits of k are 0 there is nothing to compute. A sum whose operand is shifted takes so many.
func chain(k int64, most, sum int) int {
	t := uint32(k)
	if t == 0 {
		return 0
	}
	most = min(most, plain(t)+1)
	best := odd(t, most, sum)
	if k < 0 { // the product by -k, and what turns it round
		best = min(best, 1+odd(-t, best-1, sum))
	}
	return min(best, 1+odd(t-1, best-1, sum)) // the product by k-1, and one more addition
}

// plain is a chain bit by bit, runs of ones by their ends.
func plain(t uint32) (steps int) {
	for t != 1 {
		n := bits.TrailingZeros32(t)
		if n > 0 {
			t >>= n
			steps++
			continue
		}
		steps++
		if t&3 == 3 && t != 3 {
			t++
			if t == 0 {
				return steps + 1
			}
		} else {
			t--
		}
	}
	return steps
}

// odd is the search: the last step of the chain is taken off, in each way that there is.
func odd(t uint32, most, sum int) int {
	switch {
	case t == 1:
		return 0
	case most <= 1 || t == 0:
		return most
	}
	best := most
	try := func(taken int, rest uint32) {
		if taken < best {
			best = min(best, taken+odd(rest, best-taken, sum))
		}
	}
	if n := bits.TrailingZeros32(t); n > 0 {
		try(1, t>>n)
		return best
	}
	if less := 1 - t; less&(less-1) == 0 { // x - x<<m
		try(sum, 1)
	}
	for m := bits.Len32(t) - 1; m >= 2; m-- {
		for _, d := range [...]uint32{1<<m + 1, 1<<m - 1} { // y + y<<m, y<<m - y
			if t > d && t%d == 0 {
				try(sum, t/d)
			}
		}
	}
	for _, q := range [...]uint32{t - 1, t + 1} { // y<<m + x, y<<m - x
		if q != 0 {
			try(sum, q>>bits.TrailingZeros32(q))
		}
	}
	return best
}
