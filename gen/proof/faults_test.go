package proof

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model"
	"gainwright/model/tier"
)

// fault is a change of a header that an analysis must not let pass.
type fault struct {
	name, starter string
	pattern, put  string // a regular expression that matches once, and what stands there instead
	machine       Machine
	part          part
	want          string // part of what is reported
}

var faults = []fault{
	{"a widened constant", "incubator", `(SMOOTH_OUTPUT_PULL_FACTOR +(?:INT32_C\()?)`, "${1}9", Int32, everything, "a * b"},
	{"a widened limit", "spindle", `(SPINDLE_PUSH_LIMITED_HIGH +(?:INT32_C\()?)`, "${1}9", Int32, everything, ""},
	{"a widened tuning range", "spindle", `(_PUSH_KP_HIGH +INT32_C\()\d+`, "${1}65000", Int16, everything, "push_kp"},
	{"a start out of range", "incubator", `(\n    s->heat_integral = )0;`, "${1}-1;", Int32, everything, "heat_integral == 0"},
	{"a dropped cast", "incubator", `(const int32_t +smooth_output_gap +=) [^;]*;`, "${1} temperature_raw - smooth_output_seen_rounded;", Int16, everything, "signed overflow"},
	{"a removed clamp", "incubator", `(static inline \w+ incubator_within_heat_integral_limited\(\w+ x\)\n\{\n    return) [^;]*;`, "${1} x;", Int32, everything, "heat_integral_limited"},
	{"a removed limit of a setter", "spindle", `(const uint16_t limited =) [^;]*;`, "${1} (uint16_t)(x & 65535);", Int32, everything, "push_kp"},
	{"a shift one short", "pan", `(pan_round32_by11\w*\(int32_t x\)\n\{\n    return \(\w+\)\(\(x \+ \w+\(\d+\)\) >> )11\)`, "${1}10)", Int32, everything, ""},
	{"a state stored unlimited", "incubator", `s->heat_integral = heat_integral_limited;`, "s->heat_integral = heat_integral_moved;", Int32, everything, "s->heat_integral <="},
	{"a statement that is never reached", "incubator", `(    s->heat_slow = heat_slow_next;)`, "${1}\n    if (heat_slow_next == INT32_MIN) { s->heat_slow = 0; }", Int32, everything, "statements reached"},
	{"a state that no contract allows to change", "spindle", `(    s->ready = spare;\n\}\n\n/\*\n \* Sets push.kp)`, "    s->smooth_y1 = 0;\n${1}", Int32, everything, "assigns"},
	{"another result for the vectors", "spindle", `(out->duty = \(int16_t\))(\w+);`, "${1}(${2} / 2);", Int32, selftest, "wrong == 0"},
	{"a quotient of other bits", "cart", `(\(lesser << \w+\) / )larger;`, "${1}(larger - 1u);", Int16, arctangent, "division by zero"},
	{"an entry beyond the right angle", "cart", `E\(129, \d+\)`, "E(129, 25000)", Int16, arctangent, "ensures"},
}

// TestFaults puts one fault after the other into headers.
func TestFaults(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	for _, f := range faults {
		t.Run(f.name, func(t *testing.T) {
			t.Parallel()
			u := starter(t, f.starter)
			header, err := Annotate(u, []byte(f.in(t, u)))
			if err != nil {
				t.Fatal(err)
			}
			r, err := analyse(inTime(t), u, header, f.machine, f.part)
			if err != nil {
				t.Fatal(err)
			}
			list := slices.Concat(r.Alarms, r.Open)
			if f.part == everything { // the arctangents belong to another part
				list = append(list, slices.DeleteFunc(r.Unreached, func(s string) bool { return strings.Contains(s, "_angle_") })...)
			}
			said := strings.Join(list, "\n")
			if said == "" || !strings.Contains(said, f.want) {
				t.Errorf("the fault was not found: %s", r)
			}
			t.Logf("%.200s", said)
		})
	}
}

// in returns the header with the fault; its checksums, which would not even let it compile, are taken out.
func (f fault) in(t *testing.T, u *model.Unit) string {
	t.Helper()
	header := regexp.MustCompile(`typedef char \w+_as_generated\[\((?s:.*?)\];\n`).ReplaceAllString(string(c.Header(u)), "")
	pattern := regexp.MustCompile(f.pattern)
	if n := len(pattern.FindAllString(header, -1)); n != 1 {
		t.Fatalf("the header has %d places for %s", n, f.pattern)
	}
	return pattern.ReplaceAllString(header, f.put)
}

// TestSoundHeaderPasses: what TestFaults runs finds nothing where there is no fault.
func TestSoundHeaderPasses(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	u := starter(t, "spindle")
	f := fault{pattern: `(out->duty = [^;]*;)`, put: "${1}"}
	header, err := Annotate(u, []byte(f.in(t, u)))
	if err != nil {
		t.Fatal(err)
	}
	if r, err := analyse(inTime(t), u, header, Int16, everything, selftest); err != nil || !r.OK() {
		t.Errorf("%v, %v", r, err)
	}
}

// TestAdmitsAreNeeded leaves out one admission after the other: Eva does not do without any.
func TestAdmitsAreNeeded(t *testing.T) {
	tier.Slow(t)
	tier.Tool(t, Tool, Package)
	one := regexp.MustCompile(` */\*@ (?:admit|ghost if)[^\n]*\n`)
	for _, name := range []string{"incubator", "pan", "spindle"} {
		u := starter(t, name)
		header := annotated(t, u)
		places := one.FindAllStringIndex(header, -1)
		if len(places) == 0 {
			t.Errorf("%s: nothing is admitted", name)
		}
		for _, at := range places {
			t.Run(fmt.Sprint(name, " ", strings.TrimSpace(header[at[0]:at[1]])), func(t *testing.T) {
				t.Parallel()
				r, err := analyse(inTime(t), u, []byte(header[:at[0]]+header[at[1]:]), Int32, everything)
				if err != nil {
					t.Fatal(err)
				}
				if r.OK() {
					t.Error("Eva needs no help there")
				}
			})
		}
	}
}
