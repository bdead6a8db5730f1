package mutants

import (
	"slices"
	"strings"
	"testing"

	"gainwright/templates"
)

// forward is the spindle with the wanted speed times a factor in its sum, which rounds two numbers of different grids at once.
func forward(t *testing.T) string {
	t.Helper()
	var out []string
	for line := range strings.Lines(string(templates.Starter("spindle"))) {
		if !strings.HasPrefix(line, "  ahead: ") {
			out = append(out, line)
		}
	}
	src := strings.Join(out, "")
	const with, without = "{push: 1, ahead: 1}", "{push: 1, wanted: 0.72}"
	if !strings.Contains(src, with) {
		t.Fatalf("the spindle has no %s any more", with)
	}
	return strings.Replace(src, with, without, 1)
}

// TestClasses: of the changes of what is added before a shift, those inside one class are told from those that show. 270336 is half of 2^19 and
// of 2^14: what is rounded there is 16384 times one number plus 23593 times another, so each other number added shows somewhere, 270335 where the
// input wanted is 8192 more than a multiple of 16384. What the filter rounds is a sum of products by 2992, 5984, 8048 and 2848, all multiples of 16,
// and of what such a sum left over.
func TestClasses(t *testing.T) {
	u, header, _ := generatedFrom(t, "spindle", forward(t))
	list := Of(header)
	v, incubators, _ := generated(t, "incubator") // its changes of a reading are multiples of 256, and 14720 is 57.5 of them
	for _, want := range []struct {
		was, now string
		same     bool
	}{
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST + 1) < believed_change", true},
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST <= believed_change", true},
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST > believed_change", false},
		{"INCUBATOR_BELIEVED_FAST_LEAST))", "(INCUBATOR_BELIEVED_FAST_LEAST + 1)))", true},
		{"SPINDLE_TURNING_FAST_MOST < turning_change", "SPINDLE_TURNING_FAST_MOST <= turning_change", false},
		{"(x + INT32_C(270336)) >> 19", "(x + INT32_C(270335)) >> 19", false},
		{"(x + INT32_C(270336)) >> 19", "(x + INT32_C(270337)) >> 19", false},
		{"(x + INT32_C(4096)) >> 13", "(x + INT32_C(4097)) >> 13", true},
		{"(x + INT32_C(4096)) >> 13", "(x + INT32_C(4095)) >> 13", false},
		{"(x + INT32_C(1024)) >> 11", "(x + INT32_C(1025)) >> 11", false},
		{"(x + INT32_C(4096)) >> 13", "(x + INT32_C(4096)) >> 14", false},
		{"SPINDLE_PUSH_LIMITED_HIGH)", "(SPINDLE_PUSH_LIMITED_HIGH + 1))", true},
		{"SPINDLE_PUSH_LIMITED_HIGH) : 0;", "SPINDLE_PUSH_LIMITED_HIGH) : 1;", true},
		{"SPINDLE_PUSH_INTEGRAL_LIMITED_HIGH)", "(SPINDLE_PUSH_INTEGRAL_LIMITED_HIGH + 1))", false},
		{"SPINDLE_DUTY_COUNT_ROUNDED_HIGH)", "(SPINDLE_DUTY_COUNT_ROUNDED_HIGH + 1))", false},
	} {
		of, list := u, list
		if strings.Contains(want.was, "INCUBATOR") {
			of, list = v, Of(incubators)
		}
		at := slices.IndexFunc(list, func(m Mutant) bool { return strings.Contains(m.Was, want.was) && strings.Contains(m.Now, want.now) })
		if at < 0 {
			t.Errorf("no mutant makes %s of %s", want.now, want.was)
			continue
		}
		if why, same := sameClass(of, list[at]); same != want.same {
			t.Errorf("%s for %s: the same for all that is rounded there is %t, %s", want.now, want.was, same, why)
		}
	}
}

// TestEveryClassShows: changes that show at four values of an input of 16 bits alone fail the emitted tests.
func TestEveryClassShows(t *testing.T) {
	if testing.Short() {
		t.Skip("runs a generated folder's tests three times")
	}
	_, header, files := generatedFrom(t, "spindle", forward(t))
	b := newBench(t, "spindle", files)
	for _, now := range []string{"270335", "270337"} {
		text := strings.Replace(header, "INT32_C(270336)", "INT32_C("+now+")", 1)
		if text == header {
			t.Fatal("the header does not round by 2^14 and 2^5 at once any more: this test shows nothing")
		}
		if f := b.try(b.hosts[0], Mutant{Text: text}); f != failed {
			t.Errorf("%s for 270336: %s", now, f)
		}
	}
}
