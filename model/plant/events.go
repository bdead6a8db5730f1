package plant

import "slices"

// broken tells whether a guard has run out at x.
func (s *solver) broken(x []float64) bool {
	s.p.guard(s.guards, x)
	return slices.ContainsFunc(s.guards, func(v float64) bool { return v < 0 })
}

// firstEvent is the part of the step tried last at which the first guard runs out, 1: none does. What runs out and recovers within a quarter of
// a step, or half an exponential one, is not seen.
func (s *solver) firstEvent(x []float64) float64 {
	lo, hi := 0.0, 1.0
	looks := []float64{0.25, 0.5, 0.75}
	if s.stiff != nil {
		looks = looks[1:2] // its middle is known
	}
	for _, theta := range looks {
		s.within(s.probe, x, theta)
		if s.broken(s.probe) {
			hi = theta
			break
		}
		lo = theta
	}
	if hi == 1 && !s.broken(s.end()) {
		return 1
	}
	for range 60 {
		mid := (lo + hi) / 2
		if mid <= lo || mid >= hi || hi-lo < 1e-13 {
			break
		}
		s.within(s.probe, x, mid)
		if s.broken(s.probe) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// cut makes the step anew up to an event, so far that a guard has run out at its end, and returns its length.
func (s *solver) cut(x []float64, h, most, seconds float64, steps int) float64 {
	for more := 1e-14 * most; ; more *= 4 {
		h = min(h, most)
		s.try(x, h, seconds, steps)
		if h >= most || s.broken(s.end()) {
			return h
		}
		h += more
	}
}
