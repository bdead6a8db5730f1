package steps_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
)

// TestTable holds tables against numpy.interp at each count of their range and beyond it. The integer program gives the same within what is proven of it.
func TestTable(t *testing.T) {
	points, at := map[string][]string{}, map[string][][2]float64{}
	for _, row := range table(t, "interpolated.csv") {
		name, x, y := row["table"], number(t, row["x"]), number(t, row["y"])
		if row["what"] == "point" {
			points[name] = append(points[name], fmt.Sprintf("[%s, %s]", row["x"], row["y"]))
		} else {
			at[name] = append(at[name], [2]float64{x, y})
		}
	}
	if len(points) != 4 {
		t.Fatalf("%d tables", len(points))
	}
	for name, of := range points {
		text := controllerOf("10 Hz", "m", "100", ", counts_per_unit: 30000", "  y: {kind: table, of: a, unit: m, points: ["+strings.Join(of, ", ")+"]}")
		ref, whole := newReference(lower(t, text)), newTwin(t, text)
		_, section, _ := whole.unit.Integer.Signal("y")
		claim := whole.unit.Certificate.Asked.Signals[section][0]
		if claim == nil {
			t.Fatalf("%s: nothing is known of the difference to what was asked for", name)
		}
		most, _ := claim.Size().Float64()
		worst := 0.0
		for _, p := range at[name] {
			if got := ref.tick(in{"a": p[0]}); !close(got, p[1]) {
				t.Errorf("%s at %v: %v, numpy says %v", name, p[0], got, p[1])
			}
			whole.tick(in{"a": p[0]})
			worst = max(worst, math.Abs(whole.get("y")-p[1]))
		}
		if worst > most+1e-12 {
			t.Errorf("%s: the integer program is off by %v m, %v is proven", name, worst, most)
		}
		t.Logf("%s: the integer program is off by %.4g m at most, %.4g is proven", name, worst, most)
	}
}
