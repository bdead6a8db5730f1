//go:build ignore

/*
 * Self-test of heading on the board that is to run it, tied to no board and no
 * framework. It runs the vectors of heading_vectors.h and says on a line of text
 * whether every output of every tick, and the state at the start, after each restart in
 * mid-run and at the end, is what the bit-exact model gives.
 *
 *     Compile this file into a firmware (heading.h is one folder up: -I.., or copy this
 *     file and heading_vectors.h beside it), call heading_board_test() from its main,
 *     and read the line:
 *         heading PASS, 64 ticks
 *         heading FAIL in tick 17: left_wheel is 12, not 11
 *
 *     It needs one function that sends a character, void heading_put(char c). To use
 *     what is there already, define HEADING_PUT(c) where this file is compiled.
 *
 *     With a counter of cycles it adds "cycles worst 1122, mean 1003": define
 *     HEADING_CYCLES() as an expression that counts up, and HEADING_CYCLES_MASK as
 *     its largest value, 0xFFFFFFFF by default.
 *         AVR, timer 1 at full speed:  -D'HEADING_CYCLES()=TCNT1' -DHEADING_CYCLES_MASK=0xFFFF
 *         ARM SysTick:  -D'HEADING_CYCLES()=(0xFFFFFFu-SysTick->VAL)'
 *         -DHEADING_CYCLES_MASK=0xFFFFFF
 *     with an -include of the header that knows them. Interrupts that come in between
 *     count too.
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from heading.yaml.
 */
#include <stdint.h>

#include "heading_vectors.h"

#if HEADING_STAMP != UINT32_C(0x3ea71132)
#error "heading.h comes from another spec than this file: run generate"
#endif

uint16_t heading_board_test(void);

#ifndef HEADING_PUT
void heading_put(char c);
#define HEADING_PUT(c) heading_put(c)
#endif

#ifndef HEADING_CYCLES_MASK
#define HEADING_CYCLES_MASK UINT32_C(0xFFFFFFFF)
#endif

static void say(const char *text)
{
    while (*text != '\0') {
        HEADING_PUT(*text);
        text++;
    }
}

static void say_number(int32_t x)
{
    char digits[10];
    uint8_t n = 0u;
    uint32_t rest = x < 0 ? 0u - (uint32_t)x : (uint32_t)x;

    if (x < 0) {
        HEADING_PUT('-');
    }
    do {
        digits[n] = (char)('0' + (char)(rest % 10u));
        rest /= 10u;
        n++;
    } while (rest != 0u);
    while (n > 0u) {
        n--;
        HEADING_PUT(digits[n]);
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
uint16_t heading_board_test(void)
{
    heading_state state;
    uint16_t tick;
#ifdef HEADING_CYCLES
    uint32_t worst = 0u;
    uint32_t total = 0u;
    uint32_t before = HEADING_CYCLES();
    const uint32_t nothing = ((uint32_t)HEADING_CYCLES() - before) & HEADING_CYCLES_MASK;
#endif

    if (heading_vector_start_differs(&state, 0x5Au) || heading_vector_start_differs(&state, 0xA5u))
        {
        say("heading FAIL at the start:");
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)0);
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)0);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)0);
        say_if_different("rate_count", (int32_t)state.rate_count, (int32_t)0);
        say_if_different("rate_sum", (int32_t)state.rate_sum, (int32_t)0);
        say_if_different("heading_sum", (int32_t)state.heading_sum, (int32_t)0);
        say_if_different("turn_integral", (int32_t)state.turn_integral, (int32_t)0);
        say_if_different("turn_kp", (int32_t)state.gains[0].turn_kp, (int32_t)1376);
        say_if_different("turn_ki", (int32_t)state.gains[0].turn_ki, (int32_t)1342);
        say_if_different("ready", (int32_t)state.ready, (int32_t)0);
        say_if_different("in_use", (int32_t)state.in_use, (int32_t)0);
        say("\r\n");
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        const heading_in *const in = &heading_vector_in[tick];
        const heading_out *const expected = &heading_vector_out[tick];
        heading_out out;
        heading_vector_settings(&state, tick);
        if (heading_vector_restart_differs(&state, tick)) {
            say("heading FAIL after starting over before tick ");
            say_number((int32_t)tick + 1);
            say("\r\n");
            return 64u + 3u;
        }
#ifdef HEADING_CYCLES
        uint32_t taken;
        before = HEADING_CYCLES();
        heading_step(&state, in, &out);
        taken = (((uint32_t)HEADING_CYCLES() - before) & HEADING_CYCLES_MASK) - nothing;
        total += taken;
        worst = taken > worst ? taken : worst;
#else
        heading_step(&state, in, &out);
#endif
        if (out.left_wheel != expected->left_wheel
            || out.right_wheel != expected->right_wheel) {
            say("heading FAIL in tick ");
            say_number((int32_t)tick + 1);
            say(":");
            say_if_different("left_wheel", (int32_t)out.left_wheel, (int32_t)expected->left_wheel);
            say_if_different("right_wheel", (int32_t)out.right_wheel,
                    (int32_t)expected->right_wheel);
            say("\r\n");
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.turning_last != 6410
        || state.turning_same_count != 0
        || state.turning_trip != 0
        || state.turning_reset_last != 1
        || state.rate_count != 0
        || state.rate_sum != 0
        || state.heading_sum != (-INT32_C(66212500))
        || state.turn_integral != (-INT32_C(83886080))) {
        say("heading FAIL in the state at the end:");
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)6410);
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)0);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)1);
        say_if_different("rate_count", (int32_t)state.rate_count, (int32_t)0);
        say_if_different("rate_sum", (int32_t)state.rate_sum, (int32_t)0);
        say_if_different("heading_sum", (int32_t)state.heading_sum, (int32_t)(-INT32_C(66212500)));
        say_if_different("turn_integral", (int32_t)state.turn_integral,
                (int32_t)(-INT32_C(83886080)));
        say("\r\n");
        return 64u + 1u;
    }
    say("heading PASS, 64 ticks");
#ifdef HEADING_CYCLES
    say(", cycles worst ");
    say_number((int32_t)worst);
    say(", mean ");
    say_number((int32_t)(total / 64u));
#endif
    say("\r\n");
    return 0u;
}
