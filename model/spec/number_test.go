package spec

import (
	"errors"
	"math/big"
	"strings"
	"testing"
)

func TestParseNumber(t *testing.T) {
	zeros := strings.Repeat("0", 29)
	for text, want := range map[string]string{
		"0": "0", "-0": "0", "-16384": "-16384", "+5": "5", "0.98": "49/50", "1e-3": "1/1000", ".5": "1/2", "5.": "5", "1E2": "100",
		"0.1": "1/10", "0e30": "0", "1e30": "1" + zeros + "0", "0." + zeros + "1": "1/1" + zeros + "0",
		"1234567890123456789012345678901": "1234567890123456789012345678901",
	} {
		got, err := ParseNumber(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got.RatString() != want {
			t.Errorf("%s: got %s, want %s", text, got.RatString(), want)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for _, c := range []struct{ text, message, remedy string }{
		{"", "found nothing", "such as"},
		{"fast", `expected a number, found "fast"`, "such as"},
		{"-", "expected a number", "such as"},
		{".", "expected a number", "such as"},
		{"1e", "expected a number", "such as"},
		{"1 2", "expected a number", "such as"},
		{"131 counts", "without a unit", "131"},
		{".inf", "finite", "largest"}, {"-Infinity", "finite", "largest"}, {"NaN", "expected a number", "such as"}, {".nan", "expected a number", "such as"},
		{"0x1F", "decimal", "31"}, {"-0x10", "decimal", "-16"}, {"0b101", "decimal", "5"}, {"0o17", "decimal", "15"},
		{"0x1p99999", "decimal", "the same number in decimal"},
		{"1_000", "grouped", "1000"},
		{"1,5", "decimal point", "1.5"},
		{"\u22125", "minus sign", "-5"},
		{"1/131", "no fraction", "0.007633588, the quotient"}, {"1/8", "no fraction", "0.125"}, {"1/0", "no fraction", "quotient"},
		{"017", "leading zeros", "17"}, {"-00.5", "leading zeros", "-0.5"},
		{"1e31", "between 1e-30 and 1e30", "unit"}, {"1e-31", "between 1e-30 and 1e30", "unit"}, {"10e30", "between 1e-30 and 1e30", "unit"},
		{"1e999999999", "between 1e-30 and 1e30", "unit"}, {"1e-999999", "between 1e-30 and 1e30", "unit"},
		{"1e99999999999999999999999", "between 1e-30 and 1e30", "unit"}, {"0e99", "between 1e-30 and 1e30", "unit"},
		{"12345678901234567890123456789012", "between 1e-30 and 1e30", "unit"},
		{"1." + strings.Repeat("3", 40), "41 significant digits", "fewer"},
		{strings.Repeat("9", 129), "129 characters", "fewer"},
	} {
		_, err := ParseNumber(c.text)
		checkTextError(t, c.text, err, c.message, c.remedy)
	}
}

func TestParseQuantity(t *testing.T) {
	for text, want := range map[string]Quantity{
		"25 deg/s":  {big.NewRat(25, 1), "deg/s"},
		"256 ticks": {big.NewRat(256, 1), "ticks"},
		"0.3  g":    {big.NewRat(3, 10), "g"},
		"-16384":    {big.NewRat(-16384, 1), ""},
		"1e-3":      {big.NewRat(1, 1000), ""},
		"5 1/s":     {big.NewRat(5, 1), "1/s"},
		"2 m/s^2":   {big.NewRat(2, 1), "m/s^2"},
		"40 %":      {big.NewRat(40, 1), "%"},
		"3 N.m":     {big.NewRat(3, 1), "N.m"},
	} {
		got, err := ParseQuantity(text)
		if err != nil {
			t.Errorf("%s: %v", text, err)
			continue
		}
		if got.Number.Cmp(want.Number) != 0 || got.Unit != want.Unit {
			t.Errorf("%s: got %s %q", text, got.Number, got.Unit)
		}
	}
}

func TestParseQuantityRefuses(t *testing.T) {
	for _, c := range []struct{ text, message, remedy string }{
		{"", "found nothing", "25 deg/s"},
		{"200Hz", "a space between", "200 Hz"}, {"1e-3s", "a space between", "1e-3 s"}, {"40%", "a space between", "40 %"},
		{"25 deg per s", "one number and one unit", "25 deg/s"},
		{"0.3 per s", "one number and one unit", "0.3, without words: gains are per second unless per: tick stands beside them"},
		{"25 deg / s", "one number and one unit", "25 deg/s"},
		{"25 deg s", "one number and one unit", "25 deg"},
		{"5 */", "expected a unit", "such as"}, {"5 /s", "expected a unit", "such as"}, {"5 m/", "expected a unit", "such as"},
		{"5 m//s", "expected a unit", "such as"}, {"5 7", "expected a unit", "such as"}, {"5 \u00b0C", "expected a unit", "such as"},
		{"5 revolutions/minute", "at most 16", "short"},
		{"fast", "expected a number", "such as"}, {"0x1F", "decimal", "31"}, {"1e99 s", "between 1e-30 and 1e30", "unit"}, {"nan s", "expected a number", "such as"},
	} {
		_, err := ParseQuantity(c.text)
		checkTextError(t, c.text, err, c.message, c.remedy)
	}
}

func checkTextError(t *testing.T, text string, err error, message, remedy string) {
	t.Helper()
	var e *TextError
	if !errors.As(err, &e) {
		t.Errorf("%q: got %v, want a *TextError", text, err)
		return
	}
	if !strings.Contains(e.Message, message) || !strings.Contains(e.Remedy, remedy) {
		t.Errorf("%q: got %q, write %q; want %q, write %q", text, e.Message, e.Remedy, message, remedy)
	}
}

func TestRawRange(t *testing.T) {
	for raw, want := range map[string][2]int64{
		"int8": {-128, 127}, "uint8": {0, 255}, "int16": {-32768, 32767}, "uint16": {0, 65535},
		"int32": {-2147483648, 2147483647}, "bool": {0, 1}, "uint32": {}, "float": {}, "": {},
	} {
		if lo, hi := RawRange(raw); lo != want[0] || hi != want[1] {
			t.Errorf("%s: got %d to %d", raw, lo, hi)
		}
	}
}

// A remedy must itself be a good range, so its ends are rounded into the true one.
func TestInward(t *testing.T) {
	for _, c := range []struct{ num, den int64 }{
		{-32768, 131}, {32767, 131}, {32767, 16384}, {-1, 3}, {1, 3_000_000_000}, {1 << 62, 3}, {-7, 1}, {0, 1}, {100001, 100}, {-99999999, 1000},
	} {
		x := big.NewRat(c.num, c.den)
		for _, up := range []bool{true, false} {
			text := inward(x, up)
			got, err := ParseNumber(text)
			if err != nil {
				t.Errorf("%s: %v", text, err)
				continue
			}
			off := new(big.Rat).Sub(got, x)
			if up && off.Sign() < 0 || !up && off.Sign() > 0 {
				t.Errorf("%s, up %v: %s lies outside", x, up, text)
			}
			if off.Abs(off).Cmp(new(big.Rat).Abs(new(big.Rat).Mul(x, big.NewRat(1, 10000)))) > 0 {
				t.Errorf("%s, up %v: %s is too far off", x, up, text)
			}
		}
	}
}
