package program

// Key is the place of a section in the spec, such as steps.effort; empty for the one that reads the inputs.
func (s Section) Key() string {
	return [...]string{Inputs: "", Stage: "outputs." + s.Name, Step: "steps." + s.Name}[s.Role]
}

// SignalOf is the name by which other sections know a value; empty where it is no signal.
func (f *Frame) SignalOf(value ID) string {
	for _, s := range f.Sections {
		for _, sig := range s.Signals {
			if sig.Value == value {
				return sig.Name
			}
		}
	}
	return ""
}

// Signal finds the signal of a name; nil where there is none. section is the one that makes it.
func (f *Frame) Signal(name string) (sig *Signal, section, at int) {
	for i, s := range f.Sections {
		for j := range s.Signals {
			if s.Signals[j].Name == name {
				return &s.Signals[j], i, j
			}
		}
	}
	return nil, -1, -1
}
