package main

import (
	"bytes"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/plant"
	"gainwright/model/steps"
	"gainwright/templates"
)

// TestAnnotatedSpec holds what `help spec` prints against the tool: it compiles, its scenario is held, and
// every key that a finding about an unknown key names stands in it.
func TestAnnotatedSpec(t *testing.T) {
	u := model.Compile("tank.yaml", []byte(templates.Annotated))
	for _, f := range u.Findings {
		t.Errorf("%v", f)
	}
	if t.Failed() {
		t.FailNow()
	}
	t.Chdir(t.TempDir())
	if err := os.WriteFile("tank.yaml", []byte(templates.Annotated), 0o644); err != nil {
		t.Fatal(err)
	}
	var said bytes.Buffer
	if Do([]string{"simulate", "tank.yaml"}, nil, &said, &said) != good {
		t.Errorf("the scenario is not held:\n%s", said.String())
	}
	// The same spec with a key too many wherever a map stands: the findings list the keys that there are.
	known := regexp.MustCompile(`unknown key; (?:an?|the) (.*?) has (.*)`)
	asked := 0
	for _, place := range []string{"inputs:", "  pump:", "plant:", "scenario:", "budget: {", "    pressure: {of", "    speed: {", "    pressure: {target", "  timing: {", "    - {at: 5 s"} {
		at := strings.Index(templates.Annotated, "\n"+place)
		if at < 0 {
			t.Fatalf("%q is not in the annotated spec", place)
		}
		line := templates.Annotated[at+1:]
		line = line[:strings.Index(line, "\n")]
		indent := strings.Repeat(" ", len(line)-len(strings.TrimLeft(line, " ")))
		changed := "zzzz: 1\n" + line
		switch {
		case strings.Contains(place, "{"):
			changed = strings.Replace(line, "{", "{zzzz: 1, ", 1)
		case place != "inputs:":
			changed = line + "\n" + indent + "  zzzz: 1"
		}
		before := asked
		for _, f := range model.Compile("tank.yaml", []byte(strings.Replace(templates.Annotated, line, changed, 1))).Findings {
			m := known.FindStringSubmatch(f.Message)
			if m == nil {
				continue
			}
			asked++
			for _, key := range strings.Split(m[2], ", ") {
				seen := regexp.MustCompile(`\b` + key + `:`).MatchString(templates.Annotated)
				if !seen && !slices.Contains(notShown, key) {
					t.Errorf("the key %s of %s is not in the annotated spec", key, m[1])
				}
			}
		}
		if asked == before {
			t.Errorf("no finding lists the keys at %q", place)
		}
	}
}

// notShown are keys of one kind of plant, which its own help shows, or that are none.
var notShown = []string{"dead_time"}

// TestTopicsNameEverything asks for the help of each kind and looks for each of its keys.
func TestTopicsNameEverything(t *testing.T) {
	show := func(name string) string {
		var b bytes.Buffer
		if !showTopic(newPaper(&b), name) {
			t.Errorf("no help for %s", name)
		}
		return b.String()
	}
	for _, k := range steps.Kinds() {
		text := show(k.Name)
		for _, p := range k.Params {
			if !strings.Contains(text, "\n  "+p.Key+" ") {
				t.Errorf("help %s does not name %s", k.Name, p.Key)
			}
		}
		if !strings.Contains(show("steps"), "\n  "+k.Name+" ") {
			t.Errorf("help steps does not name %s", k.Name)
		}
	}
	for _, k := range plant.Kinds() {
		text := show(k.Name)
		for _, p := range k.Params {
			if !strings.Contains(text, "\n  "+p.Key+" ") {
				t.Errorf("help %s does not name %s", k.Name, p.Key)
			}
		}
		if k.Extra != nil && len(k.More) == 0 {
			t.Errorf("help %s does not name the keys that are no numbers", k.Name)
		}
		if !strings.Contains(show("plants"), "\n  "+k.Name+" ") {
			t.Errorf("help plants does not name %s", k.Name)
		}
	}
	if slices.Contains(topicNames(), "") {
		t.Error("a topic without a name")
	}
}
