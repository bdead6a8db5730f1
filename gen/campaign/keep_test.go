package campaign

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/arbitrary"
	"gainwright/model/finding"
)

// TestKeptFailures sends every spec that once failed through the whole chain again. One that is refused today says
// so in a comment, "# refused: " and the rule, so that a fix cannot turn into a refusal unseen.
func TestKeptFailures(t *testing.T) {
	files, err := filepath.Glob(filepath.Join(failures, "*.yaml"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no kept failures in %s: %v", failures, err)
	}
	entries, err := os.ReadDir(failures)
	if err != nil {
		t.Fatal(err)
	}
	if others := len(entries) - len(files); others != 1 { // the README
		t.Errorf("%d files in %s are neither a spec nor the README", others-1, failures)
	}
	for _, file := range files {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".yaml"), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			u, fails := Check(t.Context(), filepath.Base(file), text, 12000, 1, true)
			if fails != nil {
				t.Fatalf("fails again, %s: %s\n%s", fails.What, fails.Why, text)
			}
			said := "accepted"
			if !u.OK() {
				said = "refused: " + rule(u)
			}
			want := "accepted"
			if _, after, found := strings.Cut(string(text), "\n# refused: "); found {
				want = "refused: " + firstLine(after)
			}
			if said != want {
				t.Errorf("the spec is %s, %s is expected: %v", said, want, u.Findings)
			}
		})
	}
}

// rule is that of the first error.
func rule(u *model.Unit) string {
	for _, f := range u.Findings {
		if f.Severity == finding.Error {
			return f.Rule
		}
	}
	return "panic"
}

func TestKeep(t *testing.T) {
	s := arbitrary.New("r7", 7)
	dir := filepath.Join(t.TempDir(), "failures")
	path, err := Failure{Seed: 7, What: "bits", Why: "one\u2028line\nand more", Spec: s}.Keep(dir)
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if want := append([]byte("# bits, seed 7: one?line\n"), s.Text()...); !bytes.Equal(text, want) {
		t.Errorf("kept is\n%s\nnot\n%s", text, want)
	}
	if got := filepath.Base(path); !strings.HasPrefix(got, "bits-") || len(got) != len("bits-01234567.yaml") {
		t.Errorf("kept as %s", got)
	}
}
