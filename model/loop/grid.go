package loop

import (
	"math"
	"math/cmplx"
	"slices"
)

// curve is a loop along the upper half of the unit circle, close enough together that nothing between two points is missed.
type curve struct {
	t  *transfer
	ws []float64 // rad/s, rising
	ls []complex128
}

const (
	perDecade = 30
	mostTurn  = 0.2  // rad between two points
	mostStep  = 0.25 // of the logarithm of the gain
	mostCurve = 6000 // points, against endless halving at a pole without damping
	slowest   = 1e-9 // of half the rate
)

// follow lays the points: evenly on a logarithmic scale, close around the frequency of each pole and zero, down to a hundredth of the
// slowest of them and on until the loop's gain has risen well above 1 or stands still, and halved where the loop turns or grows quickly.
func (t *transfer) follow() *curve {
	nyquist := math.Pi / t.period
	low := 1e-4 * nyquist
	var ws []float64
	for _, p := range t.corners() {
		s := cmplx.Log(p) / complex(t.period, 0)
		size, w := cmplx.Abs(s), math.Abs(imag(s))
		if r := cmplx.Abs(p); !(r > 0.05 && r < 20) || size < slowest*nyquist {
			continue
		}
		low = math.Min(low, size/100)
		ws = append(ws, size)
		wide := math.Max(1e-6*w, math.Abs(real(s)))
		for _, off := range []float64{-4, -2, -1, -0.5, -0.2, -0.05, 0, 0.05, 0.2, 0.5, 1, 2, 4} {
			ws = append(ws, w+off*wide)
		}
	}
	low = math.Max(low, slowest*nyquist)
	for low > slowest*nyquist {
		here, below := cmplx.Abs(t.at(low)), cmplx.Abs(t.at(low/2))
		if here > 10 || math.Abs(below-here) < 0.01*here || here == 0 {
			break
		}
		low /= 2
	}
	steps := int(math.Ceil(perDecade * math.Log10(nyquist/low)))
	for i := range steps {
		ws = append(ws, low*math.Pow(nyquist/low, float64(i)/float64(steps)))
	}
	ws = append(ws, nyquist)
	slices.Sort(ws)
	ws = slices.DeleteFunc(slices.Compact(ws), func(w float64) bool { return !(w >= low && w <= nyquist) })
	c := &curve{t: t}
	for _, w := range ws {
		c.reach(w, t.at(w), 0)
	}
	c.dips()
	return c
}

// reach adds a point, and points between the last one and it where they are far apart.
func (c *curve) reach(w float64, l complex128, deep int) {
	if n := len(c.ws); n > 0 && n < mostCurve && deep < 24 {
		before, at := c.ls[n-1], c.ws[n-1]
		if turn, step := cmplx.Phase(l/before), math.Log(cmplx.Abs(l)/cmplx.Abs(before)); (math.Abs(turn) > mostTurn || math.Abs(step) > mostStep) && w-at > 1e-12*w {
			mid := math.Sqrt(at * w)
			c.reach(mid, c.t.at(mid), deep+1)
			c.reach(w, l, deep+1)
			return
		}
	}
	c.ws, c.ls = append(c.ws, w), append(c.ls, l)
}

// dips adds the points at which the loop just passes the unit circle or the real axis and comes back between two others.
func (c *curve) dips() {
	for _, f := range []func(complex128) float64{
		func(l complex128) float64 { return math.Log(cmplx.Abs(l)) },
		func(l complex128) float64 { return math.Sin(cmplx.Phase(l)) },
	} {
		for i := 1; i+1 < len(c.ws); i++ {
			a, b, d := f(c.ls[i-1]), f(c.ls[i]), f(c.ls[i+1])
			if a*b <= 0 || b*d <= 0 || math.Abs(b) > math.Abs(a) || math.Abs(b) > math.Abs(d) {
				continue
			}
			side := math.Copysign(1, b)
			w := least(c.ws[i-1], c.ws[i+1], func(w float64) float64 { return side * f(c.t.at(w)) })
			l := c.t.at(w)
			if side*f(l) >= 0 {
				continue
			}
			at := i
			if w > c.ws[i] {
				at++
			}
			c.ws, c.ls = slices.Insert(c.ws, at, w), slices.Insert(c.ls, at, l)
			i++
		}
	}
}

// roots are the frequencies at which f passes 0, where the points on both sides are those that a test lets pass.
func (c *curve) roots(f func(complex128) float64, near func(a, b complex128) bool) []float64 {
	var out []float64
	for i := 1; i < len(c.ws); i++ {
		if f(c.ls[i-1])*f(c.ls[i]) < 0 && near(c.ls[i-1], c.ls[i]) {
			out = append(out, root(c.ws[i-1], c.ws[i], func(w float64) float64 { return f(c.t.at(w)) }))
		}
	}
	return out
}

// root finds where f passes 0 in [lo, hi], at whose ends it has different signs, by the method of Ridders, which never leaves the interval.
func root(lo, hi float64, f func(float64) float64) float64 {
	low, high := f(lo), f(hi)
	for range 60 {
		mid := 0.5 * (lo + hi)
		here := f(mid)
		if here == 0 || !(hi-lo > 4e-16*mid) {
			return mid
		}
		at := mid + (mid-lo)*math.Copysign(1, low-high)*here/math.Sqrt(here*here-low*high)
		there := f(at)
		if there == 0 || math.Abs(at-mid) < 1e-15*mid {
			return at
		}
		for _, p := range [2][2]float64{{mid, here}, {at, there}} {
			if p[0] <= lo || p[0] >= hi {
				continue
			}
			if (p[1] < 0) == (low < 0) {
				lo, low = p[0], p[1]
			} else {
				hi, high = p[0], p[1]
			}
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
