package contract

import (
	"math/big"
	"math/rand"
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
)

func TestPlainIsSafeInAComment(t *testing.T) {
	for _, s := range []string{"a */ b", "/* x", "*/*/", "/*/", "a??/", "???/", "end\\", "two\nlines", "caf\u00e9 \u202e", "*\\", "\x00"} {
		got := Plain(s)
		for _, bad := range []string{"*/", "/*", "??", "\\", "\n"} {
			if strings.Contains(got, bad) {
				t.Errorf("Plain(%q) = %q holds %q", s, got, bad)
			}
		}
		for _, r := range got {
			if r < ' ' || r > '~' {
				t.Errorf("Plain(%q) = %q holds %q", s, got, r)
			}
		}
	}
}

func TestUpIsNeverBelow(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	for range 20000 {
		r := big.NewRat(rng.Int63n(1<<40)+1, rng.Int63n(1<<40)+1)
		got, ok := new(big.Rat).SetString(Up(r))
		if !ok || got.Cmp(r) < 0 {
			t.Fatalf("Up(%s) = %s", r, Up(r))
		}
		if over := new(big.Rat).Quo(got, r); over.Cmp(big.NewRat(1011, 1000)) > 0 {
			t.Fatalf("Up(%s) = %s is more than a hundredth above", r, Up(r))
		}
	}
	if got := Up(big.NewRat(1, 100)); got != "0.01" {
		t.Errorf("Up(1/100) = %s", got)
	}
}

func TestWrap(t *testing.T) {
	for _, line := range Wrap("In:  ", strings.Repeat("word ", 60)) {
		if len(line) > Width {
			t.Errorf("%d columns: %s", len(line), line)
		}
	}
	if got := Wrap("In:  ", ""); len(got) != 0 {
		t.Errorf("an empty text gave %q", got)
	}
}

func TestExact(t *testing.T) {
	for in, want := range map[string]string{"1/131": "1/131", "1/128": "0.0078125", "3": "3", "180/65536": "45/2^14"} {
		r, _ := new(big.Rat).SetString(in)
		if got := Exact(r); got != want {
			t.Errorf("Exact(%s) = %s, want %s", in, got, want)
		}
	}
}

// Sentence, equation, input bounds, output bounds, error bound, in that order.
func TestSection(t *testing.T) {
	p := &program.Fixed{
		Frame: program.Frame{Inputs: []program.InputInfo{{Name: "temperature"}},
			Sections: []program.Section{{Name: "inputs"}, {Name: "smooth", Sentence: "Follows */ slowly.", Equation: "y' = y + a*(x - y)"}}},
		Ops: []program.FixedOp{
			{Op: program.Op{Kind: program.Input, Name: "temperature_raw", Unit: "degC"}, Type: program.I16, LSB: big.NewRat(1, 128), Lo: -32768, Hi: 32767},
			{Op: program.Op{Kind: program.Scale, Name: "smooth", Args: []program.ID{0}, Section: 1, Unit: "degC"}, Type: program.I16, LSB: big.NewRat(1, 128), Lo: -128, Hi: 256},
			{Op: program.Op{Kind: program.Less, Name: "smooth_warm", Args: []program.ID{0, 1}, Section: 1}, Type: program.Bool},
		},
	}
	p.Sections[1].Signals = []program.Signal{{Name: "smooth", Value: 1}, {Name: "smooth.warm", Value: 2}}
	u := &model.Unit{Integer: p, Bounds: []model.Bound{
		{Section: 1, Signal: 0, Local: big.NewRat(1, 300), Chain: big.NewRat(1, 64)},
		{Section: 1, Signal: 1, Local: new(big.Rat)},
	}}
	want := []string{
		"Follows * / slowly.",
		"    y' = y + a*(x - y)",
		"In:  temperature in [-256, 255.992] degC, counts [-32768, 32767] of 0.0078125 degC",
		"Out: smooth in [-1, 2] degC, counts [-128, 256] of 0.0078125 degC",
		"     smooth.warm, true or false",
		"Error: smooth at most 0.00334 degC against real numbers with the stored constants, fed the",
		"       same inputs",
		"Error: smooth at most 0.0157 degC against the whole controller in real numbers with the",
		"       stored constants",
		"Error: none in smooth.warm against real numbers with the stored constants, fed the same",
		"       inputs",
	}
	if got := Section(u, 1); !slices.Equal(got, want) {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestWhole: against the whole controller it is said with which constants, around what, and for outputs that nothing is proven.
func TestWhole(t *testing.T) {
	turn := big.NewRat(360, 1)
	for _, c := range []struct {
		b        model.Bound
		isOutput bool
		want     []string
	}{
		{model.Bound{Chain: big.NewRat(1, 2), ChainTurn: turn, Asked: big.NewRat(3, 4), AskedTurn: turn}, false, []string{
			"Error: x at most 0.5 deg around the circle against the whole controller in real numbers with the stored constants",
			"Error: x at most 0.75 deg around the circle against the whole controller in real numbers with the constants as asked"}},
		{model.Bound{Chain: big.NewRat(1, 2), Asked: big.NewRat(1, 2)}, true, []string{
			"Error: x at most 0.5 deg against the whole controller in real numbers with the stored constants, and as asked"}},
		{model.Bound{Chain: new(big.Rat), Asked: big.NewRat(1, 4)}, false, []string{
			"Error: x at most 0.25 deg against the whole controller in real numbers with the constants as asked"}},
		{model.Bound{Chain: new(big.Rat), Asked: new(big.Rat)}, true, nil},
		{model.Bound{}, false, nil},
		{model.Bound{}, true, []string{"Error: x against the whole controller with the constants as asked is not proven: gainwright verify measures it"}},
		{model.Bound{Chain: new(big.Rat), ChainTurn: turn, Asked: new(big.Rat)}, false, []string{
			"Error: x at most 0 deg around the circle against the whole controller in real numbers with the stored constants"}},
	} {
		joined := strings.Join(strings.Fields(strings.Join(whole(c.b, "x", "deg", c.isOutput), "\n")), " ")
		if want := strings.Join(c.want, " "); joined != want {
			t.Errorf("got\n%s\nwant\n%s", joined, want)
		}
	}
}
