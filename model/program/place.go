package program

// Key is the place of a section in the spec, such as steps.effort; empty for the one that reads the inputs.
func (s Section) Key() string {
	switch s.Kind {
	case "inputs":
		return ""
	case "output":
		return "outputs." + s.Name
	}
	return "steps." + s.Name
}
