package c

import (
	"fmt"
	"strings"
	"testing"
)

// preemptFirmware sets a gain in one context and steps in another, after 20 to 4115 cycles of the first, so
// that interrupts fall on every instruction sooner or later. After each step the two coefficients of the gain
// must belong to one setting, and it must be one that has been set. It ends with 0 if they always did,
// 1 if not, 2 if the gain changed too seldom for that to mean anything.
const preemptFirmware = `
#include <avr/io.h>
#include <avr/interrupt.h>
#include "gain_only.h"

#define INTERRUPTS 20000u

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

// TestGainsUnderInterrupts runs both directions, and then with a setter that takes a set which it must leave alone.
func TestGainsUnderInterrupts(t *testing.T) {
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
