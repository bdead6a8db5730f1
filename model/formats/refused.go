package formats

import (
	"errors"
	"fmt"
	"math/big"
	"math/bits"

	"gainwright/model/bound"
	"gainwright/model/finding"
	"gainwright/model/program"
	"gainwright/model/spec"
)

// Refused says what to do about ranges or differences that were not found, and values that no type holds. Any other error is a defect of the tool.
func Refused(s *spec.Spec, asked *program.Real, err error) (found finding.List) {
	var none bound.Unbounded
	var long bound.TooLong
	var wide tooWide
	switch {
	case errors.As(err, &none) && none.Divisor != nil:
		found.Add(throughZero(s, asked, none))
	case errors.As(err, &none):
		sec := asked.Sections[none.Section]
		found.Add(finding.Finding{Pos: s.Place(sec.Name), Severity: finding.Error, Rule: "unbounded", Message: err.Error(), Remedy: Settling(sec, "limits for this step")})
	case errors.As(err, &long):
		sec := asked.Sections[long.Section]
		found.Add(finding.Finding{Pos: s.Place(sec.Name), Severity: finding.Error, Rule: "too-large", Key: sec.Key(),
			Message: "the check of this spec takes too long: it was given up here",
			Because: []string{fmt.Sprintf("the spec has %d steps and outputs; filters far slower than the rate cost most", len(s.Steps)+len(s.Outputs))},
			Remedy:  "fewer steps in one controller, a slower rate for slow filters, or limits between filters in series"})
	case errors.As(err, &wide):
		for _, w := range wide {
			sec := asked.Sections[w.Section]
			over := new(big.Int).Quo(w.reach.Size().Num(), w.reach.Size().Denom()).BitLen() - 62
			of := w.Name
			if w.Doc != "" {
				of += " (" + w.Doc + ")"
			}
			found.Add(finding.Finding{Pos: s.Place(sec.Name), Severity: finding.Error, Rule: "overflow", Key: sec.Key(),
				Message: fmt.Sprintf("%s needs %d bits, 63 are the most there are", of, 63+over),
				Because: []string{"it is counted so finely that its smallest factor keeps some bits, and so reaches " + w.reach.Hi.FloatString(0) + " counts"},
				Remedy:  "factors, gains or ranges of a size closer to one another, or a coarser format"})
		}
	default:
		panic("formats: the integer program is no translation of the real one: " + err.Error())
	}
	return found
}

// Settling says how a section comes to forget: a second-order filter takes no limits, and its poles are too close to the unit circle.
func Settling(s program.Section, otherwise string) string {
	if s.Facts.Biquad != nil {
		return "a frequency further from 0 and from half the rate, or a lower q"
	}
	return otherwise
}

// throughZero tells of a quotient whose divisor is not proven to keep away from 0.
func throughZero(s *spec.Spec, asked *program.Real, none bound.Unbounded) finding.Finding {
	sec := asked.Sections[none.Section]
	f := finding.Finding{Pos: s.Place(sec.Name), Severity: finding.Error, Rule: "divisor-through-zero", Key: sec.Key(), Remedy: "limits for what is divided by, on one side of 0"}
	of, unit := "what is divided by", ""
	for i := range asked.Ops {
		op := &asked.Ops[i]
		if op.Kind != program.Quotient || op.Section != none.Section || op.Divisor == nil || op.Name != none.State {
			continue
		}
		f.Pos.Line, f.Pos.Col = op.Divisor.Line, op.Divisor.Col
		of, unit = op.Divisor.Text, asked.Ops[op.Args[1]].Unit
		f.Remedy = fmt.Sprintf("clamp(%s, low, high), with low above 0 or high below it", of)
	}
	lo, _ := none.Divisor.Lo.Float64()
	hi, _ := none.Divisor.Hi.Float64()
	f.Message = fmt.Sprintf("%s may be 0: at any raw input it lies in [%.6g, %.6g]", of, lo, hi)
	if unit != "" {
		f.Message += " " + unit
	}
	return f
}

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
