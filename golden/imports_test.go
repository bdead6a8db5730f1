package golden

import (
	"os"
	"os/exec"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestImports holds the table of folders of DEVELOPERS.md: each folder imports what its row says, and each package has a row. A word there stands
// for the folder of that name, at the top or below model, and for all below it; – stands for nothing of this project. Where a row has several folders, the later ones may import the earlier.
func TestImports(t *testing.T) {
	text, err := os.ReadFile("../DEVELOPERS.md")
	if err != nil {
		t.Fatal(err)
	}
	name := regexp.MustCompile("`([a-z/]+)`")
	may := map[string][]string{}
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(line, "|")
		if len(cells) != 5 {
			continue
		}
		said := strings.Split(strings.TrimSpace(cells[3]), ", ")
		for _, folder := range name.FindAllStringSubmatch(cells[1], -1) {
			may[folder[1]] = slices.Clone(said)
			said = append(said, folder[1]) // the next of the same row
		}
	}
	out, err := exec.Command("go", "list", "-f", "{{.ImportPath}} {{join .Imports \" \"}}", "../...").Output()
	if err != nil {
		t.Fatal(err)
	}
	within := func(path, folder string) bool { return path == folder || strings.HasPrefix(path, folder+"/") }
	allowed := func(folder, imported string) bool {
		for _, word := range may[folder] {
			if within(imported, word) || within(imported, "model/"+word) {
				return true
			}
		}
		return within(imported, folder)
	}
	for line := range strings.Lines(string(out)) {
		words := strings.Fields(strings.ReplaceAll(line, "gainwright/", ""))
		folder := words[0]
		for may[folder] == nil && strings.Contains(folder, "/") { // a folder inside one that has a row
			folder = folder[:strings.LastIndex(folder, "/")]
		}
		if may[folder] == nil {
			t.Errorf("DEVELOPERS.md has no row for %s", words[0])
			continue
		}
		for _, imported := range words[1:] {
			if top, _, _ := strings.Cut(imported, "/"); may[top] == nil && top != "cmd" && top != "gen" {
				continue // of another project
			}
			if !allowed(folder, imported) {
				t.Errorf("%s imports %s, which the table of DEVELOPERS.md does not say", words[0], imported)
			}
		}
	}
}
