package cert

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSizeIsSaid: DEVELOPERS.md names every file that must be trusted, and says how many lines they have together.
func TestSizeIsSaid(t *testing.T) {
	page, err := os.ReadFile("../../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	_, said, _ := strings.Cut(string(page), "## What must be trusted")
	said, _, _ = strings.Cut(said, "\n## ")
	lines, files := 0, 0
	for _, room := range []string{"interval", "affine", "response", "cert"} {
		names, err := filepath.Glob("../" + room + "/*.go")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if strings.HasSuffix(name, "_test.go") {
				continue
			}
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files++
			lines += strings.Count(string(text), "\n")
			if !strings.Contains(said, "`"+filepath.Base(name)+"`") {
				t.Errorf("model/%s/%s must be trusted and is not named", room, filepath.Base(name))
			}
		}
	}
	if want := fmt.Sprintf("%d lines without tests", lines); !strings.Contains(said, want) {
		t.Errorf("%q is true of %d files, and DEVELOPERS.md does not say so", want, files)
	}
}
