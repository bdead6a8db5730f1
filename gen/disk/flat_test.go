package disk

import (
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/gen"
	"gainwright/model/tier"
)

// flat is a folder as earlier versions wrote it: every file in one place, and a record that knows them by their names.
func flat(t *testing.T, all map[string][]byte) string {
	t.Helper()
	dir := t.TempDir()
	r, err := gen.ReadRecord(all[gen.RecordName])
	if err != nil {
		t.Fatal(err)
	}
	r.Files = map[string]string{}
	for name, content := range all {
		if name == gen.RecordName {
			continue
		}
		base := filepath.Base(name)
		content = append(content[:len(content):len(content)], "// earlier\n"...)
		write(t, dir, base, string(content))
		r.Files[base] = gen.Sum(content)
	}
	text, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	write(t, dir, gen.FlatRecordName, string(text))
	return dir
}

// A folder of an earlier version becomes one of this: exactly what that version wrote is gone from beside the header.
func TestFlatFolderIsMoved(t *testing.T) {
	all := files(t, "incubator")
	dir := flat(t, all)
	write(t, dir, "sketch.ino", "mine")
	write(t, dir, "notes.go", "package mine\n")
	before := compared(t, dir, all)
	for _, want := range []string{"stale: incubator.h", "missing: host/integer.go", "stale, now in host: integer.go", "stale, now in host: gainwright.json"} {
		if !strings.Contains(before, want+"\n") && !strings.HasSuffix(before, want) {
			t.Errorf("%q is not among\n%s", want, before)
		}
	}
	done, err := Write(dir, all, false)
	if err != nil {
		t.Fatal(err)
	}
	if len(done.Removed) != len(all)-2 || len(done.Orphans)+len(done.Kept) > 0 {
		t.Errorf("%+v", done)
	}
	want := map[string]string{"sketch.ino": "mine", "notes.go": "package mine\n"}
	for name, content := range all {
		want[name] = string(content)
	}
	if d := cmp.Diff(want, snapshot(t, dir)); d != "" {
		t.Error(d)
	}
	if got := compared(t, dir, all); got != "" {
		t.Error(got)
	}
}

// What somebody edited in such a folder stays, and is named; where it would be overwritten, nothing is written.
func TestFlatFolderKeepsWhatWasEdited(t *testing.T) {
	all := files(t, "incubator")
	dir := flat(t, all)
	write(t, dir, "reference.go", "package mine\n")
	write(t, dir, "incubator_loop_example.c", "int main(void) { return 0; }\n")
	done, err := Write(dir, all, false)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff([]string{"incubator_loop_example.c", "reference.go"}, done.Kept); d != "" {
		t.Error(d)
	}
	there := snapshot(t, dir)
	if there["reference.go"] != "package mine\n" || there["incubator_loop_example.c"] == "" || there["integer.go"] != "" {
		t.Errorf("the folder holds %v", slices.Sorted(maps.Keys(there)))
	}
	dir = flat(t, all)
	write(t, dir, "incubator.h", "mine")
	before := snapshot(t, dir)
	if _, err := Write(dir, all, false); err == nil {
		t.Error("an edited header is overwritten")
	}
	if d := cmp.Diff(before, snapshot(t, dir)); d != "" {
		t.Error(d)
	}
}

// A record is an untrusted file: it makes nothing outside the folder go away, no link is followed, and one that is
// no record is not taken for one.
func TestHostileFlatRecord(t *testing.T) {
	all := files(t, "incubator")
	for _, name := range []string{"../victim.h", "/victim.h", "deep/victim.h", "host/../../victim.h", "victim\x1b[2J.h"} {
		dir := flat(t, all)
		text, err := os.ReadFile(filepath.Join(dir, gen.FlatRecordName))
		if err != nil {
			t.Fatal(err)
		}
		encoded, err := json.Marshal(name)
		if err != nil {
			t.Fatal(err)
		}
		write(t, dir, gen.FlatRecordName, strings.Replace(string(text), `"go.mod"`, string(encoded), 1))
		differences, err := Compare(dir, all)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range differences {
			if d.State == Moved {
				t.Errorf("a record that lists %q is believed: %s", name, d)
			}
		}
	}
	dir, outside := flat(t, all), t.TempDir()
	write(t, outside, "integer.go", string(all["host/integer.go"])+"// earlier\n")
	if err := os.Remove(filepath.Join(dir, "integer.go")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(outside, "integer.go"), filepath.Join(dir, "integer.go")); err != nil {
		tier.Lacks(t, "a file system with symbolic links ("+err.Error()+")")
	}
	done, err := Write(dir, all, false)
	if err != nil || slices.Contains(done.Removed, "integer.go") {
		t.Errorf("a link is removed: %v, %v", done.Removed, err)
	}
	if len(snapshot(t, outside)) != 1 {
		t.Error("what a link leads to is gone")
	}
	big := t.TempDir()
	write(t, big, gen.FlatRecordName, strings.Repeat(" ", gen.MostRecord+1))
	if _, err := Record(big); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("a huge record: %v", err)
	}
}
