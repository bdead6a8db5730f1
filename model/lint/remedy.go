package lint

import (
	"fmt"
	"math"
	"math/big"
	"strings"

	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/spec"
)

// storedBetter says what makes a constant exact, or keeps it better.
func (l *linter) storedBetter(c *scale.Constant) string {
	if c == nil {
		return "smaller limits or raw ranges before it"
	}
	sec := l.Asked.Sections[c.Section]
	switch f := sec.Facts; {
	case f.Biquad != nil:
		return coefficientsRemedy(f.Biquad) + ", at the step " + sec.Name
	case f.Lag != nil && c.Of != program.None && f.Lag.Pull == c.Of:
		kept := new(big.Rat).Sub(big.NewRat(1, 1), c.Stored) // a whole number of counts of 2^-n: n decimals say it
		return fmt.Sprintf("blend: %s at the step %s, which is stored exactly", strings.TrimRight(kept.FloatString(kept.Denom().BitLen()), "0"), sec.Name)
	case c.Given:
		return fmt.Sprintf("%.9g for %s, as it is stored", f64(c.Stored), strings.Replace(c.Name, sec.Name+"_", sec.Name+".", 1))
	}
	return "smaller limits or raw ranges before it"
}

// smaller says what brings a share of a range down to what passes: formats go by powers of two, so what rounding becomes may be twice what is hoped for.
func (w *whole) smaller(section int, o *spec.Output, share *big.Rat) string {
	n := 2 * f64(new(big.Rat).Quo(share, largeRounding))
	digit := math.Pow(10, math.Floor(math.Log10(n))-1)
	n = math.Ceil(n/digit) * digit
	text := fmt.Sprintf("gains, limits or raw ranges before it %.6g times smaller", n)
	switch {
	case o == nil || o.Lo != nil:
		text += fmt.Sprintf(", or limits here and behind it %.6g times as wide", n)
	case o.Raw == "int8" && n <= 256:
		text = "raw: int16, or " + text
	case o.Raw == "int8" && n <= 1<<24, o.Raw == "int16" && n <= 1<<16:
		text = "raw: int32, or " + text
	}
	if before := w.before(section); n >= 64 {
		for i, in := range w.l.Spec.Inputs {
			for s, sec := range w.l.Integer.Sections {
				for _, id := range sec.Inputs {
					if op := &w.l.Integer.Ops[id]; in.Raw == "int32" && before[s] && op.Kind == program.Input && op.Index == i {
						return "raw: int16 at the input " + in.Name + ", or " + text
					}
				}
			}
		}
	}
	return text
}
