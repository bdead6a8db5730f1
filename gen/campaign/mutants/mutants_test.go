package mutants

import (
	"flag"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"gainwright/gen"
	"gainwright/gen/disk"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/templates"
)

var (
	which  = flag.String("mutants", "", "starter whose mutants are all tried, or all; empty: some of each starter")
	few    = flag.Int("sample", 3, "how many mutants of a starter are tried otherwise, evenly spread")
	atOnce = flag.Int("at-once", 2, "mutants to try at once")
)

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
	if *which == "" {
		tier.Slow(t)
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
				list = sample(list, *few)
			}
			b := newBench(t, name, files)
			b.cpu.Store(0) // what follows is what mutants cost, with what is recorded for those that the short tests pass
			total, perKind, excused := map[fate]int{}, map[string]int{}, map[excuse]int{}
			for i, f := range b.fates(list) {
				total[f]++
				perKind[list[i].Kind]++
				if f == stopped {
					t.Errorf("did not end in time: %s", list[i])
				}
				if f != survived && f != failed {
					continue
				}
				why := excuseOf(u, list[i])
				if f == failed {
					if why == fine || why == fitsAnyway || why == unbelieved {
						t.Errorf("a test fails, which is said to change nothing, %s: %s", why, list[i])
					}
					continue
				}
				excused[why]++
				if why == none {
					t.Errorf("survived: %s", list[i])
				} else {
					t.Logf("survived, %s: %s", why, list[i])
				}
			}
			t.Logf("%d mutants: %v, by kind %v; survivors %v; %.2f s of CPU each", len(list), total, perKind, excused, b.used().Seconds()/float64(len(list)))
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

// TestSecondRun: the go command remembers that the tests passed, and must forget it when the header is edited. Nothing
// tells it so (-count=1 would).
func TestSecondRun(t *testing.T) {
	tier.Slow(t)
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
