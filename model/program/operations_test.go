package program

import (
	"slices"
	"testing"
)

// TestOperationsAreWhole: a row says what an operation is called and does, and speaks of no argument that it has not.
func TestOperationsAreWhole(t *testing.T) {
	names := map[string]bool{}
	for k := range Kinds {
		row := k.Of()
		if row.Name == "" || names[row.Name] || k.String() != row.Name {
			t.Errorf("operation %d is called %q", k, row.Name)
		}
		names[row.Name] = true
		for _, a := range slices.Concat(row.Aligned, row.Compared, row.Truths) {
			if a < 0 || a >= row.Arity {
				t.Errorf("%v has no argument %d", k, a)
			}
		}
		held := row.Indexed || k == Const
		if held != (row.integer == nil) || held != (row.Arity == 0) || (held || k == Round || row.Drawn) != (row.Real == nil) {
			t.Errorf("%v: a machine cannot run it", k)
		}
	}
	if Kinds.Of().Name != "" || Kinds.Of().Real != nil {
		t.Error("there is a row for what is no operation")
	}
}
