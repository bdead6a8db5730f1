package program

import (
	"reflect"
	"slices"
)

// Renumber gives the values that sections and outputs name other numbers: value i becomes to[i].
func (f *Frame) Renumber(to []ID) {
	for i := range f.Sections {
		s := &f.Sections[i]
		renumber(reflect.ValueOf(&s.Facts).Elem(), to)
		for j := range s.Inputs {
			s.Inputs[j] = to[s.Inputs[j]]
		}
		for j := range s.Signals {
			s.Signals[j].Value = to[s.Signals[j].Value]
		}
	}
	for i := range f.Outputs {
		f.Outputs[i].Value = to[f.Outputs[i].Value]
	}
}

// Takes are the values that a state takes, and those that decide when.
func (s *StateInfo) Takes() []ID {
	return slices.DeleteFunc([]ID{s.Next, s.Enable, s.Reset, s.ResetTo}, func(id ID) bool { return id == None })
}

// Renumber gives the values that a state takes, and those that decide when, other numbers: value i becomes to[i].
func (s *StateInfo) Renumber(to []ID) {
	for _, id := range []*ID{&s.Next, &s.Enable, &s.Reset, &s.ResetTo} {
		if *id != None {
			*id = to[*id]
		}
	}
}
