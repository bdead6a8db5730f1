package golden

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestDefectsAreTested: each test and bad spec that the table of defects in DEVELOPERS.md names is there.
func TestDefectsAreTested(t *testing.T) {
	page, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, found := strings.Cut(string(page), "## Defects of the trade")
	table, _, _ := strings.Cut(rest, "\n## ")
	if !found {
		t.Fatal("no table of defects")
	}
	rows := 0
	for line := range strings.Lines(table) {
		cells := strings.Split(line, "|")
		if len(cells) != 5 || !strings.Contains(cells[3], "`") {
			continue
		}
		rows++
		folder := ""
		for _, name := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(cells[3], -1) {
			switch {
			case strings.HasPrefix(name[1], "testdata/"):
				if _, err := os.Stat("../" + name[1] + "/spec.yaml"); err != nil {
					t.Errorf("%s: %v", strings.TrimSpace(cells[1]), err)
				}
			case strings.HasPrefix(name[1], "Test"):
				if !hasTest("../"+folder, name[1]) {
					t.Errorf("%s: no %s in %s", strings.TrimSpace(cells[1]), name[1], folder)
				}
			default:
				folder = name[1]
			}
		}
	}
	if rows < 20 {
		t.Errorf("%d rows are read", rows)
	}
	if hasTest("../gen/c", "TestThatNobodyWrote") {
		t.Error("a test that is not there is found")
	}
}

func hasTest(folder, name string) bool {
	files, _ := filepath.Glob(folder + "/*_test.go")
	for _, file := range files {
		if text, err := os.ReadFile(file); err == nil && strings.Contains(string(text), "\nfunc "+name+"(t *testing.T)") {
			return true
		}
	}
	return false
}
