package spec

import (
	"strings"
	"testing"
)

// Plant and scenario stay trees with their places; what is no map, or empty, is reported.
func TestParts(t *testing.T) {
	s, found := Read("cart.yaml", []byte(cart+"plant:\n  kind: heater\n  sensors: {a: {of: b}}\nscenario: {duration: 5 s}\n"))
	if len(found) > 0 {
		t.Fatal(found)
	}
	if s.Plant.Pos.Line != 24 || len(s.Plant.Args) != 2 || tree(s.Plant.Args[1].Value) != "26:12 {a: 26:16 {of: 26:21 b}}" {
		t.Errorf("plant %+v", s.Plant)
	}
	if s.Scenario.Pos.Line != 27 || s.Scenario.Args[0].Key != "duration" || s.Scenario.Args[0].Value.Text != "5 s" {
		t.Errorf("scenario %+v", s.Scenario)
	}
	for text, want := range map[string]string{
		"plant: heater\n":     "cart.yaml:24:8: error: plant: expected a map, found the text",
		"plant:\n":            "cart.yaml:24:1: error: plant: nothing stands behind the key",
		"scenario: {}\n":      "cart.yaml:24:1: error: scenario: the section is empty",
		"scenario: [1, 2]":    "cart.yaml:24:11: error: scenario: expected a map, found a list",
		"plant: {a: *b}\n":    "yaml-alias",
		"plant: {a: 1, a: 2}": "duplicate-key",
	} {
		if _, found := Read("cart.yaml", []byte(cart+text)); !strings.Contains(show(found), want) {
			t.Errorf("%q:\n%s expected %s", text, show(found), want)
		}
	}
	if s, _ := Read("cart.yaml", []byte(cart)); s.Plant != nil || s.Scenario != nil {
		t.Error("parts where there are none")
	}
}
