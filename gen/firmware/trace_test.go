package firmware

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"gainwright/model/program"
)

// script is what happens to a board, by time since power came.
type script struct {
	b      *board
	lines  []string
	events []event
}

// event is a line of the script that is due at a time.
type event struct {
	at   time.Duration
	what string
}

// newScript tells the runner of the board's pins.
func newScript(b *board) *script {
	s := &script{b: b}
	w := wirings[b.part]
	p := b.unit.Integer
	for i, o := range p.Outputs {
		c := w.outputs[i]
		if p.Ops[o.Value].Lo >= 0 {
			c.way = 0
		}
		s.say("output %d %d %d %d %d %d %d", c.com, c.shift, c.ocr, c.pin, c.bit, c.way, c.wayBit)
	}
	for _, pin := range w.switches[:switches(p)] {
		s.say("switch %d %d", pin[0], pin[1])
	}
	return s
}

func switches(p *program.Fixed) int {
	n := 0
	for _, in := range p.Inputs {
		if in.IsSwitch {
			n++
		}
	}
	return max(n, 1)
}

func (s *script) say(format string, args ...any) {
	s.lines = append(s.lines, fmt.Sprintf(format, args...))
}

// tick is one tick of the controller.
func (b *board) tick() time.Duration {
	t, _ := new(big.Rat).Quo(big.NewRat(int64(time.Second), 1), b.unit.Integer.Rate).Float64()
	return time.Duration(t)
}

// at is that many ticks since power came.
func (b *board) at(ticks float64) time.Duration { return time.Duration(float64(b.tick()) * ticks) }

func (s *script) event(ticks float64, format string, args ...any) {
	s.events = append(s.events, event{s.b.at(ticks), fmt.Sprintf(format, args...)})
}

// mode is what the sensor does from then on: see sensor.
func (s *script) mode(ticks float64, mode int) { s.event(ticks, "mode %d", mode) }

// closed closes all switches, or opens them.
func (s *script) closed(ticks float64, closed bool) {
	n := 0
	if closed {
		n = 1
	}
	for i := range switches(s.b.unit.Integer) {
		s.event(ticks, "switch %d %d", i, n)
	}
}

// trace is what came of it.
type trace struct {
	b      *board
	resets []time.Duration
	states []state
	bytes  map[int]int
	end    time.Duration
}

// state is how an output stands from a time on.
type state struct {
	from                              time.Duration
	output                            int
	connected, compare, driven, level int
	way                               int
}

// on tells whether anything can come out of the pin: it is connected to its timer, whatever the compare value, or its latch is high.
func (s state) on() bool { return s.connected != 0 || s.level != 0 }

// run runs the script until that many ticks.
func (s *script) run(t tester, runner string, ticks float64) *trace {
	t.Helper()
	s.event(ticks, "end")
	slices.SortStableFunc(s.events, func(a, b event) int { return cmp.Compare(a.at, b.at) })
	for _, e := range s.events {
		s.say("at %d %s", e.at.Microseconds(), e.what)
	}
	r := &trace{b: s.b, bytes: map[int]int{}, end: s.b.at(ticks)}
	for line := range strings.Lines(s.b.run(t, runner, strings.Join(s.lines, "\n")+"\n")) {
		var us int64
		var what string
		if _, err := fmt.Sscan(line, &us, &what); err != nil {
			continue // the simulator tells what it loads
		}
		from := time.Duration(us) * time.Microsecond
		switch what {
		case "reset":
			r.resets = append(r.resets, from)
		case "output":
			n := state{from: from}
			if _, err := fmt.Sscan(line, &us, &what, &n.output, &n.connected, &n.compare, &n.driven, &n.level, &n.way); err != nil {
				t.Fatal(err)
			}
			r.states = append(r.states, n)
		case "byte":
			var at, value int
			if _, err := fmt.Sscan(line, &us, &what, &at, &value); err != nil {
				t.Fatal(err)
			}
			r.bytes[at] = value
		}
	}
	if len(r.resets) == 0 || r.resets[0] != 0 || len(r.bytes) == 0 {
		t.Fatalf("the runner did not say how it went")
	}
	return r
}

// onAt tells whether some output is on at some time from one tick to another.
func (r *trace) onAt(from, to float64) (when time.Duration, on bool) {
	start, end := r.b.at(from), r.b.at(to)
	now := map[int]state{}
	for _, s := range r.states {
		if s.from >= end {
			break
		}
		if s.from > start {
			for _, n := range now {
				if n.on() {
					return max(n.from, start), true
				}
			}
		}
		now[s.output] = s
	}
	for _, n := range now {
		if n.on() {
			return max(n.from, start), true
		}
	}
	return 0, false
}

// off fails the test where an output is on at some time from one tick to another.
func (r *trace) off(t tester, what string, from, to float64) {
	t.Helper()
	if when, on := r.onAt(from, to); on {
		t.Errorf("%s, %s: an output is on at %v, tick %.2f, in ticks %g to %g", r.b.unit.Spec.Name, what, when, float64(when)/float64(r.b.tick()), from, to)
	}
}

// rests fails the test where there is no time from one tick to another at which all outputs are off.
func (r *trace) rests(t tester, what string, from, to float64) {
	t.Helper()
	now := map[int]state{}
	for _, s := range r.states {
		now[s.output] = s
		some := false
		for _, n := range now {
			some = some || n.on()
		}
		if s.from >= r.b.at(from) && s.from < r.b.at(to) && !some {
			return
		}
	}
	t.Errorf("%s, %s: the outputs are never off in ticks %g to %g", r.b.unit.Spec.Name, what, from, to)
}

// drives fails the test where some output is never on from one tick to another, or not driven.
func (r *trace) drives(t tester, what string, from, to float64) {
	t.Helper()
	start, end := r.b.at(from), r.b.at(to)
	for i := range r.b.unit.Integer.Outputs {
		on := false
		var now state
		for _, s := range r.states {
			if s.output != i {
				continue
			}
			if s.from >= end {
				break
			}
			if s.from > start {
				on = on || now.connected == 2 && now.compare > 0 && now.driven == 1
			}
			now = s
		}
		if !on && !(now.connected == 2 && now.compare > 0 && now.driven == 1) {
			t.Errorf("%s, %s: output %d is not driven in ticks %g to %g", r.b.unit.Spec.Name, what, i, from, to)
		}
	}
}

// reset fails the test where no reset comes within that time since a tick.
func (r *trace) reset(t tester, what string, since float64, within time.Duration) time.Duration {
	t.Helper()
	for _, at := range r.resets[1:] {
		if from := r.b.at(since); at > from {
			if at-from > within {
				t.Errorf("%s, %s: the reset comes after %v, %v was said", r.b.unit.Spec.Name, what, at-from, within)
			}
			return at
		}
	}
	t.Errorf("%s, %s: no reset comes", r.b.unit.Spec.Name, what)
	return r.end
}
