package spec

import (
	"cmp"
	"fmt"
	"math/big"
	"regexp"
	"strconv"
	"strings"
)

// Limits of a number, applied to its text: big.Rat would compute 1e999999999 digit by digit.
const (
	maxDigits   = 40 // significant ones
	maxExponent = 30 // of ten
	maxNumber   = 128
)

// TextError says what is wrong with a text and what to write instead.
type TextError struct {
	Message string // what was expected and what was found
	Remedy  string
}

func (e *TextError) Error() string { return e.Message }

var numberForm = regexp.MustCompile(`^[+-]?(\d*)(?:\.(\d*))?(?:[eE]([+-]?\d+))?$`)

// ParseNumber reads a decimal number such as -16384, 0.98 or 1e-3 exactly. It has at most 40 significant
// digits and a size of at least 1e-30 and less than 1e31, or is 0. Errors are *TextError.
func ParseNumber(text string) (*big.Rat, error) {
	form := numberForm.FindStringSubmatch(text)
	if len(text) > maxNumber {
		return nil, &TextError{fmt.Sprintf("a number of %d characters; at most %d are allowed", len(text), maxNumber), "the number with fewer digits"}
	}
	if form == nil || form[1]+form[2] == "" {
		return nil, notANumber(text)
	}
	whole, exponent := form[1], 0
	if len(whole) > 1 && whole[0] == '0' {
		plain := cmp.Or(strings.TrimLeft(whole, "0"), "0")
		return nil, &TextError{fmt.Sprintf("expected a number without leading zeros, with which C means octal, found %s", quote(text)),
			strings.Replace(text, whole, plain, 1)}
	}
	digits := strings.TrimLeft(whole+form[2], "0")
	if len(digits) > maxDigits {
		return nil, &TextError{fmt.Sprintf("a number with %d significant digits; at most %d are read", len(digits), maxDigits),
			"the number with fewer digits"}
	}
	if form[3] != "" {
		var err error
		if exponent, err = strconv.Atoi(form[3]); err != nil {
			exponent = 10 * maxExponent // Atoi refuses only what is far too large
		}
	}
	// The exponent of the first significant digit, as in 1.23e4.
	size := exponent
	if digits != "" {
		size += len(digits) - len(form[2]) - 1
	}
	if max(exponent, -exponent, size, -size) > maxExponent {
		return nil, &TextError{fmt.Sprintf("expected 0 or a size between 1e-%d and 1e%d, found %s", maxExponent, maxExponent, quote(text)),
			"the same value in a larger or smaller unit"}
	}
	x, ok := new(big.Rat).SetString(text)
	if !ok {
		return nil, notANumber(text)
	}
	return x, nil
}

// wordsForm is a number and words behind it.
var wordsForm = regexp.MustCompile(`^[+-]?[\d.]+ +[A-Za-z%]`)

var finiteOnly = regexp.MustCompile(`^[+-]?\.?(inf|infinity|nan)$`)

// notANumber explains the usual ways to write a number that is none here.
func notANumber(text string) error {
	const sample = "a number such as -16384 or 0.98"
	lower := strings.ToLower(text)
	unsigned := strings.TrimLeft(lower, "+-")
	found := func(want, remedy string) error {
		return &TextError{fmt.Sprintf("expected %s, found %s", want, quote(text)), remedy}
	}
	switch {
	case text == "":
		return &TextError{"expected a number, found nothing", sample}
	case finiteOnly.MatchString(lower):
		if strings.HasSuffix(lower, "nan") {
			return found("a number", sample)
		}
		return found("a finite number", "the largest value that can occur")
	case numberForm.MatchString(strings.ReplaceAll(text, "_", "")) && strings.ContainsAny(text, "0123456789"):
		return found("a number whose digits are not grouped", strings.ReplaceAll(text, "_", ""))
	case strings.HasPrefix(unsigned, "0x"), strings.HasPrefix(unsigned, "0b"), strings.HasPrefix(unsigned, "0o"):
		if n, err := strconv.ParseInt(lower, 0, 64); err == nil {
			return found("a decimal number", strconv.FormatInt(n, 10))
		}
		return found("a decimal number", "the same number in decimal")
	case strings.Count(text, ",") == 1 && numberForm.MatchString(strings.Replace(text, ",", ".", 1)):
		return found("a number with a decimal point", strings.Replace(text, ",", ".", 1))
	case strings.HasPrefix(text, "\u2212") && numberForm.MatchString("-"+strings.TrimPrefix(text, "\u2212")):
		return found("the minus sign of the keyboard", "-"+strings.TrimPrefix(text, "\u2212"))
	case len(strings.Fields(text)) == 2 && numberForm.MatchString(strings.Fields(text)[0]) && CheckUnit(strings.Fields(text)[1]) == nil:
		return found("a number without a unit", strings.Fields(text)[0])
	case strings.Count(text, "/") == 1 && strings.ContainsAny(text, "0123456789"):
		return found("a decimal number and no fraction", quotient(text))
	case gluedForm.MatchString(text) && lower != gluedForm.FindStringSubmatch(text)[1]+"e":
		return found("a number without a unit", gluedForm.FindStringSubmatch(text)[1])
	case wordsForm.MatchString(text) && numberForm.MatchString(strings.Fields(text)[0]):
		return found("a number without words", strings.Fields(text)[0])
	}
	return found("a number", sample)
}

// quotient works a fraction out, to nine places.
func quotient(text string) string {
	const remedy = "the quotient as a decimal number"
	over, under, _ := strings.Cut(text, "/")
	a, errA := ParseNumber(over)
	b, errB := ParseNumber(under)
	if errA != nil || errB != nil || b.Sign() == 0 {
		return remedy
	}
	a.Quo(a, b)
	decimal := a.FloatString(9)
	if x, err := ParseNumber(decimal); err == nil && x.Cmp(a) == 0 {
		return strings.TrimRight(strings.TrimRight(decimal, "0"), ".")
	}
	return decimal + ", the quotient to nine places"
}
