//go:build ignore

/*
 * Runs cart on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. cart.h is one folder up:
 *     cc -I.. cart_stream.c
 *
 *   in   accel_forward, accel_up, pitch_rate, travel, armed, set effort_kp, effort_kp, set
 *        effort_kd, effort_kd, set effort_ki, effort_ki
 *   out  drive, first_tick, rate_count, rate_sum, tilt_state, upright_on, place_when_last,
 *        place_held, balance_slow, effort_integral, effort_kp, effort_kd, effort_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0.
 * Written by gainwright 0.1.0 from cart.yaml. Exit code 0, or 2 for a torn record
 * or a failed write.
 */
#include <stdint.h>
#include <stdio.h>

#include "cart.h"

#if CART_STAMP != UINT32_C(0x447e39ce)
#error "cart.h comes from another spec than this file: run generate"
#endif

enum { CART_IN = 11, CART_OUT = 13, CART_BATCH = 1024 };

int main(void)
{
    static int64_t received[CART_IN * CART_BATCH];
    static int64_t sent[CART_OUT * CART_BATCH];
    cart_state state;
    cart_in in;
    cart_out out;

    cart_init(&state);
    for (;;) {
        const size_t got = fread(received, sizeof received[0], CART_IN * CART_BATCH, stdin);
        const size_t ticks = got / CART_IN;
        size_t t;
        if (got == 0u) {
            break;
        }
        if (got % CART_IN != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * CART_IN];
            int64_t *const w = &sent[t * CART_OUT];
            in.accel_forward = (int16_t)r[0];
            in.accel_up = (int16_t)r[1];
            in.pitch_rate = (int16_t)r[2];
            in.travel = (int16_t)r[3];
            in.armed = (uint8_t)r[4];
            if (r[5] != 0) {
                cart_set_effort_kp(&state, (int32_t)r[6]);
            }
            if (r[7] != 0) {
                cart_set_effort_kd(&state, (int32_t)r[8]);
            }
            if (r[9] != 0) {
                cart_set_effort_ki(&state, (int32_t)r[10]);
            }
            cart_step(&state, &in, &out);
            w[0] = out.drive;
            w[1] = state.first_tick;
            w[2] = state.rate_count;
            w[3] = state.rate_sum;
            w[4] = state.tilt_state;
            w[5] = state.upright_on;
            w[6] = state.place_when_last;
            w[7] = state.place_held;
            w[8] = state.balance_slow;
            w[9] = state.effort_integral;
            w[10] = state.gains[state.in_use].effort_kp;
            w[11] = state.gains[state.in_use].effort_kd;
            w[12] = state.gains[state.in_use].effort_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * CART_OUT, stdout) != ticks * CART_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
