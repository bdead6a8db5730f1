package proof

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gainwright/gen/c"
	"gainwright/model"
)

// need skips a test where Frama-C is not there; with GAINWRIGHT_NEED_TOOLS=1 it fails instead.
func need(t *testing.T) {
	t.Helper()
	if _, err := exec.LookPath(Tool); err != nil {
		if os.Getenv("GAINWRIGHT_NEED_TOOLS") == "1" {
			t.Fatalf("%s is needed: install %s", Tool, Package)
		}
		t.Skipf("%s is not installed: the package %s brings it", Tool, Package)
	}
}

func compiled(t *testing.T, name string, text []byte) *model.Unit {
	t.Helper()
	u := model.Compile(name+".yaml", text)
	if !u.OK() {
		t.Fatalf("%s: %v", name, u.Findings)
	}
	return u
}

func starter(t *testing.T, name string) *model.Unit {
	t.Helper()
	text, err := os.ReadFile("../../templates/starters/" + name + ".yaml")
	if err != nil {
		t.Fatal(err)
	}
	return compiled(t, name, text)
}

func annotated(t *testing.T, u *model.Unit) string {
	t.Helper()
	header, err := Annotate(u, c.Header(u))
	if err != nil {
		t.Fatal(err)
	}
	return string(header)
}

func inTime(t *testing.T) context.Context {
	ctx, cancel := context.WithTimeout(context.Background(), 5*time.Minute)
	t.Cleanup(cancel)
	return ctx
}

// TestStarters has each starter's header proven for both machines.
func TestStarters(t *testing.T) {
	need(t)
	specs, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(specs) == 0 {
		t.Fatalf("no starters: %v", err)
	}
	for _, spec := range specs {
		name := strings.TrimSuffix(filepath.Base(spec), ".yaml")
		for _, m := range Machines {
			t.Run(name+"/"+string(m), func(t *testing.T) {
				t.Parallel()
				r, err := Run(inTime(t), starter(t, name), m)
				if err != nil {
					t.Fatal(err)
				}
				if !r.OK() {
					t.Fatalf("not proven: %s", r)
				}
				t.Logf("%s; %.1f s of processor time", r, r.Processor.Seconds())
				for _, a := range r.Admits {
					t.Logf("admitted: %s", a)
				}
			})
		}
	}
}

// TestOnlyCommentsAreAdded preprocesses the header with and without annotations: what a compiler sees is the same.
func TestOnlyCommentsAreAdded(t *testing.T) {
	for _, name := range []string{"cart", "pan"} {
		u := starter(t, name)
		plain, said := string(c.Header(u)), annotated(t, u)
		if !strings.Contains(said, "/*@ requires ") || !strings.Contains(said, "/*@ admit ") || strings.Contains(plain, "/*@") {
			t.Fatalf("%s: the annotations are not where they should be", name)
		}
		if a, b := preprocessed(t, plain), preprocessed(t, said); a != b {
			t.Errorf("%s: the annotated header is another one for a compiler", name)
		}
	}
}

// preprocessed is what is left of a header without comments, one token after the other.
func preprocessed(t *testing.T, header string) string {
	t.Helper()
	cmd := exec.Command("cc", "-std=c99", "-E", "-P", "-")
	cmd.Stdin = strings.NewReader(header)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("cc is needed: %v", err)
	}
	return strings.Join(strings.Fields(string(out)), " ")
}

// TestNames: what cannot be said in ACSL is an error for people.
func TestNames(t *testing.T) {
	text, err := os.ReadFile("../../templates/starters/incubator.yaml")
	if err != nil {
		t.Fatal(err)
	}
	text = []byte(strings.ReplaceAll(string(text), "heater: {from", "boolean: {from"))
	text, _, _ = cutAt(text, "\n# The box")
	u := compiled(t, "incubator", text)
	if _, err := Files(u); err == nil || !strings.Contains(err.Error(), "boolean is the name of a type in ACSL") {
		t.Errorf("an output named boolean: %v", err)
	}
}

func cutAt(text []byte, mark string) (before, after []byte, found bool) {
	b, a, ok := strings.Cut(string(text), mark)
	return []byte(b), []byte(a), ok
}

// TestBands: the bands of an arctangent leave out no argument, and in each the quotient stays inside the table.
func TestBands(t *testing.T) {
	u := starter(t, "cart")
	list := angles(u, []byte(annotated(t, u)))
	if len(list) != 1 {
		t.Fatalf("%d arctangents", len(list))
	}
	a := list[0]
	n, last := a.table.QuotientBits, len(a.table.Entries)-1
	next := 0
	for _, b := range a.bands() {
		if b.from != next || b.to < b.from {
			t.Fatalf("band %v follows %d", b, next-1)
		}
		next = b.to + 1
		if b.from > 0 && (b.to<<n)/b.from>>(n-a.table.LogEntries)+1 > last {
			t.Errorf("band %v leads beyond the table", b)
		}
	}
	if next != -a.lo+1 {
		t.Errorf("the bands end at %d", next-1)
	}
}
