package golden

import (
	"flag"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/gen"
	"gainwright/gen/disk"
	"gainwright/model"
	"gainwright/templates"
)

var update = flag.Bool("update", false, "accept what the tool writes now")

// TestMain writes the folders anew before any test reads them, where that is asked for.
func TestMain(m *testing.M) {
	flag.Parse()
	if *update {
		for _, name := range templates.Starters() {
			files, err := generated(name)
			if err == nil {
				err = write(name, files)
			}
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				os.Exit(1)
			}
		}
	}
	os.Exit(m.Run())
}

// TestGolden holds the checked-in folder of each starter against what the tool writes now, file by file: a file
// too few or too many counts.
func TestGolden(t *testing.T) {
	expected := map[string]bool{}
	for _, name := range templates.Starters() {
		expected[name] = true
		t.Run(name, func(t *testing.T) {
			differs := cmp.Diff(texts(folder(t, name)), texts(generate(t, name)))
			if differs != "" {
				t.Errorf("golden/%s differs (-checked in +written now):\n%s\nto accept: go test ./golden -update", name, differs)
			}
		})
	}
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() && !expected[e.Name()] {
			t.Errorf("golden/%s belongs to no starter: delete it", e.Name())
		}
	}
}

// TestSameBytesTwice generates each starter twice, from two compilations.
func TestSameBytesTwice(t *testing.T) {
	for _, name := range templates.Starters() {
		if d := cmp.Diff(texts(generate(t, name)), texts(generate(t, name))); d != "" {
			t.Errorf("%s: two runs differ:\n%s", name, d)
		}
	}
}

func generate(t *testing.T, name string) map[string][]byte {
	t.Helper()
	files, err := generated(name)
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func generated(name string) (map[string][]byte, error) {
	u := model.Compile(name+".yaml", templates.Starter(name))
	files, err := gen.Generate(u)
	if err != nil {
		return nil, fmt.Errorf("%w\n%v", err, u.Findings)
	}
	return files, nil
}

// folder reads every file of a folder and below, whatever it is.
func folder(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			files[path], err = os.ReadFile(filepath.Join(dir, path))
		}
		return err
	})
	if err != nil {
		t.Fatalf("%v\nto write it: go test ./golden -update", err)
	}
	return files
}

// write makes the folder hold these files and no other.
func write(dir string, files map[string][]byte) error {
	if err := os.RemoveAll(dir); err != nil {
		return err
	}
	return disk.Put(dir, files)
}

func texts(files map[string][]byte) map[string]string {
	out := map[string]string{}
	for name, content := range files {
		out[name] = string(content)
	}
	return out
}
