package lint

import (
	"fmt"
	"math"
	"math/cmplx"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// mostMoved is how far the response of a filter may be off, as a share of its largest gain, without a warning.
const mostMoved = 0.01

// responseMoved tells of second-order filters whose stored coefficients answer otherwise than those asked for. Each coefficient may be within its
// tolerance and their sum, the gain at rest, far off: what passes slow signals as they are could block them.
func responseMoved(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		b := sec.Facts.Biquad
		if b == nil || !recursive(b) {
			continue
		}
		want, got := responseOf(l.Asked, b), responseOf(l.Stored, b)
		at := []float64{0, math.Pi}
		for w := 1e-7; w < math.Pi; w *= 1.05 {
			at = append(at, w)
		}
		for _, p := range []*program.Real{l.Asked, l.Stored} { // at a resonance, and on its flanks
			for _, z := range poles(p, b) {
				for _, side := range []float64{-1, 0, 1} {
					if w := math.Abs(cmplx.Phase(z)) + side*(1-cmplx.Abs(z)); w > 0 && w < math.Pi {
						at = append(at, w)
					}
				}
			}
		}
		top, off, worst := 0.0, 0.0, 0.0
		for _, w := range at {
			x, y := want(w), got(w)
			top = math.Max(top, cmplx.Abs(x))
			if d := cmplx.Abs(y - x); !(d <= off) {
				off, worst = d, w
			}
		}
		if off <= mostMoved*top {
			continue
		}
		where := "for a signal at rest"
		if worst > 0 {
			where = fmt.Sprintf("at %.3g Hz", worst/(2*math.Pi)*f64(l.Spec.Rate)/float64(sec.Clock.Ticks()))
		}
		say(s, finding.Warning, "steps."+sec.Name, coefficientsRemedy(b),
			fmt.Sprintf("rounding of the coefficients changes what the filter does by %.2g %% of its largest gain: %s it gives %.4g times its input, %.4g is asked for",
				100*off/top, where, cmplx.Abs(got(worst)), cmplx.Abs(want(worst))),
			"each coefficient is stored well, their small sums are not")
	}
}

// responseOf is the frequency response of a second-order filter of a program, by the angle that a tick turns; worked out in the form that
// the program has, so that nothing cancels.
func responseOf(p *program.Real, of *program.Biquad) func(w float64) complex128 {
	var b [3]complex128
	var a [2]complex128
	for i, id := range of.B {
		b[i] = complex(factor(p, id), 0)
	}
	for i, id := range of.A {
		a[i] = complex(factor(p, id), 0)
	}
	return func(w float64) complex128 {
		z := cmplx.Exp(complex(0, -w))                                                  // one tick ago
		change := complex(2*math.Sin(w/2)*math.Sin(w/2), 2*math.Sin(w/2)*math.Cos(w/2)) // 1 - z
		num := b[0] + b[1]*z + b[2]*z*z
		if of.Bends {
			num = b[0]*change*change + b[1]*change*z + b[2]*z
		}
		den := 1 - a[0]*z - a[1]*z*z // the constants are -a1 and -a2
		if of.Pulls {
			den = change - a[1]*change*z - a[0]*z
		}
		return num / den
	}
}
