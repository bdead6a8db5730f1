//go:build ignore

/*
 * Self-test of pan on the board that is to run it, tied to no board and no
 * framework. It runs the vectors of pan_vectors.h and says on a line of text
 * whether every output of every tick, and the state at the start, after each restart in
 * mid-run and at the end, is what the bit-exact model gives.
 *
 *     Compile this file into a firmware (pan.h is one folder up: -I.., or copy this
 *     file and pan_vectors.h beside it), call pan_board_test() from its main,
 *     and read the line:
 *         pan PASS, 64 ticks
 *         pan FAIL in tick 17: duty is 12, not 11
 *
 *     It needs one function that sends a character, void pan_put(char c). To use
 *     what is there already, define PAN_PUT(c) where this file is compiled.
 *
 *     With a counter of cycles it adds "cycles worst 1122, mean 1003": define
 *     PAN_CYCLES() as an expression that counts up, and PAN_CYCLES_MASK as
 *     its largest value, 0xFFFFFFFF by default.
 *         AVR, timer 1 at full speed:  -D'PAN_CYCLES()=TCNT1' -DPAN_CYCLES_MASK=0xFFFF
 *         ARM SysTick:  -D'PAN_CYCLES()=(0xFFFFFFu-SysTick->VAL)' -DPAN_CYCLES_MASK=0xFFFFFF
 *     with an -include of the header that knows them. Interrupts that come in between
 *     count too.
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from pan.yaml.
 */
#include <stdint.h>

#include "pan_vectors.h"

#if PAN_STAMP != UINT32_C(0x3578937b)
#error "pan.h comes from another spec than this file: run generate"
#endif

uint16_t pan_board_test(void);

#ifndef PAN_PUT
void pan_put(char c);
#define PAN_PUT(c) pan_put(c)
#endif

#ifndef PAN_CYCLES_MASK
#define PAN_CYCLES_MASK UINT32_C(0xFFFFFFFF)
#endif

static void say(const char *text)
{
    while (*text != '\0') {
        PAN_PUT(*text);
        text++;
    }
}

static void say_number(int32_t x)
{
    char digits[10];
    uint8_t n = 0u;
    uint32_t rest = x < 0 ? 0u - (uint32_t)x : (uint32_t)x;

    if (x < 0) {
        PAN_PUT('-');
    }
    do {
        digits[n] = (char)('0' + (char)(rest % 10u));
        rest /= 10u;
        n++;
    } while (rest != 0u);
    while (n > 0u) {
        n--;
        PAN_PUT(digits[n]);
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
uint16_t pan_board_test(void)
{
    pan_state state;
    uint16_t tick;
#ifdef PAN_CYCLES
    uint32_t worst = 0u;
    uint32_t total = 0u;
    uint32_t before = PAN_CYCLES();
    const uint32_t nothing = ((uint32_t)PAN_CYCLES() - before) & PAN_CYCLES_MASK;
#endif

    if (pan_vector_start_differs(&state, 0x5Au) || pan_vector_start_differs(&state, 0xA5u)) {
        say("pan FAIL at the start:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)1);
        say_if_different("seen_last", (int32_t)state.seen_last, (int32_t)0);
        say_if_different("seen_before", (int32_t)state.seen_before, (int32_t)0);
        say_if_different("seen_same_count", (int32_t)state.seen_same_count, (int32_t)0);
        say_if_different("seen_trip", (int32_t)state.seen_trip, (int32_t)0);
        say_if_different("seen_reset_last", (int32_t)state.seen_reset_last, (int32_t)0);
        say_if_different("push_slow", (int32_t)state.push_slow, (int32_t)0);
        say_if_different("push_integral", (int32_t)state.push_integral, (int32_t)0);
        say_if_different("quiet_x1", (int32_t)state.quiet_x1, (int32_t)0);
        say_if_different("quiet_x2", (int32_t)state.quiet_x2, (int32_t)0);
        say_if_different("quiet_y1", (int32_t)state.quiet_y1, (int32_t)0);
        say_if_different("quiet_y2", (int32_t)state.quiet_y2, (int32_t)0);
        say_if_different("quiet_left1", (int32_t)state.quiet_left1, (int32_t)0);
        say_if_different("quiet_left2", (int32_t)state.quiet_left2, (int32_t)0);
        say_if_different("push_kp", (int32_t)state.gains[0].push_kp, (int32_t)1147);
        say_if_different("push_kd", (int32_t)state.gains[0].push_kd, (int32_t)(-512));
        say_if_different("push_ki", (int32_t)state.gains[0].push_ki, (int32_t)1678);
        say_if_different("ready", (int32_t)state.ready, (int32_t)0);
        say_if_different("in_use", (int32_t)state.in_use, (int32_t)0);
        say("\r\n");
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        const pan_in *const in = &pan_vector_in[tick];
        const pan_out *const expected = &pan_vector_out[tick];
        pan_out out;
        pan_vector_settings(&state, tick);
        if (pan_vector_restart_differs(&state, tick)) {
            say("pan FAIL after starting over before tick ");
            say_number((int32_t)tick + 1);
            say("\r\n");
            return 64u + 3u;
        }
#ifdef PAN_CYCLES
        uint32_t taken;
        before = PAN_CYCLES();
        pan_step(&state, in, &out);
        taken = (((uint32_t)PAN_CYCLES() - before) & PAN_CYCLES_MASK) - nothing;
        total += taken;
        worst = taken > worst ? taken : worst;
#else
        pan_step(&state, in, &out);
#endif
        if (out.duty != expected->duty) {
            say("pan FAIL in tick ");
            say_number((int32_t)tick + 1);
            say(":");
            say_if_different("duty", (int32_t)out.duty, (int32_t)expected->duty);
            say("\r\n");
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.seen_last != 9983
        || state.seen_before != 1
        || state.seen_same_count != 0
        || state.seen_trip != 1
        || state.seen_reset_last != 0
        || state.push_slow != INT32_C(103789408)
        || state.push_integral != 0
        || state.quiet_x1 != 0
        || state.quiet_x2 != 0
        || state.quiet_y1 != (-1874)
        || state.quiet_y2 != (-2382)
        || state.quiet_left1 != (-587)
        || state.quiet_left2 != 237) {
        say("pan FAIL in the state at the end:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)0);
        say_if_different("seen_last", (int32_t)state.seen_last, (int32_t)9983);
        say_if_different("seen_before", (int32_t)state.seen_before, (int32_t)1);
        say_if_different("seen_same_count", (int32_t)state.seen_same_count, (int32_t)0);
        say_if_different("seen_trip", (int32_t)state.seen_trip, (int32_t)1);
        say_if_different("seen_reset_last", (int32_t)state.seen_reset_last, (int32_t)0);
        say_if_different("push_slow", (int32_t)state.push_slow, (int32_t)INT32_C(103789408));
        say_if_different("push_integral", (int32_t)state.push_integral, (int32_t)0);
        say_if_different("quiet_x1", (int32_t)state.quiet_x1, (int32_t)0);
        say_if_different("quiet_x2", (int32_t)state.quiet_x2, (int32_t)0);
        say_if_different("quiet_y1", (int32_t)state.quiet_y1, (int32_t)(-1874));
        say_if_different("quiet_y2", (int32_t)state.quiet_y2, (int32_t)(-2382));
        say_if_different("quiet_left1", (int32_t)state.quiet_left1, (int32_t)(-587));
        say_if_different("quiet_left2", (int32_t)state.quiet_left2, (int32_t)237);
        say("\r\n");
        return 64u + 1u;
    }
    say("pan PASS, 64 ticks");
#ifdef PAN_CYCLES
    say(", cycles worst ");
    say_number((int32_t)worst);
    say(", mean ");
    say_number((int32_t)(total / 64u));
#endif
    say("\r\n");
    return 0u;
}
