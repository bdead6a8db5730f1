package summary

import (
	"encoding/json"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/loop"
)

// Machines at the ends of what can be written have a linear view in numbers, and words for what turning a gain does.
func TestLinearViewOfExtremes(t *testing.T) {
	for _, c := range []struct{ name, old, new string }{
		{"a machine that does nothing: the integral has a pole at exactly 1", "gain: 1\n", "gain: 0\n"},
		{"a loop that is never switched on: it has no poles", machine, fraction("1", "1, 0")},
	} {
		text := strings.Replace(tank, c.old, c.new, 1)
		text = strings.Replace(text, "plant:\n", "tuning: {push.kp: [0, 8]}\nplant:\n", 1)
		if c.old == machine {
			text = strings.Replace(text, "run: {0 s: off, 1 s: on}", "run: off", 1)
		}
		u := model.Compile("probe.yaml", []byte(text))
		if !u.OK() {
			t.Fatal(u.Findings)
		}
		v, err := loop.New(Loop(u))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(v); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		turned, err := Turned(u, nil)
		if err != nil {
			t.Fatal(err)
		}
		if want := map[bool]string{true: "push is switched off", false: "push.kp"}[c.old == machine]; !strings.Contains(turned.BoxSentence(), want) {
			t.Errorf("%s: %s", c.name, turned.BoxSentence())
		}
	}
}
