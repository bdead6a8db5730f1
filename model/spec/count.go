package spec

import "math/big"

// MostCounts is the largest setting of a live gain: one that a setter multiplies without leaving 64 bits.
const MostCounts = 1 << 30

// mostDecimals is more than any count has behind its point.
const mostDecimals = 30

// readCount reads what one count of a setting is: 1, 0.1, 0.01 and so on. Settings are counted in decimal steps, so
// that a person can say them.
func (r *reader) readCount(e entry) *big.Rat {
	x, ok := r.asNumber(e, "what one count of a setting is", "0.001")
	if !ok {
		return nil
	}
	if x.Sign() <= 0 {
		r.sayValue(e, "bad-count", "0.001, or another tenth, hundredth, ... of the gain's unit", "expected a count above 0, found %s", quote(e.value.Text))
		return nil
	}
	tenth, below := big.NewRat(1, 1), big.NewRat(1, 10)
	for n := 0; tenth.Cmp(x) > 0 && n < mostDecimals; n++ {
		tenth.Mul(tenth, below)
	}
	if tenth.Cmp(x) != 0 {
		r.sayValue(e, "bad-count", shortTenth(tenth), "a setting counts decimal steps: 1, 0.1, 0.01 and so on, found %s", quote(e.value.Text))
		return nil
	}
	return x
}

// shortTenth writes 10^-n.
func shortTenth(x *big.Rat) string { return x.FloatString(len(x.Denom().String()) - 1) }

// Fits tells whether the range of a live gain can be set in counts of that size: it has two or more of them, its ends are
// whole ones, and a setting holds them.
func (t Tuning) Fits(count *big.Rat) bool { return t.holds(count) && t.hits(count) && t.chooses(count) }

func (t Tuning) holds(count *big.Rat) bool {
	most := new(big.Rat).Mul(count, new(big.Rat).SetInt64(MostCounts))
	return new(big.Rat).Abs(t.Lo).Cmp(most) <= 0 && new(big.Rat).Abs(t.Hi).Cmp(most) <= 0
}

func (t Tuning) hits(count *big.Rat) bool {
	return new(big.Rat).Quo(t.Lo, count).IsInt() && new(big.Rat).Quo(t.Hi, count).IsInt()
}

func (t Tuning) chooses(count *big.Rat) bool {
	return new(big.Rat).Sub(t.Hi, t.Lo).Cmp(new(big.Rat).Add(count, count)) >= 0
}

// checkCount refuses a count that does not fit the range, and says the nearest that does.
func (r *reader) checkCount(e, span entry, t Tuning) bool {
	if t.Fits(t.Count) {
		return true
	}
	step := big.NewRat(1, 10)
	if !t.holds(t.Count) {
		step = big.NewRat(10, 1)
	}
	good := new(big.Rat).Set(t.Count)
	for n := 0; n < mostDecimals && !t.Fits(good); n++ {
		good.Mul(good, step)
	}
	remedy := "a range whose ends are whole counts of " + e.value.Text
	if !t.holds(t.Count) {
		remedy = "a narrower range"
	}
	if t.Fits(good) && good.Cmp(big.NewRat(1, 1)) <= 0 {
		remedy = shortTenth(good)
	}
	text := nothingBut(span.value)
	switch {
	case !t.holds(t.Count):
		r.sayValue(e, "count-too-fine", remedy, "the range %s is more than 2^30 counts of %s, and a setting holds no more", text, e.value.Text)
	case !t.hits(t.Count):
		r.sayValue(e, "count-misses-range", remedy, "the ends of the range %s are no whole counts of %s", text, e.value.Text)
	default:
		counts := new(big.Rat).Quo(new(big.Rat).Sub(t.Hi, t.Lo), t.Count)
		r.sayValue(e, "count-too-coarse", remedy, "the range %s is %s count of %s: there is nothing to choose from", text, counts.RatString(), e.value.Text)
	}
	return false
}
