// Package firmware runs the loop examples, as they are emitted, in simulated AVR parts, and looks at their pins and
// registers: whatever goes wrong, no output may be on that must be off.
package firmware

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
	"time"

	"gainwright/gen/c"
	"gainwright/model/tier"
)

// readings make every output of a starter move: by starter, the bytes of the registers.
var readings = map[string]string{
	"cart":      "0x03, 0x58, 0x3f, 0xea, 0, 0, 0, 0", // it leans by 3 degrees
	"heading":   "0, 0, 0, 0, 0, 100",                 // it drives
	"incubator": "10, 0",                              // it is cold
	"spindle":   "0, 0, 0x1f, 0x40",                   // it stands and is to turn
	"pan":       "0, 0, 0x01, 0xf4",                   // it is to turn by 5 degrees
}

// Numbers of ticks that every example states.
const (
	restartAfter = 3
	driveAfter   = 4
)

// Ticks of a run in which all is well until on: the switches are open, then closed, and the outputs are driven.
const (
	closedAt = 25.3
	on       = 65.0
)

// believes are ticks after a start before a controller believes its readings: back_after of the starter.
var believes = map[string]float64{"cart": 20, "incubator": 30}

// driving opens the switches from power on, and closes them.
func driving(b *board) *script {
	s := newScript(b)
	s.closed(0, false)
	s.closed(closedAt, true)
	return s
}

// said are the times within which a loop that hangs, and a sensor that never answers, reset the part, as the example says.
func said(t tester, b *board) (hang, silent time.Duration) {
	t.Helper()
	text := regexp.MustCompile(`\n \*\s+`).ReplaceAllString(string(c.LoopExample(b.unit)), " ")
	m := regexp.MustCompile(`reset the part within about ([0-9.]+ [mu]?s).* within about ([0-9.]+ [mu]?s)\.`).FindStringSubmatch(text)
	if m == nil {
		t.Fatal("the example does not say when it resets")
	}
	var times [2]time.Duration
	for i, s := range m[1:] {
		d, err := time.ParseDuration(strings.ReplaceAll(s, " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		times[i] = d * 101 / 100
	}
	return times[0], times[1]
}

// fault is one thing that goes wrong, and what the pins must do about it.
type fault struct {
	name string
	run  func(t tester, b *board, runner string)
}

// late is how long after its interrupt a tick is over, in ticks: the outputs stand by then.
const late = 0.9

// early is when the interrupt of the next tick comes at the earliest: a timer counts whole numbers.
const early = 0.999

var faults = []fault{
	{"all is well", func(t tester, b *board, runner string) {
		r := driving(b).run(t, runner, on+10)
		r.off(t, "before the switch is on", 0, closedAt)
		r.drives(t, "all is well", on, on+10)
		if len(r.resets) > 1 {
			t.Errorf("%s: it is reset %d times", b.unit.Spec.Name, len(r.resets)-1)
		}
		pinsTaken(t, r)
	}},
	{"the switch is on from the start", func(t tester, b *board, runner string) {
		s := newScript(b)
		s.closed(0, true)
		s.run(t, runner, 40).off(t, "held on", 0, 40)
	}},
	{"the wire is broken", func(t tester, b *board, runner string) {
		s := newScript(b)
		s.run(t, runner, 40).off(t, "broken", 0, 40)
	}},
	{"the wire breaks", func(t tester, b *board, runner string) {
		s := driving(b)
		s.closed(on+0.2, false)
		r := s.run(t, runner, on+20)
		r.drives(t, "before it breaks", on-5, on)
		off := 1 + late
		if look := 11 * time.Millisecond; look < b.tick() { // it is looked at 100 times a second
			off = float64(look) / float64(b.tick())
		}
		r.off(t, "switched off", on+0.2+off, on+20)
	}},
	{"the sensor never answers", func(t tester, b *board, runner string) {
		_, silent := said(t, b)
		s := driving(b)
		s.mode(0, 1)
		ticks := float64(silent)/float64(b.tick()) + 20
		r := s.run(t, runner, ticks)
		r.off(t, "silent", 0, ticks)
		r.reset(t, "silent", 0, silent)
	}},
	{"the sensor falls silent", func(t tester, b *board, runner string) {
		_, silent := said(t, b)
		reset := on + float64(silent)/float64(b.tick()) + 1
		s := driving(b)
		s.mode(on-0.5, 1)
		s.mode(reset, 0) // and comes back when it is too late
		s.closed(reset+20, false)
		s.closed(reset+45.3, true)
		r := s.run(t, runner, reset+90)
		r.drives(t, "before it falls silent", on-5, on-1)
		r.off(t, "silent", on+late, reset+45)
		r.reset(t, "silent", on, silent)
		r.drives(t, "after the switch was off", reset+85, reset+90)
	}},
	{"one reading is missed", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 1)
		s.mode(on+0.5, 0)
		r := s.run(t, runner, on+10)
		r.off(t, "one is missed", on+late, on+early)
		r.drives(t, "the next one comes", on+1+late, on+2)
	}},
	{"readings are missed", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 1)
		s.mode(on+restartAfter-0.5, 0)
		r := s.run(t, runner, on+60)
		back := on + restartAfter + driveAfter
		r.off(t, "missed", on+late, back-1+early)
		back += believes[b.unit.Spec.Name]
		r.drives(t, "they come again", back+late, back+2)
	}},
	{"a tick is late", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 2)
		s.mode(on+0.5, 0)
		r := s.run(t, runner, on+12)
		if hang, _ := said(t, b); hang < b.tick() { // the watchdog does not wait for so long a tick
			at := r.reset(t, "late", on, hang)
			r.off(t, "late", float64(at)/float64(b.tick())+0.001, on+12)
			return
		}
		r.rests(t, "late", on+late, on+1+late) // until then the outputs stand as the tick before left them
		r.drives(t, "the next ones are in time", on+1+late, on+5)
	}},
	{"a tick is missed", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 3)
		s.mode(on+0.5, 0)
		r := s.run(t, runner, on+60)
		if hang, _ := said(t, b); hang < 2*b.tick() {
			at := r.reset(t, "missed", on, hang)
			r.off(t, "missed", float64(at)/float64(b.tick())+0.001, on+60)
			return
		}
		r.off(t, "missed", on+2+late, on+3+driveAfter)
		r.drives(t, "the next ones are in time", on+50, on+60)
	}},
	{"every tick is late", func(t tester, b *board, runner string) {
		_, silent := said(t, b)
		s := driving(b)
		s.mode(on-0.5, 2)
		ticks := on + float64(silent)/float64(b.tick()) + 2
		r := s.run(t, runner, ticks)
		r.off(t, "late", on+1+late, ticks)
		r.reset(t, "late", on, silent)
	}},
	{"the loop hangs", func(t tester, b *board, runner string) {
		hang, _ := said(t, b)
		s := driving(b)
		s.mode(on-0.5, 4)
		reset := on + float64(hang)/float64(b.tick())
		s.mode(reset+1, 0)
		s.closed(reset+30, false)
		s.closed(reset+55.3, true)
		r := s.run(t, runner, reset+105)
		at := r.reset(t, "hangs", on, hang)
		r.off(t, "after the reset", float64(at)/float64(b.tick())+0.001, reset+55)
		r.drives(t, "after the switch was off", reset+100, reset+105)
	}},
	{"the loop hangs, and the switch goes off", func(t tester, b *board, runner string) {
		hang, _ := said(t, b)
		s := driving(b)
		s.mode(on-0.5, 4)
		s.closed(on+0.3, false)
		reset := on + float64(hang)/float64(b.tick())
		r := s.run(t, runner, reset)
		look := min(1.0, float64(11*time.Millisecond)/float64(b.tick()))
		r.drives(t, "before it hangs", on-1, on)
		r.off(t, "switched off while it hangs", on+0.3+look, reset)
	}},
	{"every second reading is missed", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 6)
		s.mode(on+40.5, 0)
		r := s.run(t, runner, on+100)
		r.off(t, "flickers", on+6, on+40+driveAfter-1+early)
		r.drives(t, "they all come again", on+90, on+100)
	}},
	{"readings come in part", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 7)
		s.mode(on+restartAfter-0.5, 0)
		s.run(t, runner, on+20).off(t, "in part", on+late, on+restartAfter+driveAfter-1+early)
	}},
	{"a reading freezes, and then none comes", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(on-0.5, 8) // longer than any starter waits
		s.mode(on+119.5, 1)
		s.mode(on+119.5+restartAfter, 0)
		s.closed(on+200, false)
		s.closed(on+225.3, true)
		r := s.run(t, runner, on+280)
		if believes[b.unit.Spec.Name] > 0 || strings.Contains(string(b.unit.Source), "frozen_after") {
			r.off(t, "frozen and missed", on+120+late, on+225)
		}
		r.drives(t, "after the switch was off", on+270, on+280)
	}},
	{"the switch is held over a reset, and lets go for 10 ms", func(t tester, b *board, runner string) {
		s := newScript(b)
		s.closed(0, true)
		for _, at := range []float64{20.3, 24.7, 31} {
			s.closed(at, false)
			s.closed(at+float64(10*time.Millisecond)/float64(b.tick()), true)
		}
		s.run(t, runner, 100).off(t, "a spike", 0, 100)
	}},
	{"the switch bounces", func(t tester, b *board, runner string) {
		s := driving(b)
		for i := range 5 {
			s.closed(closedAt+4*float64(i)+3, false)
			s.closed(closedAt+4*float64(i)+4, true)
		}
		s.run(t, runner, closedAt+24).off(t, "bounces", 0, closedAt+20+driveAfter-0.5)
	}},
	{"a reading is missed at the start", func(t tester, b *board, runner string) {
		s := driving(b)
		s.mode(closedAt+2.2, 1)
		s.mode(closedAt+3.2, 0)
		s.run(t, runner, closedAt+20).off(t, "missed at the start", 0, closedAt+2.7+driveAfter+early)
	}},
	{"a boot loader used timer 1", func(t tester, b *board, runner string) {
		s := driving(b)
		s.say("left %d %d", 0x80, 0xa3) // TCCR1A: fast PWM, both pins connected
		r := s.run(t, runner, on+10)
		r.drives(t, "all is well", on, on+10)
		if r.bytes[0x80] != 0 || len(r.resets) > 1 {
			t.Errorf("%s: TCCR1A is %02x, and it is reset %d times", b.unit.Spec.Name, r.bytes[0x80], len(r.resets)-1)
		}
	}},
	{"reset causes", func(t tester, b *board, runner string) {
		for _, cause := range []int{0, 1, 2, 4, 8, 5, 12} { // none, power-on, external, brown-out, watchdog
			s := newScript(b)
			s.say("cause %d", cause)
			s.closed(0, true)
			s.closed(40, false)
			s.closed(65.3, true)
			r := s.run(t, runner, 110)
			what := fmt.Sprintf("cause %d", cause)
			r.off(t, what, 0, 65)
			r.drives(t, what, 105, 110)
			if got := r.bytes[b.symbol(t, "reset_cause")]; got != cause {
				t.Errorf("%s: MCUSR was %d, %d is kept", b.unit.Spec.Name, cause, got)
			}
		}
	}},
}

// pinsTaken fails the test where other pins than the example says are outputs or have pull-ups.
func pinsTaken(t tester, r *trace) {
	t.Helper()
	w := wirings[r.b.part]
	outputs, pulled := map[int]int{}, map[int]int{}
	for i, o := range r.b.unit.Integer.Outputs {
		c := w.outputs[i]
		outputs[c.pin] |= 1 << c.bit
		if r.b.unit.Integer.Ops[o.Value].Lo < 0 {
			outputs[c.way] |= 1 << c.wayBit
		}
	}
	for _, pin := range w.switches[:switches(r.b.unit.Integer)] {
		pulled[pin[0]] |= 1 << pin[1]
	}
	for _, port := range w.ports {
		if got := r.bytes[port+1]; got != outputs[port] {
			t.Errorf("%s: DDR at 0x%x is %08b, %08b is used", r.b.unit.Spec.Name, port+1, got, outputs[port])
		}
		if got := r.bytes[port+2] &^ outputs[port]; got != pulled[port] {
			t.Errorf("%s: pull-ups at 0x%x are %08b, %08b are switches", r.b.unit.Spec.Name, port+2, got, pulled[port])
		}
	}
	for _, c := range w.outputs {
		if kept[r.b.part][c.pin]>>c.bit&1 != 0 || kept[r.b.part][c.way]>>c.wayBit&1 != 0 {
			t.Errorf("%s: a pin is taken that has another use", r.b.part)
		}
	}
}

// TestStarters runs every starter through every fault, on the part that the example names.
func TestStarters(t *testing.T) {
	run := runner(t)
	for name, reading := range readings {
		t.Run(name, func(t *testing.T) {
			if name != "incubator" {
				tier.Slow(t)
			}
			t.Parallel()
			b := build(t, starter(t, name), "atmega328p", 16_000_000, reading, "-Os")
			for _, f := range faults {
				t.Run(f.name, func(t *testing.T) { f.run(t, b, run) })
			}
		})
	}
}

// share is what a board besides the starters goes through: a sixth of the faults, another sixth on the next board, and all with -long.
func share(board int) (out []fault) {
	for i, f := range faults {
		if (i+board)%tier.Count(6, 6, 1) == 0 {
			out = append(out, f)
		}
	}
	return out
}

// TestInterruptStorm: interrupts that leave the loop next to no time lead to safe outputs or to a reset, in the time said.
func TestInterruptStorm(t *testing.T) {
	tier.Slow(t)
	run := runner(t)
	for _, name := range []string{"cart", "spindle"} {
		b := build(t, starter(t, name), "atmega328p", 16_000_000, readings[name], "-Os")
		_, silent := said(t, b)
		s := driving(b)
		s.mode(on-0.5, 5)
		end := on + float64(silent)/float64(b.tick()) + 50
		r := s.run(t, run, end)
		r.drives(t, "before the storm", on-5, on-1)
		at := r.reset(t, "storm", on, silent)
		r.off(t, "after the storm", float64(at)/float64(b.tick())+0.001, end)
	}
}

// TestUnfilled: without a sensor the compiler says so, and nothing is driven.
func TestUnfilled(t *testing.T) {
	run := runner(t)
	for name := range readings {
		b := build(t, starter(t, name), "atmega328p", 16_000_000, "", "-Os")
		if !strings.Contains(b.said, "warning") || !strings.Contains(b.said, strings.ToUpper(name)+"_SENSOR") {
			t.Errorf("%s: the compiler says %q", name, b.said)
		}
		driving(b).run(t, run, 400).off(t, "unfilled", 0, 400)
	}
}
