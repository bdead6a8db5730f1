package disk

import (
	"errors"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/gen"
	"gainwright/model"
	"gainwright/model/tier"
	"gainwright/templates"
)

func files(t *testing.T, starter string) map[string][]byte {
	t.Helper()
	out, err := gen.Generate(model.Compile(starter+".yaml", templates.Starter(starter)))
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func fresh(t *testing.T) (string, map[string][]byte) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "deep", "out")
	all := files(t, "incubator")
	done, err := Write(dir, all, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(done.Written) != len(all) {
		t.Fatalf("%d files were written, %d expected", len(done.Written), len(all))
	}
	return dir, all
}

func compared(t *testing.T, dir string, all map[string][]byte) string {
	t.Helper()
	differences, err := Compare(dir, all)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, d := range differences {
		lines = append(lines, d.String())
	}
	return strings.Join(lines, "\n")
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestWriteThenCompare(t *testing.T) {
	dir, all := fresh(t)
	if got := compared(t, dir, all); got != "" {
		t.Errorf("differences right after writing:\n%s", got)
	}
	done, err := Write(dir, all, false)
	if err != nil || len(done.Written) > 0 {
		t.Errorf("the second write touched %v, error %v", done.Written, err)
	}
	if there := snapshot(t, dir); len(there) != len(all) {
		t.Errorf("%d files in the folder, %d expected: %v", len(there), len(all), slices.Sorted(maps.Keys(there)))
	}
	top, err := os.ReadDir(dir)
	if err != nil || len(top) != 3 {
		t.Errorf("beside the header, go.mod and the folder host there are others, or an error: %v, %v", top, err)
	}
}

func TestCompareNamesEachFile(t *testing.T) {
	dir, all := fresh(t)
	write(t, dir, "incubator.h", "/* mine */\n")
	if err := os.Remove(filepath.Join(dir, "host", "integer.go")); err != nil {
		t.Fatal(err)
	}
	write(t, dir, "incubator_old.h", string(all["incubator.h"]))
	write(t, dir, "host/incubator_older.c", string(all["host/incubator_stream.c"]))
	write(t, dir, "incubator_main.c", "int main(void) { return 0; }\n")
	write(t, dir, "incubator_loop_example.c", "my firmware\n"+string(all["host/incubator_loop_example.c"]))
	write(t, dir, "notes.txt", "Written by gainwright 0.1.0, I believe\n")
	changed := map[string][]byte{}
	for name, content := range all {
		changed[name] = content
	}
	changed["host/reference.go"] = append([]byte("// new\n"), all["host/reference.go"]...)
	want := "missing: host/integer.go\nstale: host/reference.go\nedited: incubator.h\norphan: incubator_old.h\norphan: host/incubator_older.c"
	if d := cmp.Diff(want, compared(t, dir, changed)); d != "" {
		t.Error(d)
	}
	delete(changed, "host/wiring_test.go")
	if got := compared(t, dir, changed); !strings.Contains(got, "orphan: host/wiring_test.go") {
		t.Errorf("a file of the record that is no longer made is not named:\n%s", got)
	}
	empty := compared(t, filepath.Join(dir, "nowhere"), all)
	if n := strings.Count(empty, "missing: "); n != len(all) {
		t.Errorf("%d of %d files are missing in a folder that is not there:\n%s", n, len(all), empty)
	}
}

func TestWriteKeepsWhatWasEdited(t *testing.T) {
	for _, c := range []struct {
		name    string
		prepare func(dir string)
		refused []string
	}{
		{"edited", func(dir string) { write(t, dir, "incubator.h", "mine") }, []string{"incubator.h"}},
		{"two edited", func(dir string) { write(t, dir, "go.mod", "mine"); write(t, dir, "host/integer.go", "mine") }, []string{"go.mod", "host/integer.go"}},
		{"no record", func(dir string) {
			_ = os.Remove(filepath.Join(dir, gen.RecordName))
			write(t, dir, "incubator.h", "mine")
		}, []string{"incubator.h"}},
		{"broken record", func(dir string) { write(t, dir, gen.RecordName, "{}"); write(t, dir, "incubator.h", "old") }, []string{gen.RecordName, "incubator.h"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir, all := fresh(t)
			c.prepare(dir)
			before := snapshot(t, dir)
			_, err := Write(dir, all, false)
			var refused Refused
			if !errors.As(err, &refused) {
				t.Fatalf("not refused: %v", err)
			}
			var names []string
			for _, d := range refused.Files {
				names = append(names, d.Name)
			}
			slices.Sort(names)
			if d := cmp.Diff(c.refused, names); d != "" {
				t.Error(d)
			}
			if d := cmp.Diff(before, snapshot(t, dir)); d != "" {
				t.Errorf("a refused write changed the folder:\n%s", d)
			}
			if _, err := Write(dir, all, true); err != nil {
				t.Fatal(err)
			}
			if got := compared(t, dir, all); got != "" {
				t.Errorf("force left\n%s", got)
			}
		})
	}
}

func TestStaleFilesAreReplaced(t *testing.T) {
	dir, all := fresh(t)
	text := strings.Replace(string(templates.Starter("incubator")), "kp: 12,", "kp: 13,", 1)
	now, err := gen.Generate(model.Compile("incubator.yaml", []byte(text)))
	if err != nil {
		t.Fatal(err)
	}
	done, err := Write(dir, now, false)
	if err != nil {
		t.Fatal(err)
	}
	if slices.Contains(done.Written, "go.mod") || !slices.Contains(done.Written, "incubator.h") {
		t.Errorf("written: %v", done.Written)
	}
	if got := compared(t, dir, now); got != "" {
		t.Error(got)
	}
	if got := compared(t, dir, all); !strings.Contains(got, "stale: incubator.h") {
		t.Errorf("against the old files: %s", got)
	}
}

func TestFolderOfAnotherController(t *testing.T) {
	dir, _ := fresh(t)
	before := snapshot(t, dir)
	for _, force := range []bool{false, true} {
		var other Other
		if _, err := Write(dir, files(t, "cart"), force); !errors.As(err, &other) || other.Theirs != "incubator" || other.Ours != "cart" {
			t.Errorf("force %v: %v", force, err)
		}
	}
	if d := cmp.Diff(before, snapshot(t, dir)); d != "" {
		t.Error(d)
	}
}

// A file that cannot be written stops the whole: no other is renamed, and nothing is left aside.
func TestNothingIsHalfWritten(t *testing.T) {
	for _, c := range []struct{ bad, says string }{{"b.h", "is a folder"}, {"a.h/b.h", "is no folder"}, {"out/b.h", "is no folder"}, {"../b.h", "lies outside"}, {"z/../../b.h", "lies outside"}, {"/b.h", "lies outside"}, {strings.Repeat("b", 300), ""}} {
		dir := filepath.Join(t.TempDir(), "out")
		if err := os.MkdirAll(filepath.Join(dir, "b.h"), 0o755); err != nil {
			t.Fatal(err)
		}
		write(t, dir, "a.h", "old")
		if err := os.Symlink(t.TempDir(), filepath.Join(dir, "out")); err != nil {
			tier.Lacks(t, "a file system with symbolic links ("+err.Error()+")")
		}
		err := Put(dir, map[string][]byte{"a.h": []byte("new"), c.bad: []byte("new"), "c/d.h": []byte("new"), "e.h": []byte("new")})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", c.bad, err)
		}
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		content, err := os.ReadFile(filepath.Join(dir, "a.h"))
		if len(entries) != 3 || string(content) != "old" || err != nil {
			t.Errorf("%s: the folder holds %v, a.h %q, %v", c.bad, entries, content, err)
		}
	}
}

// snapshot reads every file of a folder and below.
func snapshot(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, e fs.DirEntry, err error) error {
		if err != nil || e.IsDir() {
			return err
		}
		content, err := os.ReadFile(filepath.Join(dir, path))
		out[path] = string(content)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
