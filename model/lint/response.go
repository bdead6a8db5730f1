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

// responseMoved tells of second-order sections whose stored coefficients answer otherwise than those asked for. Each coefficient may be within its
// tolerance and their sum, the gain at rest, far off: what passes slow signals as they are could block them.
func responseMoved(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		if sec.Kind != "second_order" {
			continue
		}
		want, ok := responseOf(l.Asked, sec.Name)
		got, ok2 := responseOf(l.Stored, sec.Name)
		if !ok || !ok2 {
			continue
		}
		at := []float64{0, math.Pi}
		for w := 1e-7; w < math.Pi; w *= 1.05 {
			at = append(at, w)
		}
		for _, p := range []*program.Real{l.Asked, l.Stored} { // at a resonance, and on its flanks
			a1, a2, _ := sectionCoefficients(p, sec.Name)
			for _, z := range poles(a1, a2) {
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
			where = fmt.Sprintf("at %.3g Hz", worst/(2*math.Pi)*f64(l.Spec.Rate))
		}
		say(s, finding.Warning, "steps."+sec.Name, l.coefficientsRemedy(sec.Name),
			fmt.Sprintf("rounding of the coefficients changes what the filter does by %.2g %% of its largest gain: %s it gives %.4g times its input, %.4g is asked for",
				100*off/top, where, cmplx.Abs(got(worst)), cmplx.Abs(want(worst))),
			"each coefficient is stored well, their small sums are not")
	}
}

// responseOf is the frequency response of a second-order section of a program, by the angle that a tick turns; worked out in the form that
// the program has, so that nothing cancels.
func responseOf(p *program.Real, name string) (h func(w float64) complex128, ok bool) {
	get := func(role string) complex128 {
		op, ok := named(p, name+"_"+role)
		if !ok {
			return 0
		}
		if op.Kind == program.Scale && op.K != nil {
			return complex(f64(op.K), 0)
		}
		return 0
	}
	if _, _, ok := sectionCoefficients(p, name); !ok {
		return nil, false
	}
	_, bent := named(p, name+"_x_bend")
	_, pulled := named(p, name+"_one_a1_a2")
	return func(w float64) complex128 {
		z := cmplx.Exp(complex(0, -w))                                                  // one tick ago
		change := complex(2*math.Sin(w/2)*math.Sin(w/2), 2*math.Sin(w/2)*math.Cos(w/2)) // 1 - z
		num := get("b0") + get("b1")*z + get("b2")*z*z
		if bent {
			num = get("b0")*change*change + get("b0_less_b2")*change*z + get("b0_b1_b2")*z
		}
		den := 1 - get("a1")*z - get("a2")*z*z // the constants are -a1 and -a2
		if pulled {
			den = change - get("a2")*change*z - get("one_a1_a2")*z
		}
		return num / den
	}, true
}
