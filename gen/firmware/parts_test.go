package firmware

import (
	"strings"
	"testing"

	"gainwright/gen/c"
	"gainwright/model/tier"
)

// shelf has four outputs, one of which can be negative, and no switch.
const shelf = `
controller: shelf
rate: 100 Hz
target: avr8
inputs:
  light: {raw: int16, unit: lx, counts_per_unit: 1, range: [0, 1000]}
steps:
  more: {kind: sum, of: {light: 0.1}, unit: percent, limits: [-100, 100]}
outputs:
  lamp: {from: more, raw: int8, unit: percent, limits: [0, 100]}
  fan: {from: more, raw: int8, unit: percent, limits: [-100, 100]}
  pump: {from: more, raw: int8, unit: percent, limits: [0, 100]}
  vent: {from: more, raw: int8, unit: percent, limits: [0, 100]}
`

// sluice has five switches.
const sluice = `
controller: sluice
rate: 100 Hz
target: avr8
inputs:
  level: {raw: int16, unit: mm, counts_per_unit: 1, range: [0, 1000]}
  run: {raw: bool}
  a: {raw: bool}
  b: {raw: bool}
  c: {raw: bool}
  d: {raw: bool}
steps:
  lift: {kind: pid, target: 500, measured: level, enable: run, kp: 1, limits: [-100, 100]}
outputs:
  gate: {from: lift, raw: int8, unit: percent, limits: [-100, 100]}
`

// TestLargerPart: what does not fit the table of one part does not compile there and runs on a larger one.
func TestLargerPart(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for n, k := range []struct{ name, source, reading, says string }{
		{"shelf", shelf, "0x03, 0xe0", "outputs: 4 of 3, switches: 1 of 4 of an ATmega328P"},
		{"sluice", sluice, "0, 0", "outputs: 1 of 3, switches: 5 of 4 of an ATmega328P"},
	} {
		u := compile(t, k.name, k.source)
		small := &board{unit: u, dir: t.TempDir(), part: "atmega328p", hz: 16_000_000}
		if out, err := small.compile(k.reading); err == nil || !strings.Contains(out, k.says) {
			t.Errorf("%s: %v, the compiler says\n%s", k.name, err, out)
		}
		b := build(t, u, "atmega2560", 16_000_000, k.reading, "-Os")
		for _, f := range share(n) {
			t.Run(k.name+"/"+f.name, func(t *testing.T) { f.run(t, b, run) })
		}
	}
}

// TestOtherParts runs starters on the other parts, with other clocks and as other compiler settings make them.
func TestOtherParts(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for n, k := range []struct {
		name, part string
		hz         int
		flag       string
	}{
		{"heading", "atmega32u4", 16_000_000, "-Os"},
		{"spindle", "atmega2560", 8_000_000, "-O2"},
		{"incubator", "atmega328p", 1_000_000, "-O2"},
		{"cart", "atmega328p", 8_000_000, "-O2"},
		{"pan", "atmega328p", 20_000_000, "-O3"},
	} {
		t.Run(k.name+" on "+k.part, func(t *testing.T) {
			t.Parallel()
			b := build(t, starter(t, k.name), k.part, k.hz, readings[k.name], k.flag)
			for _, f := range share(n) {
				t.Run(f.name, func(t *testing.T) { f.run(t, b, run) })
			}
		})
	}
	unknown := &board{unit: starter(t, "cart"), dir: t.TempDir(), part: "atmega1284p", hz: 16_000_000}
	if out, err := unknown.compile(readings["cart"]); err == nil || !strings.Contains(out, "no table of pins for this part") {
		t.Errorf("a part without a table: %v\n%s", err, out)
	}
}

// pond is a loop whose ticks are longer than any watchdog waits.
const pond = `
controller: pond
rate: RATE Hz
target: avr8
inputs:
  level: {raw: int16, unit: mm, counts_per_unit: 1, range: [0, 1000]}
steps:
  fill: {kind: pid, target: 500, measured: level, kp: 1, ki: 0.001, limits: [0, 100]}
outputs:
  pump: {from: fill, raw: int8, unit: percent, limits: [0, 100]}
tuning: {fill.kp: [0, 4]}
`

// TestSlowTicks: ticks of 8.33 s and 40 s, at which the run switch is looked at all the same.
func TestSlowTicks(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for n, rate := range []string{"0.12", "0.025"} {
		u := compile(t, "pond", strings.Replace(pond, "RATE", rate, 1))
		t.Run(rate+" Hz", func(t *testing.T) {
			t.Parallel()
			b := build(t, u, "atmega328p", 1_000_000, "0, 0", "-Os")
			for _, f := range share(n) {
				t.Run(f.name, func(t *testing.T) { f.run(t, b, run) })
			}
		})
		t.Run(rate+" Hz at 16 MHz", func(t *testing.T) {
			t.Parallel()
			s := driving(build(t, u, "atmega328p", 16_000_000, "0, 0", "-O2"))
			r := s.run(t, run, closedAt+8)
			r.off(t, "before the switch is on", 0, closedAt)
			r.drives(t, "all is well", closedAt+7, closedAt+8)
		})
	}
}

// TestTooFast: where a step takes longer than a tick nothing is ever driven.
func TestTooFast(t *testing.T) {
	run := runner(t)
	b := build(t, compile(t, "pond", strings.Replace(pond, "RATE", "10000", 1)), "atmega328p", 1_000_000, "0, 0", "-Os")
	driving(b).run(t, run, 10_000).off(t, "too fast", 0, 10_000)
	faster := &board{unit: compile(t, "pond", strings.Replace(pond, "RATE", "40000", 1)), dir: t.TempDir(), part: "atmega328p", hz: 1_000_000}
	if out, err := faster.compile("0, 0"); err == nil || !strings.Contains(out, "shorter than 100 cycles") {
		t.Errorf("a tick of 25 cycles: %v\n%s", err, out)
	}
}

// TestRunSwitch: which switch of a spec starts a machine is not guessed. A door's contact that comes first does not.
func TestRunSwitch(t *testing.T) {
	for _, k := range []struct{ steps, want string }{
		{"{kind: pid, target: 500, measured: level, enable: run, kp: 1, limits: [-100, 100]}", "#define RUN_SWITCH 1u"},
		{"{kind: pid, target: 500, measured: level, enable: not door, kp: 1, limits: [-100, 100]}", "#define RUN_SWITCH 2u"},
		{"{kind: pid, target: 500, measured: level, reset: run, kp: 1, ki: 1, limits: [-100, 100]}", "#define RUN_SWITCH 2u"},
		{"{kind: pid, target: 500, measured: level, enable: run, kp: 1, limits: [-100, 100]}\n  more: {kind: pid, target: 500, measured: level, enable: not run, kp: 1, limits: [-100, 100]}", "#define RUN_SWITCH 2u"},
		{"{kind: pid, target: 500, measured: level, enable: run, kp: 1, limits: [-100, 100]}\n  more: {kind: pid, target: 500, measured: level, enable: door, kp: 1, limits: [-100, 100]}", "#define RUN_SWITCH 2u"},
	} {
		source := strings.Replace(sluice, "  run: {raw: bool}\n  a: {raw: bool}\n  b: {raw: bool}\n  c: {raw: bool}\n  d: {raw: bool}\n", "  door: {raw: bool}\n  run: {raw: bool}\n", 1)
		at := strings.Index(source, "  lift: ")
		end := at + strings.Index(source[at:], "\n")
		source = source[:at] + "  lift: " + k.steps + source[end:]
		if strings.Contains(k.steps, "more:") {
			source += "  more_out: {from: more, raw: int8, unit: percent, limits: [-100, 100]}\n"
		}
		if got := string(c.LoopExample(compile(t, "sluice", source))); !strings.Contains(got, k.want) {
			t.Errorf("%s: %s expected", k.steps, k.want)
		}
	}
}
