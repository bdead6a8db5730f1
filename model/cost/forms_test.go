package cost

import (
	"testing"

	"gainwright/model/selection"
)

// TestEveryFormIsCounted holds that each form that is computed is counted: on parts of 8 bits all of them, in words those that need no assembly.
func TestEveryFormIsCounted(t *testing.T) {
	assembly := map[selection.Form]bool{selection.Multiply: true, selection.MultiplyAdd: true, selection.Up: true, selection.UpWide: true,
		selection.LessRounded: true, selection.Symmetric: true, selection.Within: true}
	for f := range selection.Forms {
		computed := f != selection.None && f != selection.Fused
		if computed != (counts[f].bytes != nil) || (computed && !assembly[f]) != (counts[f].words != nil) {
			t.Errorf("%v: computed: %v, by bytes: %v, by words: %v", f, computed, counts[f].bytes != nil, counts[f].words != nil)
		}
	}
	for shape := selection.NoShape + 1; shape < selection.ByConstant; shape++ {
		if productForms[shape] == 0 {
			t.Errorf("a product of shape %d is not counted", shape)
		}
	}
}
