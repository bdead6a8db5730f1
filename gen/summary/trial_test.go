package summary

import (
	"bytes"
	"strings"
	"testing"

	"gainwright/gen/document"
	"gainwright/model"
	"gainwright/model/trial"
)

// TestUnjudgedIsSaidBelow: why a difference is not held against its bound is a sentence with the signals' names, and widens no column.
func TestUnjudgedIsSaidBelow(t *testing.T) {
	judged := trial.Difference{Claimed: true, Bound: 1, Largest: 0.5, Ratio: 0.5}
	open := trial.Difference{Claimed: true, Bound: 1, Largest: 0.25, Unjudged: "nobody can tell how it decides"}
	r := trial.Result{Target: "C", Kinds: []trial.Kind{{Name: "raw", Signals: []trial.Signal{
		{Name: "a", Unit: "m", Local: judged, Chain: judged, Asked: judged}, {Name: "b", Unit: "m", Local: open, Chain: open, Asked: open}, {Name: "c", Unit: "m", Local: judged, Chain: judged, Asked: open}}}}}
	var out bytes.Buffer
	p := document.Paper{Writer: &out}
	p.Print(Trial(&model.Unit{}, &r).Parts...)
	for _, want := range []string{"  Not judged: b of the step itself: nobody can tell", "  Not judged: b in all, from the raw inputs: nobody can tell", "  Not held against the bound: b, c, since nobody can tell how it decides.\n"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing", want)
		}
	}
	for line := range strings.Lines(out.String()) {
		if f := strings.Fields(line); len(f) > 0 && (f[0] == "b" || f[0] == "c") && strings.Contains(line, "nobody") {
			t.Errorf("a row says %q", line)
		}
	}
	if t.Failed() {
		t.Log(out.String())
	}
}
