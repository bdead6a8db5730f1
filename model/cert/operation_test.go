package cert

import (
	"testing"

	"gainwright/model/program"
)

// TestEveryKindHasItsRules: a kind of operation without a row in each table of the checker is not checked.
func TestEveryKindHasItsRules(t *testing.T) {
	named := func(k program.Kind) (name string) {
		defer func() { _ = recover() }()
		return k.String()
	}
	seen := 0
	for k := program.Kind(0); named(k) != ""; k++ {
		if seen++; k >= kinds {
			t.Fatalf("the checker has no row for %s", k)
		}
		for table, there := range map[string]bool{"shapes": shapes[k] != nil, "translationRules": translationRules[k] != nil, "rangeRules": rangeRules[k] != nil,
			"differenceRules": differenceRules[k] != nil, "driftRules": driftRules[k].source != nil} {
			if !there {
				t.Errorf("%s has no row for %s", table, k)
			}
		}
	}
	if seen < 20 {
		t.Errorf("%d kinds were looked at", seen)
	}
}
