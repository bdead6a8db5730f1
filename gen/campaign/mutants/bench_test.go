package mutants

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"gainwright/gen"
	"gainwright/gen/disk"
	"gainwright/model/tier"
)

// bench is some copies of a generated folder, and what its tests sent to the header as it is and got back. The tests want exactly that,
// and what they send does not depend on the header: so a mutant is sent the same, and fails the tests where anything else comes back. TestRecorded holds
// this against the tests themselves.
type bench struct {
	t           *testing.T
	name, tests string
	hosts       []string
	link        []string // how programs are linked: one without shared libraries starts sooner
	plain       string   // the machine code of the header as it is
	short       []*source
	whole       func() []*source // recorded once a mutant passes the short tests
	cpu         atomic.Int64     // nanoseconds of all commands
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
	recorder := filepath.Join(t.TempDir(), "recorder") // a folder that keeps its header
	if err := disk.Put(recorder, files); err != nil {
		t.Fatal(err)
	}
	recorder = filepath.Join(recorder, gen.Host)
	b.tests = filepath.Join(t.TempDir(), "folder.test")
	if said, err := b.command(recorder, "go", "test", "-c", "-o", b.tests, "."); err != nil {
		t.Fatalf("%v\n%s", err, said)
	}
	if b.short = b.record(recorder, true); len(b.short) == 0 {
		t.FailNow()
	}
	b.whole = sync.OnceValue(func() []*source { return b.record(recorder, false) })
	if err := os.WriteFile(filepath.Join(recorder, "empty.c"), []byte("int main(void) { return 0; }\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := b.command(recorder, "cc", "-static", "-o", os.DevNull, "empty.c"); err == nil {
		b.link = []string{"-static"}
	}
	var compiles bool
	if b.plain, compiles = b.machineCode(b.hosts[0], b.short[0]); !compiles {
		t.Fatal("the header as it is does not compile")
	}
	return b
}

func (b *bench) used() time.Duration { return time.Duration(b.cpu.Load()) }

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
const wanted = "TestCompiledC|TestSelfTest|TestEdges|TestEveryInput|TestSetters|TestRestarts"

func (b *bench) put(host string, m Mutant) {
	if err := os.WriteFile(filepath.Join(host, "..", b.name+".h"), []byte(m.Text), 0o644); err != nil {
		b.t.Error(err)
	}
}

func (b *bench) try(host string, m Mutant) fate {
	b.put(host, m)
	code, compiles := b.machineCode(host, b.short[0])
	switch {
	case !compiles:
		return uncompiled
	case code == b.plain:
		return same
	}
	built := map[string]string{b.short[0].text: filepath.Join(host, "program0.exe")}
	if said, err := b.link0(host, built[b.short[0].text]); err != nil {
		b.t.Errorf("%v\n%s", err, said)
	}
	for _, sources := range []func() []*source{func() []*source { return b.short }, b.whole} { // most fail soon
		for _, p := range sources() {
			if built[p.text] == "" {
				built[p.text] = filepath.Join(host, fmt.Sprintf("program%d.exe", len(built)))
				if _, err := b.compile(host, p.file, append([]string{"-o", built[p.text]}, b.link...)...); err != nil {
					return failed // the tests compile it too
				}
			}
			for _, r := range p.runs {
				if f := b.again(built[p.text], r); f != survived {
					return f
				}
			}
		}
	}
	return survived
}

// compile runs the compiler as the tests do.
func (b *bench) compile(host, file string, more ...string) (string, error) {
	return b.command(host, "cc", append(append([]string{"-std=c99", "-O2", "-w", "-I.", "-I.."}, more...), file)...)
}

// machineCode is what the compiler makes of the header's functions as the tests call them; it stays in the folder for link0.
func (b *bench) machineCode(host string, of *source) (string, bool) {
	if _, err := b.compile(host, of.file, "-S", "-o", "program0.s"); err != nil {
		return "", false
	}
	code, err := os.ReadFile(filepath.Join(host, "program0.s"))
	if err != nil {
		b.t.Error(err)
	}
	return string(code), err == nil
}

// link0 makes a program of the machine code.
func (b *bench) link0(host, to string) (string, error) {
	return b.command(host, "cc", append(append([]string{"-o", to}, b.link...), "program0.s")...)
}

func (b *bench) command(dir, name string, args ...string) (string, error) {
	said, cpu, err := timed(b.t, dir, nil, name, args...)
	b.cpu.Add(int64(cpu))
	return said, err
}

func command(t *testing.T, dir, name string, args ...string) (string, error) {
	said, _, err := timed(t, dir, nil, name, args...)
	return said, err
}

// timed runs a command, with more in its environment, and says what CPU it took.
func timed(t *testing.T, dir string, env []string, name string, args ...string) (string, time.Duration, error) {
	ctx, cancel := context.WithTimeout(t.Context(), 4*time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, name, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), env...)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Errorf("%s: %v", name, err)
	}
	return said.String(), took(cmd), err
}

func took(cmd *exec.Cmd) time.Duration {
	if cmd.ProcessState == nil {
		return 0
	}
	return cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
}

// TestRecorded: what is found out from what was recorded is what the tests themselves find out.
func TestRecorded(t *testing.T) {
	tier.Slow(t)
	_, header, files := generated(t, "incubator")
	b := newBench(t, "incubator", files)
	fates := map[fate]int{}
	for _, m := range append(sample(Of(header), 12), Mutant{Text: header + "/* no change */\n"}) {
		f := b.try(b.hosts[0], m)
		if f == uncompiled {
			continue
		}
		fates[f]++
		said, err := b.command(b.hosts[0], b.tests, "-test.run", wanted, "-test.failfast", "-test.short")
		if failing := strings.Contains(said, "--- FAIL"); failing != (err != nil) || failing != (f == failed) {
			t.Errorf("%s, but the tests say %v: %s\n%s", f, err, m, said)
		}
	}
	if fates[failed] == 0 || fates[same] == 0 {
		t.Errorf("%v: mutants that fail and one that does not are to be seen", fates)
	}
}
