package lint

import (
	"fmt"
	"math"
	"math/big"
	"math/cmplx"
	"strings"

	"gainwright/model/finding"
	"gainwright/model/formats"
	"gainwright/model/program"
)

// sectionCoefficients returns the recursion's coefficients of a second-order section of a program.
func sectionCoefficients(p *program.Real, name string) (a1, a2 float64, ok bool) {
	get := func(role string) (float64, bool) {
		op, ok := named(p, name+"_"+role)
		if !ok || op.Kind != program.Scale {
			return 0, false
		}
		return f64(op.K), true
	}
	if pull, yes := get("one_a1_a2"); yes { // y1 + a2*(y1 - y2) - (1 + a1 + a2)*y1
		a2, ok = get("a2")
		return -pull - 1 - a2, a2, ok
	}
	m1, ok1 := get("a1")
	m2, ok2 := get("a2")
	return -m1, -m2, ok1 || ok2
}

func poles(a1, a2 float64) [2]complex128 {
	root := cmplx.Sqrt(complex(a1*a1-4*a2, 0))
	return [2]complex128{(complex(-a1, 0) + root) / 2, (complex(-a1, 0) - root) / 2}
}

// limitCycle tells how far rounding can hold the output of a second-order section from where real numbers take it, at rest too. The figure is what is
// proven of the section; how much of it a certain input leads to is not said. Where the spec leaves the structure to the tool, there is nothing to
// write instead, and what it does to the accuracy is told elsewhere.
func limitCycle(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		if sec.Kind != "second_order" || !formats.ChoosesStructure(l.Spec, sec.Name) {
			continue
		}
		if _, fed := named(l.Stored, sec.Name+"_rest"); fed {
			continue // what rounding leaves over is fed back: nothing sticks for long
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
func (l *linter) coefficientsRemedy(step string) string {
	if formats.ChoosesStructure(l.Spec, step) {
		return "structure: automatic, or a frequency that is not so low for the rate"
	}
	return "a frequency that is not so low for the rate, or a slower rate for this filter"
}

// poleMoved tells of recursive coefficients whose rounding moved a pole by more than a hundredth of its distance to the circle.
func poleMoved(l *linter, say teller) {
	for s, sec := range l.Stored.Sections {
		if sec.Kind != "second_order" {
			continue
		}
		x1, x2, ok := sectionCoefficients(l.Asked, sec.Name)
		y1, y2, ok2 := sectionCoefficients(l.Stored, sec.Name)
		if !ok || !ok2 {
			continue
		}
		worst, moved, room := 0.0, 0.0, 0.0
		got := poles(y1, y2)
		for _, want := range poles(x1, x2) { // the distance moved is held against that of the same pole
			m, r := math.Min(cmplx.Abs(got[0]-want), cmplx.Abs(got[1]-want)), 1-cmplx.Abs(want)
			if m/r > worst {
				worst, moved, room = m/r, m, r
			}
		}
		if worst > 0.01 {
			say(s, finding.Warning, "steps."+sec.Name, l.coefficientsRemedy(sec.Name),
				fmt.Sprintf("rounding of the coefficients moves a pole by %.2g, %.2g %% of its distance %.3g to the unit circle", moved, 100*worst, room))
		}
	}
}
