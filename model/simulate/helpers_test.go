package simulate

import (
	"strconv"
	"strings"
	"testing"

	"gainwright/model/finding"
	"gainwright/model/plant"
	"gainwright/model/spec"
	"gainwright/model/steps"
	"gainwright/templates"
)

// system reads a spec and leaves the integer program out: in these tests both controllers run in real numbers, or
// the second is one of the test's own.
func system(t testing.TB, text string) *System {
	t.Helper()
	s, found := spec.Read("probe.yaml", []byte(text))
	stop(t, found)
	asked, found := steps.Lower(s)
	stop(t, found)
	p, found := plant.Read(s)
	stop(t, found)
	sc, found := ReadScenario(s, p)
	stop(t, found)
	if sc == nil {
		t.Fatal("no scenario")
	}
	return New(s, asked, nil, p, sc)
}

func stop(t testing.TB, found finding.List) {
	t.Helper()
	if found.Failed() {
		t.Fatal(found)
	}
}

// edited is a starter with some of its text replaced, given as old, new, old, new ...
func edited(t testing.TB, name string, changes ...string) string {
	t.Helper()
	return edit(t, string(templates.Starter(name)), changes...)
}

func edit(t testing.TB, text string, changes ...string) string {
	t.Helper()
	for i := 0; i < len(changes); i += 2 {
		if !strings.Contains(text, changes[i]) {
			t.Fatalf("nothing to replace: %q", changes[i])
		}
		text = strings.Replace(text, changes[i], changes[i+1], 1)
	}
	return text
}

// against runs the reference and another controller, made for each run.
func (s *System) against(second func() controller, seed uint64) *Outcome {
	return s.run([2]controller{newReal(s.Asked, s.Spec), second()}, seed, nil)
}

// twice runs the reference against itself.
func (s *System) twice(seed uint64) *Outcome {
	return s.against(func() controller { return newReal(s.Asked, s.Spec) }, seed)
}

func number(t *testing.T, text string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}
