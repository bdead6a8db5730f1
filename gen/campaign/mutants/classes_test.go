package mutants

import (
	"slices"
	"strings"
	"testing"

	"gainwright/model/interval"
	"gainwright/model/tier"
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
		{"HEADING_RATE_MEAN_FACTOR) : 0;", "HEADING_RATE_MEAN_FACTOR) : 1;", true}, // what it is taken off is a multiple of 256, rounded by that
		{"HEADING_RATE_MEAN_FACTOR) : 0;", "(HEADING_RATE_MEAN_FACTOR + 1)) : 0;", false},
		{"heading_clamp32(x, HEADING_LEFT_WHEEL_LIMITED_LOW", "HEADING_LEFT_WHEEL_LIMITED_LOW, (HEADING_LEFT_WHEEL_LIMITED_HIGH + 1))", true}, // of both wheels
		{"heading_clamp32(x, HEADING_TURN_INTEGRAL_LIMITED_LOW", "(HEADING_TURN_INTEGRAL_LIMITED_LOW + 1)", false},
		{"HEADING_RIGHT_WHEEL_BACK_LEAST) : 0);", "HEADING_RIGHT_WHEEL_BACK_LEAST) : 1);", true},
		{"SPINDLE_TURNING_FAST_MOST < turning_change", "(SPINDLE_TURNING_FAST_MOST + 1) < turning_change", false},
		{"SPINDLE_TURNING_FAST_MOST < turning_change", "SPINDLE_TURNING_FAST_MOST <= turning_change", true}, // 1281 against multiples of 2
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
	tier.Slow(t)
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

// TestCastFitsByDeclaration: of a parameter of 32 bits nothing is known, whatever other functions call so; one that has 16 on some part fits.
func TestCastFitsByDeclaration(t *testing.T) {
	u, header, _ := generated(t, "heading")
	for now, want := range map[string]bool{
		"return (int16_t)a * (int32_t)b;":                false, // int32_t a
		"return (int32_t)a * (int16_t)b;":                true,
		"return (int16_t)a * HEADING_DRIVE_FINE_FACTOR;": true,
		"rate_sum_before + (int16_t)yaw_rate_raw;":       true,
		"(x > (int16_t)high ? high : (uint16_t)x);":      false, // up to 50.000
	} {
		var list []Mutant
		for _, m := range Of(header) {
			if m.Kind == "narrower cast" && m.changed == "int16_t" && strings.Contains(m.Now, now) {
				list = append(list, m)
			}
		}
		if len(list) != 1 {
			t.Errorf("%d mutants make %s", len(list), now)
			continue
		}
		if is := castFits(u, list[0]); is != want {
			t.Errorf("%s: it fits: %t", list[0], is)
		}
	}
}

// TestRoundedLess: what is added to a multiple of 2^k does not show while x + half stays below the next one, where they part.
func TestRoundedLess(t *testing.T) {
	for _, want := range []struct {
		k      uint
		lo, hi int64
		same   bool
	}{
		{1, 0, 1, true},
		{1, 0, 2, false},
		{1, -1, 0, false},
		{0, 0, 1, false},
		{20, 0, 7, true},
		{20, 0, 8, false}, // half a count
		{20, -8, 7, true},
		{20, -9, 0, false},
	} {
		if r := roundedLess(interval.Ints(want.lo, want.hi), 8, 4, want.k); r.IsZero() != want.same {
			t.Errorf("%d to %d more of a multiple of 2^%d: %s to %s more when rounded", want.lo, want.hi, want.k, r.Lo, r.Hi)
		}
	}
	for x := int64(-64); x < 64; x++ { // whatever the multiple, it is found where it lies
		for k := range uint(6) {
			if x%(1<<k) != 0 {
				continue
			}
			for less := int64(-40); less <= 40; less++ {
				is := (x+less+8)>>4 - (x+8)>>4
				if r := roundedLess(interval.Ints(less, less), 8, 4, k); !r.Holds(interval.Ints(is, is)) {
					t.Fatalf("%d of a multiple of 2^%d, %d more: %d more when rounded, outside %s to %s", x, k, less, is, r.Lo, r.Hi)
				}
			}
		}
	}
}
