package c

import (
	"os"
	"path/filepath"
	"testing"

	"gainwright/model"
)

// starters are the specs that the tool carries, through the whole compiler.
func starters(t testing.TB) []*model.Unit {
	t.Helper()
	paths, err := filepath.Glob("../../templates/starters/*.yaml")
	if err != nil || len(paths) == 0 {
		t.Fatalf("no starters: %v", err)
	}
	var units []*model.Unit
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		u := model.Compile(filepath.Base(path), text)
		if !u.OK() {
			t.Fatalf("%s: %v", path, u.Findings)
		}
		units = append(units, u)
	}
	return units
}
