//go:build ignore

/*
 * Self-test of spindle on the board that is to run it, tied to no board and no
 * framework. It runs the vectors of spindle_vectors.h and says on a line of text
 * whether every output of every tick, and the state at the start, after each restart in
 * mid-run and at the end, is what the bit-exact model gives.
 *
 *     Compile this file into a firmware (spindle.h is one folder up: -I.., or copy this
 *     file and spindle_vectors.h beside it), call spindle_board_test() from its main,
 *     and read the line:
 *         spindle PASS, 64 ticks
 *         spindle FAIL in tick 17: duty is 12, not 11
 *
 *     It needs one function that sends a character, void spindle_put(char c). To use
 *     what is there already, define SPINDLE_PUT(c) where this file is compiled.
 *
 *     With a counter of cycles it adds "cycles worst 1122, mean 1003": define
 *     SPINDLE_CYCLES() as an expression that counts up, and SPINDLE_CYCLES_MASK as
 *     its largest value, 0xFFFFFFFF by default.
 *         AVR, timer 1 at full speed:  -D'SPINDLE_CYCLES()=TCNT1' -DSPINDLE_CYCLES_MASK=0xFFFF
 *         ARM SysTick:  -D'SPINDLE_CYCLES()=(0xFFFFFFu-SysTick->VAL)'
 *         -DSPINDLE_CYCLES_MASK=0xFFFFFF
 *     with an -include of the header that knows them. Interrupts that come in between
 *     count too.
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from spindle.yaml.
 */
#include <stdint.h>

#include "spindle_vectors.h"

#if SPINDLE_STAMP != UINT32_C(0xb7cd1f02)
#error "spindle.h comes from another spec than this file: run generate"
#endif

uint16_t spindle_board_test(void);

#ifndef SPINDLE_PUT
void spindle_put(char c);
#define SPINDLE_PUT(c) spindle_put(c)
#endif

#ifndef SPINDLE_CYCLES_MASK
#define SPINDLE_CYCLES_MASK UINT32_C(0xFFFFFFFF)
#endif

static void say(const char *text)
{
    while (*text != '\0') {
        SPINDLE_PUT(*text);
        text++;
    }
}

static void say_number(int32_t x)
{
    char digits[10];
    uint8_t n = 0u;
    uint32_t rest = x < 0 ? 0u - (uint32_t)x : (uint32_t)x;

    if (x < 0) {
        SPINDLE_PUT('-');
    }
    do {
        digits[n] = (char)('0' + (char)(rest % 10u));
        rest /= 10u;
        n++;
    } while (rest != 0u);
    while (n > 0u) {
        n--;
        SPINDLE_PUT(digits[n]);
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
uint16_t spindle_board_test(void)
{
    spindle_state state;
    uint16_t tick;
#ifdef SPINDLE_CYCLES
    uint32_t worst = 0u;
    uint32_t total = 0u;
    uint32_t before = SPINDLE_CYCLES();
    const uint32_t nothing = ((uint32_t)SPINDLE_CYCLES() - before) & SPINDLE_CYCLES_MASK;
#endif

    if (spindle_vector_start_differs(&state, 0x5Au) || spindle_vector_start_differs(&state, 0xA5u))
        {
        say("spindle FAIL at the start:");
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)0);
        say_if_different("turning_before", (int32_t)state.turning_before, (int32_t)0);
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)0);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)0);
        say_if_different("smooth_x1", (int32_t)state.smooth_x1, (int32_t)0);
        say_if_different("smooth_x2", (int32_t)state.smooth_x2, (int32_t)0);
        say_if_different("smooth_y1", (int32_t)state.smooth_y1, (int32_t)0);
        say_if_different("smooth_y2", (int32_t)state.smooth_y2, (int32_t)0);
        say_if_different("smooth_left1", (int32_t)state.smooth_left1, (int32_t)0);
        say_if_different("push_integral", (int32_t)state.push_integral, (int32_t)0);
        say_if_different("push_kp", (int32_t)state.gains[0].push_kp, (int32_t)2458);
        say_if_different("push_ki", (int32_t)state.gains[0].push_ki, (int32_t)590);
        say_if_different("ready", (int32_t)state.ready, (int32_t)0);
        say_if_different("in_use", (int32_t)state.in_use, (int32_t)0);
        say("\r\n");
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        const spindle_in *const in = &spindle_vector_in[tick];
        const spindle_out *const expected = &spindle_vector_out[tick];
        spindle_out out;
        spindle_vector_settings(&state, tick);
        if (spindle_vector_restart_differs(&state, tick)) {
            say("spindle FAIL after starting over before tick ");
            say_number((int32_t)tick + 1);
            say("\r\n");
            return 64u + 3u;
        }
#ifdef SPINDLE_CYCLES
        uint32_t taken;
        before = SPINDLE_CYCLES();
        spindle_step(&state, in, &out);
        taken = (((uint32_t)SPINDLE_CYCLES() - before) & SPINDLE_CYCLES_MASK) - nothing;
        total += taken;
        worst = taken > worst ? taken : worst;
#else
        spindle_step(&state, in, &out);
#endif
        if (out.duty != expected->duty) {
            say("spindle FAIL in tick ");
            say_number((int32_t)tick + 1);
            say(":");
            say_if_different("duty", (int32_t)out.duty, (int32_t)expected->duty);
            say("\r\n");
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.turning_last != 6969
        || state.turning_before != 1
        || state.turning_same_count != 0
        || state.turning_trip != 1
        || state.turning_reset_last != 0
        || state.smooth_x1 != 6969
        || state.smooth_x2 != (-9176)
        || state.smooth_y1 != (-18510)
        || state.smooth_y2 != 1267
        || state.smooth_left1 != (-3568)
        || state.push_integral != 0) {
        say("spindle FAIL in the state at the end:");
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)6969);
        say_if_different("turning_before", (int32_t)state.turning_before, (int32_t)1);
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)1);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)0);
        say_if_different("smooth_x1", (int32_t)state.smooth_x1, (int32_t)6969);
        say_if_different("smooth_x2", (int32_t)state.smooth_x2, (int32_t)(-9176));
        say_if_different("smooth_y1", (int32_t)state.smooth_y1, (int32_t)(-18510));
        say_if_different("smooth_y2", (int32_t)state.smooth_y2, (int32_t)1267);
        say_if_different("smooth_left1", (int32_t)state.smooth_left1, (int32_t)(-3568));
        say_if_different("push_integral", (int32_t)state.push_integral, (int32_t)0);
        say("\r\n");
        return 64u + 1u;
    }
    say("spindle PASS, 64 ticks");
#ifdef SPINDLE_CYCLES
    say(", cycles worst ");
    say_number((int32_t)worst);
    say(", mean ");
    say_number((int32_t)(total / 64u));
#endif
    say("\r\n");
    return 0u;
}
