package cert

import (
	"math"
	"math/big"
	"math/rand/v2"
	"testing"

	"gainwright/model/program"
)

// bounds of a number in units of 2^-120, rounded outward: exact arithmetic with a fixed point.
type bounds struct{ lo, hi *big.Int }

const point = 120

func quotient(num, den *big.Int) bounds {
	a := new(big.Int).Lsh(num, point)
	lo := new(big.Int).Div(a, den)
	return bounds{lo, new(big.Int).Add(lo, big.NewInt(1))}
}

func (b bounds) plus(c bounds) bounds {
	return bounds{new(big.Int).Add(b.lo, c.lo), new(big.Int).Add(b.hi, c.hi)}
}

func (b bounds) minus(c bounds) bounds {
	return bounds{new(big.Int).Sub(b.lo, c.hi), new(big.Int).Sub(b.hi, c.lo)}
}

// arctan bounds atan(num/den), 0 <= num/den < 1, by the alternating series, whose rest is smaller than
// the next term (Leibniz).
func arctan(num, den *big.Int) bounds {
	n2, d2 := new(big.Int).Mul(num, num), new(big.Int).Mul(den, den)
	n, d := new(big.Int).Set(num), new(big.Int).Set(den)
	sum := bounds{new(big.Int), new(big.Int)}
	for k := int64(0); ; k++ {
		term := quotient(n, new(big.Int).Mul(d, big.NewInt(2*k+1)))
		if term.lo.Sign() == 0 { // less than 2^-120: between nothing and all of it
			return bounds{new(big.Int).Sub(sum.lo, term.hi), new(big.Int).Add(sum.hi, term.hi)}
		}
		if k%2 == 0 {
			sum = sum.plus(term)
		} else {
			sum = sum.minus(term)
		}
		n.Mul(n, n2)
		d.Mul(d, d2)
	}
}

// arctans bounds atan(q/2^15) for every q: each from its neighbour, since
// atan((q+1)/n) - atan(q/n) = atan(n / (n^2 + q*(q+1))).
func arctans() []bounds {
	const n = 1 << 15
	out := []bounds{{new(big.Int), new(big.Int)}}
	for q := int64(0); q < n; q++ {
		out = append(out, out[q].plus(arctan(big.NewInt(n), big.NewInt(n*n+q*(q+1)))))
	}
	return out
}

// rational is one end as a fraction.
func rational(x *big.Int) *big.Rat {
	return new(big.Rat).SetFrac(x, new(big.Int).Lsh(big.NewInt(1), point))
}

// machin bounds pi/4 = 4*atan(1/5) - atan(1/239) (Machin 1706), to verify arctans by.
func machin() bounds {
	a := arctan(big.NewInt(1), big.NewInt(5))
	two := a.plus(a)
	return two.plus(two).minus(arctan(big.NewInt(1), big.NewInt(239)))
}

// TestAtanTrusted verifies what ArctanError trusts: math.Atan is within 1e-12 rad at every point used for 15, and so
// for 14 and 13, bits of quotient.
func TestAtanTrusted(t *testing.T) {
	all, pi := arctans(), machin()
	last := all[len(all)-1]
	if len(all) != 1<<15+1 || last.hi.Cmp(pi.lo) < 0 || pi.hi.Cmp(last.lo) < 0 {
		t.Fatalf("atan(1) is said in [%v, %v], pi/4 in [%v, %v]", last.lo, last.hi, pi.lo, pi.hi)
	}
	worst := new(big.Rat)
	for q, exact := range all {
		got := new(big.Rat).SetFloat64(math.Atan(float64(q) / (1 << 15)))
		for _, end := range []*big.Int{exact.lo, exact.hi} {
			if d := new(big.Rat).Sub(got, rational(end)); d.Abs(d).Cmp(worst) > 0 {
				worst = d
			}
		}
	}
	w, _ := worst.Float64()
	t.Logf("largest error of math.Atan: %.3g", w)
	if w > 1e-12 || w < 1e-18 {
		t.Errorf("the largest error is %g, expected it above 0 and at most 1e-12", w)
	}
}

// table makes a table whose entries are the nearest counts.
func table(quotient, entries uint, quarter int64) *program.Arctan {
	t := &program.Arctan{QuotientBits: quotient, LogEntries: entries, Quarter: quarter}
	for i := 0; i <= 1<<entries; i++ {
		t.Entries = append(t.Entries, int64(math.Round(math.Atan(float64(i)/float64(int(1)<<entries))*float64(quarter)/(math.Pi/2))))
	}
	t.Entries = append(t.Entries, t.Entries[1<<entries])
	return t
}

// TestArctanErrorExact finds the error again in exact arithmetic: ArctanError is never below it, and above it by
// no more than its slack of 1e-12 rad.
func TestArctanErrorExact(t *testing.T) {
	all, pi := arctans(), machin()
	for _, tab := range []*program.Arctan{table(13, 5, 90<<7), table(14, 6, 90<<7), table(15, 8, 90<<12), table(9, 3, 77)} {
		got, err := ArctanError(tab)
		if err != nil {
			t.Fatal(err)
		}
		if least, most := exactError(tab, all, pi); got.Cmp(least) < 0 || got.Cmp(most) > 0 {
			t.Errorf("%d bits: ArctanError says %s counts, exact arithmetic [%s, %s]", tab.QuotientBits, got.FloatString(12), least.FloatString(12), most.FloatString(12))
		}
	}
}

// exactError is the largest error at all quotients, and the same with twice the slack that ArctanError allows itself.
func exactError(tab *program.Arctan, all []bounds, pi bounds) (least, most *big.Rat) {
	step := 1 << (15 - tab.QuotientBits)
	end := int64(1) << tab.QuotientBits
	scale := new(big.Rat).Quo(big.NewRat(tab.Quarter, 2), rational(pi.lo)) // counts per rad: quarter / (pi/2)
	least = new(big.Rat)
	for q := int64(0); q <= end; q++ {
		counts := big.NewRat(tab.Eval(q, end), 1)
		for _, at := range []int64{q, min(q+1, end)} {
			exact := new(big.Rat).Mul(rational(all[at*int64(step)].lo), scale)
			if d := exact.Sub(counts, exact); d.Abs(d).Cmp(least) > 0 {
				least = d
			}
		}
	}
	slack := new(big.Rat).Mul(new(big.Rat).Add(scale, least), big.NewRat(2, 1e12))
	least.Sub(least, new(big.Rat).Mul(scale, big.NewRat(1, 1e18))) // what the fixed point leaves open
	return least, slack.Add(slack, least)
}

// TestArctanErrorHolds tries random arguments of all octants, where the quotient is cut anywhere.
func TestArctanErrorHolds(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	tab := table(13, 5, 90<<7)
	most, err := ArctanError(tab)
	if err != nil {
		t.Fatal(err)
	}
	limit, _ := most.Float64()
	worst := 0.0
	for range 400000 {
		top := int64(1) << (1 + r.IntN(16))
		y, x := r.Int64N(2*top-1)-top+1, r.Int64N(2*top-1)-top+1
		want := math.Atan2(float64(y), float64(x)) * float64(tab.Quarter) / (math.Pi / 2)
		worst = max(worst, math.Abs(float64(tab.Eval(y, x))-want))
	}
	if worst > limit || worst < 0.9*limit {
		t.Errorf("the largest error seen is %v counts, the bound %v", worst, limit)
	}
}

func TestTableRefused(t *testing.T) {
	for name, spoil := range map[string]func(t *program.Arctan){
		"negative entry":       func(t *program.Arctan) { t.Entries[1] = -1 },
		"entry beyond quarter": func(t *program.Arctan) { t.Entries[3] = t.Quarter + 1 },
		"too short":            func(t *program.Arctan) { t.Entries = t.Entries[:len(t.Entries)-1] },
		"16 bits":              func(t *program.Arctan) { t.QuotientBits = 16 },
		"more pieces than q":   func(t *program.Arctan) { t.LogEntries = t.QuotientBits },
		"no quarter":           func(t *program.Arctan) { t.Quarter = 0 },
	} {
		tab := table(13, 5, 90<<7)
		spoil(tab)
		if _, err := ArctanError(tab); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
	if _, err := ArctanError(nil); err == nil {
		t.Error("no table: accepted")
	}
}
