package firmware

import (
	"gainwright/model/tier"
	"strings"
	"testing"
	"time"
)

// kiln has a reading that can jump, and a run switch that takes the jump back.
const kiln = `
controller: kiln
rate: 10 Hz
target: avr8
inputs:
  t: {raw: int16, unit: degC, counts_per_unit: 128, range: [-20, 80]}
  armed: {raw: bool}
steps:
  believed: {kind: plausible, of: t, range: [5, 60], when: armed, back_after: 1 s, fastest: 2 degC/s, reset: RESET}
  heat: {kind: pid, target: 57, measured: t, enable: believed, kp: 2, limits: [0, 100]}
outputs:
  heater: {from: heat, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 100]}
`

// away switches off for so long around, before or behind a tick: from is where it begins, in ticks.
func (s *script) away(from float64, long time.Duration) {
	s.closed(from, false)
	s.closed(from+float64(long)/float64(s.b.tick()), true)
}

// TestShortOffEndsNoTrip: what jumped drives nothing until the run switch was off for long, whichever edge of it is the reset; outputs are safe at once.
func TestShortOffEndsNoTrip(t *testing.T) {
	run := runner(t)
	for _, reset := range []string{"armed", "not armed"} {
		b := build(t, compile(t, "kiln", strings.Replace(kiln, "RESET", reset, 1)), "atmega328p", 16_000_000, "0x0a, 0", "-Os")
		s := driving(b)
		s.mode(on-0.5, 9)
		for n := range 6 { // some are across a tick, wherever ticks lie
			s.away(on+5+5*float64(n)-0.02*float64(n), 10*time.Millisecond)
		}
		s.away(on+40-0.0012, 240*time.Microsecond)
		s.away(on+60.3, 45*time.Millisecond) // in the middle between two ticks
		r := s.run(t, run, on+100)
		r.drives(t, "before the jump", on-5, on-1)
		r.off(t, "short", on+late, on+60)
		r.drives(t, "long", on+90, on+100)
	}
}

// TestShortOffIsSafeAtOnce: where nothing has tripped a short off stops the outputs for DRIVE_AFTER ticks, no more.
func TestShortOffIsSafeAtOnce(t *testing.T) {
	run := runner(t)
	b := build(t, compile(t, "kiln", strings.Replace(kiln, "RESET", "armed", 1)), "atmega328p", 16_000_000, "0x0a, 0", "-Os")
	s := driving(b)
	s.away(on+0.3, 12*time.Millisecond)
	r := s.run(t, run, on+30)
	r.off(t, "short", on+0.3+0.11, on+1+driveAfter)
	r.drives(t, "on again", on+20, on+30)
}

// TestHowLongIsOff: whatever the sensor does, and wherever ticks lie, less than 20 ms never unlocks after a reset, and 40 ms always does: the time that the
// example says.
func TestHowLongIsOff(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for _, k := range []struct {
		name string
		mode int // of the sensor while it is off
	}{{"kiln", 0}, {"incubator", 0}, {"incubator", 2}} {
		b := &board{unit: starter(t, "incubator"), part: "atmega328p", hz: 16_000_000}
		reading := readings["incubator"]
		if k.name == "kiln" {
			b.unit, reading = compile(t, "kiln", strings.Replace(kiln, "RESET", "armed", 1)), "0x0a, 0"
		}
		b = build(t, b.unit, b.part, b.hz, reading, "-Os")
		for n, long := range []time.Duration{19 * time.Millisecond, 40 * time.Millisecond} {
			for _, from := range []float64{20.45, 20 - float64(long/2)/float64(b.tick())} {
				s := newScript(b)
				s.closed(0, true)
				s.mode(18.5, k.mode)
				s.away(from, long)
				if n == 0 {
					s.away(from+2, long)
				}
				s.mode(21.5, 0) // before the watchdog bites
				r := s.run(t, run, 75)
				r.off(t, "held", 0, from)
				if n == 0 {
					r.off(t, "too short", 0, 75)
				} else {
					r.drives(t, "long enough", 70, 75)
				}
			}
		}
	}
}

// forge has a part that the run switch enables, and one that runs whenever there is power.
const forge = `
controller: forge
rate: 10 Hz
target: avr8
inputs:
  t: {raw: int16, unit: degC, counts_per_unit: 128, range: [-20, 80]}
  armed: {raw: bool}
steps:
  sound: {kind: plausible, of: t, range: [5, 60], frozen_after: 3 s}
  heat: {kind: pid, target: 57, measured: t, enable: armed, kp: 2, limits: [0, 100]}
  light: {kind: pid, target: 30, measured: t, ENABLE kp: 0.2, ki: 1, limits: [0, 100]}
outputs:
  heater: {from: heat, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 100]}
  lamp: {from: light, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 100]}
`

// TestNothingWindsUp: a part that no run switch enables begins where it would at power on, after a long off and after a short one.
func TestNothingWindsUp(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	b := build(t, compile(t, "forge", strings.Replace(forge, "ENABLE", "", 1)), "atmega328p", 16_000_000, "0x0a, 0", "-Os")
	s := newScript(b)
	s.closed(0, false)
	s.closed(400.3, true)
	s.away(420.4, 60*time.Millisecond)
	r := s.run(t, run, 440)
	r.off(t, "off", 0, 400.3)
	for _, from := range []float64{400, 420.5} {
		first := -1
		for _, n := range r.states {
			if n.output == 1 && n.from > b.at(from) && n.connected == 2 && first < 0 {
				first = n.compare
			}
		}
		// P is 2 %, which is 5 of 255; in 6 ticks the integral of 10 degC adds 6 %.
		if first < 0 || first > 21 {
			t.Errorf("behind tick %g the lamp begins at %d of 255", from, first)
		}
	}
}

// TestFrozenWhileOff: the new start forgets no reading that froze while the switch was off, be it for less than is waited for.
func TestFrozenWhileOff(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	source := strings.Replace(forge, "ENABLE", "enable: sound,", 1)
	source = strings.Replace(source, "range: [5, 60],", "range: [5, 60], when: armed,", 1)
	source = strings.Replace(source, "  light:", "  grow: {kind: pid, target: 30, measured: t, kp: 0.2, ki: 1, limits: [0, 100]}\n  light:", 1)
	source = strings.Replace(source, "enable: armed", "enable: sound", 1) + "  vent: {from: grow, raw: int16, unit: percent, counts_per_unit: 10, limits: [0, 100]}\n"
	b := build(t, compile(t, "forge", source), "atmega328p", 16_000_000, "0x0a, 0", "-Os")
	for _, frozen := range []float64{28, 10}[:tier.Count(1, 1, 2)] { // before the switch comes on; it is waited for 30 ticks
		s := newScript(b)
		s.closed(0, false)
		s.mode(100.5-frozen, 8)
		s.closed(100.3, true)
		r := s.run(t, run, 150)
		r.off(t, "off", 0, 100.3)
		for _, n := range r.states {
			if n.output < 2 && n.on() && n.from > b.at(100.5-frozen+31) {
				t.Errorf("frozen for %g ticks: output %d is on at %v", frozen, n.output, n.from)
			}
		}
	}
}
