package loop

import (
	"math"
	"math/cmplx"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Margins say how far a loop, cut at one place, is from losing its stability. They are read off the loop's own transfer on the unit
// circle; a margin that there is none of is 0.
//
// Source: Franklin, Powell, Workman, Digital Control of Dynamic Systems, section on Nyquist's criterion for sampled loops.
type Margins struct {
	GainUp     float64 `json:"gain_up"`      // the loop gain may grow by less than this factor; 0: by any
	GainDown   float64 `json:"gain_down"`    // and shrink to more than this share; 0: to nothing
	Phase      float64 `json:"phase_deg"`    // least angle between the loop and -1 where its gain is 1; 0: it never is
	Crossover  float64 `json:"crossover_hz"` // where that is
	Delay      float64 `json:"delay_s"`      // more delay that takes the loop to its limit; 0: any is borne
	DelayTicks float64 `json:"delay_ticks"`
	Peak       float64 `json:"sensitivity_peak"` // largest size of 1/(1+L)
	PeakAt     float64 `json:"sensitivity_peak_hz"`
}

// Bode is the loop's transfer L, in the sense of negative feedback: the loop is at its limit where L is -1.
type Bode struct {
	Hz    []float64 `json:"hz"`
	Gain  []float64 `json:"gain"`      // size of L; not in decibels
	Phase []float64 `json:"phase_deg"` // without jumps
}

// endless stands for what is infinite: a report can draw it.
const endless = 1e12

// transfer is -c*(z*I-a)^-1*b on the unit circle.
type transfer struct {
	a      matrix
	b, c   []float64
	period float64
}

func (t *transfer) at(w float64) complex128 {
	n := len(t.a)
	if n == 0 {
		return 0
	}
	sin, cos := math.Sincos(w * t.period)
	m, rhs := mat.NewDense(2*n, 2*n, nil), mat.NewVecDense(2*n, nil)
	for i := range n {
		for j := range n {
			m.Set(i, j, -t.a[i][j])
			m.Set(n+i, n+j, -t.a[i][j])
		}
		m.Set(i, i, m.At(i, i)+cos)
		m.Set(n+i, n+i, m.At(n+i, n+i)+cos)
		m.Set(i, n+i, -sin)
		m.Set(n+i, i, sin)
		rhs.SetVec(i, t.b[i])
	}
	var x mat.VecDense
	if err := x.SolveVec(m, rhs); err != nil {
		if _, near := err.(mat.Condition); !near {
			return endless // exactly on a pole
		}
	}
	var re, im float64
	for i, c := range t.c {
		re -= c * x.AtVec(i)
		im -= c * x.AtVec(n+i)
	}
	return complex(re, im)
}

// grid are the frequencies to look at, in rad/s: evenly spread on a logarithmic scale, and close around every pole's own.
func (t *transfer) grid() []float64 {
	const points, decades = 320, 5.0
	nyquist := math.Pi / t.period
	var ws []float64
	for i := range points {
		ws = append(ws, nyquist*math.Pow(10, decades*(float64(i)/(points-1)-1)))
	}
	for _, p := range t.a.eigenvalues() {
		size, w := cmplx.Abs(p), math.Abs(cmplx.Phase(p))/t.period
		if size < 0.2 || w == 0 {
			continue
		}
		wide := math.Max(1e-4*w, math.Abs(1-size)/t.period)
		for _, off := range []float64{-4, -2, -1, -0.5, -0.2, -0.05, 0.05, 0.2, 0.5, 1, 2, 4} {
			if at := w + off*wide; at > ws[0] && at < nyquist {
				ws = append(ws, at)
			}
		}
	}
	slices.Sort(ws)
	return slices.Compact(ws)
}

// read finds the margins and the curve.
func (t *transfer) read() (m Margins, curve Bode) {
	ws := t.grid()
	ls := make([]complex128, len(ws))
	for i, w := range ws {
		ls[i] = t.at(w)
		l := ls[i]
		curve.Hz = append(curve.Hz, w/(2*math.Pi))
		curve.Gain = append(curve.Gain, cmplx.Abs(l))
		phase := cmplx.Phase(l) * 180 / math.Pi
		if i > 0 {
			phase += 360 * math.Round((curve.Phase[i-1]-phase)/360)
		}
		curve.Phase = append(curve.Phase, phase)
		m.sees(l, w)
	}
	for i := 1; i < len(ws); i++ {
		a, b := ls[i-1], ls[i]
		if imag(a)*imag(b) < 0 && real(a)+real(b) < 0 {
			m.crosses(real(t.at(root(ws[i-1], ws[i], func(w float64) float64 { return imag(t.at(w)) }))))
		}
		if (cmplx.Abs(a)-1)*(cmplx.Abs(b)-1) < 0 {
			w := root(ws[i-1], ws[i], func(w float64) float64 { return cmplx.Abs(t.at(w)) - 1 })
			m.passes(t.at(w), w, t.period)
		}
		if i+1 < len(ws) && cmplx.Abs(1+b) < cmplx.Abs(1+a) && cmplx.Abs(1+b) <= cmplx.Abs(1+ls[i+1]) {
			w := least(ws[i-1], ws[i+1], func(w float64) float64 { return cmplx.Abs(1 + t.at(w)) })
			m.sees(t.at(w), w)
		}
	}
	if last := real(ls[len(ls)-1]); last < 0 { // at half the rate the transfer is real
		m.crosses(last)
	}
	if first := real(ls[0]); first < 0 && math.Abs(imag(ls[0])) < 1e-3*-first {
		m.crosses(first)
	}
	return m, curve
}

func (m *Margins) sees(l complex128, w float64) {
	if s := math.Min(endless, 1/cmplx.Abs(1+l)); s > m.Peak {
		m.Peak, m.PeakAt = s, w/(2*math.Pi)
	}
}

// crosses takes a point of the negative real axis that the curve goes through.
func (m *Margins) crosses(at float64) {
	switch factor := -1 / at; {
	case !(factor > 0):
	case factor > 1 && (m.GainUp == 0 || factor < m.GainUp):
		m.GainUp = factor
	case factor < 1 && factor > m.GainDown:
		m.GainDown = factor
	}
}

// passes takes a frequency at which the gain is 1.
func (m *Margins) passes(l complex128, w, period float64) {
	lag := cmplx.Phase(l) + math.Pi // above -180 degrees, in [0, 2*pi)
	if margin := math.Min(lag, 2*math.Pi-lag) * 180 / math.Pi; m.Crossover == 0 || margin < m.Phase {
		m.Phase, m.Crossover = margin, w/(2*math.Pi)
	}
	if d := lag / w; m.Delay == 0 || d < m.Delay {
		m.Delay, m.DelayTicks = d, d/period
	}
}

// root halves [lo, hi], at whose ends f has different signs.
func root(lo, hi float64, f func(float64) float64) float64 {
	low := f(lo) < 0
	for range 50 {
		mid := 0.5 * (lo + hi)
		if (f(mid) < 0) == low {
			lo = mid
		} else {
			hi = mid
		}
	}
	return 0.5 * (lo + hi)
}

// least finds the lowest point of f between lo and hi by the golden section.
func least(lo, hi float64, f func(float64) float64) float64 {
	ratio := (math.Sqrt(5) - 1) / 2
	a, b := hi-ratio*(hi-lo), lo+ratio*(hi-lo)
	fa, fb := f(a), f(b)
	for range 40 {
		if fa < fb {
			hi, b, fb = b, a, fa
			a = hi - ratio*(hi-lo)
			fa = f(a)
		} else {
			lo, a, fa = a, b, fb
			b = lo + ratio*(hi-lo)
			fb = f(b)
		}
	}
	return 0.5 * (lo + hi)
}
