package loop

import (
	"strings"
	"testing"
)

// TestSlowerStepsHaveNoView: a loop in which some steps do not run at each tick is another one from tick to tick. There is no view of it, and it is said why.
func TestSlowerStepsHaveNoView(t *testing.T) {
	s := system(t, motor, "kind: pid", "every: 2 ticks, kind: pid")
	if _, err := New(s); err == nil || !strings.Contains(err.Error(), "every 2 ticks") {
		t.Errorf("a view of a loop of two clocks: %v", err)
	}
}
