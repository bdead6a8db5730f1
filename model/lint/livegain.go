package lint

import (
	"fmt"
	"math/big"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// LiveGain says what the settings of a live gain become, over its whole tuning range. Of a gain that becomes several
// coefficients it is the worst of them. Sizes are those of settings of either sign, in the gain's unit.
type LiveGain struct {
	Gain     int
	Vanish   int64    // settings other than 0 inside the tuning range that are stored as 0
	Smallest *big.Rat // size of the smallest setting that is not stored as 0; nil: all are
	Worst    *big.Rat // largest relative error of a setting that is not stored as 0, at most
	Within   *big.Rat // from this size on settings are stored within 1 %; nil: none is
}

// nearSettings is how many settings are looked at one by one, from where errors are largest.
const nearSettings = 4096

var onePercent = big.NewRat(1, 100)

// LiveGains lists those that a controller uses.
func LiveGains(integer *program.Fixed) (out []LiveGain) {
	for g := range integer.Gains {
		l, own := LiveGain{Gain: g}, integer.CoefsOf(g)
		for n, c := range own {
			l.join(tuned(integer.Coefs[c]), n > 0)
		}
		if len(own) > 0 {
			out = append(out, l)
		}
	}
	return out
}

func (l *LiveGain) join(k LiveGain, used bool) {
	larger := func(a, b *big.Rat) *big.Rat {
		switch {
		case !used:
			return b
		case a == nil || b == nil:
			return nil
		case a.Cmp(b) > 0:
			return a
		}
		return b
	}
	l.Vanish = max(l.Vanish, k.Vanish)
	l.Smallest, l.Worst, l.Within = larger(l.Smallest, k.Smallest), larger(l.Worst, k.Worst), larger(l.Within, k.Within)
}

// tuned looks at one coefficient. A setting of size n is n*r counts off 0 before it is rounded, and at most half a count and n times
// what the multiplier is off beside that: so the relative error is at most 1/(2*n*r) and that of the multiplier.
func tuned(c program.FixedCoef) (l LiveGain) {
	s, r := c.Setter, new(big.Rat).Abs(c.Ratio())
	step := s.Step()
	if r.Sign() == 0 {
		return l
	}
	off := new(big.Rat).SetFrac(big.NewInt(s.M), new(big.Int).Lsh(big.NewInt(1), s.Shift))
	off.Quo(off.Sub(off.Abs(off), r), r)
	off.Abs(off)
	envelope := func(n int64) *big.Rat {
		e := new(big.Rat).Mul(new(big.Rat).SetInt64(2*n), r)
		return e.Add(e.Inv(e), off)
	}
	for _, sign := range []int64{1, -1} {
		lo, hi := max(1, s.XLo), s.XHi
		if sign < 0 {
			lo, hi = max(1, -s.XHi), -s.XLo
		}
		if lo > hi {
			continue
		}
		count := func(n int64) int64 { return s.Apply(sign * n) }
		fault := func(n int64) *big.Rat { // relative
			k := new(big.Rat).SetInt64(max(count(n), -count(n)))
			k.Quo(k, new(big.Rat).Mul(new(big.Rat).SetInt64(n), r))
			return k.Abs(k.Sub(k, big.NewRat(1, 1)))
		}
		first, end := lo, hi+1 // the first setting that is not stored as 0: none below it is
		for first < end {
			if mid := first + (end-first)/2; count(mid) != 0 {
				end = mid
			} else {
				first = mid + 1
			}
		}
		l.Vanish += first - lo
		if first > hi {
			continue
		}
		inUnits := func(n int64) *big.Rat { return new(big.Rat).Mul(new(big.Rat).SetInt64(n), step) }
		if x := inUnits(first); l.Smallest == nil || x.Cmp(l.Smallest) < 0 {
			l.Smallest = x
		}
		worst := new(big.Rat)
		for n := first; n <= hi && envelope(n).Cmp(worst) > 0; n++ {
			e := fault(n)
			if n == first+nearSettings {
				e = envelope(n)
			}
			if e.Cmp(worst) > 0 {
				worst = e
			}
		}
		if l.Worst == nil || worst.Cmp(l.Worst) > 0 {
			l.Worst = worst
		}
		within := new(big.Rat).Sub(onePercent, off)
		if within.Sign() <= 0 {
			continue
		}
		within.Inv(within.Mul(within, new(big.Rat).Mul(r, big.NewRat(2, 1))))
		n := hi
		if whole := new(big.Int).Add(new(big.Int).Div(within.Num(), within.Denom()), big.NewInt(1)); whole.IsInt64() && whole.Int64() < hi {
			n = max(whole.Int64(), first)
		}
		for i := 0; i < nearSettings && n >= first && fault(n).Cmp(onePercent) <= 0; i++ {
			n--
		}
		if n++; n <= hi {
			if x := inUnits(n); l.Within == nil || x.Cmp(l.Within) > 0 {
				l.Within = x
			}
		}
	}
	return l
}

// settingVanishes tells of settings inside a tuning range that are stored as 0: where the range does not begin at 0, or where they are
// not far below the gain's value at start. For an integral gain that means that nothing is integrated; increments are added
// unrounded, so that one with a coefficient that is not 0 never stalls.
func settingVanishes(l *linter, say teller) {
	for _, live := range LiveGains(l.Integer) {
		g := l.Integer.Gains[live.Gain]
		if live.Vanish == 0 || live.Smallest == nil {
			continue
		}
		near := new(big.Rat).Mul(live.Smallest, big.NewRat(100, 1))
		if fromZero := g.Lo.Sign() <= 0 && g.Hi.Sign() >= 0; fromZero && (g.Value.Sign() == 0 || near.Cmp(new(big.Rat).Abs(g.Value)) <= 0) {
			continue
		}
		name, _, _ := strings.Cut(g.Key, ".")
		_, at, _ := l.Integer.Signal(name)
		least := program.Outward(live.Smallest, true)
		remedy := fmt.Sprintf("[%s, %s]", least, program.Outward(g.Hi, true))
		if g.Value.Sign() < 0 {
			remedy = fmt.Sprintf("[%s, -%s]", program.Outward(g.Lo, false), least)
		}
		settings := fmt.Sprintf("%d settings", live.Vanish)
		if live.Vanish == 1 {
			settings = "a setting"
		}
		say(at, finding.Warning, "tuning."+g.Key, remedy,
			strings.TrimSpace(fmt.Sprintf("%s of the tuning range, other than 0, would be stored as 0: the smallest that is not is %.3g %s", settings, f64(live.Smallest), g.Unit)),
			fmt.Sprintf("the range reaches from %.4g to %.4g, and the start is %.4g", f64(g.Lo), f64(g.Hi), f64(g.Value)))
	}
}
