package c

import (
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/templates"
)

// TestNamesAreOfWhatIsEmitted holds that a sum which is put in another order is not called by what it was, and that a gain is called as the table of
// constants calls it.
func TestNamesAreOfWhatIsEmitted(t *testing.T) {
	u := model.Compile("incubator.yaml", templates.Starter("incubator"))
	text := string(Header(u))
	for part, there := range map[string]bool{"heat_kd  ": true, "INCUBATOR_HEAT_KD_FACTOR": true, "HEAT_D_FACTOR": false,
		"heat_sum_so_far = incubator_mac17(heat_integral_limited_rounded,": true, "heat_with_derivative": false} {
		if strings.Contains(text, part) != there {
			t.Errorf("%q in the header: %v", part, !there)
		}
	}
}
