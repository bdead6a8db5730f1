//go:build ignore

/*
 * Self-test of cart on the board that is to run it, tied to no board and no
 * framework. It runs the vectors of cart_vectors.h and says on a line of text
 * whether every output of every tick, and the state at the start, after each restart in
 * mid-run and at the end, is what the bit-exact model gives.
 *
 *     Compile this file into a firmware (cart.h is one folder up: -I.., or copy this
 *     file and cart_vectors.h beside it), call cart_board_test() from its main,
 *     and read the line:
 *         cart PASS, 64 ticks
 *         cart FAIL in tick 17: drive is 12, not 11
 *
 *     It needs one function that sends a character, void cart_put(char c). To use
 *     what is there already, define CART_PUT(c) where this file is compiled.
 *
 *     With a counter of cycles it adds "cycles worst 1122, mean 1003": define
 *     CART_CYCLES() as an expression that counts up, and CART_CYCLES_MASK as
 *     its largest value, 0xFFFFFFFF by default.
 *         AVR, timer 1 at full speed:  -D'CART_CYCLES()=TCNT1' -DCART_CYCLES_MASK=0xFFFF
 *         ARM SysTick:  -D'CART_CYCLES()=(0xFFFFFFu-SysTick->VAL)' -DCART_CYCLES_MASK=0xFFFFFF
 *     with an -include of the header that knows them. Interrupts that come in between
 *     count too.
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from cart.yaml.
 */
#include <stdint.h>

#include "cart_vectors.h"

#if CART_STAMP != UINT32_C(0xbb124105)
#error "cart.h comes from another spec than this file: run generate"
#endif

uint16_t cart_board_test(void);

#ifndef CART_PUT
void cart_put(char c);
#define CART_PUT(c) cart_put(c)
#endif

#ifndef CART_CYCLES_MASK
#define CART_CYCLES_MASK UINT32_C(0xFFFFFFFF)
#endif

static void say(const char *text)
{
    while (*text != '\0') {
        CART_PUT(*text);
        text++;
    }
}

static void say_number(int32_t x)
{
    char digits[10];
    uint8_t n = 0u;
    uint32_t rest = x < 0 ? 0u - (uint32_t)x : (uint32_t)x;

    if (x < 0) {
        CART_PUT('-');
    }
    do {
        digits[n] = (char)('0' + (char)(rest % 10u));
        rest /= 10u;
        n++;
    } while (rest != 0u);
    while (n > 0u) {
        n--;
        CART_PUT(digits[n]);
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
uint16_t cart_board_test(void)
{
    cart_state state;
    uint16_t tick;
#ifdef CART_CYCLES
    uint32_t worst = 0u;
    uint32_t total = 0u;
    uint32_t before = CART_CYCLES();
    const uint32_t nothing = ((uint32_t)CART_CYCLES() - before) & CART_CYCLES_MASK;
#endif

    if (cart_vector_start_differs(&state, 0x5Au) || cart_vector_start_differs(&state, 0xA5u)) {
        say("cart FAIL at the start:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)1);
        say_if_different("rate_count", (int32_t)state.rate_count, (int32_t)0);
        say_if_different("rate_sum", (int32_t)state.rate_sum, (int32_t)0);
        say_if_different("tilt_state", (int32_t)state.tilt_state, (int32_t)0);
        say_if_different("gravity_good_count", (int32_t)state.gravity_good_count, (int32_t)0);
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)0);
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)0);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)0);
        say_if_different("upright_on", (int32_t)state.upright_on, (int32_t)0);
        say_if_different("place_when_last", (int32_t)state.place_when_last, (int32_t)0);
        say_if_different("place_held", (int32_t)state.place_held, (int32_t)0);
        say_if_different("balance_slow", (int32_t)state.balance_slow, (int32_t)0);
        say_if_different("effort_integral", (int32_t)state.effort_integral, (int32_t)0);
        say_if_different("effort_kp", (int32_t)state.gains[0].effort_kp, (int32_t)5248);
        say_if_different("effort_kd", (int32_t)state.gains[0].effort_kd, (int32_t)(-188));
        say_if_different("effort_ki", (int32_t)state.gains[0].effort_ki, (int32_t)416);
        say_if_different("ready", (int32_t)state.ready, (int32_t)0);
        say_if_different("in_use", (int32_t)state.in_use, (int32_t)0);
        say("\r\n");
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        const cart_in *const in = &cart_vector_in[tick];
        const cart_out *const expected = &cart_vector_out[tick];
        cart_out out;
        cart_vector_settings(&state, tick);
        if (cart_vector_restart_differs(&state, tick)) {
            say("cart FAIL after starting over before tick ");
            say_number((int32_t)tick + 1);
            say("\r\n");
            return 64u + 3u;
        }
#ifdef CART_CYCLES
        uint32_t taken;
        before = CART_CYCLES();
        cart_step(&state, in, &out);
        taken = (((uint32_t)CART_CYCLES() - before) & CART_CYCLES_MASK) - nothing;
        total += taken;
        worst = taken > worst ? taken : worst;
#else
        cart_step(&state, in, &out);
#endif
        if (out.drive != expected->drive) {
            say("cart FAIL in tick ");
            say_number((int32_t)tick + 1);
            say(":");
            say_if_different("drive", (int32_t)out.drive, (int32_t)expected->drive);
            say("\r\n");
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.rate_count != 0
        || state.rate_sum != 0
        || state.tilt_state != INT32_C(610738266)
        || state.gravity_good_count != 0
        || state.turning_last != (-5564)
        || state.turning_same_count != 0
        || state.turning_trip != 0
        || state.turning_reset_last != 1
        || state.upright_on != 0
        || state.place_when_last != 0
        || state.place_held != 0
        || state.balance_slow != INT32_C(270466816)
        || state.effort_integral != 0) {
        say("cart FAIL in the state at the end:");
        say_if_different("first_tick", (int32_t)state.first_tick, (int32_t)0);
        say_if_different("rate_count", (int32_t)state.rate_count, (int32_t)0);
        say_if_different("rate_sum", (int32_t)state.rate_sum, (int32_t)0);
        say_if_different("tilt_state", (int32_t)state.tilt_state, (int32_t)INT32_C(610738266));
        say_if_different("gravity_good_count", (int32_t)state.gravity_good_count, (int32_t)0);
        say_if_different("turning_last", (int32_t)state.turning_last, (int32_t)(-5564));
        say_if_different("turning_same_count", (int32_t)state.turning_same_count, (int32_t)0);
        say_if_different("turning_trip", (int32_t)state.turning_trip, (int32_t)0);
        say_if_different("turning_reset_last", (int32_t)state.turning_reset_last, (int32_t)1);
        say_if_different("upright_on", (int32_t)state.upright_on, (int32_t)0);
        say_if_different("place_when_last", (int32_t)state.place_when_last, (int32_t)0);
        say_if_different("place_held", (int32_t)state.place_held, (int32_t)0);
        say_if_different("balance_slow", (int32_t)state.balance_slow, (int32_t)INT32_C(270466816));
        say_if_different("effort_integral", (int32_t)state.effort_integral, (int32_t)0);
        say("\r\n");
        return 64u + 1u;
    }
    say("cart PASS, 64 ticks");
#ifdef CART_CYCLES
    say(", cycles worst ");
    say_number((int32_t)worst);
    say(", mean ");
    say_number((int32_t)(total / 64u));
#endif
    say("\r\n");
    return 0u;
}
