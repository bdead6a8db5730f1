package formats

import (
	"errors"
	"math/big"
	"slices"

	"gainwright/model/bound"
	"gainwright/model/cert"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/scale"
)

// candidate is a set of formats with what is proven of it.
type candidate struct {
	scale.Result
	ranges *bound.Reach
	taps   []int // see cert.Certificate
	local  cert.Errors
	cost   float64 // of a tick, in the unit of the table
}

// errDear says that a candidate costs more than it may.
var errDear = errors.New("too dear")

// prove finds ranges, types and cost of a set of formats, and how far it rounds each section; an error where it costs more than most, or where
// ranges are not finite, too wide, or too hard to find.
func (s *search) prove(r scale.Result, most float64) (*candidate, error) {
	e, taps, err := bound.Ranges(r.Integer, false)
	defer func() { s.effort += e.Effort() }()
	if err != nil {
		return nil, err
	}
	if err := assignProven(r.Integer, e); err != nil {
		return nil, err
	}
	c := &candidate{Result: r, ranges: e, taps: taps, cost: s.price(r.Integer)}
	if c.cost > most {
		return nil, errDear
	}
	var followed *bound.Spread
	if c.local, followed, err = bound.Differences(r.Stored, r.Integer, e.Ranges, false); followed != nil {
		s.effort += followed.Effort()
	}
	return c, err
}

// limits is what each signal's rounding and each constant may be: the accuracy asked for, and elsewhere what the rule reaches
// or half a count more.
func (s *search) limits(base *candidate) [][]*big.Rat {
	out := make([][]*big.Rat, len(base.Integer.Sections))
	for i := range out {
		out[i] = make([]*big.Rat, len(base.Integer.Sections[i].Signals))
		for j, sig := range base.Integer.Sections[i].Signals {
			if base.local.Signals[i][j] == nil {
				continue
			}
			lim := base.local.Signals[i][j].Size()
			if asked := Wanted(s.Spec, &s.Asked.Frame, sig.Name); asked != nil {
				lim = interval.Max(lim, asked)
			} else {
				lim = new(big.Rat).Add(lim, new(big.Rat).Mul(base.Integer.Ops[sig.Value].LSB, big.NewRat(1, 4)))
			}
			out[i][j] = lim
		}
	}
	return out
}

// meets tells whether a candidate keeps every limit.
func (c *candidate) meets(limits [][]*big.Rat) bool {
	for s := range limits {
		for j, lim := range limits[s] {
			if got := c.local.Signals[s][j]; lim != nil && (got == nil || got.Size().Cmp(lim) > 0) {
				return false
			}
		}
	}
	return true
}

// keepsConstants tells whether each constant of a candidate is within the tolerance.
func keepsConstants(r scale.Result) bool {
	for _, c := range r.Constants {
		asked, off := c.Asked, new(big.Rat).Sub(c.Stored, c.Limit.Inward(c.Asked))
		if c.Live { // its value may change and must not choose formats: half a count is held against its range
			asked, off = top(r.Integer.Gains, c.Name), new(big.Rat).Quo(c.LSB, big.NewRat(2, 1))
		}
		if asked.Sign() != 0 && !c.Point {
			off.Quo(off, asked)
			if off.Abs(off).Cmp(constantTolerance) > 0 {
				return false
			}
		}
	}
	return true
}

// top is the largest size of a live gain.
func top(gains []program.Gain, name string) *big.Rat {
	g := gains[slices.IndexFunc(gains, func(g program.Gain) bool { return g.Name == name })]
	return interval.Range{Lo: g.Lo, Hi: g.Hi}.Size()
}

// constantTolerance is how far the search may let a constant be off: a fifth of what is warned about.
var constantTolerance = big.NewRat(1, 1000)
