package c

import (
	"testing"

	"gainwright/model/selection"
)

// TestEveryFormHasAText holds that each form that is computed has a text in C, and that what is a function of the header has a template for it.
func TestEveryFormHasAText(t *testing.T) {
	for f := range selection.Forms {
		if computed := f != selection.None && f != selection.Fused; computed != (texts[f] != nil) {
			t.Errorf("%v: computed: %v, a text: %v", f, computed, texts[f] != nil)
		}
		if name := functions[f]; name != "" && frames.Lookup(name) == nil {
			t.Errorf("%v: no template %q", f, name)
		}
	}
	for shape := selection.NoShape + 1; shape < selection.ByConstant; shape++ {
		if shapes[shape] == "" {
			t.Errorf("shape %d has no name", shape)
		}
	}
}
