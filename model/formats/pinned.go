package formats

import (
	"fmt"
	"math/big"
	"math/bits"

	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// pinnedTooNarrow reports signals that do not fit the format that the spec pins.
func pinnedTooNarrow(s *spec.Spec, p *program.Fixed) (found finding.List) {
	for _, f := range s.Formats {
		sig, _, _ := p.Signal(f.Name)
		if sig == nil {
			continue
		}
		op := p.Ops[sig.Value]
		need := max(bits.Len64(uint64(max(op.Hi, ^op.Hi))), bits.Len64(uint64(max(op.Lo, ^op.Lo)))) - f.M - f.N
		if need <= 0 {
			continue
		}
		in := func(count int64) string {
			x, _ := new(big.Rat).Mul(op.LSB, big.NewRat(count, 1)).Float64()
			return fmt.Sprintf("%.6g", x)
		}
		top := int64(1) << (f.M + f.N)
		more := fmt.Sprintf("%d more bits are needed", need)
		if need == 1 {
			more = "one more bit is needed"
		}
		remedy := f.With(f.M+need, f.N-need) + " in the same width, or " + f.With(f.M+need, f.N)
		if f.M+f.N+1+need > 64 {
			remedy = f.With(f.M+need, f.N-need)
		}
		found.Add(finding.Finding{Pos: f.Pos, Severity: finding.Error, Rule: "overflow", Key: "formats." + f.Name,
			Message: fmt.Sprintf("%s holds %s to %s %s, but %s reaches %s to %s: %s", f.With(f.M, f.N), in(-top), in(top-1), op.Unit, f.Name, in(op.Lo), in(op.Hi), more),
			Remedy:  remedy})
	}
	return found
}
