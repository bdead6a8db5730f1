package cert_test

import (
	"flag"
	"gainwright/model/tier"
	"hash/fnv"
	"path/filepath"
	"reflect"
	"sync"
	"testing"
)

var everyField = flag.Bool("every-field", false, "make every single change of TestEveryField, not a part of them")

// tried are the specs whose proofs are changed.
var tried = []string{"../../templates/starters/cart.yaml", "../../templates/starters/heading.yaml", "../../templates/starters/incubator.yaml",
	"../../templates/starters/pan.yaml", "../../templates/starters/spindle.yaml", "../../testdata/specs/clocks.yaml", "../../testdata/specs/loop_b.yaml", "../../testdata/specs/samples.yaml", "../../testdata/specs/section.yaml", "../../testdata/specs/turned.yaml"}

// more are those that take longer, for -every-field.
var more = []string{"../../testdata/specs/chain.yaml", "../../testdata/specs/circle.yaml", "../../testdata/specs/line.yaml"}

// TestEveryField changes every field of both programs and of the certificate, one at a time. What the checker accepts must be
// listed as harmless. With -every-field it makes every change, some 120,000, and wants each line of the list to be
// of use; otherwise one in 12, and the first of each kind.
func TestEveryField(t *testing.T) {
	tier.Slow(t)
	specs := tried
	if *everyField {
		specs = append(append([]string(nil), tried...), more...)
	}
	proofs := map[string]func() *proof{"quotient": func() *proof { return provenQuotient(t) }, "table": func() *proof { return provenTable(t) }, "root": func() *proof { return provenRoot(t) }}
	for _, file := range specs {
		proofs[filepath.Base(file)] = func() *proof { return proofOf(compile(t, file)) }
	}
	var mu sync.Mutex
	made, refused := 0, 0
	t.Run("specs", func(t *testing.T) {
		for name, of := range proofs {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				p := of()
				if err := p.check(); err != nil {
					t.Fatal(err)
				}
				first := map[string]bool{}
				changes(reflect.ValueOf(p).Elem(), "", nil, func(c change) {
					key := c.kind + " " + c.how
					if h := fnv.New32a(); first[key] && !*everyField {
						h.Write([]byte(c.place() + c.how))
						if h.Sum32()%12 != 0 {
							return
						}
					}
					first[key] = true
					err := p.try(c)
					mu.Lock()
					defer mu.Unlock()
					made++
					if p, ok := err.(panicked); ok {
						t.Errorf("%s, %s: %v", c.place(), c.how, p)
					}
					if err != nil {
						refused++
						return
					}
					for i := range harmlessChanges {
						if h := &harmlessChanges[i]; h.fits(p, c) {
							h.seen++
							return
						}
					}
					t.Errorf("%s, %s: accepted, and not listed as harmless", c.place(), c.how)
				})
				if err := p.check(); err != nil {
					t.Errorf("a change was not taken back: %v", err)
				}
			})
		}
	})
	t.Logf("%d changes, %d refused", made, refused)
	for _, h := range harmlessChanges {
		if *everyField && h.seen == 0 {
			t.Errorf("nothing that is accepted is of the kind %s %s", h.kinds, h.hows)
		}
		t.Logf("%6d harmless: %s: %s", h.seen, h.kinds[:min(len(h.kinds), 40)], h.why)
	}
}
