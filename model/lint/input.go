package lint

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/finding"
	"gainwright/model/formats"
)

// coarseInput tells of accuracies that no count of the sensor can carry.
func coarseInput(l *linter, say teller) {
	for _, a := range l.Spec.Accuracy {
		sig, s, _ := l.Stored.Signal(a.Name)
		if sig == nil {
			continue
		}
		counts, whole := l.sensorCounts(sig.Value)
		count := 0.0
		for _, c := range counts {
			count = c
		}
		if want := formats.Wanted(l.Spec, &l.Integer.Frame, a.Name); whole && len(counts) == 1 && want != nil && count > 2*f64(want) {
			say(s, finding.Warning, "accuracy."+a.Name, fmt.Sprintf("%.3g %s or more", count, l.Stored.Ops[sig.Value].Unit),
				fmt.Sprintf("one count of the sensor is %.3g %s, coarser than the accuracy asked for", count, l.Stored.Ops[sig.Value].Unit))
		}
	}
}

// headroomWasted tells of inputs that use little of their register.
func headroomWasted(l *linter, say teller) {
	for i, in := range l.Spec.Inputs {
		info := l.Asked.Inputs[i]
		if info.IsSwitch || in.Lo == nil {
			continue
		}
		lo, hi := info.Type.Range()
		whole := new(big.Rat).Mul(new(big.Rat).SetInt64(hi-lo), info.LSB)
		used := new(big.Rat).Sub(in.Hi, in.Lo)
		if share := f64(used) / f64(whole); share > 0 && share < 1.0/512 && info.Type.Bits() > 8 {
			l.found.Add(finding.Finding{Pos: in.Pos, Severity: finding.Note, Rule: "headroom-wasted", Key: "inputs." + in.Name,
				Message: fmt.Sprintf("the declared range uses %.2g %% of what %s can hold: %d bits are never used unless the sensor misbehaves", share*100, in.Raw, int(-math.Log2(share))),
				Remedy:  "a narrower raw type, or more counts per unit"})
		}
	}
}
