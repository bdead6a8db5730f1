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
	w, headings, _ := generated(t, "heading")     // adds the least effort to a multiple of 64, and rounds by 2^16
	v, incubators, _ := generated(t, "incubator") // its changes of a reading are multiples of 256, and 14720 is 57.5 of them
	for _, want := range []struct {
		was, now string
		same     bool
	}{
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST + 1) < believed_change", true},
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST <= believed_change", true},
		{"(INCUBATOR_BELIEVED_FAST_MOST < believed_change", "(INCUBATOR_BELIEVED_FAST_MOST > believed_change", false},
		{"INCUBATOR_BELIEVED_FAST_LEAST))", "(INCUBATOR_BELIEVED_FAST_LEAST + 1)))", true},
		{"left_wheel_back_share + HEADING_LEFT_WHEEL_BACK_LEAST", "+ (HEADING_LEFT_WHEEL_BACK_LEAST + 1)", true},
		{"left_wheel_back_share + HEADING_LEFT_WHEEL_FORE_LEAST", "+ (HEADING_LEFT_WHEEL_FORE_LEAST + 1)", true},
		{"HEADING_LEFT_WHEEL_BACK_HALF ? (left", "(HEADING_LEFT_WHEEL_BACK_HALF + 1) ? (left", false},
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
		if strings.Contains(want.was, "HEADING") {
			of, list = w, Of(headings)
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

// TestCastFits: of the casts to 8 bits those of counters up to 29 change nothing, those of temperatures do.
func TestCastFits(t *testing.T) {
	u, header, _ := generated(t, "incubator")
	seen := map[bool]int{}
	for _, m := range Of(header) {
		if m.Kind != "narrower cast" || m.changed != "int8_t" {
			continue
		}
		is, want := castFits(u, m), strings.Contains(m.Was, "s->believed_count") || strings.Contains(m.Was, "s->believed_same_count")
		seen[want]++
		if is != want {
			t.Errorf("%s: it fits: %t", m, is)
		}
	}
	if seen[true] != 2 || seen[false] < 2 {
		t.Errorf("%v: 2 are to fit, some not", seen)
	}
}

// TestRoundedAway: what is added to a multiple of 2^k does not show while it is less than that and nothing but the rounding sees the sum.
func TestRoundedAway(t *testing.T) {
	const code = "static inline int32_t some_round32_by4(int32_t x)\n{\n    return (int32_t)((x + INT32_C(8)) >> 4);\n}\nconst int32_t sum = a + b;\nconst int32_t y = some_round32_by4(sum);\n"
	for _, want := range []struct {
		code string
		k    uint
		more int64
		same bool
	}{
		{code, 1, 1, true},
		{code, 1, 2, false},
		{code, 0, 1, false},
		{code, 20, 7, true},
		{code, 20, 8, false}, // half a count
		{code + "s->sum = sum;\n", 1, 1, false},
	} {
		if same := roundedAway(want.code, "sum", want.k, want.more); same != want.same {
			t.Errorf("%d more of a multiple of 2^%d: it is rounded away: %t", want.more, want.k, same)
		}
	}
}
