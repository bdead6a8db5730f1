package campaign

import (
	"fmt"
	"strings"
	"sync"
	"testing"
	"time"

	"gainwright/model"
	"gainwright/model/finding"
	"gainwright/model/tier"
	"gainwright/templates"
)

// hostileText is a spec that somebody wrote to do harm, or a very large one.
type hostileText struct {
	name string
	text string
	rule string // that an error must have; "": it is accepted; "*": either will do
}

// hostileTexts are all of them. Those of one list are made by one function each.
func hostileTexts() []hostileText {
	out := append(hostileYAML(), hostileNames()...)
	out = append(out, hostileComments()...)
	out = append(out, hostileNumbers()...)
	return append(out, hostileSizes()...)
}

// TestHostileTexts holds each text against a clear error, or an output that compiles without a word.
func TestHostileTexts(t *testing.T) {
	texts, out := hostileTexts(), newOutputs(t)
	slowest, largest := worst{}, worst{}
	of := tier.Count(48, 12, 1)
	for i, c := range texts {
		if i%of != 0 {
			continue
		}
		t.Run(c.name, func(t *testing.T) {
			u, took, memory := checked(t, c.text)
			slowest.hold(took.Seconds(), c.name)
			largest.hold(float64(memory>>20), c.name)
			said := c.rule == "*" || c.rule == "" && u.OK()
			for _, f := range u.Findings {
				said = said || f.Severity == finding.Error && f.Rule == c.rule
			}
			if !said {
				t.Errorf("an error %q is expected: %v", c.rule, u.Findings)
			}
			if u.OK() && (len(c.text) < longText || *specs > 200) { // what a very large spec leads to belongs to the long campaign
				out.take(t, u)
			}
		})
	}
	t.Logf("%d texts, %d of them accepted; slowest %.2f s (%s), largest %.0f MiB (%s)", len(texts), out.units, slowest.most, slowest.name, largest.most, largest.name)
	if out.units < 300/of {
		t.Errorf("only %d hostile texts are accepted: nothing tells whether their output is safe", out.units)
	}
	out.compile(t)
}

// worst is the largest of some figures, and whose it is.
type worst struct {
	most float64
	name string
}

func (w *worst) hold(x float64, name string) {
	if x > w.most {
		w.most, w.name = x, name
	}
}

// checked sends a text through the compiler and, where it is accepted, through the emitters, and holds time, memory
// and the form of what comes back against what must hold for any text.
func checked(t testing.TB, text string) (u *model.Unit, took time.Duration, memory uint64) {
	t.Helper()
	took, memory = watch(func() { u = model.Compile("hostile.yaml", []byte(text)) })
	if u == nil {
		t.Fatal("the compiler gave up")
	}
	if memory > mostMemory {
		t.Errorf("the compiler took %d MiB", memory>>20)
	}
	for _, f := range u.Findings {
		if f.Rule == "not-proven" {
			t.Errorf("refused by the checker: %s", f.Message)
		}
		for _, s := range append([]string{f.Message, f.Remedy, f.Key}, f.Because...) {
			if strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c > '~' }) || len(s) > 500 {
				t.Errorf("a finding of %d bytes, or with strange characters: %.100q", len(s), s)
			}
		}
	}
	if !u.OK() {
		if !u.Findings.Failed() {
			t.Error("neither code nor an error")
		}
	} else if f := emit(u); f != nil {
		t.Errorf("%s: %s", f.What, f.Why)
	}
	for try := 0; try < 2 && took > slow*time.Duration(slowness()); try++ { // a busy machine makes one thread slower: the least counts
		again, _ := watch(func() { model.Compile("hostile.yaml", []byte(text)) })
		took = min(took, again)
	}
	if took > slow*time.Duration(slowness()) {
		t.Errorf("the compiler took %v", took)
	}
	return u, took, memory
}

// slowness is how many times longer than on a machine of our day things take here: a fuzzer counts branches, and a machine may be
// old. It is measured once, by the check of a starter, which takes a tenth of a second at most.
var slowness = sync.OnceValue(func() int {
	least := time.Hour
	for range 3 {
		took, _ := watch(func() { model.Compile("cart.yaml", templates.Starter("cart")) })
		least = min(least, took)
	}
	return 1 + int(least/(100*time.Millisecond))
})

// longText is the size in bytes of a very large spec.
const longText = 20_000

// mostMemory is what the check of a text may take beyond what was taken before.
const mostMemory = 256 << 20

// controller is a spec with places to put hostile texts into.
type controller struct{ name, about, rate, input, unit, counts, span, step, more, output, rest string }

func (c controller) text() string {
	or := func(s, otherwise string) string {
		if s == "" {
			return otherwise
		}
		return s
	}
	in, step := or(c.input, "x"), or(c.step, "y")
	kind := or(c.more, "kind: low_pass, of: "+in+", time_constant: 1 s")
	return fmt.Sprintf("controller: %s\nabout: %s\nrate: %s\ninputs: {%s: {raw: int16, unit: %s, counts_per_unit: %s%s}}\nsteps: {%s: {%s}}\noutputs: {%s: {from: %s, raw: int16, unit: %s}}\n%s",
		or(c.name, defaultName), or(c.about, "text"), or(c.rate, "100 Hz"), in, or(c.unit, "mm"), or(c.counts, "10"), c.span, step, kind, or(c.output, "z"), step, or(c.unit, "mm"), c.rest)
}

// defaultName is the controller of those texts that are hostile elsewhere.
const defaultName = "tray"

// texts collects hostile texts.
type texts []hostileText

func (t *texts) add(name, rule, text string) {
	*t = append(*t, hostileText{name: name, text: text, rule: rule})
}

func (t *texts) with(name, rule string, c controller) { t.add(name, rule, c.text()) }

// many repeats a text with numbers from 0.
func many(n int, format string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}
