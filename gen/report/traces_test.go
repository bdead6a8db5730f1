package report

import (
	"math"
	"testing"

	"gainwright/gen/document/chart"
)

// The curve of the difference is that of the outcome, which is measured at every tick.
func TestDifference(t *testing.T) {
	for _, name := range []string{"heading", "incubator"} {
		run := starter(t, name).Run
		for i, d := range run.Outcome.Difference {
			most := 0.0
			for _, y := range run.apart(i).Y {
				most = math.Max(most, math.Abs(y))
			}
			if d.Largest == 0 || math.Abs(most-d.Largest) > 1e-9*d.Largest {
				t.Errorf("%s: the curve goes to %g, the outcome says %g", d.Name, most, d.Largest)
			}
		}
	}
}

// On a circle the target is drawn beside the reference, not a turn away.
func TestTargetOnCircle(t *testing.T) {
	run := starter(t, "heading").Run
	s := run.watch(&run.System.Scenario.Watch[0])
	if len(s) != 3 || s[2].Look != chart.Target {
		t.Fatal("no target")
	}
	for k := range s[2].Y {
		if math.Abs(s[2].Y[k]-s[1].Y[k]) > 180.0001 {
			t.Fatalf("at %g s the target is %g, the reference %g", s[2].X[k], s[2].Y[k], s[1].Y[k])
		}
	}
}
