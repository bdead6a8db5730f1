// Package disk compares generated files with a folder and writes them there. It never overwrites what
// somebody edited by hand unless told to, and leaves no file half written.
package disk

import (
	"cmp"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"slices"

	"gainwright/gen"
)

// State says how a file of the folder stands to what would be generated.
type State string

// The states of a file that is not as generated now.
const (
	Missing State = "missing"             // not there
	Stale   State = "stale"               // as it was generated earlier
	Edited  State = "edited"              // neither: changed by hand, or not made by this tool
	Orphan  State = "orphan"              // made by this tool earlier, and no longer
	Moved   State = "stale, now in host"  // made by an earlier version, which wrote every file into one folder
	Kept    State = "edited, now in host" // such a file that somebody edited since
)

// Difference is a file that is not as it would be generated now.
type Difference struct {
	Name  string // the path inside the folder, with slashes
	State State
}

func (d Difference) String() string { return string(d.State) + ": " + d.Name }

// Other is the error for a folder that holds the files of another controller.
type Other struct{ Dir, Theirs, Ours string }

func (o Other) Error() string {
	return fmt.Sprintf("%s holds the files of controller %s: each controller needs a folder of its own, so give another one for %s", o.Dir, o.Theirs, o.Ours)
}

// Compare lists the files of dir that differ from those that would be generated, by path. Files that
// have nothing to do with the tool are passed over.
func Compare(dir string, files map[string][]byte) ([]Difference, error) {
	f, err := open(dir, files)
	if err != nil {
		return nil, err
	}
	defer f.close()
	out, _, err := f.compare(files)
	return out, err
}

// compare also lists by itself what an earlier version left.
func (f *folder) compare(files map[string][]byte) (out, left []Difference, err error) {
	for _, name := range slices.Sorted(maps.Keys(files)) {
		state, err := f.state(name, files[name])
		if err != nil {
			return nil, nil, err
		}
		if state != "" {
			out = append(out, Difference{name, state})
		}
	}
	if left, err = f.flatFiles(files); err != nil {
		return nil, nil, err
	}
	orphans, err := f.orphans(files, left)
	return slices.Concat(out, left, orphans), left, err
}

// state is empty for a file that is as generated.
func (f *folder) state(name string, want []byte) (State, error) {
	have, err := f.sum(name)
	switch {
	case err != nil:
		return "", err
	case have == "":
		return Missing, nil
	case have == gen.Sum(want):
		return "", nil
	case name == gen.RecordName && f.broken == nil:
		return Stale, nil
	}
	for _, r := range []*gen.Record{f.record, f.flat} {
		if r != nil && r.Files[name] == have {
			return Stale, nil
		}
	}
	return Edited, nil
}

// orphans lists the files that the tool made earlier and would not make now: those of the record, and those that
// say in their first lines that the tool wrote them. A file of the same name as one in the folder for the host is
// a copy that somebody builds a firmware from.
func (f *folder) orphans(files map[string][]byte, known []Difference) ([]Difference, error) {
	var out []Difference
	for _, folder := range []string{".", gen.Host} {
		names, err := f.regular(folder)
		if err != nil {
			return nil, err
		}
		for _, base := range names {
			name := path.Join(folder, base)
			_, ours := files[name]
			if ours || slices.ContainsFunc(known, func(d Difference) bool { return d.Name == name }) {
				continue
			}
			_, twin := files[path.Join(gen.Host, base)]
			copied := twin && (path.Ext(base) == ".c" || path.Ext(base) == ".h")
			if f.listed(name) || !copied && f.marked(name) {
				out = append(out, Difference{name, Orphan})
			}
		}
	}
	return out, nil
}

// listed tells whether the record names the file, or that of an earlier version that is the only one.
func (f *folder) listed(name string) bool {
	r := cmp.Or(f.record, f.flat)
	if r == nil {
		return false
	}
	_, listed := r.Files[name]
	return listed
}

// Record returns the record in a folder, also where an earlier version put it, or nil where there is none.
func Record(dir string) (*gen.Record, error) {
	f, err := at(dir)
	if err != nil {
		return nil, err
	}
	defer f.close()
	for _, name := range []string{gen.RecordName, gen.FlatRecordName} {
		if r, err := f.read(name); r != nil || err != nil {
			return r, err
		}
	}
	return nil, nil
}

// shown is the path of a file for people.
func (f *folder) shown(name string) string { return filepath.Join(f.path, filepath.FromSlash(name)) }
