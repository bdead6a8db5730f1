package formats

import (
	"gainwright/model/bound"
	"gainwright/model/interval"
	"gainwright/model/program"
	"gainwright/model/scale"
	"gainwright/model/spec"
)

// Align returns a real program with each change between units of counting made explicit. A pinned format counts in what it says, whatever its
// neighbours count in.
func Align(s *spec.Spec, asked *program.Real) *program.Real {
	for _, f := range s.Formats {
		if sig, _, _ := asked.Signal(f.Name); sig != nil {
			asked.Ops[sig.Value].Base = f.Base
		}
	}
	return scale.Align(asked)
}

// Reach finds what each value of a real program can be, in its unit: at any raw input, and at those declared.
func Reach(asked *program.Real) (far, near []interval.Range, err error) {
	any, _, err := bound.Ranges(asked, false)
	if err != nil {
		return nil, nil, err
	}
	declared, _, err := bound.Ranges(asked, true)
	if err != nil {
		return nil, nil, err
	}
	return any.Ranges, declared.Ranges, nil
}
