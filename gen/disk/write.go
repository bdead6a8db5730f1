package disk

import (
	"fmt"
	"path"
	"slices"
	"strings"

	"gainwright/gen"
)

// Refused is the error for files that somebody edited, or that the tool did not make.
type Refused struct {
	Dir   string
	Files []Difference
}

func (r Refused) Error() string {
	var names []string
	for _, d := range r.Files {
		names = append(names, d.Name)
	}
	return fmt.Sprintf("nothing is written: in %s, these files are not as gainwright left them: %s", r.Dir, strings.Join(names, ", "))
}

// Done says what a write did, by path.
type Done struct {
	Written []string // files that were made or replaced
	Removed []string // files of an earlier version, as it left them, that stood where none is written now
	Kept    []string // such files that somebody edited since; they were left there
	Orphans []string // files that the tool made earlier and no longer does; they were left there
}

// Write brings the folder to the state that files describe and makes it where it is missing. It returns
// Refused, and writes nothing, where that would lose what somebody edited; force overwrites it. Files
// that are as wanted already are not touched. All others are written aside first and then renamed, the
// record last, so that no file is ever half there. What an earlier version wrote into one folder is removed
// when all that is in place.
func Write(dir string, files map[string][]byte, force bool) (Done, error) {
	var done Done
	f, err := open(dir, files)
	if err != nil {
		return done, err
	}
	defer f.close()
	differences, old, err := f.compare(files)
	if err != nil {
		return done, err
	}
	refused := Refused{Dir: dir}
	for _, d := range differences {
		switch {
		case d.State == Kept:
			done.Kept = append(done.Kept, d.Name)
		case slices.Contains(old, d):
			done.Removed = append(done.Removed, d.Name)
		case d.State == Orphan:
			done.Orphans = append(done.Orphans, d.Name)
		case d.State == Edited:
			refused.Files = append(refused.Files, d)
			done.Written = append(done.Written, d.Name)
		default:
			done.Written = append(done.Written, d.Name)
		}
	}
	if len(refused.Files) > 0 && !force {
		return Done{}, refused
	}
	chosen := map[string][]byte{}
	for _, name := range done.Written {
		chosen[name] = files[name]
	}
	if err := Put(dir, chosen); err != nil {
		return Done{}, err
	}
	return done, f.removeFlat(done.Removed)
}

// recordLast orders paths by name, and a record behind all others.
func recordLast(a, b string) int {
	first, second := path.Base(a) == gen.FlatRecordName, path.Base(b) == gen.FlatRecordName
	switch {
	case first == second:
		return strings.Compare(a, b)
	case first:
		return 1
	}
	return -1
}
