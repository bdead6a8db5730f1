//go:build ignore

/*
 * Self-test of incubator on the board that is to run it, tied to no board and no
 * framework. It runs the vectors of incubator_vectors.h and says on a line of text
 * whether every output of every tick, and the state at the start, after each restart in
 * mid-run and at the end, is what the bit-exact model gives.
 *
 *     Compile this file into a firmware (incubator.h is one folder up: -I.., or copy this
 *     file and incubator_vectors.h beside it), call incubator_board_test() from its main,
 *     and read the line:
 *         incubator PASS, 64 ticks
 *         incubator FAIL in tick 17: heater is 12, not 11
 *
 *     It needs one function that sends a character, void incubator_put(char c). To use
 *     what is there already, define INCUBATOR_PUT(c) where this file is compiled.
 *
 *     With a counter of cycles it adds "cycles worst 1122, mean 1003": define
 *     INCUBATOR_CYCLES() as an expression that counts up, and INCUBATOR_CYCLES_MASK as
 *     its largest value, 0xFFFFFFFF by default.
 *         AVR, timer 1 at full speed:  -D'INCUBATOR_CYCLES()=TCNT1' -DINCUBATOR_CYCLES_MASK=0xFFFF
 *         ARM SysTick:  -D'INCUBATOR_CYCLES()=(0xFFFFFFu-SysTick->VAL)'
 *         -DINCUBATOR_CYCLES_MASK=0xFFFFFF
 *     with an -include of the header that knows them. Interrupts that come in between
 *     count too.
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from incubator.yaml.
 */
#include <stdint.h>

#include "incubator_vectors.h"

#if INCUBATOR_STAMP != UINT32_C(0x53ead142)
#error "incubator.h comes from another spec than this file: run generate"
#endif

uint16_t incubator_board_test(void);

#ifndef INCUBATOR_PUT
void incubator_put(char c);
#define INCUBATOR_PUT(c) incubator_put(c)
#endif

#ifndef INCUBATOR_CYCLES_MASK
#define INCUBATOR_CYCLES_MASK UINT32_C(0xFFFFFFFF)
#endif

static void say(const char *text)
{
    while (*text != '\0') {
        INCUBATOR_PUT(*text);
        text++;
    }
}

static void say_number(int32_t x)
{
    char digits[10];
    uint8_t n = 0u;
    uint32_t rest = x < 0 ? 0u - (uint32_t)x : (uint32_t)x;

    if (x < 0) {
        INCUBATOR_PUT('-');
    }
    do {
        digits[n] = (char)('0' + (char)(rest % 10u));
        rest /= 10u;
        n++;
    } while (rest != 0u);
    while (n > 0u) {
        n--;
        INCUBATOR_PUT(digits[n]);
    }
}

static void say_if_different(const char *name, int32_t is, int32_t expected)
{
    if (is != expected) {
        say(" ");
        say(name);
        say(" is ");
        say_number(is);
        say(", not ");
        say_number(expected);
    }
}

/* 0 where all agrees, else the first wrong tick, from 1; 64 + 1 for the state at
 * the end, 64 + 2 for the start from memory that holds rubbish, 64 + 3 for
 * starting over in mid-run. */
uint16_t incubator_board_test(void)
{
    incubator_state state;
    uint16_t tick;
#ifdef INCUBATOR_CYCLES
    uint32_t worst = 0u;
    uint32_t total = 0u;
    uint32_t before = INCUBATOR_CYCLES();
    const uint32_t nothing = ((uint32_t)INCUBATOR_CYCLES() - before) & INCUBATOR_CYCLES_MASK;
#endif

    if (incubator_vector_start_differs(&state, 0x5Au) || incubator_vector_start_differs(&state,
        0xA5u)) {
        say("incubator FAIL at the start:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)1);
        say_if_different("believed_last", (int32_t)state.believed_last, (int32_t)0);
        say_if_different("believed_before", (int32_t)state.believed_before, (int32_t)0);
        say_if_different("believed_count", (int32_t)state.believed_count, (int32_t)0);
        say_if_different("believed_gone", (int32_t)state.believed_gone, (int32_t)0);
        say_if_different("believed_seen", (int32_t)state.believed_seen, (int32_t)0);
        say_if_different("believed_same_count", (int32_t)state.believed_same_count, (int32_t)0);
        say_if_different("believed_trip", (int32_t)state.believed_trip, (int32_t)0);
        say_if_different("smooth_output", (int32_t)state.smooth_output, (int32_t)0);
        say_if_different("heat_slow", (int32_t)state.heat_slow, (int32_t)0);
        say_if_different("heat_integral", (int32_t)state.heat_integral, (int32_t)0);
        say_if_different("heat_kp", (int32_t)state.gains[0].heat_kp, (int32_t)7680);
        say_if_different("heat_ki", (int32_t)state.gains[0].heat_ki, (int32_t)1638);
        say_if_different("ready", (int32_t)state.ready, (int32_t)0);
        say_if_different("in_use", (int32_t)state.in_use, (int32_t)0);
        say("\r\n");
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        const incubator_in *const in = &incubator_vector_in[tick];
        const incubator_out *const expected = &incubator_vector_out[tick];
        incubator_out out;
        incubator_vector_settings(&state, tick);
        if (incubator_vector_restart_differs(&state, tick)) {
            say("incubator FAIL after starting over before tick ");
            say_number((int32_t)tick + 1);
            say("\r\n");
            return 64u + 3u;
        }
#ifdef INCUBATOR_CYCLES
        uint32_t taken;
        before = INCUBATOR_CYCLES();
        incubator_step(&state, in, &out);
        taken = (((uint32_t)INCUBATOR_CYCLES() - before) & INCUBATOR_CYCLES_MASK) - nothing;
        total += taken;
        worst = taken > worst ? taken : worst;
#else
        incubator_step(&state, in, &out);
#endif
        if (out.heater != expected->heater) {
            say("incubator FAIL in tick ");
            say_number((int32_t)tick + 1);
            say(":");
            say_if_different("heater", (int32_t)out.heater, (int32_t)expected->heater);
            say("\r\n");
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.believed_last != 1269
        || state.believed_before != 0
        || state.believed_count != 1
        || state.believed_gone != 1
        || state.believed_seen != 1
        || state.believed_same_count != 0
        || state.believed_trip != 1
        || state.smooth_output != (-INT32_C(480227))
        || state.heat_slow != (-INT32_C(54461066))
        || state.heat_integral != 0) {
        say("incubator FAIL in the state at the end:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)0);
        say_if_different("believed_last", (int32_t)state.believed_last, (int32_t)1269);
        say_if_different("believed_before", (int32_t)state.believed_before, (int32_t)0);
        say_if_different("believed_count", (int32_t)state.believed_count, (int32_t)1);
        say_if_different("believed_gone", (int32_t)state.believed_gone, (int32_t)1);
        say_if_different("believed_seen", (int32_t)state.believed_seen, (int32_t)1);
        say_if_different("believed_same_count", (int32_t)state.believed_same_count, (int32_t)0);
        say_if_different("believed_trip", (int32_t)state.believed_trip, (int32_t)1);
        say_if_different("smooth_output", (int32_t)state.smooth_output,
                (int32_t)(-INT32_C(480227)));
        say_if_different("heat_slow", (int32_t)state.heat_slow, (int32_t)(-INT32_C(54461066)));
        say_if_different("heat_integral", (int32_t)state.heat_integral, (int32_t)0);
        say("\r\n");
        return 64u + 1u;
    }
    say("incubator PASS, 64 ticks");
#ifdef INCUBATOR_CYCLES
    say(", cycles worst ");
    say_number((int32_t)worst);
    say(", mean ");
    say_number((int32_t)(total / 64u));
#endif
    say("\r\n");
    return 0u;
}
