package contract

import (
	"math/big"
	"math/rand"
	"strings"
	"testing"
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
