package c

import (
	"os"
	"testing"

	"gainwright/model"
	"gainwright/templates"
)

// TestSelfTestDrives: in the self-test of each starter every output is driven in a fifth of the ticks at least. A check of the readings that
// made-up inputs do not pass would leave nothing to compare.
func TestSelfTestDrives(t *testing.T) {
	for _, name := range templates.Starters() {
		text, err := os.ReadFile("../../templates/starters/" + name + ".yaml")
		if err != nil {
			t.Fatal(err)
		}
		u := model.Compile(name+".yaml", text)
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		driven := make([]int, len(u.Integer.Outputs))
		replay(u, DefaultTicks, func(_, result []int64) {
			for i, v := range result {
				if v != 0 {
					driven[i]++
				}
			}
		})
		for i, n := range driven {
			if 5*n < DefaultTicks {
				t.Errorf("%s: %s is driven in %d of %d ticks", name, u.Integer.Outputs[i].Name, n, DefaultTicks)
			}
		}
	}
}
