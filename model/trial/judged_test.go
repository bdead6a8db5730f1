package trial

import (
	"strings"
	"testing"
)

// TestJudgedSaysWhatWasNot: what no bound is proven for, and what float64 cannot decide, is counted out and named.
func TestJudgedSaysWhatWasNot(t *testing.T) {
	bounded, unbounded := Difference{Claimed: true, Bound: 1}, Difference{}
	undecided := Difference{Claimed: true, Bound: 1, Unjudged: "it cannot be told"}
	exact := Difference{Claimed: true}
	r := Result{Kinds: []Kind{{Name: "random", Signals: []Signal{{"a", "m", bounded, bounded, bounded}, {"b", "m", bounded, unbounded, unbounded}, {"c", "m", undecided, unbounded, unbounded}, {"d", "m", exact, exact, exact}}}}}
	j := r.Judged()
	want := []string{"b and c in all, from the raw inputs: no bound is proven", "c of the step itself: it cannot be told"}
	if j.Count != 4 || strings.Join(j.Not, "\n") != strings.Join(want, "\n") {
		t.Errorf("%d judged, not %q; 4 and %q are expected", j.Count, j.Not, want)
	}
	if got := j.String(); got != "each of 4 differences judged within its bound" {
		t.Error(got)
	}
}
