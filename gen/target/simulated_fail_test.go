package target

import (
	"bytes"
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gainwright/model/tier"
	"gainwright/model/trial"
)

// outcome runs records and returns the error.
func outcome(ctx context.Context, s *Simulated, records []int64) error {
	in, out := make(chan []int64, 1), make(chan []int64)
	in <- records
	close(in)
	go func() {
		for range out {
		}
	}()
	_, err := s.Run(ctx, in, out)
	close(out)
	return err
}

// TestFirmwareFails has firmware that hangs or crashes: an error in time, and nothing left behind.
func TestFirmwareFails(t *testing.T) {
	for _, v := range []struct{ part, body, want string }{
		{"avr8", "while (in->a == 7) { __asm__ volatile(\"\" : : : \"memory\"); }", "after 20000000 cycles"},
		{"avr8", "if (in->a == 7) { __asm__ volatile(\"jmp 0x8000\"); }", "crashed"},
		{"cortex-m0", "while (in->a == 7) { __asm__ volatile(\"\" : : : \"memory\"); }", "no result for"},
		{"cortex-m4", "while (in->a == 7) { __asm__ volatile(\"\" : : : \"memory\"); }", "no result for"},
		{"rv32imc", "while (in->a == 7) { __asm__ volatile(\"\" : : : \"memory\"); }", "no result for"},
	} {
		t.Run(v.part, func(t *testing.T) {
			if v.part != "avr8" {
				tier.Slow(t)
			}
			s := onPart(t, v.part, func(ctx context.Context) (*Simulated, error) { return build(ctx, v.part, tiny("", v.body)) })
			s.patience = 5 * time.Second
			err := outcome(t.Context(), s, []int64{1, 2, 7, 3, 4, 5})
			if err == nil || !strings.Contains(err.Error(), v.want) {
				t.Errorf("%v, expected to read %q", err, v.want)
			}
			if left, _ := filepath.Glob(filepath.Join(s.dir, "run*")); v.part != "avr8" && len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
			if err := outcome(t.Context(), s, []int64{1, 2, 3, 4}); err != nil {
				t.Errorf("it does not run any more: %v", err)
			}
		})
	}
}

// TestStopped ends runs from outside, while records are still to come.
func TestStopped(t *testing.T) {
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return build(ctx, part, tiny("", "y = a;")) })
			ctx, cancel := context.WithTimeout(t.Context(), time.Second)
			defer cancel()
			in, out := make(chan []int64), make(chan []int64, 1)
			if _, err := s.Run(ctx, in, out); !errors.Is(err, context.DeadlineExceeded) {
				t.Errorf("%v", err)
			}
		})
	}
}

// TestLackingTools names every tool that is not there with its package.
func TestLackingTools(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	for part, want := range map[string][]string{
		"avr8":      {"gcc-avr", "binutils-avr", "avr-libc", "gcc", "libsimavr-dev"},
		"cortex-m0": {"gcc-arm-none-eabi", "qemu-system-arm", "picolibc-arm-none-eabi"},
		"cortex-m4": {"gcc-arm-none-eabi", "qemu-system-arm", "picolibc-arm-none-eabi"},
		"rv32imc":   {"gcc-riscv64-unknown-elf", "qemu-system-misc", "picolibc-riscv64-unknown-elf"},
	} {
		_, err := build(t.Context(), part, tiny("", ""))
		for _, name := range want {
			if err == nil || !strings.Contains(err.Error(), "(Debian package "+name+")") {
				t.Errorf("%s: %v, expected to read %s", part, err, name)
			}
		}
	}
	if _, err := build(t.Context(), "portable", tiny("", "")); err == nil || !strings.Contains(err.Error(), "cortex-m0") {
		t.Error(err)
	}
}

// TestFindsFaults changes the code that runs: the trial must see it on each part.
func TestFindsFaults(t *testing.T) {
	tier.Slow(t)
	u := compiled(t, "../../templates/starters/incubator.yaml")
	k := emitted(u)
	k.out[0].from = "(" + k.out[0].from + " == 1000 ? 999 : " + k.out[0].from + ")" // the heater at its limit
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			s := onPart(t, part, func(ctx context.Context) (*Simulated, error) { return build(ctx, part, k) })
			r, err := trial.Verify(t.Context(), u, trial.Options{Ticks: 20_000, Target: s})
			if err != nil {
				t.Fatal(err)
			}
			if r.OK() {
				t.Error("a value that is 1 off is not seen")
			}
		})
	}
}

// TestInstructionsAreCounted has steps that differ by a known number of instructions.
func TestInstructionsAreCounted(t *testing.T) {
	for _, part := range []string{"cortex-m0", "cortex-m4", "rv32imc"} {
		t.Run(part, func(t *testing.T) {
			cost := func(nops string) Measured {
				s := onPart(t, part, func(ctx context.Context) (*Simulated, error) {
					return build(ctx, part, tiny("", "__asm__ volatile(\".rept "+nops+"\\n nop\\n .endr\");"))
				})
				if err := outcome(t.Context(), s, make([]int64, 2*500)); err != nil {
					t.Fatal(err)
				}
				return s.Measured()
			}
			base := cost("0")
			if base.Worst < 2 || base.Worst > 10 {
				t.Errorf("an empty step takes %d instructions", base.Worst)
			}
			for nops, n := range map[string]int{"1": 1, "37": 37, "500": 500, "400": 400} {
				m := cost(nops)
				if m.Worst != base.Worst+n || m.Mean != float64(m.Worst) {
					t.Errorf("%s more instructions count as %d, %.2f in the mean", nops, m.Worst-base.Worst, m.Mean-base.Mean)
				}
			}
		})
	}
}

// TestStackIsSeen has a step that needs a known number of bytes and setters that need more.
func TestStackIsSeen(t *testing.T) {
	for _, part := range Parts() {
		t.Run(part, func(t *testing.T) {
			stack := func(bytes string) int {
				s := onPart(t, part, func(ctx context.Context) (*Simulated, error) {
					return build(ctx, part, tiny("", "volatile char x["+bytes+"]; x["+bytes+" - 1] = x[0] = (char)a; y = x["+bytes+" - 1];"))
				})
				if err := outcome(t.Context(), s, []int64{1, 2, 3, 4}); err != nil {
					t.Fatal(err)
				}
				return s.Measured().Stack
			}
			if small, large := stack("16"), stack("416"); large-small < 400 || large-small > 408 { // in steps of 8 on a Cortex-M0
				t.Errorf("400 more bytes of stack count as %d", large-small)
			}
		})
	}
}

// TestRecordsArePacked sends the ends of every type through.
func TestRecordsArePacked(t *testing.T) {
	u := compiled(t, "../../templates/starters/incubator.yaml")
	k := emitted(u)
	text := k.pack(nil, []int64{-2, 1, -3, 0, 4, 1}[:len(k.in)])
	in, _ := k.size()
	if len(text) != in || !bytes.HasPrefix(text, []byte{0xfe, 0xff}) {
		t.Errorf("% x for %v", text, k.in)
	}
}
