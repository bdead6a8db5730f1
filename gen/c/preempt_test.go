package c

import (
	"fmt"
	"math/big"
	"strings"
	"testing"

	"gainwright/model"
	"gainwright/model/program"
	"gainwright/model/selection"
	"gainwright/model/tier"
)

// preemptFirmware sets a gain in one context and steps in another, after 20 to 4115 cycles of the first, so
// that interrupts fall on every instruction sooner or later. After each step the two coefficients of the gain
// must belong to one setting, and it must be one that has been set. It ends with 0 if they always did,
// 1 if not, 2 if the gain changed too seldom for that to mean anything.
const preemptFirmware = `
#include <avr/io.h>
#include <avr/interrupt.h>
#include "gain_only.h"

#define INTERRUPTS 8000u

static const int32_t settings[4] = {INT32_C(0x01234567), INT32_C(-0x01234568), INT32_C(0x7E5A33CC), INT32_C(-0x7E5A33CD)};
static gain_only_state s;
static volatile uint16_t interrupts, torn, changes;
static volatile uint8_t turn;
static int64_t last;

static uint16_t wander(void)
{
    static uint16_t lfsr = 0xACE1u;
    lfsr = (uint16_t)((lfsr >> 1) ^ ((lfsr & 1u) ? 0xB400u : 0u));
    return lfsr & 4095u;
}

static void set(void)
{
    turn = (uint8_t)((turn + 1u) & 3u);
    gain_only_set_y_k(&s, settings[turn]);
}

static void step(void)
{
    gain_only_in in = {1};
    gain_only_out out;
    uint8_t i, whole = 0;
    gain_only_step(&s, &in, &out);
    for (i = 0; i < 4; i++) {
        const int32_t x = settings[i];
        whole |= out.z == -3 * (int64_t)x && out.y == (((int64_t)x >> 15) + 1) >> 1;
    }
    whole |= out.z == 3 * INT64_C(12345) && out.y == 0; /* the start */
    if (!whole) torn++;
    if (out.z != last) changes++;
    last = out.z;
}

ISR(TIMER1_COMPA_vect)
{
    IN_INTERRUPT();
    interrupts++;
    OCR1A = (uint16_t)(TCNT1 + 20u + wander()); /* the timer starts from 0 when it gets there */
}

int main(void)
{
    uint8_t r;
    gain_only_init(&s);
    OCR1A = 1000;
    TCCR1B = (1 << WGM12) | (1 << CS10);
    TIMSK1 = 1 << OCIE1A;
    sei();
    while (interrupts < INTERRUPTS) IN_MAIN();
    cli();
    r = torn ? 1 : changes < 1000u ? 2 : 0;
    GPIOR1 = r; GPIOR2 = 0; GPIOR0 = 1;
    for (;;) {}
}
`

// twoGains has gains, from a least setting on, whose setters are one function.
func twoGains(t *testing.T, least int64) *model.Unit {
	b := newBuilder(t, "gain_only")
	x := b.input("x", program.I16, "mm", big.NewRat(1, 10))
	b.begin("y", "gain", "Two gains.", "y = k * x")
	half := program.Setter{Digits: 4, XLo: least, XHi: 60000, XStart: 2468, M: 1 << 13, Shift: 14}
	k, n := b.gain("y_k", "y.k", half, power(8)), b.gain("y_n", "y.n", half, power(8))
	y, z := b.op(program.Mul, "y", "product", k, x), b.op(program.Mul, "z", "product", n, x)
	b.signal("y", y)
	b.output("y", program.I32, y)
	b.output("z", program.I32, z)
	return b.unit()
}

// TestSharedSetterUnderInterrupts does the same with the setter of several gains: no coefficient is ever half of one and half
// of another setting, and the gain that is not set stays.
func TestSharedSetterUnderInterrupts(t *testing.T) {
	tier.Slow(t)
	tools := avrTools(t)
	for _, k := range []struct {
		prefer   selection.Preference
		least    int64
		settings string
	}{{selection.Speed, -60000, "0x2468, -0x2468, 0xB4CC, -0xB4CD"}, {selection.Size, 0, "0x2468, 0x0001, 0xB4CC, 0x7531"}} {
		sharedSetterUnderInterrupts(t, tools, string(HeaderFor(twoGains(t, k.least), k.prefer)), k.settings)
	}
}

func sharedSetterUnderInterrupts(t *testing.T, tools, header, values string) {
	firmware := preemptFirmware[:strings.Index(preemptFirmware, "    for (i = 0;")] + `
    for (i = 0; i < 4; i++) {
        whole |= out.y == (settings[i] + 1) >> 1;
    }
    whole |= out.y == 1234;
    if (!whole || out.z != 1234) torn++;
    if (out.y != last) changes++;
    last = out.y;
}
` + preemptFirmware[strings.Index(preemptFirmware, "\nISR("):]
	settings := "settings[4] = {"
	at := strings.Index(firmware, settings) + len(settings)
	firmware = firmware[:at] + values + firmware[at+strings.Index(firmware[at:], "}"):]
	spare := "const uint8_t spare = gain_only_spare_gains(s);"
	for _, c := range []struct{ main, interrupt, put, want string }{
		{"set", "step", spare, "0"},
		{"step", "set", spare, "0"},
		{"set", "step", "const uint8_t spare = s->ready;", "1"},
		{"step", "set(); set", "const uint8_t spare = s->ready == 0u;", "1"},
	} {
		if !strings.Contains(header, spare) || !strings.Contains(header, "gain_only_set_gain(s, x, 1u)") {
			t.Fatal("no setter that gains share")
		}
		dir := t.TempDir()
		text := fmt.Sprintf("#define IN_MAIN() %s()\n#define IN_INTERRUPT() %s()\n", c.main, c.interrupt) + firmware
		write(t, dir, map[string][]byte{"gain_only.h": []byte(strings.Replace(header, spare, c.put, 1)), "firmware.c": []byte(text)})
		if got := simulate(t, tools, dir); got != c.want {
			t.Errorf("%s interrupts %s, %s: ends with %s, want %s", c.interrupt, c.main, c.put, got, c.want)
		}
	}
}

// TestGainsUnderInterrupts runs both directions, and then with a setter that takes a set which it must leave alone.
func TestGainsUnderInterrupts(t *testing.T) {
	tier.Slow(t)
	tools := avrTools(t)
	header := string(Header(gainOnly(t)))
	spare := "const uint8_t spare = gain_only_spare_gains(s);"
	for _, c := range []struct{ name, main, interrupt, old, new, want string }{
		{"step interrupts setter", "set", "step", "", "", "0"},
		{"setter interrupts step", "step", "set", "", "", "0"},
		{"setters interrupt step", "step", "set(); set(); set", "", "", "0"},
		{"step interrupts a setter that writes to the ready set", "set", "step", spare, "const uint8_t spare = s->ready;", "1"},
		{"setter that writes to the ready set interrupts step", "step", "set", spare, "const uint8_t spare = s->ready;", "1"},
		{"setters that look away from the set in use interrupt step", "step", "set(); set", spare, "const uint8_t spare = s->ready == 0u;", "1"},
		{"setters interrupt a step that does not say which set it uses", "step", "set(); set(); set", "    s->in_use = newest;\n", "", "1"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(header, c.old) {
				t.Fatal("the line to change is not there")
			}
			dir := t.TempDir()
			firmware := fmt.Sprintf("#define IN_MAIN() %s()\n#define IN_INTERRUPT() %s()\n", c.main, c.interrupt) + preemptFirmware
			write(t, dir, map[string][]byte{"gain_only.h": []byte(strings.Replace(header, c.old, c.new, 1)), "firmware.c": []byte(firmware)})
			if got := simulate(t, tools, dir); got != c.want {
				t.Errorf("ends with %s, want %s", got, c.want)
			}
		})
	}
}
