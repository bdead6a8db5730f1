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
		for _, want := range Brief(u) {
			if !strings.Contains(head(string(text)), want) {
				t.Errorf("%s does not begin with %q", name, want)
			}
		}
	}
}

// TestBrief: a machine on a battery is told of batteries, a heater of its cut-out, each of fuses and local codes, and one that is not
// described of all.
func TestBrief(t *testing.T) {
	for name, want := range map[string]string{"cart": Battery, "heading": Battery, "incubator": Thermal, "spindle": "", "pan": ""} {
		got := Brief(model.Compile(name+".yaml", templates.Starter(name)))
		wanted := []string{Ground, CutOff, Fuse}
		if want != "" {
			wanted = append(wanted, want)
		}
		if !slices.Equal(got, append(wanted, Mains)) {
			t.Errorf("%s: %q", name, got)
		}
	}
	for name, from := range map[string]string{"incubator": "incubator", "cart": "cart"} {
		bare, _, _ := strings.Cut(string(templates.Starter(from)), "\nplant:")
		if u := model.Compile(name+".yaml", []byte(bare)); u.Plant != nil || !slices.Equal(Brief(u), All()) {
			t.Errorf("%s without a plant: %q", name, Brief(u))
		}
	}
	hot, _, _ := strings.Cut(string(templates.Starter("incubator")), "\nplant:")
	hot += "\nplant:\n  kind: first_order\n  inputs: {heat: W}\n  outputs: {inside: degC}\n  gain: 1 degC/W\n  time_constant: 100 s\n  actuators:\n    heat: {from: heater, full: 100 percent, gives: 60 W}\n  sensors:\n    temperature: {of: inside}\n"
	if u := model.Compile("oven.yaml", []byte(hot)); u.Plant == nil || !slices.Contains(Brief(u), Thermal) || slices.Contains(Brief(u), Battery) {
		t.Errorf("a temperature in a plant of another kind: %v, %v", u.Findings, u.Plant)
	}
	for _, text := range All() {
		for _, r := range text {
			if r < ' ' || r > '~' {
				t.Errorf("%q does not go into a comment", text)
			}
		}
	}
}
