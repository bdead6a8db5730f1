package loop

import (
	"math"
	"math/cmplx"
	"slices"
)

// Margins say how far a loop, cut at one place, is from losing its stability, or how far it is from finding it. They are read off the loop's own
// transfer on the unit circle, at the very frequencies where it crosses; a margin that there is none of is 0.
//
// Source: Franklin, Powell, Workman, Digital Control of Dynamic Systems, section on Nyquist's criterion for sampled loops. Bandwidth as in Skogestad,
// Postlethwaite, Multivariable Feedback Control (from memory): the highest frequency at which the size of L/(1+L) falls through 1/sqrt(2).
type Margins struct {
	GainUp     float64 `json:"gain_up"`      // the loop gain may grow by less than this factor; 0: by any
	GainDown   float64 `json:"gain_down"`    // and shrink to more than this share; 0: to nothing
	Phase      float64 `json:"phase_deg"`    // least angle between the loop and -1 where its gain is 1; 0: it never is. Below 0: a loop that is not stable lags by so much too much
	Crossover  float64 `json:"crossover_hz"` // where that is
	Delay      float64 `json:"delay_s"`      // more delay that takes the loop to its limit; 0: any is borne, or the loop is not stable
	DelayTicks float64 `json:"delay_ticks"`
	Peak       float64 `json:"sensitivity_peak"` // largest size of 1/(1+L)
	PeakAt     float64 `json:"sensitivity_peak_hz"`
	Bandwidth  float64 `json:"bandwidth_hz"` // -3 dB of L/(1+L); 0: never below it, or never above
	// Stable is from which to which factor of the gain the loop would be stable, the nearest such factors, for a loop that is not; nil: there is none.
	// To 0: without end. Below 0: with its sign turned.
	Stable *[2]float64 `json:"stable_with_gain_times,omitempty"`
}

// Bode is the loop's transfer L, in the sense of negative feedback: the loop is at its limit where L is -1.
type Bode struct {
	Hz    []float64 `json:"hz"`
	Gain  []float64 `json:"gain"`      // size of L; not in decibels
	Phase []float64 `json:"phase_deg"` // without jumps
}

// endless stands for what is infinite: a report can draw it.
const endless = 1e12

// read finds the margins and the curve of a loop that is stable, or is not.
func (t *transfer) read(stable bool) (m Margins, bode Bode) {
	c := t.follow()
	for i, w := range c.ws {
		l := c.ls[i]
		bode.Hz = append(bode.Hz, w/(2*math.Pi))
		bode.Gain = append(bode.Gain, cmplx.Abs(l))
		phase := cmplx.Phase(l) * 180 / math.Pi
		if i > 0 {
			phase += 360 * math.Round((bode.Phase[i-1]-phase)/360)
		}
		bode.Phase = append(bode.Phase, phase)
	}
	m.peak(c)
	m.band(c)
	for _, w := range c.roots(func(l complex128) float64 { return math.Log(cmplx.Abs(l)) }, func(_, _ complex128) bool { return true }) {
		m.passes(t.at(w), w, t.period, stable)
	}
	limits := c.limits()
	if !stable {
		m.Delay, m.DelayTicks = 0, 0
		if !(radius(t.closed(1)) < lost) { // else what is unstable lies elsewhere, and no gain here changes that
			m.Stable = t.stabilising(limits)
		}
		return m, bode
	}
	for _, k := range limits {
		if k > 1 && (m.GainUp == 0 || k < m.GainUp) {
			m.GainUp = k
		} else if k > 0 && k < 1 {
			m.GainDown = math.Max(m.GainDown, k)
		}
	}
	return m, bode
}

// peak finds the largest sensitivity.
func (m *Margins) peak(c *curve) {
	sees := func(l complex128, w float64) {
		if s := math.Min(endless, 1/cmplx.Abs(1+l)); s > m.Peak {
			m.Peak, m.PeakAt = s, w/(2*math.Pi)
		}
	}
	for i, l := range c.ls {
		sees(l, c.ws[i])
		if near := cmplx.Abs(1 + l); i > 0 && i+1 < len(c.ls) && near < cmplx.Abs(1+c.ls[i-1]) && near <= cmplx.Abs(1+c.ls[i+1]) {
			w := least(c.ws[i-1], c.ws[i+1], func(w float64) float64 { return cmplx.Abs(1 + c.t.at(w)) })
			sees(c.t.at(w), w)
		}
	}
}

// band finds the bandwidth.
func (m *Margins) band(c *curve) {
	over := func(l complex128) float64 { return cmplx.Abs(l) - cmplx.Abs(1+l)/math.Sqrt2 }
	if falls := c.roots(over, func(a, b complex128) bool { return over(a) > over(b) }); len(falls) > 0 && over(c.ls[len(c.ls)-1]) < 0 {
		m.Bandwidth = falls[len(falls)-1] / (2 * math.Pi)
	}
}

// limits are the factors of the gain at which the loop is at a limit of stability, below 0 those with its sign turned.
func (c *curve) limits() []float64 {
	var out []float64
	add := func(l complex128) {
		if at := real(l); at != 0 && math.Abs(at) < endless/10 {
			out = append(out, -1/at)
		}
	}
	for _, w := range c.roots(func(l complex128) float64 { return imag(l) }, func(a, b complex128) bool { return real(a)*real(b) > 0 }) {
		add(c.t.at(w))
	}
	// At half the rate the transfer is real, and at 0 where it does not integrate.
	add(c.ls[len(c.ls)-1])
	if first := c.ls[0]; math.Abs(imag(first)) < 0.3*math.Abs(real(first)) && cmplx.Abs(first) < endless/10 {
		if zero := c.t.at(0); cmplx.Abs(zero-first) < 0.1*cmplx.Abs(first) {
			add(zero)
		}
	}
	slices.Sort(out)
	return out
}

// stabilising finds the factors of the gain nearest to 1 with which the loop is stable; where there are none, those with its sign turned.
func (t *transfer) stabilising(limits []float64) *[2]float64 {
	const most = 60 // that are tried on each side
	var found *[2]float64
	try := func(lo, hi float64) { // both of one sign, |lo| < |hi|; hi 0: without end
		inside := 2 * lo
		switch {
		case lo == 0 && hi == 0:
			return
		case lo == 0:
			inside = hi / 2
		case hi != 0:
			inside = math.Copysign(math.Sqrt(lo*hi), lo)
		}
		if found == nil && radius(t.closed(inside)) < lost {
			found = &[2]float64{lo, hi}
		}
	}
	for _, sign := range []float64{1, -1} {
		var side []float64
		for _, k := range limits {
			if k*sign > 0 {
				side = append(side, k*sign)
			}
		}
		slices.Sort(side)
		at, _ := slices.BinarySearch(side, 1)
		edge := func(i int) float64 {
			if i < 0 || i >= len(side) {
				return 0
			}
			return sign * side[i]
		}
		for off := range min(most, len(side)+1) {
			if i := at - 1 - off; i >= -1 {
				try(edge(i), edge(i+1))
			}
			if i := at + off; i < len(side) {
				try(edge(i), edge(i+1))
			}
		}
		if found != nil {
			return found
		}
	}
	return nil
}

// passes takes a frequency at which the gain is 1.
func (m *Margins) passes(l complex128, w, period float64, stable bool) {
	lag := cmplx.Phase(l) + math.Pi // above -180 degrees, in [0, 2*pi)
	margin := math.Min(lag, 2*math.Pi-lag) * 180 / math.Pi
	if !stable && lag > math.Pi {
		margin = -margin
	}
	if m.Crossover == 0 || math.Abs(margin) < math.Abs(m.Phase) {
		m.Phase, m.Crossover = margin, w/(2*math.Pi)
	}
	if d := lag / w; m.Delay == 0 || d < m.Delay {
		m.Delay, m.DelayTicks = d, d/period
	}
}
