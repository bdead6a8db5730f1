package simulate

import (
	"math"

	"gonum.org/v1/gonum/dsp/fourier"
)

// Oscillation is what is left when everything should be at rest.
type Oscillation struct {
	Size   float64 `json:"size"`          // half of peak to peak, in the unit of the quantity
	Period float64 `json:"period_s"`      // of its strongest line, seconds; 0 where there is none
	Cross  float64 `json:"zero_period_s"` // mean time between rising passes of its mean; 0 where there are too few
	Share  float64 `json:"line_share"`    // of its power that the line and its first harmonics hold
	// Cycle: it is periodic and does not die away: one line holds most of its power, both periods agree, and
	// its second half is as strong as its first.
	Cycle bool `json:"limit_cycle"`
}

const (
	lineShare   = 0.6     // of the power, for a cycle
	mostPoints  = 1 << 15 // of the transform
	leastPoints = 64
	leastTurns  = 4 // periods inside the stretch that is looked at
)

// oscillation looks at errors around a target, period seconds apart. What is smaller than least counts as rest.
func oscillation(e []float64, period, least float64) Oscillation {
	n := 1
	for 2*n <= min(len(e), mostPoints) {
		n *= 2
	}
	if n < leastPoints {
		return Oscillation{}
	}
	e = straighten(e[len(e)-n:])
	lo, hi, squares, half := 0.0, 0.0, 0.0, 0.0
	for i, v := range e {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
		squares += v * v
		if i < n/2 {
			half += v * v
		}
	}
	o := Oscillation{Size: (hi - lo) / 2}
	if o.Size < least {
		return o
	}
	o.Cross = crossing(e, math.Sqrt(squares/float64(n))/4) * period
	bins := spectrum(e)
	top, total := 0, 0.0
	for i, p := range bins {
		total += p
		if i > 0 && p > bins[top] || top == 0 {
			top = i
		}
	}
	if top == 0 || total == 0 {
		return o
	}
	o.Period = period * float64(n) / float64(top)
	for h := 1; h <= 3; h++ {
		for i := h*top - 2; i <= h*top+2; i++ {
			if i > 0 && i < len(bins) {
				o.Share += bins[i] / total
			}
		}
	}
	o.Share = math.Min(o.Share, 1)
	steady := squares-half >= 0.8*half
	o.Cycle = o.Share >= lineShare && steady && top >= leastTurns && math.Abs(o.Cross-o.Period) < 0.25*o.Period
	return o
}

// straighten takes the mean and the slope off.
func straighten(e []float64) []float64 {
	n := float64(len(e))
	var sum, moment float64
	for i, v := range e {
		sum += v
		moment += (float64(i) - (n-1)/2) * v
	}
	mean, slope := sum/n, moment*12/(n*(n*n-1))
	out := make([]float64, len(e))
	for i, v := range e {
		out[i] = v - mean - slope*(float64(i)-(n-1)/2)
	}
	return out
}

// crossing is the mean distance in samples between rising passes through 0, each from below -gap to above gap.
func crossing(e []float64, gap float64) float64 {
	first, last, count, below := -1, 0, 0, false
	for i, v := range e {
		switch {
		case v < -gap:
			below = true
		case v > gap && below:
			below = false
			if first < 0 {
				first = i
			} else {
				last, count = i, count+1
			}
		}
	}
	if count < 2 {
		return 0
	}
	return float64(last-first) / float64(count)
}

// spectrum is the power in each bin, through a Hann window.
func spectrum(e []float64) []float64 {
	n := len(e)
	windowed := make([]float64, n)
	for i, v := range e {
		windowed[i] = v * (0.5 - 0.5*math.Cos(2*math.Pi*float64(i)/float64(n)))
	}
	lines := fourier.NewFFT(n).Coefficients(nil, windowed)
	out := make([]float64, len(lines))
	for i, c := range lines {
		out[i] = real(c)*real(c) + imag(c)*imag(c)
	}
	return out
}
