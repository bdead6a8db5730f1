package templates

import (
	"embed"
	"io/fs"
	"strings"
)

//go:embed starters
var starters embed.FS

// Starters lists the names of the starter specs, in the order to show them.
func Starters() []string { return []string{"cart", "heading", "incubator", "spindle", "pan"} }

// Starter returns the text of a starter spec.
func Starter(name string) []byte { return must(name + ".yaml") }

// RecordedLog returns three seconds of a recorded log, a variant of the cart whose inputs have the scales of
// that log, and the notice that goes with it, by file name.
func RecordedLog() map[string][]byte {
	files := map[string][]byte{}
	for _, name := range []string{"cart_log.yaml", "cart_log.csv", "cart_log.license.txt"} {
		files[name] = must(name)
	}
	return files
}

// About is the first sentence of a starter: its line `about`.
func About(name string) string {
	for line := range strings.Lines(string(Starter(name))) {
		if text, found := strings.CutPrefix(line, "about:"); found {
			return strings.TrimSpace(text)
		}
	}
	return ""
}

func must(name string) []byte {
	text, err := fs.ReadFile(starters, "starters/"+name)
	if err != nil {
		panic(err) // the embedded folder is there or the program does not build
	}
	return text
}
