package mutants

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"gainwright/gen"
	"gainwright/gen/disk"
	"gainwright/model"
	"gainwright/templates"
)

var (
	which  = flag.String("mutants", "", "starter whose mutants are all tried, or all; empty: some of each starter")
	atOnce = flag.Int("at-once", 2, "mutants to try at once")
)

// few is how many mutants of a starter are tried by default.
const few = 5

// fate is what became of a mutant.
type fate string

const (
	uncompiled fate = "does not compile"
	failed     fate = "a test fails"
	same       fate = "same machine code" // by cc -O2 on this host
	survived   fate = "survived"
	stopped    fate = "did not end in time" // a busy machine, or a loop without end: it counts as nothing
)

// TestMutants changes the header of each starter in one place after the other. A mutant whose behaviour differs does not
// compile or fails one of the tests that are emitted beside the header. The test of the header's sum does not count: it
// would see each of them.
func TestMutants(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles and runs some hundred programs")
	}
	for _, tool := range []string{"go", "cc"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Fatalf("%s is missing", tool)
		}
	}
	for _, name := range templates.Starters() {
		t.Run(name, func(t *testing.T) {
			u, header, files := generated(t, name)
			list := Of(header)
			if *which != "all" && *which != name {
				list = sample(list, few)
			}
			b := newBench(t, name, files)
			total, perKind, excused := map[fate]int{}, map[string]int{}, map[excuse]int{}
			for i, f := range b.fates(list) {
				total[f]++
				perKind[list[i].Kind]++
				if f == stopped {
					t.Errorf("did not end in time: %s", list[i])
				}
				if f != survived {
					continue
				}
				why := excuseOf(u, list[i])
				excused[why]++
				if why == none {
					t.Errorf("survived: %s", list[i])
				} else {
					t.Logf("survived, %s: %s", why, list[i])
				}
			}
			t.Logf("%d mutants: %v, by kind %v; survivors %v", len(list), total, perKind, excused)
			if total[failed] == 0 {
				t.Error("no test fails at all")
			}
		})
	}
}

// sample takes n mutants, evenly.
func sample(list []Mutant, n int) []Mutant {
	var out []Mutant
	for i := range min(n, len(list)) {
		out = append(out, list[i*len(list)/min(n, len(list))])
	}
	return out
}

func generated(t *testing.T, name string) (*model.Unit, string, map[string][]byte) {
	t.Helper()
	return generatedFrom(t, name, string(templates.Starter(name)))
}

// generatedFrom is the same for the text of a spec.
func generatedFrom(t *testing.T, name, src string) (*model.Unit, string, map[string][]byte) {
	t.Helper()
	u := model.Compile(name+".yaml", []byte(src))
	files, err := gen.Generate(u)
	if err != nil {
		t.Fatal(err)
	}
	return u, string(files[name+".h"]), files
}

// bench is some copies of a generated folder, and its tests, built once: their own files stay as they are.
type bench struct {
	t           *testing.T
	name, tests string
	hosts       []string
	plain       string // the machine code of the header as it is
}

func newBench(t *testing.T, name string, files map[string][]byte) *bench {
	t.Helper()
	b := &bench{t: t, name: name}
	for i := range *atOnce {
		dir := filepath.Join(t.TempDir(), fmt.Sprint(i))
		if err := disk.Put(dir, files); err != nil {
			t.Fatal(err)
		}
		b.hosts = append(b.hosts, filepath.Join(dir, gen.Host))
	}
	b.tests = filepath.Join(t.TempDir(), "folder.test")
	if said, err := command(t, b.hosts[0], "go", "test", "-c", "-o", b.tests, "."); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	if said, err := command(t, b.hosts[0], b.tests, "-test.run", wanted, "-test.short"); err != nil {
		t.Fatalf("the header as it is does not pass: %v\n%s", err, said)
	}
	b.plain, _ = machineCode(t, b.hosts[0], name)
	return b
}

// fates tries mutants, some at once.
func (b *bench) fates(list []Mutant) []fate {
	out := make([]fate, len(list))
	next := make(chan int)
	var working sync.WaitGroup
	for _, host := range b.hosts {
		working.Go(func() {
			for at := range next {
				out[at] = b.try(host, list[at])
			}
		})
	}
	for i := range list {
		next <- i
	}
	close(next)
	working.Wait()
	return out
}

// wanted are the emitted tests that can see a change of the header's behaviour.
const wanted = "TestCompiledC|TestSelfTest|TestEdges|TestEveryInput|TestSetters"

func (b *bench) try(host string, m Mutant) fate {
	if err := os.WriteFile(filepath.Join(host, "..", b.name+".h"), []byte(m.Text), 0o644); err != nil {
		b.t.Error(err)
	}
	code, compiles := machineCode(b.t, host, b.name)
	switch {
	case !compiles:
		return uncompiled
	case code == b.plain:
		return same
	}
	for _, short := range []string{"true", "false"} { // most fail soon
		said, err := command(b.t, host, b.tests, "-test.run", wanted, "-test.failfast", "-test.timeout", "100s", "-test.short="+short)
		if strings.Contains(said, "test timed out") || err != nil && !strings.Contains(said, "--- FAIL") {
			return stopped
		}
		if err != nil {
			return failed
		}
	}
	return survived
}

// machineCode is what the compiler makes of the header's functions as the tests call them.
func machineCode(t *testing.T, host, name string) (string, bool) {
	code, err := command(t, host, "cc", "-std=c99", "-O2", "-w", "-I..", "-S", "-o", "-", name+"_stream.c")
	return code, err == nil
}

func command(t *testing.T, dir, name string, args ...string) (string, error) {
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Errorf("%s: %v", name, err)
	}
	return said.String(), err
}

// TestSecondRun: the go command remembers that the tests passed, and must forget it when the header is edited. Nothing
// tells it so (-count=1 would).
func TestSecondRun(t *testing.T) {
	_, _, files := generated(t, "incubator")
	dir := t.TempDir()
	if err := disk.Put(dir, files); err != nil {
		t.Fatal(err)
	}
	// The go command remembers nothing about files that changed in the last two seconds.
	old := time.Now().Add(-time.Hour)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := os.Chtimes(filepath.Join(dir, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	run := func(from string) (string, error) {
		return command(t, filepath.Join(dir, from), "go", "test", "-short", "./...")
	}
	if said, err := run("."); err != nil || strings.Contains(said, "(cached)") {
		t.Fatalf("first run: %v\n%s", err, said)
	}
	if said, err := run("."); err != nil || !strings.Contains(said, "(cached)") {
		t.Fatalf("second run: nothing is remembered, so this test shows nothing: %v\n%s", err, said)
	}
	for name, edit := range map[string][2]string{
		"incubator.h":              {"    s->heat_integral = heat_integral_limited;\n", "    s->heat_integral = heat_integral_before;\n"},
		"host/incubator_stream.c":  {"w[0] = out.heater;", "w[0] = 1 + out.heater;"},
		"host/incubator_vectors.h": {"    { 1000 },\n", "    { 1001 },\n"},
	} {
		whole := strings.Replace(string(files[name]), edit[0], edit[1], 1)
		if whole == string(files[name]) {
			t.Fatalf("%s holds no %q", name, edit[0])
		}
		write := func(text string) {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
			if err := os.Chtimes(filepath.Join(dir, name), old.Add(time.Minute), old.Add(time.Minute)); err != nil {
				t.Fatal(err)
			}
		}
		write(whole)
		for _, from := range []string{".", gen.Host} {
			if said, err := run(from); err == nil {
				t.Errorf("%s was edited, and the tests pass from %s:\n%s", name, from, said)
			}
		}
		write(string(files[name]))
		if said, err := run("."); err != nil {
			t.Fatalf("%s is as it was: %v\n%s", name, err, said)
		}
	}
}
