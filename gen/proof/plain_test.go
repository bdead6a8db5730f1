package proof

import (
	"testing"

	"gainwright/model/program"
)

// TestPlainRulesAreTotal: each operation has a rule, or is said to be left to Eva.
func TestPlainRulesAreTotal(t *testing.T) {
	for k := range program.Kinds {
		if plainRules[k] == nil {
			t.Errorf("%v has none", k)
		}
	}
}
