package c

import (
	"fmt"
	"math"
	"math/big"
	"strings"
	"testing"

	"gainwright/gen/caution"
	"gainwright/model"
	"gainwright/model/tier"
)

// TestLoopExampleSaysCautions: each of them stands at its head, in the one wording that there is.
func TestLoopExampleSaysCautions(t *testing.T) {
	for _, u := range samples(t) {
		head, _, _ := strings.Cut(string(LoopExample(u)), "*/")
		head = strings.Join(strings.Fields(strings.ReplaceAll(head, "\n *", " ")), " ")
		for _, want := range caution.All() {
			if !strings.Contains(head, want) {
				t.Errorf("%s: %q is missing", u.Spec.Name, want)
			}
		}
	}
}

func TestLoopExampleCompiles(t *testing.T) {
	for _, u := range samples(t) {
		name := u.Spec.Name
		dir := t.TempDir()
		write(t, dir, map[string][]byte{name + ".h": Header(u), name + "_loop_example.c": LoopExample(u)})
		args := append(append([]string{"-std=c99"}, warnings...), name+"_loop_example.c", "-o", "loop")
		if out, err := run(dir, nil, "cc", args...); err != nil {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
		if out, err := run(dir, nil, "c++", append(append([]string{"-std=c++11", "-x", "c++"}, warnings...), name+"_loop_example.c", "-o", "loopxx")...); err != nil {
			t.Errorf("%s as C++: %v\n%s", name, err, out)
		}
		if out, err := run(dir, nil, "./loop"); err != nil || !strings.Contains(string(out), "tick 24: done in time") {
			t.Errorf("%s: %v\n%s", name, err, out)
		}
	}
}

// TestLoopExampleOnTheHost plays the stand-in: which ticks are done, and in which the outputs are driven. Only the outputs of the
// last thing that a tick says count.
func TestLoopExampleOnTheHost(t *testing.T) {
	for _, c := range []struct {
		u     *model.Unit
		drive string // ticks
	}{
		// It starts when the switch was off in tick 3 and four ticks were good, and so behind tick 22. 9 no answer, 11 late, 13 to 15 missed and so started over.
		{cart(t), " 8 10 12 20 21"},
		// Its own switch starts it over in ticks 3 and 22. Its readings jump, so that it wants the switch off behind the missed ticks.
		{named(t, "incubator"), " 8 10 12"},
	} {
		name := c.u.Spec.Name
		dir := t.TempDir()
		write(t, dir, map[string][]byte{name + ".h": Header(c.u), name + "_loop_example.c": LoopExample(c.u)})
		if out, err := run(dir, nil, "cc", "-std=c99", name+"_loop_example.c", "-o", "loop"); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		out, err := run(dir, nil, "./loop")
		if err != nil {
			t.Fatal(err)
		}
		driven := ""
		for tick := 1; tick <= 24; tick++ {
			says := func(what string) bool { return strings.Contains(string(out), fmt.Sprintf("tick %d: %s", tick, what)) }
			want := tick != 9 && tick != 11 && (tick < 13 || tick > 15)
			if says("done in time") != want {
				t.Errorf("%s: tick %d is done: %v, want %v", name, tick, !want, want)
			}
			if says("output 0 is") {
				driven += fmt.Sprintf(" %d", tick)
			}
			if says("output 0 is") == says("outputs are safe") {
				t.Errorf("%s: in tick %d the outputs are driven and safe, or neither", name, tick)
			}
		}
		if driven != c.drive {
			t.Errorf("%s: it drives in ticks%s, want%s", name, driven, c.drive)
		}
	}
}

// named is a starter.
func named(t *testing.T, name string) *model.Unit {
	t.Helper()
	for _, u := range starters(t) {
		if u.Spec.Name == name {
			return u
		}
	}
	t.Fatalf("no starter %s", name)
	return nil
}

// TestLoopExampleCompilesForAVR: with a sensor no compiler says a word, at any clock and on any part of the tables.
func TestLoopExampleCompilesForAVR(t *testing.T) {
	tier.Slow(t)
	need(t, "avr-gcc")
	sensor := "static uint16_t read_registers(uint8_t *registers)\n{\n    uint16_t i;\n    for (i = 0u; i < REGISTERS; i++) {\n        registers[i] = (uint8_t)i;\n    }\n    return REGISTERS;\n}\n"
	for i, u := range samples(t) {
		name := u.Spec.Name
		dir := t.TempDir()
		write(t, dir, map[string][]byte{name + ".h": Header(u), name + "_loop_example.c": LoopExample(u), "sensor.h": []byte(sensor)})
		for n, part := range []string{"atmega328p", "atmega2560", "atmega32u4"} {
			compiler, std := "avr-gcc", "-std=c99"
			if n == 1 {
				compiler, std = "avr-g++", "-std=c++11"
			}
			args := []string{"-mmcu=" + part, []string{"-Os", "-O2"}[(i+n)%2], std, fmt.Sprintf(`-D%s_SENSOR="sensor.h"`, strings.ToUpper(name)), "-DF_CPU=" + []string{"20000000UL", "1000000", "16000000"}[n]}
			if compiler == "avr-g++" {
				args = append(args, "-x", "c++")
			}
			args = append(append(args, warnings...), name+"_loop_example.c", "-o", "loop.elf")
			out, err := run(dir, nil, compiler, args...)
			if lacks := len(u.Integer.Outputs) > len(boards[n].outputs); lacks != (err != nil) || lacks && !strings.Contains(string(out), "outputs: ") {
				t.Errorf("%s, %s: %v\n%s", name, part, err, out)
			}
		}
	}
}

// TestLoopExampleChecksTheClock: a clock that is not given, is more than the part may have, or makes no tick, does not compile.
func TestLoopExampleChecksTheClock(t *testing.T) {
	need(t, "avr-gcc")
	u := cart(t)
	dir := t.TempDir()
	write(t, dir, map[string][]byte{"cart.h": Header(u), "cart_loop_example.c": LoopExample(u)})
	for _, c := range []struct{ part, clock, says string }{
		{"atmega328p", "", "F_CPU is not given"},
		{"atmega328p", "-DF_CPU=20000000UL", ""},
		{"atmega328p", "-DF_CPU=20000001UL", "F_CPU is more than"},
		{"atmega2560", "-DF_CPU=16000000", ""},
		{"atmega2560", "-DF_CPU=20000000", "F_CPU is more than"},
		{"atmega32u4", "-DF_CPU=20000000", "F_CPU is more than"},
		{"atmega328p", "-DF_CPU=16", "a tick is shorter than 100 cycles"},
		{"atmega328p", "-DF_CPU=0", "a tick is shorter than 100 cycles"},
	} {
		args := []string{"-mmcu=" + c.part, "-Os", "-std=c99", "-Wno-cpp", "-fsyntax-only", "cart_loop_example.c"}
		if c.clock != "" {
			args = append(args, c.clock)
		}
		out, err := run(dir, nil, "avr-gcc", args...)
		if (err != nil) != (c.says != "") || !strings.Contains(string(out), c.says) {
			t.Errorf("%s %s: %v\n%s", c.part, c.clock, err, out)
		}
	}
}

// TestLoopTimes: what is said of a tick holds for very short and very long ones.
func TestLoopTimes(t *testing.T) {
	for _, c := range []struct {
		tick                          *big.Rat
		interrupts, watchdog, resetIn string
		resetAfter                    int64
	}{
		{big.NewRat(1, 100_000), "1", "WDTO_15MS", "about 116 ms", 10_000},
		{big.NewRat(1, 200), "1", "WDTO_15MS", "about 116 ms", 20},
		{big.NewRat(1, 20), "5", "WDTO_120MS", "about 328 ms", 4},
		{big.NewRat(1, 1), "100", "WDTO_2S", "about 6.048 s", 4},
		{big.NewRat(25, 3), "834", "WDTO_2S", "about 35.3813 s", 4},
		{big.NewRat(100_000, 1), "10000000", "WDTO_2S", "about 400002 s", 4},
	} {
		data := map[string]any{}
		loopTimes(c.tick, data)
		if data["PartsOfTick"] != c.interrupts || data["Watchdog"] != c.watchdog || data["SilentTime"] != c.resetIn || data["ResetAfter"] != c.resetAfter {
			t.Errorf("%s s: %v", c.tick, data)
		}
	}
	num, den := printable(big.NewRat(1_000_000_000_000_001, 3_000_000_000_000))
	got, _ := new(big.Rat).SetFrac(num, den).Float64()
	if num.BitLen() > 36 || math.Abs(got*3/1000-1) > 1e-8 {
		t.Errorf("%s/%s is %g", num, den, got)
	}
}

// TestRestart: a restart leaves the gains alone, and the integral where it is asked to; a trip stays until init; all else is at its start.
func TestRestart(t *testing.T) {
	u := named(t, "incubator")
	header := string(Header(u))
	from := strings.Index(header, "void incubator_restart(")
	body := header[from:][:strings.Index(header[from:], "\n}\n")]
	for _, word := range []string{"gains", "ready", "in_use"} { // so that a setter may interrupt it
		if strings.Contains(body, word) {
			t.Errorf("it touches %s", word)
		}
	}
	main := `#include <string.h>
#include "incubator.h"
int main(void)
{
    incubator_state start, s, with, tripped;
    incubator_in in = {0};
    incubator_out out;
    int i;
    memset(&start, 0, sizeof start); memset(&s, 0x5a, sizeof s);
    incubator_init(&start); incubator_init(&s);
    incubator_set_heat_kp(&s, 777);
    for (i = 0; i < 100; i++) { /* readings that are believed, as none of them stands still */
        in.temperature = (int16_t)(20 * 128 + i % 2);
        incubator_step(&s, &in, &out);
    }
    with = s;
    in.temperature = 30 * 128; /* a jump */
    incubator_step(&s, &in, &out);
    if (s.believed_trip == 0u) return 5;
    tripped = s;
    incubator_restart_with_integrals(&tripped);
    incubator_restart(&s);
    incubator_restart_with_integrals(&with);
    if (s.heat_integral != start.heat_integral || s.first_tick != start.first_tick || s.smooth_output != start.smooth_output || s.heat_slow != start.heat_slow) return 1;
    if (s.gains[s.ready].heat_kp == start.gains[0].heat_kp || s.gains[s.in_use].heat_kp == start.gains[0].heat_kp) return 2;
    if (with.heat_integral == start.heat_integral || with.first_tick != start.first_tick || with.smooth_output != start.smooth_output || with.heat_slow != start.heat_slow) return 3;
    if (with.gains[with.ready].heat_kp != s.gains[s.ready].heat_kp) return 4;
    if (s.believed_trip == 0u || tripped.believed_trip == 0u) return 6;
    for (i = 0; i < 1000; i++) {
        in.temperature = (int16_t)(20 * 128 + i % 2);
        incubator_step(&s, &in, &out);
        if (out.heater != 0) return 7;
    }
    incubator_init(&s);
    for (i = 0; i < 100; i++) {
        in.temperature = (int16_t)(20 * 128 + i % 2);
        incubator_step(&s, &in, &out);
    }
    if (out.heater == 0) return 8;
    return 0;
}
`
	dir := t.TempDir()
	write(t, dir, map[string][]byte{"incubator.h": []byte(header), "main.c": []byte(main)})
	if out, err := run(dir, nil, "cc", append(append([]string{"-std=c99"}, warnings...), "main.c", "-o", "main")...); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	if out, err := run(dir, nil, "./main"); err != nil {
		t.Errorf("%v\n%s", err, out)
	}
}
