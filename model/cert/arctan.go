package cert

import (
	"fmt"
	"math"
	"math/big"

	"gainwright/model/program"
)

// ArctanError is the largest error of the integer arctangent in counts, over every pair of arguments.
//
// The quotient of the smaller by the larger magnitude is rounded down to q, so the true ratio lies in
// [q, q+1) / 2^bits; the arctangent is monotone, so the two ends decide; all q are tried. Octants are put
// together by exact subtraction. math.Atan is trusted to 1e-12 rad, which a test of this package verifies
// in rational arithmetic for every point used.
func ArctanError(t *program.Arctan) (*big.Rat, error) {
	if err := checkArctan(t); err != nil {
		return nil, err
	}
	const slack = 1e-12
	perRadian := float64(t.Quarter) / (math.Pi / 2)
	end := int64(1) << t.QuotientBits
	worst := 0.0
	for q := int64(0); q <= end; q++ {
		got := float64(t.Eval(q, end))
		from := math.Atan(float64(q) / float64(end))
		to := from
		if q < end {
			to = math.Atan(float64(q+1) / float64(end))
		}
		worst = max(worst, math.Abs(got-from*perRadian), math.Abs(got-to*perRadian))
	}
	return new(big.Rat).SetFloat64(worst*(1+slack) + perRadian*slack), nil
}

// checkArctan verifies that the table of an angle is well formed. Entries between 0 and a right angle keep every result inside
// half a turn, since what lies between two entries lies between their values.
func checkArctan(t *program.Arctan) error {
	if t == nil || t.QuotientBits > 15 || t.LogEntries >= t.QuotientBits || len(t.Entries) != 1<<t.LogEntries+2 || t.Quarter <= 0 || t.Quarter > 1<<30 {
		return fmt.Errorf("the arctangent's table is malformed")
	}
	for _, e := range t.Entries {
		if e < 0 || e > t.Quarter {
			return fmt.Errorf("the arctangent's table holds %d, a right angle is %d", e, t.Quarter)
		}
	}
	return nil
}
