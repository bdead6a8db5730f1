package spec

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

	"gainwright/model/finding"
)

var update = flag.Bool("update", false, "accept the findings of this run as the expected ones")

const badCases = "../../testdata/bad"

// TestBadSpecs reads every bad spec and holds the findings against the text beside it. A case whose findings
// come from a later pass has a file named pass, which says so.
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
		if strings.TrimSpace(string(pass)) == "compile" {
			continue
		}
		ran++
		t.Run(e.Name(), func(t *testing.T) { runBad(t, dir) })
	}
	if ran < 48 {
		t.Errorf("%d cases for the reader, fewer than the 48 that it was built with", ran)
	}
}

func runBad(t *testing.T, dir string) {
	src, err := os.ReadFile(filepath.Join(dir, "spec.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	s, found := Read("spec.yaml", src)
	if !found.Failed() {
		t.Error("a bad spec was read without an error")
	}
	checkFindings(t, string(src), s, found)
	expected := filepath.Join(dir, "expected.txt")
	got := show(found)
	if *update {
		if err := os.WriteFile(expected, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(expected)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), got); d != "" {
		t.Errorf("findings differ (-want +got):\n%s\nto accept the new text: go test ./model/spec -run '%s' -update", d, t.Name())
	}
}

// show is the text form of findings.
func show(l finding.List) string {
	var b strings.Builder
	for _, f := range l {
		b.WriteString(f.String() + "\n")
	}
	return b.String()
}

var (
	ruleForm = regexp.MustCompile(`^[a-z]+(-[a-z]+)+$`)
	safeText = regexp.MustCompile(`^[ -~]*$`)
)

// checkFindings holds what every finding and every spec read without one must be, whatever the text.
func checkFindings(t *testing.T, src string, s *Spec, found finding.List) {
	t.Helper()
	lines := strings.Count(src, "\n") + strings.Count(src, "\r") + 1
	for i, f := range found {
		texts := append([]string{f.Message, f.Remedy, f.Key}, f.Because...)
		for _, text := range texts {
			if !safeText.MatchString(text) || len(text) > 500 {
				t.Errorf("finding %d: text %q is long or not printable ASCII", i, text)
			}
		}
		if !ruleForm.MatchString(f.Rule) || f.Message == "" || f.Remedy == "" || f.Pos.File == "" || f.Pos.Line < 1 || f.Pos.Line > lines || f.Pos.Col < 1 {
			t.Errorf("finding %d lacks something: %+v", i, f)
		}
	}
	if found.Failed() {
		return
	}
	if !nameForm.MatchString(s.Name) || reserved[s.Name] != "" || !safeText.MatchString(s.About) || s.Rate == nil || s.Rate.Sign() <= 0 {
		t.Errorf("header %q %q %v", s.Name, s.About, s.Rate)
	}
	seen := map[string]bool{}
	name := func(n string) {
		if !nameForm.MatchString(n) || reserved[n] != "" || len(n) > maxName || seen[n] {
			t.Errorf("name %q", n)
		}
		seen[n] = true
	}
	for _, x := range s.Inputs {
		name(x.Name)
		if x.Raw != "bool" && (x.Unit == "" || x.CountsPerUnit.Sign() == 0 || x.Lo.Cmp(x.Hi) >= 0) {
			t.Errorf("input %+v", x)
		}
	}
	for _, x := range s.Steps {
		name(x.Name)
		if x.Kind == "" || !safeText.MatchString(x.Kind) {
			t.Errorf("step %+v", x)
		}
	}
	for _, x := range s.Outputs {
		name(x.Name)
		if x.From == "" || x.Unit == "" || x.CountsPerUnit.Sign() == 0 || (x.Lo != nil && x.Lo.Cmp(x.Hi) >= 0) {
			t.Errorf("output %+v", x)
		}
	}
}
