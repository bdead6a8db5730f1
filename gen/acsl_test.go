package gen

import (
	"bytes"
	"maps"
	"slices"
	"strings"
	"testing"

	"gainwright/gen/proof"
	"gainwright/model"
	"gainwright/templates"
)

// TestACSL: with contracts the header gains lines, a driver comes along, and the rest stays as it is.
func TestACSL(t *testing.T) {
	u := model.Compile("heading.yaml", templates.Starter("heading"))
	plain, err := Generate(u)
	if err != nil {
		t.Fatal(err)
	}
	said, err := GenerateACSL(u)
	if err != nil {
		t.Fatal(err)
	}
	driver := Host + "/" + proof.DriverName(u)
	for _, name := range slices.Sorted(maps.Keys(said)) {
		switch name {
		case driver:
			if !bytes.HasPrefix(said[name], []byte("//go:build ignore\n")) {
				t.Errorf("the Go tool would take %s for part of the package", name)
			}
		case RecordName:
			r, err := ReadRecord(said[name])
			if err != nil || r.Files[driver] != Sum(said[driver]) || r.Files["heading.h"] != Sum(said["heading.h"]) {
				t.Errorf("the record does not know the annotated files: %v", err)
			}
		case "heading.h":
			lines := strings.Split(string(said[name]), "\n")
			for _, l := range strings.Split(string(plain[name]), "\n") {
				at := slices.Index(lines, l)
				if at < 0 {
					t.Fatalf("a line is gone: %s", l)
				}
				lines = lines[at+1:]
			}
		default:
			if !bytes.Equal(said[name], plain[name]) {
				t.Errorf("%s differs", name)
			}
		}
	}
	if len(said) != len(plain)+1 {
		t.Errorf("%d files with contracts, %d without", len(said), len(plain))
	}
}
