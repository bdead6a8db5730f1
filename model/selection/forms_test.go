package selection

import (
	"testing"

	"gainwright/model/program"
)

// TestEveryKindHasAForm holds that each kind of operation is computed in some form.
func TestEveryKindHasAForm(t *testing.T) {
	chosen := map[program.Kind]bool{program.Const: true, program.Add: true, program.Sub: true, program.Mul: true, program.Scale: true, program.Round: true, program.Angle: true, program.Table: true}
	for kind := range program.Kinds {
		if !chosen[kind] && plain[kind] == None {
			t.Errorf("%v has no form", kind)
		}
	}
	for f := range Forms {
		if f.String() == "" {
			t.Errorf("form %d has no name", f)
		}
	}
}
