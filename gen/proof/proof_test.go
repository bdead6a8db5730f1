package proof

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/program"
	"gainwright/model/tier"
)

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

// specimen is one of the specs that tests share.
func specimen(t *testing.T, name string) *model.Unit {
	t.Helper()
	text, err := os.ReadFile("../../testdata/specs/" + name + ".yaml")
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
	tier.Tool(t, Tool, Package)
	specs, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(specs) == 0 {
		t.Fatalf("no starters: %v", err)
	}
	for _, spec := range specs {
		name := strings.TrimSuffix(filepath.Base(spec), ".yaml")
		for _, m := range Machines {
			t.Run(name+"/"+string(m), func(t *testing.T) {
				if name != "pan" {
					tier.Slow(t)
				}
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

// TestSmall has the cart made for size proven, where setters and products are shared.
func TestSmall(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	u := starter(t, "cart")
	u.Spec.Prefer = "size"
	r, err := Run(inTime(t), u, Int16)
	if err != nil {
		t.Fatal(err)
	}
	if !r.OK() {
		t.Fatalf("not proven: %s", r)
	}
	t.Logf("%s", r)
}

// slowerBehind is a notch before a filter that rings longer. By more taps the certificate knows lp_x1, which becomes the notch's value, 11 counts
// better than it knows that value.
const slowerBehind = `
controller: slower
rate: 1 kHz
target: portable
inputs:
  x: {raw: int16, unit: V, counts_per_unit: 1, range: [-20000, 20000]}
steps:
  notch: {kind: second_order, of: x, response: notch, frequency: 60 Hz, q: 5, structure: direct}
  lp: {kind: second_order, of: notch, response: low_pass, frequency: 40 Hz, q: 10, structure: direct}
outputs:
  z: {from: lp, raw: int32, unit: V, counts_per_unit: 1}
`

// TestOthers has a chain of filters proven, steps that do not run at each tick, two filters of which the certificate knows a state better than its value, and some
// arbitrary controllers.
func TestOthers(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	units := []*model.Unit{specimen(t, "chain"), specimen(t, "clocks"), compiled(t, "slower", []byte(slowerBehind))}
	for seed := uint64(1); len(units) < 6; seed++ {
		s := arbitrary.New(fmt.Sprintf("r%d", seed), seed)
		u := model.Compile(s.Name+".yaml", s.Text())
		if u.OK() && len(angles(u, c.Header(u))) == 0 && !hasRoot(u) { // arctangents take seconds: the starters have them
			units = append(units, u)
		}
	}
	for _, u := range units {
		t.Run(u.Spec.Name, func(t *testing.T) {
			t.Parallel()
			if r, err := Run(inTime(t), u, Int16); err != nil || !r.OK() {
				t.Errorf("not proven: %v, %v", r, err)
			}
		})
	}
}

// hasRoot tells whether a controller takes a square root, which Eva does not prove: that what is subtracted is no more than what is there hangs on two
// values together. Package gen/c runs the roots of all numbers of 16 bits, as they are and times
// 2^16 and 2^40, under a sanitizer.
func hasRoot(u *model.Unit) bool {
	return slices.ContainsFunc(u.Integer.Ops, func(op program.FixedOp) bool { return op.Kind == program.Root })
}

// TestDriverReachesEveryEnd makes each range that the step's contract requires one count narrower, at one end
// after the other: the driver then breaks every one of them, so what it shows is all that the contract
// allows. Truths stay, and so does the end at which a state starts: the start breaks a narrower one, and Eva then goes no further.
func TestDriverReachesEveryEnd(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	u := starter(t, "pan")
	header := annotated(t, u)
	at := strings.LastIndex(header, `/*@ requires \valid(s)`)
	clause := regexp.MustCompile(`requires (-?\d+) <= (s->\S+) <= (-?\d+);`)
	for end, put := range map[int]string{1: "requires $1 + 1 <= $2 <= $3;", 3: "requires $1 <= $2 <= $3 - 1;"} {
		dir := t.TempDir()
		wanted := 0
		narrow := header[:at] + clause.ReplaceAllStringFunc(header[at:], func(s string) string {
			m := clause.FindStringSubmatch(s)
			starts := strings.Contains(header, fmt.Sprintf("    %s = %s;\n", m[2], m[end]))
			if strings.HasSuffix(s, " <= 1;") || starts {
				return s
			}
			wanted++
			return clause.ReplaceAllString(s, put)
		})
		if wanted < 10 {
			t.Fatalf("%d ranges are required", wanted)
		}
		for name, text := range map[string]string{"pan.h": narrow, "pan_proof.c": string(driver(u, []byte(header)))} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		args := slices.DeleteFunc(arguments(u, []byte(header), Int32, everything), func(a string) bool {
			return a == "-eva-warn-key" || a == "alarm=abort"
		})
		cmd := exec.CommandContext(inTime(t), Tool, append(args, "-then", "-report-csv", "p.csv")...)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, tail(out))
		}
		table, err := os.ReadFile(filepath.Join(dir, "p.csv"))
		if err != nil {
			t.Fatal(err)
		}
		broken := regexp.MustCompile(`(?m)^.*\tprecondition of pan_step\t(?:Unknown|Invalid)\t.*$`).FindAllString(string(table), -1)
		ranges := map[string]bool{}
		for _, b := range broken {
			ranges[b[strings.LastIndex(b, "\t"):]] = true
		}
		if len(ranges) != wanted {
			t.Errorf("%s: %d of %d ranges are broken", put, len(ranges), wanted)
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

// TestLookingUpAndBack has tables proven: uneven ones, wide ones and even ones; and a median, a moving average and a delay.
func TestLookingUpAndBack(t *testing.T) {
	tier.Tool(t, Tool, Package)
	for _, name := range []string{"tank", "samples"} {
		t.Run(name, func(t *testing.T) {
			m := Int16
			t.Parallel()
			r, err := Run(inTime(t), specimen(t, name), m)
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
