package target_test

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"gainwright/model/target"
)

// TestNamesAreNotCompared holds that what depends on a target asks for a property of it: a new one is a new value, and nothing else.
func TestNamesAreNotCompared(t *testing.T) {
	compared := regexp.MustCompile(`(==|!=|case) *"(` + strings.Join(target.Names(), "|") + `)"`)
	for _, room := range []string{"../../model", "../../gen", "../../cmd"} {
		err := filepath.WalkDir(room, func(path string, entry os.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
				return err
			}
			text, err := os.ReadFile(path)
			if found := compared.Find(text); found != nil {
				t.Errorf("%s: %s", path, found)
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
	}
}

// TestTargetsAreWhole holds that each target can be found, that its costs are counted or another stands for them, and that hints lead to one.
func TestTargetsAreWhole(t *testing.T) {
	for _, name := range target.Names() {
		k := target.Named(name)
		if k.Name != name || k.Word == 0 || k.Product == 0 {
			t.Errorf("%s: %+v", name, k)
		}
		if (k.Unit == "") == (k.Like == "") || k.Unit == "" && (target.Named(k.Like) == nil || target.Named(k.Like).Unit == "") {
			t.Errorf("%s: its costs are neither counted nor those of another", name)
		}
	}
	for part, hint := range target.Hints() {
		if name, _, _ := strings.Cut(hint, ","); target.Named(name) == nil {
			t.Errorf("%s leads to %q", part, hint)
		}
	}
	if target.Named("") != nil || target.Named(target.Default) == nil {
		t.Error("a target without a name, or no default")
	}
}
