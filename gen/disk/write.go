package disk

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/google/renameio/v2"

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

// Done says what a write did.
type Done struct {
	Written []string // files that were made or replaced, by name
	Orphans []string // files that the tool made earlier and no longer does; they were left there
}

// Write brings the folder to the state that files describe and makes it where it is missing. It returns
// Refused, and writes nothing, where that would lose what somebody edited; force overwrites it. Files
// that are as wanted already are not touched. All others are written aside first and then renamed, the
// record last, so that no file is ever half there.
func Write(dir string, files map[string][]byte, force bool) (Done, error) {
	var done Done
	differences, err := Compare(dir, files)
	if err != nil {
		return done, err
	}
	refused := Refused{Dir: dir}
	for _, d := range differences {
		switch d.State {
		case Orphan:
			done.Orphans = append(done.Orphans, d.Name)
		case Edited:
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
	return done, Put(dir, chosen)
}

// Put writes files into a folder, each aside and all of them before the first is renamed, and
// replaces what is there.
func Put(dir string, files map[string][]byte) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		if err := replaceable(dir, name); err != nil {
			return err
		}
	}
	names := slices.SortedFunc(maps.Keys(files), func(a, b string) int {
		if (a == gen.RecordName) != (b == gen.RecordName) { // the record comes last
			if a == gen.RecordName {
				return 1
			}
			return -1
		}
		return strings.Compare(a, b)
	})
	staged := make([]*renameio.PendingFile, 0, len(names))
	defer func() {
		for _, p := range staged {
			_ = p.Cleanup() // does nothing for a file that has its name
		}
	}()
	for _, name := range names {
		p, err := renameio.NewPendingFile(filepath.Join(dir, name), renameio.WithTempDir(dir), renameio.WithPermissions(0o644))
		if err != nil {
			return err
		}
		staged = append(staged, p)
		if _, err := p.Write(files[name]); err != nil {
			return err
		}
		if err := p.Sync(); err != nil {
			return err
		}
	}
	for _, p := range staged {
		if err := p.CloseAtomicallyReplace(); err != nil {
			return err
		}
	}
	return nil
}

// replaceable finds out before anything is renamed what a rename would fail at.
func replaceable(dir, name string) error {
	path := filepath.Join(dir, name)
	if filepath.Base(name) != name {
		return fmt.Errorf("%s lies outside %s", path, dir)
	}
	info, err := os.Lstat(path)
	if err == nil && info.IsDir() {
		return fmt.Errorf("%s is a folder, a file is to stand there", path)
	}
	return nil
}
