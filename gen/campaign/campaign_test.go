package campaign

import (
	"context"
	"flag"
	"fmt"
	"gainwright/model/tier"
	"testing"
)

var (
	specs = flag.Int("specs", 0, "random specs to send through the chain; 0: 40, 120 where all tests are to run, 1000 with -long")
	first = flag.Uint64("first", 0, "seed of the first")
	ticks = flag.Int("ticks", 12000, "ticks of each")
	tries = flag.Int("tries", 400, "smaller specs to try for each failure")
	inC   = flag.Int("batch", 50, "controllers in one translation unit of C; 0: none is compiled")
	goOf  = flag.Int("go-of", 1, "batches to each whose emitted Go is built and run too, which costs more than all else")
	keep  = flag.Bool("keep", true, "write failures to testdata/failures, where each is a test from then on")
)

const failures = "../../testdata/failures"

// TestCampaign is the whole chain on random controllers.
func TestCampaign(t *testing.T) {
	n := *specs
	if n == 0 {
		n = tier.Count(20, 60, 1000)
	}
	r, err := Run(context.Background(), Options{First: *first, Specs: n, Ticks: *ticks, Batch: *inC, GoOf: *goOf, Tries: *tries, Each: func(f Failure) {
		text := fmt.Sprintf("seed %d, %s: %s\n\n%s", f.Seed, f.What, f.Why, f.Spec.Text())
		t.Error(text)
		if *keep && !tier.Fault() { // what a seeded fault breaks is no failure of ours
			path, err := f.Keep(failures)
			if err != nil {
				t.Fatal(err)
			}
			t.Logf("kept as %s: from now on a test of its own", path)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(r)
	if r.Accepted*10 < r.Specs*9 {
		t.Errorf("%d of %d specs are accepted: 9 of 10 are expected", r.Accepted, r.Specs)
	}
}
