package spec

import (
	"strings"

	"gainwright/model/finding"
)

// Place is where a step or an output stands, by its name; the file alone where there is none.
func (s *Spec) Place(name string) finding.Pos {
	if step := s.Step(name); step != nil {
		return step.Pos
	}
	for _, o := range s.Outputs {
		if o.Name == name {
			return o.Pos
		}
	}
	return finding.Pos{File: s.File}
}

// PlaceOf is where the value of a key stands, such as steps.effort.kp, outputs.drive.limits or inputs.gyro.counts_per_unit.
func (s *Spec) PlaceOf(key string) (finding.Pos, bool) {
	name, of, _ := strings.Cut(strings.TrimPrefix(key, "steps."), ".")
	for _, o := range s.Outputs {
		if key == "outputs."+o.Name+".limits" && o.Lo != nil {
			return o.LimitsPos, true
		}
	}
	for _, in := range s.Inputs {
		if key == "inputs."+in.Name+".counts_per_unit" {
			return in.CountsPos, true
		}
	}
	if step := s.Step(name); step != nil && step.Arg(of) != nil && strings.HasPrefix(key, "steps.") {
		return step.Arg(of).Value.Pos, true
	}
	return finding.Pos{}, false
}
