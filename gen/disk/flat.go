package disk

import (
	"path"
	"slices"

	"gainwright/gen"
)

// flatFiles lists what an earlier version left in the folder, which wrote every file there: the files that its
// record names, and the record. They are in the way of builders that compile all they find beside a firmware. What
// was edited since is the user's, and Kept.
func (f *folder) flatFiles(files map[string][]byte) ([]Difference, error) {
	if f.flat == nil {
		return nil, nil
	}
	names, err := f.regular(".")
	if err != nil {
		return nil, err
	}
	var out []Difference
	for _, name := range names {
		if _, wanted := files[name]; wanted {
			continue
		}
		was, listed := f.flat.Files[name]
		if !listed && name != gen.FlatRecordName {
			continue
		}
		have, err := f.sum(name)
		if err != nil {
			return nil, err
		}
		state := Orphan
		if _, moved := files[path.Join(gen.Host, name)]; moved {
			state = Moved
		}
		if listed && was != have {
			state = Kept
		}
		out = append(out, Difference{name, state})
	}
	return out, nil
}

// removeFlat removes what flatFiles listed, its record last: until then a second try finds the others.
func (f *folder) removeFlat(names []string) error {
	for _, name := range slices.SortedFunc(slices.Values(names), recordLast) {
		if err := f.root.Remove(name); err != nil && !missing(err) {
			return err
		}
	}
	return nil
}
