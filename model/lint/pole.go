package lint

import (
	"fmt"
	"math"
	"math/big"
	"math/cmplx"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/program"
)

// recursive tells whether anything is fed back.
func recursive(b *program.Biquad) bool { return b.A[0] != program.None || b.A[1] != program.None }

// factor is that of a value; 0 where there is none.
func factor(p *program.Real, id program.ID) float64 {
	if id == program.None {
		return 0
	}
	return f64(p.Ops[id].K)
}

// poles are those of a second-order filter of a program.
func poles(p *program.Real, b *program.Biquad) [2]complex128 {
	a1, a2 := -factor(p, b.A[0]), -factor(p, b.A[1])
	if b.Pulls { // y1 + a2*(y1 - y2) - (1 + a1 + a2)*y1
		a2 = -a2
		a1 = a1 - 1 - a2
	}
	root := cmplx.Sqrt(complex(a1*a1-4*a2, 0))
	return [2]complex128{(complex(-a1, 0) + root) / 2, (complex(-a1, 0) - root) / 2}
}

// limitCycle tells how far rounding can hold the output of a second-order filter from where real numbers take it, at rest too. The figure is what is
// proven of the section; how much of it a certain input leads to is not said. Where the spec leaves the structure to the tool, there is nothing to
// write instead, and what it does to the accuracy is told elsewhere.
func limitCycle(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		if b := sec.Facts.Biquad; b == nil || !b.Given || b.Fed { // where what rounding leaves over is fed back nothing sticks for long
			continue
		}
		bound := l.provenRounding(s)
		sig := l.Integer.Ops[l.Integer.Sections[s].Signals[0].Value]
		if bound == nil || bound.Cmp(new(big.Rat).Mul(sig.LSB, big.NewRat(3, 2))) <= 0 {
			continue
		}
		say(s, finding.Warning, "steps."+sec.Name+".structure", "structure: automatic",
			strings.TrimSpace(fmt.Sprintf("rounding inside the recursion can hold the output up to %.4g %s away from that of real numbers, also at rest: more is proven not to happen", f64(bound), sig.Unit)),
			fmt.Sprintf("this structure feeds each rounded output back, and a count of its signal is %.4g %s", f64(sig.LSB), sig.Unit))
	}
}

// provenRounding is what a section's own rounding reaches at most, or nil.
func (l *linter) provenRounding(section int) *big.Rat {
	for _, b := range l.Roundings {
		if b.Section == section {
			return b.Local
		}
	}
	return nil
}

// coefficientsRemedy says what keeps the coefficients of a section better.
func coefficientsRemedy(b *program.Biquad) string {
	if b.Given {
		return "structure: automatic, or a frequency that is not so low for the rate"
	}
	return "a frequency that is not so low for the rate, or a slower rate for this filter"
}

// poleMoved tells of recursive coefficients whose rounding moved a pole by more than a hundredth of its distance to the circle.
func poleMoved(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		b := sec.Facts.Biquad
		if b == nil || !recursive(b) {
			continue
		}
		worst, moved, room := 0.0, 0.0, 0.0
		got := poles(l.Stored, b)
		for _, want := range poles(l.Asked, b) { // the distance moved is held against that of the same pole
			m, r := math.Min(cmplx.Abs(got[0]-want), cmplx.Abs(got[1]-want)), 1-cmplx.Abs(want)
			if m/r > worst {
				worst, moved, room = m/r, m, r
			}
		}
		if worst > 0.01 {
			say(s, finding.Warning, "steps."+sec.Name, coefficientsRemedy(b),
				fmt.Sprintf("rounding of the coefficients moves a pole by %.2g, %.2g %% of its distance %.3g to the unit circle", moved, 100*worst, room))
		}
	}
}
