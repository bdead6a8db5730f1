package target

import (
	"context"
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gainwright/model/cost"
	"gainwright/model/program"
)

// What package cost counts without a compiler, against what the compiler emits.

// constants are factors and literals of all sizes.
func constants() (out []int64) {
	for k := int64(-257); k <= 257; k += 3 {
		out = append(out, k)
	}
	for n := range 31 {
		out = append(out, 1<<n, 3<<n&(1<<31-1), -1<<n)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		out = append(out, rng.Int64N(1<<16)-1<<15, rng.Int64N(1<<22), rng.Int64N(1<<31))
	}
	return out
}

// instructions compiles a C function for each constant, from a pattern for its number and the constant, and returns the instructions of
// each, without its return.
func instructions(t *testing.T, part, pattern string, ks []int64) [][]string {
	t.Helper()
	q := parts[part]().(*qemu)
	if lacking := q.missing(t.Context()); len(lacking) > 0 {
		onPart(t, part, func(context.Context) (*Simulated, error) { return nil, &Lacking{part, lacking} })
	}
	dir := t.TempDir()
	var text strings.Builder
	for i, k := range ks {
		fmt.Fprintf(&text, pattern+"\n", i, k)
	}
	if err := os.WriteFile(filepath.Join(dir, "counts.c"), []byte(text.String()), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := run(t.Context(), dir, q.compiler.name, append(append([]string{"-O2", "-S", "-o", "-"}, q.flags[:2]...), "counts.c")...)
	if err != nil {
		t.Fatal(err)
	}
	out, at := make([][]string, len(ks)), -1
	label, instruction := regexp.MustCompile(`^f(\d+):`), regexp.MustCompile(`^\t([a-z]\S*)`)
	for _, line := range strings.Split(string(said), "\n") {
		if m := label.FindStringSubmatch(line); m != nil {
			fmt.Sscan(m[1], &at)
		} else if m := instruction.FindStringSubmatch(line); m != nil && at >= 0 {
			if m[1] == "bx" || m[1] == "ret" {
				at = -1
				continue
			}
			out[at] = append(out[at], m[1])
		}
	}
	return out
}

// times is a program that multiplies an input by a constant; of 0, one that hands out a constant.
func times(k, constant int64) *program.Fixed {
	p := &program.Fixed{
		Frame: program.Frame{Inputs: []program.InputInfo{{Name: "x", Type: program.I16}},
			Sections: []program.Section{{Name: "s"}},
			Outputs:  []program.Output{{Name: "y", Type: program.I32, Value: 1}}},
		Ops: []program.FixedOp{{Op: program.Op{Kind: program.Input}, Type: program.I16, Lo: -1, Hi: 1}},
	}
	if k != 0 {
		p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Scale, Args: []program.ID{0}, K: big.NewRat(k, 1)}, Type: program.I32, Lo: min(k, -k), Hi: max(k, -k)})
	} else {
		p.Ops = append(p.Ops, program.FixedOp{Op: program.Op{Kind: program.Const, K: big.NewRat(constant, 1)}, Type: program.I32, Lo: constant, Hi: constant})
	}
	return p
}

// TestLiteralsAsCompiled holds that a constant takes as many instructions as the compiler takes.
func TestLiteralsAsCompiled(t *testing.T) {
	for _, part := range []string{"cortex-m0", "cortex-m4", "rv32imc"} {
		t.Run(part, func(t *testing.T) {
			ks := constants()
			for i, got := range instructions(t, part, "int f%d(void) { return %d; }", ks) {
				want := len(got)
				if part == "rv32imc" && ks[i] == 0 {
					want = 0 // moved only to return it: a register is 0 always
				}
				if n := cost.For(part).Features(times(0, ks[i]))["literal"]; n != float64(want) {
					t.Errorf("%d: %g instructions are counted, the compiler takes %v", ks[i], n, got)
				}
			}
		})
	}
}

// TestChainsAsCompiled holds that products by constants are made of shifts and sums where the compiler does so, of about as many.
func TestChainsAsCompiled(t *testing.T) {
	for _, part := range []string{"cortex-m0", "cortex-m4", "rv32imc"} {
		t.Run(part, func(t *testing.T) {
			other, most, sum, chains := 0, 0.0, 0.0, 0.0
			ks := constants()
			for i, got := range instructions(t, part, "int f%d(int x) { return x * %d; }", ks) {
				multiplies := strings.Contains(strings.Join(got, " "), "mul")
				f := cost.For(part).Features(times(ks[i], 0))
				if multiplies != (f["product32"] > 0) && ks[i] != 0 {
					other++
					continue
				}
				if !multiplies && ks[i] != 0 {
					off := math.Abs(f["chain32"] + f["up32"] + f["add32"] - float64(len(got)))
					most, sum, chains = max(most, off), sum+off, chains+1
				}
			}
			t.Logf("%d of %d otherwise; %g chains off by %.2f, at most by %g", other, len(ks), chains, sum/chains, most)
			if share := float64(other) / float64(len(ks)); share > 0.01 {
				t.Errorf("%.0f %% of all products are made otherwise", 100*share)
			}
			if sum/chains > 0.5 || most > 2 {
				t.Errorf("%g chains are off by %.2f steps, at most by %g", chains, sum/chains, most)
			}
		})
	}
}

// TestReachAsCompiled holds that a load takes as many instructions as the compiler takes, near the start of a struct and far from it.
func TestReachAsCompiled(t *testing.T) {
	types := map[string]program.Type{"signed char": program.I8, "unsigned char": program.U8, "short": program.I16, "unsigned short": program.U16, "int": program.I32}
	before := []int64{1, 2, 15, 30, 31, 32, 33, 40}
	for _, part := range []string{"cortex-m0", "cortex-m4", "rv32imc"} {
		t.Run(part, func(t *testing.T) {
			for name, typ := range types {
				pattern := "struct s%[1]d { " + name + " before[%[2]d], x; };\nint f%[1]d(struct s%[1]d *s) { return s->x; }"
				for i, got := range instructions(t, part, pattern, before) {
					p := times(0, 0)
					p.Inputs = nil
					for range before[i] + 1 {
						p.Inputs = append(p.Inputs, program.InputInfo{Name: "x", Type: typ})
					}
					p.Ops[0].Index, p.Ops[0].Type, p.Outputs[0].Value = int(before[i]), typ, 0
					if n := cost.For(part).Features(p)["load"]; n != float64(len(got)) {
						t.Errorf("%s behind %d others: %g instructions are counted, the compiler takes %v", name, before[i], n, got)
					}
				}
			}
		})
	}
}
