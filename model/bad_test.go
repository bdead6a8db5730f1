package model_test

import (
	"errors"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"gainwright/model"
	"gainwright/model/finding"
)

var update = flag.Bool("update", false, "accept the findings of this run as the expected ones")

const badCases = "../testdata/bad"

// TestBadSpecs compiles every bad spec whose file pass says compile, and holds the findings against the text beside it. The
// findings of a case whose name begins with warn- are warnings; all others hold an error.
func TestBadSpecs(t *testing.T) {
	entries, err := os.ReadDir(badCases)
	if err != nil {
		t.Fatal(err)
	}
	ran := 0
	for _, e := range entries {
		dir := filepath.Join(badCases, e.Name())
		pass, err := os.ReadFile(filepath.Join(dir, "pass"))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			t.Fatal(err)
		}
		if strings.TrimSpace(string(pass)) != "compile" {
			continue
		}
		ran++
		t.Run(e.Name(), func(t *testing.T) { runBad(t, dir, !strings.HasPrefix(e.Name(), "warn-")) })
	}
	if ran < 60 {
		t.Errorf("%d cases for the compiler, fewer than the 60 that it was built with", ran)
	}
}

func runBad(t *testing.T, dir string, isError bool) {
	src, err := os.ReadFile(filepath.Join(dir, "spec.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	u := model.Compile("spec.yaml", src)
	if u.Findings.Failed() != isError || u.OK() == isError {
		t.Errorf("failed is %v, fit to be emitted %v", u.Findings.Failed(), u.OK())
	}
	var got strings.Builder
	lines := strings.Count(string(src), "\n")
	for _, f := range u.Findings {
		got.WriteString(f.String() + "\n")
		checkFinding(t, f, lines)
	}
	expected := filepath.Join(dir, "expected.txt")
	if *update {
		if err := os.WriteFile(expected, []byte(got.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(expected)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got.String()); d != "" {
		t.Errorf("findings differ (-want +got):\n%s\nto accept the new text: go test ./model -run '%s' -update", d, t.Name())
	}
}

var (
	ruleForm = regexp.MustCompile(`^[a-z]+(-[a-z]+)*$`)
	safeText = regexp.MustCompile(`^[ -~]*$`)
)

// checkFinding holds what every finding must be: a place in the text, what is wrong, and what to write.
func checkFinding(t *testing.T, f finding.Finding, lines int) {
	t.Helper()
	for _, text := range append([]string{f.Message, f.Remedy, f.Key}, f.Because...) {
		if !safeText.MatchString(text) || len(text) > 500 {
			t.Errorf("text %q is long or not printable ASCII", text)
		}
	}
	if !ruleForm.MatchString(f.Rule) || f.Message == "" || f.Remedy == "" && f.Severity != finding.Note || f.Pos.Line < 1 || f.Pos.Line > lines || f.Pos.Col < 1 {
		t.Errorf("lacks something: %+v", f)
	}
}
