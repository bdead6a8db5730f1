package target

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/model/trial"
)

// TestPreferSize: an arctangent, a filter and a PID made for size take much less program memory on an 8-bit part, and give the same bits.
func TestPreferSize(t *testing.T) {
	text, err := os.ReadFile("../../testdata/specs/loop_b.yaml")
	if err != nil {
		t.Fatal(err)
	}
	flash := map[string]int{}
	for _, prefer := range []string{"speed", "size"} {
		u := model.Compile("loop_b.yaml", bytes.Replace(text, []byte("\ntarget: avr8\n"), []byte("\ntarget: avr8\nprefer: "+prefer+"\n"), 1))
		if !u.OK() || u.Spec.Prefer != prefer {
			t.Fatalf("prefer %s: %q %v", prefer, u.Spec.Prefer, u.Findings)
		}
		s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, "avr8", u) })
		r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 5000, Target: s})
		if err != nil {
			t.Fatal(err)
		}
		if !r.OK() {
			t.Errorf("prefer %s: other bits than the integer program: %v", prefer, r)
		}
		m := s.Measured()
		flash[prefer] = m.Flash
		t.Logf("prefer %s: %d bytes, proven worst tick %d cycles", prefer, m.Flash, m.Proven)
	}
	if flash["size"] >= flash["speed"]*8/10 {
		t.Errorf("size takes %d bytes, speed %d", flash["size"], flash["speed"])
	}
}

// TestSmallCodeOnAVR: each spec at hand, made for size on an 8-bit part, gives the bits of the integer program.
func TestSmallCodeOnAVR(t *testing.T) {
	tier.Slow(t)
	for _, pattern := range []string{"../../templates/starters/*.yaml", "../../testdata/specs/*.yaml"} {
		files, err := filepath.Glob(pattern)
		if err != nil || len(files) == 0 {
			t.Fatalf("no %s: %v", pattern, err)
		}
		for _, file := range files {
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			u := model.Compile(filepath.Base(file), text)
			if !u.OK() {
				t.Fatalf("%s: %v", file, u.Findings)
			}
			u.Spec.Target, u.Spec.Prefer = "avr8", "size"
			s := onPart(t, "avr8", func(ctx context.Context) (*Simulated, error) { return NewSimulated(ctx, "avr8", u) })
			r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 2000, Target: s})
			if err != nil {
				t.Fatalf("%s: %v", file, err)
			}
			if !r.OK() {
				t.Errorf("%s: other bits than the integer program: %v", file, r)
			}
		}
	}
}
