package firmware

import (
	"fmt"
	"gainwright/model/tier"
	"strings"
	"testing"
)

// notes is a test that goes on.
type notes struct{ found []string }

func (n *notes) Helper() {}
func (n *notes) Errorf(format string, args ...any) {
	n.found = append(n.found, fmt.Sprintf(format, args...))
}
func (n *notes) Fatal(args ...any)                 { panic(fmt.Sprint(args...)) }
func (n *notes) Fatalf(format string, args ...any) { panic(fmt.Sprintf(format, args...)) }

// TestFaultsAreNoticed: an example that forgets one thing is found out by the fault that is there for it.
func TestFaultsAreNoticed(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for i, k := range []struct{ starter, fault, old, new string }{
		{"incubator", "all is well", "#define SWITCH(n, port, bit) PORT##port |= (uint8_t)(1u << (bit));", "#define SWITCH(n, port, bit)"},
		{"incubator", "the switch is on from the start", "uint8_t locked = 1u;", "uint8_t locked = 0u;"},
		{"cart", "reset causes", "uint8_t locked = 1u;", "uint8_t locked = (uint8_t)((reset_cause & (1u << WDRF)) != 0u);"},
		{"cart", "reset causes", "    reset_cause = MCUSR;\n", "    reset_cause = 0;\n"},
		{"incubator", "one reading is missed", "    control &= (uint8_t)~(3u << ((connect) - 1)); \\\n", "    \\\n"},
		{"incubator", "one reading is missed", "        if (good == 0u) {\n            safe_outputs();\n", "        if (good == 0u) {\n"},
		{"cart", "one reading is missed", "        wrong = 0u;\n", "        wrong = 0u;\n        settling = DRIVE_AFTER;\n"},
		{"heading", "readings are missed", "_restart(&state);\n                settling = DRIVE_AFTER;\n", "_restart(&state);\n"},
		{"cart", "a tick is late", "good = (uint8_t)(next_is_due() == 0u);", "good = 1u;"},
		{"cart", "a tick is missed", "if (ticks == 1u && ", "if ("},
		{"incubator", "the sensor never answers", "            if (feed != 0u) {", "            if (feed < 2u) {"},
		{"cart", "every tick is late", "            if (feed != 0u) {", "            if (feed < 2u) {"},
		{"cart", "the sensor falls silent", "            if (feed != 0u) {", "            if (feed < 2u) {"},
		{"incubator", "the loop hangs", "    wdt_enable(", "    (void)("},
		{"cart", "the loop hangs, and the switch goes off", "        was_off = 1u;\n        safe_outputs();\n", "        was_off = 1u;\n"},
		{"incubator", "the loop hangs, and the switch goes off", "        was_off = 1u;\n        safe_outputs();\n", "        was_off = 1u;\n"},
		{"pan", "the wire breaks", "if (may_run != 0u && settling == 0u && still_on() != 0u)", "if ((may_run != 0u && settling == 0u && still_on() != 0u) || settling <= DRIVE_AFTER)"},
		{"cart", "every second reading is missed", "            lately = 0u;\n        }\n", "        }\n        lately = 0u;\n"},
		{"heading", "a reading is missed at the start", "            } else if (settling != 0u) {\n                settling = DRIVE_AFTER;\n", "            } else if (settling != 0u) {\n                row = 0u;\n"},
		{"cart", "readings come in part", "(registers) != REGISTERS", "(registers) == 0u"},
		{"incubator", "a reading freezes, and then none comes", "if (state.believed_trip != 0u) { /* somebody", "if (0) { /*"},
		{"incubator", "a reading freezes, and then none comes", "locked = 1u; /* its reset might come on in the new start */\n                }\n                incubator_restart", "}\n                incubator_init"}, // two keep it: the lock, and the header
		{"spindle", "a reading freezes, and then none comes", "locked = 1u; /* its reset might come on in the new start */\n                }\n                spindle_restart", "}\n                spindle_init"},       // two keep it: the lock, and the header
		{"cart", "the switch is held over a reset, and lets go for 10 ms", "off_looks >= OFF_LOOKS", "off_looks > 0u"},
		{"cart", "the switch is held over a reset, and lets go for 10 ms", "was_switched_off() != 0u", "was_switched_off() != 0u || may_run == 0u"},
		{"spindle", "the switch bounces", "settling = DRIVE_AFTER; /* a contact that bounces drives nothing */", ""},
		{"cart", "a boot loader used timer 1", "    TCCR1A = 0;", "    "},
		{"heading", "all is well", "    START_PIN(way, way_bit)\n", "    START_PIN(way, way_bit) START_PIN(B, 3)\n"},
	} {
		if i%tier.Count(3, 3, 1) != 0 {
			continue
		}
		b := &board{unit: starter(t, k.starter), dir: t.TempDir(), part: "atmega328p", hz: 16_000_000}
		b.change = func(example string) string {
			if !strings.Contains(example, k.old) {
				t.Errorf("%s: no %q in the example", k.starter, k.old)
			}
			return strings.Replace(example, k.old, k.new, 1)
		}
		if out, err := b.compile(readings[k.starter], "-Os"); err != nil {
			t.Errorf("%s: %v\n%s", k.starter, err, out)
			continue
		}
		var n notes
		for _, f := range faults {
			if f.name == k.fault {
				f.run(&n, b, run)
			}
		}
		if len(n.found) == 0 {
			t.Errorf("%s, %s: nobody notices %q in place of %q", k.starter, k.fault, k.new, k.old)
		}
	}
}
