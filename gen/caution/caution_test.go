package caution

import (
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/templates"
)

// head is the comment that a spec begins with, on one line.
func head(text string) string {
	var lines []string
	for line := range strings.Lines(text) {
		comment, ok := strings.CutPrefix(line, "#")
		if !ok {
			break
		}
		lines = append(lines, strings.TrimSpace(comment))
	}
	return strings.Join(lines, " ")
}

// TestStarters: each starter begins with the cautions for its machine, in the words of this package.
func TestStarters(t *testing.T) {
	specs := map[string][]byte{"cart_log": templates.RecordedLog()["cart_log.yaml"]}
	for _, name := range templates.Starters() {
		specs[name] = templates.Starter(name)
	}
	for name, text := range specs {
		u := model.Compile(name+".yaml", text)
		if !u.OK() {
			t.Fatalf("%s: %v", name, u.Findings)
		}
		for _, want := range append(Brief(u), Fuse) {
			if !strings.Contains(head(string(text)), want) {
				t.Errorf("%s does not begin with %q", name, want)
			}
		}
	}
}

// TestBrief: a machine on a battery is told of batteries, a heater of its cut-out.
func TestBrief(t *testing.T) {
	for name, want := range map[string]string{"cart": Battery, "heading": Battery, "incubator": Thermal, "spindle": "", "pan": ""} {
		got := Brief(model.Compile(name+".yaml", templates.Starter(name)))
		if len(got) > 3 || want != "" && !slices.Contains(got, want) || want == "" && len(got) != 2 {
			t.Errorf("%s: %q", name, got)
		}
	}
	for _, text := range All() {
		for _, r := range text {
			if r < ' ' || r > '~' {
				t.Errorf("%q does not go into a comment", text)
			}
		}
	}
}
