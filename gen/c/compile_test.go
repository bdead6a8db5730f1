package c

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/tier"
)

var warnings = []string{"-Wall", "-Wextra", "-Wconversion", "-Wsign-conversion", "-Wshadow", "-pedantic", "-Werror"}

// compilers are command lines that must take a header without a word. cc and c++ are always needed.
var compilers = [][]string{
	{"cc", "-std=c99", "-O2"},
	{"c++", "-std=c++11", "-O2", "-x", "c++"},
	{"clang", "-std=c99", "-O1"},
	{"clang++", "-std=c++11", "-O1", "-x", "c++"},
	{"avr-gcc", "-mmcu=atmega328p", "-std=c99", "-Os"},
	{"avr-gcc", "-mmcu=atmega328p", "-std=c99", "-O0"}, // constants of assembly are constants there too
	{"avr-gcc", "-mmcu=atmega328p", "-std=c99", "-O2", "-DPORTABLE"},
	{"avr-gcc", "-mmcu=attiny85", "-std=c99", "-Os"}, // no multiplier
	{"avr-g++", "-mmcu=atmega328p", "-std=c++11", "-O2", "-x", "c++"},
	{"arm-none-eabi-gcc", "-mcpu=cortex-m0", "-mthumb", "-std=c99", "-Os", "-ffreestanding"},
	{"arm-none-eabi-gcc", "-mcpu=cortex-m4", "-mthumb", "-std=c99", "-Os", "-ffreestanding"},
	{"riscv64-unknown-elf-gcc", "-march=rv32imc", "-mabi=ilp32", "-std=c99", "-Os", "-ffreestanding"},
}

// need skips the test where a tool is not there; where every tool must be there it fails instead.
func need(t *testing.T, tool string) {
	t.Helper()
	if _, err := exec.LookPath(tool); err != nil {
		if tool == "cc" || tool == "c++" {
			t.Fatalf("%s is needed: %v", tool, err)
		}
		tier.Lacks(t, tool)
	}
}

func write(t *testing.T, dir string, files map[string][]byte) {
	t.Helper()
	for name, text := range files {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// emit writes everything of a unit into a new folder.
func emit(t *testing.T, u *model.Unit) string {
	t.Helper()
	dir := t.TempDir()
	write(t, dir, map[string][]byte{
		u.Spec.Name + ".h":         Header(u),
		u.Spec.Name + "_stream.c":  Stream(u),
		u.Spec.Name + "_vectors.h": Vectors(u, DefaultTicks),
	})
	return dir
}

// samples are the starters and the programs made by hand.
func samples(t testing.TB) []*model.Unit {
	return append(starters(t), cart(t), edges(t), gainOnly(t), compass(t), bare(t), quotients(t), curves(t), roots(t))
}

func TestCompilesWithoutAWarning(t *testing.T) {
	units := samples(t)
	for i := range 4 {
		units = append(units, randomUnit(t, uint64(i)))
	}
	dirs, headers := make([]string, len(units)), make([][2][]byte, len(units))
	for i, u := range units {
		dirs[i], headers[i] = emit(t, u), [2][]byte{Header(u), HeaderFor(u, selection.Size)}
	}
	for n, c := range compilers[:tier.Count(2, len(compilers), len(compilers))] {
		t.Run(strings.Join(c, " "), func(t *testing.T) {
			need(t, c[0])
			for i, u := range units {
				dir, name := dirs[i], u.Spec.Name
				write(t, dir, map[string][]byte{name + ".h": headers[i][(i+n)%2]})
				use := fmt.Sprintf("#ifdef PORTABLE\n#define %s_PORTABLE\n#endif\n", strings.ToUpper(name)) + fmt.Sprintf("#include \"%s_vectors.h\"\n#include \"%s.h\"\nunsigned check(void);\nunsigned check(void) { return %s_selftest(); }\n", name, name, name)
				write(t, dir, map[string][]byte{"use.c": []byte(use)})
				args := append(append(append([]string{}, c[1:]...), warnings...), "-c", "use.c", "-o", "use.o")
				if out, err := run(dir, nil, c[0], args...); err != nil {
					t.Errorf("%s: %v\n%s", name, err, out)
				}
			}
		})
	}
}

func run(dir string, stdin []byte, name string, args ...string) ([]byte, error) {
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	cmd.Stdin = bytes.NewReader(stdin)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil || stderr.Len() > 0 {
		return append(out, stderr.Bytes()...), fmt.Errorf("%s %s: %v", name, strings.Join(args, " "), err)
	}
	return out, nil
}

// TestSameBits runs the compiled C and the bit-exact model on the same raw inputs and settings.
func TestSameBits(t *testing.T) {
	units := samples(t)
	programs, ticks := tier.Count(4, 8, 24), tier.Count(4000, 10_000, 20_000)
	for i := range programs {
		units = append(units, randomUnit(t, 100+uint64(i)))
	}
	for _, u := range units {
		t.Run(u.Spec.Name, func(t *testing.T) { sameBits(t, u, ticks) })
	}
}

func sameBits(t *testing.T, u *model.Unit, ticks int) {
	dir := emit(t, u)
	args := append(append([]string{"-std=c99", "-O1", "-fsanitize=undefined", "-fno-sanitize-recover=all"}, warnings...), u.Spec.Name+"_stream.c", "-o", "stream")
	if out, err := run(dir, nil, "cc", args...); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	p := u.Integer
	rng := rand.New(rand.NewPCG(1, 2))
	m := program.NewFixedMachine(p)
	coefs := make([]int64, len(p.Coefs))
	for i, k := range p.Coefs {
		coefs[i] = k.Setter.Apply(k.Setter.XStart)
	}
	var in, want []int64
	for range ticks {
		raw := make([]int64, len(p.Inputs))
		for i, info := range p.Inputs {
			raw[i] = rawValue(rng, info)
			sent := raw[i]
			if info.IsSwitch && sent != 0 { // any number but 0 is on
				sent = 1 + rng.Int64N(255)
			}
			in = append(in, sent)
		}
		for g := range p.Gains {
			set, x := int64(0), rng.Int64N(1<<32)-1<<31
			if rng.IntN(8) == 0 {
				set = 1
			}
			in = append(in, set, x)
			for i, k := range p.Coefs {
				if k.Gain == g && set != 0 {
					coefs[i] = k.Setter.Apply(x)
				}
			}
		}
		over := int64(0)
		if rng.IntN(64) == 0 {
			over = 1
			m.Restart()
		}
		in = append(in, over)
		m.Tick(raw, coefs)
		for i, op := range p.Ops {
			if m.Values[i] < op.Lo || m.Values[i] > op.Hi {
				t.Fatalf("the program itself is wrong: %s is %d, not in [%d, %d]", op.Name, m.Values[i], op.Lo, op.Hi)
			}
		}
		for _, o := range p.Outputs {
			want = append(want, m.Values[o.Value])
		}
		want = append(append(want, m.State...), coefs...)
	}
	var stdin bytes.Buffer
	binary.Write(&stdin, binary.NativeEndian, in)
	out, err := run(dir, stdin.Bytes(), "./stream")
	if err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	got := make([]int64, len(out)/8)
	binary.Read(bytes.NewReader(out), binary.NativeEndian, got)
	if len(got) != len(want) {
		t.Fatalf("%d values came back, %d were expected", len(got), len(want))
	}
	record := len(p.Outputs) + len(p.States) + len(p.Coefs)
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("tick %d, value %d of %d: C gives %d, the model %d", i/record, i%record, record, got[i], want[i])
		}
	}
}

// rawValue is any raw count, the ends of the type and zero more often than others.
func rawValue(rng *rand.Rand, in program.InputInfo) int64 {
	lo, hi := inputType(in).Range()
	switch rng.IntN(8) {
	case 0:
		return lo
	case 1:
		return hi
	case 2:
		return min(max(rng.Int64N(3)-1, lo), hi)
	}
	return lo + rng.Int64N(hi-lo+1)
}

func TestVectorsAgree(t *testing.T) {
	for _, u := range samples(t) {
		dir := emit(t, u)
		name := u.Spec.Name
		main := fmt.Sprintf("#include <stdio.h>\n#include \"%s_vectors.h\"\nint main(void) { printf(\"%%u\", (unsigned)%s_selftest()); return 0; }\n", name, name)
		write(t, dir, map[string][]byte{"main.c": []byte(main)})
		if out, err := run(dir, nil, "cc", "-std=c99", "main.c", "-o", "main"); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		if out, err := run(dir, nil, "./main"); err != nil || string(out) != "0" {
			t.Errorf("%s: the self-test says %s, %v", name, out, err)
		}
	}
}

// TestVectorsFindAFault changes one shift of the step; the self-test must not pass then.
func TestVectorsFindAFault(t *testing.T) {
	u := cart(t)
	dir := emit(t, u)
	for i := range u.Integer.Ops {
		if op := &u.Integer.Ops[i]; op.Name == "pull" {
			op.K.SetInt64(1310)
		}
	}
	main := "#include <stdio.h>\n#include \"cart_vectors.h\"\nint main(void) { printf(\"%u\", (unsigned)cart_selftest()); return 0; }\n"
	write(t, dir, map[string][]byte{"main.c": []byte(main), "cart.h": Header(u)})
	if out, err := run(dir, nil, "cc", "-std=c99", "main.c", "-o", "main"); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if out, err := run(dir, nil, "./main"); err != nil || string(out) == "0" {
		t.Errorf("the self-test says %s, %v", out, err)
	}
}
