package contract

import (
	"math/big"
	"strconv"
	"strings"
)

// Plain makes a text of the spec safe inside any comment: printable ASCII on one line that neither
// opens nor closes a comment, starts a trigraph nor ends in a backslash.
func Plain(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\\':
			return '/'
		case r == '\t' || r == '\n' || r == '\r':
			return ' '
		case r < ' ' || r > '~':
			return '.'
		}
		return r
	}, s)
	for _, pair := range []string{"*/", "/*", "??"} {
		for strings.Contains(s, pair) {
			s = strings.ReplaceAll(s, pair, pair[:1]+" "+pair[1:])
		}
	}
	return strings.TrimSpace(s)
}

// Wrap breaks a text into lines of at most Width columns where it has blanks. The first line starts
// with title, the others with as many blanks.
func Wrap(title, text string) []string {
	var lines []string
	line, empty := title, true
	for _, word := range strings.Fields(text) {
		if !empty && len(line)+1+len(word) > Width {
			lines = append(lines, line)
			line, empty = strings.Repeat(" ", len(title)), true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	if empty {
		return lines
	}
	return append(lines, line)
}

// Decimal writes a number with at most six digits.
func Decimal(r *big.Rat) string {
	f, _ := r.Float64()
	if f == 0 {
		f = 0 // no negative zero
	}
	return strconv.FormatFloat(f, 'g', 6, 64)
}

// Exact writes a number without loss: as a decimal where that is short, else as a fraction (with a
// power of two below where it is one), or rounded to twelve digits and marked so where the fraction
// is too long to read.
func Exact(r *big.Rat) string {
	if digits, exact := r.FloatPrec(); exact && digits <= 12 {
		return r.FloatString(digits)
	}
	if d := r.Denom(); d.TrailingZeroBits() == uint(d.BitLen()-1) {
		return r.Num().String() + "/2^" + strconv.Itoa(d.BitLen()-1)
	}
	if s := r.RatString(); len(s) <= 24 {
		return s
	}
	f, _ := r.Float64()
	return "about " + strconv.FormatFloat(f, 'g', 12, 64)
}

// Up writes a number that is not negative with three digits, rounded up: what is written is never below the number.
func Up(r *big.Rat) string {
	if r.Sign() == 0 {
		return "0"
	}
	f, _ := r.Float64()
	s := strconv.FormatFloat(f, 'e', 2, 64)
	mantissa, exponent, _ := strings.Cut(s, "e")
	back, ok := new(big.Rat).SetString(s)
	if ok && back.Cmp(r) < 0 {
		n, _ := strconv.Atoi(strings.Replace(mantissa, ".", "", 1))
		n++
		s = strconv.Itoa(n) + "e" + exponent
		back, _ = new(big.Rat).SetString(s)
		back.Quo(back, big.NewRat(100, 1))
	}
	f, _ = back.Float64()
	return strconv.FormatFloat(f, 'g', -1, 64)
}
