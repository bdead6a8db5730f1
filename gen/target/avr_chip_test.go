package target

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// manyGains is a spec with n live gains of 16 bits.
func manyGains(n int) []byte {
	var steps, terms, tuning []string
	for i := range n {
		steps = append(steps, fmt.Sprintf("  p%d: {kind: pid, target: 0, measured: x, kp: %.2f, limits: [-50, 50], unit: mm}\n", i, 1+float64(i)/100))
		terms = append(terms, fmt.Sprintf("p%d: 0.01", i))
		tuning = append(tuning, fmt.Sprintf("p%d.kp: [0, 10]", i))
	}
	return []byte("controller: many\nabout: Many live gains.\nrate: 50 Hz\ntarget: avr8\n" +
		"inputs:\n  x: {raw: int16, unit: mm, counts_per_unit: 10, range: [-300, 300]}\nsteps:\n" + strings.Join(steps, "") +
		"  all: {kind: sum, of: {" + strings.Join(terms, ", ") + "}, limits: [-60, 60]}\n" +
		"outputs:\n  y: {from: all, raw: int16, unit: mm, counts_per_unit: 10, limits: [-60, 60]}\ntuning: {" + strings.Join(tuning, ", ") + "}\n")
}

// TestManyLiveGains: a set of 135 gains has 270 bytes, and the firmware more than the smaller part has flash for. Settings change
// between ticks, so that every set is used.
func TestManyLiveGains(t *testing.T) {
	tier.Slow(t)
	u := model.Compile("many.yaml", manyGains(135))
	if !u.OK() {
		t.Fatal(u.Findings)
	}
	bytes := uint(0)
	for _, k := range u.Integer.Coefs {
		bytes += k.Type.Bits() / 8
	}
	if bytes <= 255 {
		t.Fatalf("a set has %d bytes", bytes)
	}
	const ticks = 6000
	s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, "avr8", u) })
	s.Search = 500
	r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: ticks, Target: s})
	if err != nil {
		t.Fatal(err)
	}
	settings := 0
	for _, k := range r.Kinds {
		settings += k.Settings
		if k.Same.Values > 0 {
			t.Errorf("%s inputs: %d values differ: %v", k.Name, k.Same.Values, k.Faults)
		}
	}
	if settings < 1000 {
		t.Errorf("gains were set in %d ticks", settings)
	}
	m := s.Measured()
	if m.Part != "ATmega1284P in libsimavr" || m.Ticks != ticks {
		t.Errorf("%d ticks on an %s", m.Ticks, m.Part)
	}
	if m.Proven < m.Found || float64(m.Proven) > 1.1*float64(m.Found) {
		t.Errorf("proven worst tick %d, found %d %s", m.Proven, m.Found, m.Unproven)
	}
	t.Logf("%+v", m)
}

// TestChip: variables beyond what a part has for them lead to the next one, and beyond all of them to an error that says so.
func TestChip(t *testing.T) {
	for _, k := range []struct {
		bytes      int
		part, said string
	}{{900, "ATmega328P", ""}, {1100, "ATmega1284P", ""}, {15000, "ATmega1284P", ""}, {16000, "", "an ATmega1284P has 16384 of RAM"}, {30000, "", "too large for an ATmega1284P"}} {
		s, err := build(t.Context(), "avr8", tiny(fmt.Sprintf("static volatile uint8_t room[%d];\n", k.bytes), "room[a & 1] = (uint8_t)b;"))
		if _, lacks := err.(*Lacking); lacks {
			onPart(t, "avr8", func(context.Context) (*Simulated, error) { return s, err })
		}
		switch {
		case k.said != "":
			if err == nil || !strings.Contains(err.Error(), k.said) {
				t.Errorf("%d bytes: %v", k.bytes, err)
			}
			continue
		case err != nil:
			t.Fatal(err)
		}
		if m := s.Measured(); m.Part != k.part+" in libsimavr" {
			t.Errorf("%d bytes lie on an %s", k.bytes, m.Part)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// TestStackOverVariables: a stack that grows into the variables ends the run.
func TestStackOverVariables(t *testing.T) {
	k := tiny("static volatile uint8_t room[900];\n__attribute__((noinline)) static void fill(volatile uint8_t *x) { x[0] = 1; }\n",
		"volatile uint8_t x[1200]; room[a & 1] = (uint8_t)b; fill(x); y = x[0];")
	s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return build(ctx, "avr8", k) })
	in, out := make(chan []int64, 1), make(chan []int64, 8)
	in <- []int64{1, 2}
	close(in)
	if _, err := s.Run(t.Context(), in, out); err == nil || !strings.Contains(err.Error(), "the stack runs into the variables") {
		t.Errorf("ends with %v", err)
	}
}
