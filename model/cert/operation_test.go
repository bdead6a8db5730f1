package cert

import (
	"testing"

	"gainwright/model/program"
)

// TestEveryKindHasItsRules: a kind of operation without a row in each table of the checker is not checked, and one whose shape the
// table of operations gives otherwise is another.
func TestEveryKindHasItsRules(t *testing.T) {
	for k := range program.Kinds {
		for table, there := range map[string]bool{"shapes": shapes[k] != nil, "translationRules": translationRules[k] != nil, "rangeRules": rangeRules[k] != nil,
			"differenceRules": differenceRules[k] != nil, "driftRules": driftRules[k].source != nil} {
			if !there {
				t.Errorf("%s has no row for %s", table, k)
			}
		}
		if s, row := shapes[k], k.Of(); s != nil && (s.args != row.Arity || s.constant != row.HasK || (s.number != nil) != row.Indexed || s.truths != len(row.Truths)) {
			t.Errorf("%s: the checker wants %+v, the table of operations gives %+v", k, *s, row)
		}
	}
}
