package simulate

import (
	"math"
	"slices"
)

// The figures of a response are defined as those of a step response in control technology, IEC 60050-351 (from memory, without its text at
// hand): the overshoot is the largest transient deviation beyond the final value, in the direction of the change; the settling time runs from the
// change until the quantity enters the band around its target for good.

// add takes up what one stretch shows: y is the watched quantity, e its error.
func (out *Watched) add(w *Watch, g *stretch, y, e []float64, period float64) {
	final := e[g.from:g.to]
	reached, settled := false, -1
	if g.atRest() {
		final = e[g.rest:g.to]
		settled = settle(final, w.Band)
		reached = settled >= 0
		out.AtEnd = reached
		out.steady(final)
	}
	seconds := None
	if reached {
		seconds = Reached(float64(settled) * period)
	}
	if g.recovery {
		if g.atRest() {
			out.Recovered = out.Recovered && reached
			out.Recovery = max(out.Recovery, seconds)
		}
		return
	}
	if g.atRest() {
		out.Settled = out.Settled && reached
		out.Settling = max(out.Settling, seconds)
	}
	for _, v := range e[g.from:g.rest] {
		out.Following = max(out.Following, Reached(math.Abs(v)))
	}
	// The target at the end of the stretch, on a circle the turn of it that is nearest to where the quantity ends, and what it was before.
	target := y[g.to-1] - e[g.to-1]
	by := g.change
	out.changed = out.changed || by != 0
	out.wide = out.wide || math.Abs(by) > w.Band
	if by == 0 { // released, or switched on: from where it is, which is a change where it is off its target
		if by = target - y[g.from]; math.Abs(by) <= w.Band {
			return
		}
	} else if w.Turn > 0 && math.Abs(by) > 0.499*w.Turn { // half a turn: either way is the short one
		by = target - y[g.from]
	}
	if math.Abs(by) > w.Band && span(y[g.from:g.to]) > w.Band {
		out.tested = true
	}
	if !arrives(y[g.from:g.to], target, by, w.Band) { // cut short, or too weak: it shows no overshoot, which is not an overshoot of 0
		return
	}
	if reached {
		target += mean(lastFifth(final))
	}
	out.Overshoot = max(out.Overshoot, Reached(overshoot(y[g.from:g.to], target, by)))
}

// arrives tells whether the quantity comes as far as the band around its target.
func arrives(y []float64, target, change, band float64) bool {
	return slices.ContainsFunc(y, func(v float64) bool { return math.Copysign(1, change)*(v-target) >= -band })
}

// span is from the lowest to the highest.
func span(y []float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range y {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return math.Max(0, hi-lo)
}

// steady keeps the largest mean error over the last fifth of a target at rest.
func (out *Watched) steady(e []float64) {
	if m := mean(lastFifth(e)); math.Abs(m) > math.Abs(out.SteadyError) {
		out.SteadyError = m
	}
}

func lastFifth(e []float64) []float64 { return e[len(e)-max(1, len(e)/5):] }

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v / float64(len(x))
	}
	return sum
}

// settle is the tick from which on the error stays inside the band, or -1. It must be there for the last tenth of the
// stretch: what comes in at its very end may leave again.
func settle(e []float64, band float64) int {
	at := len(e)
	for at > 0 && math.Abs(e[at-1]) <= band {
		at--
	}
	if stays := len(e) - at; stays == 0 || 10*stays < len(e) {
		return -1
	}
	return at
}

// overshoot is how far the quantity goes beyond its final value in the direction of the change.
func overshoot(y []float64, final, change float64) float64 {
	most := 0.0
	for _, v := range y {
		most = math.Max(most, math.Copysign(1, change)*(v-final))
	}
	return most
}
