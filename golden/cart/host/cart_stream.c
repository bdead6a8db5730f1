//go:build ignore

/*
 * Runs cart on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. cart.h is one folder up:
 *     cc -I.. cart_stream.c
 *
 *   in   accel_forward, accel_up, pitch_rate, travel, armed, set effort_kp, effort_kp, set
 *        effort_kd, effort_kd, set effort_ki, effort_ki, restart
 *   out  drive, first_tick, rate_count, rate_sum, tilt_state, gravity_good_count, turning_last,
 *        turning_same_count, turning_trip, turning_reset_last, upright_on,
 *        place_when_last, place_held, balance_slow, effort_integral, effort_kp,
 *        effort_kd, effort_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0; it is started
 * over before the step where restart is 1, and with its integral terms kept where it is 2.
 * With any argument, each record begins with the states that the tick is to start from.
 * Written by gainwright 0.1.0 from cart.yaml. Exit code 0; 2 for a torn record
 * or a failed write; 3 where a setter did not make a new set of coefficients.
 */
#include <stdint.h>
#include <stdio.h>

#include "cart.h"

#if CART_STAMP != UINT32_C(0xbb124105)
#error "cart.h comes from another spec than this file: run generate"
#endif

enum { CART_IN = 12, CART_STATES = 14, CART_OUT = 18, CART_BATCH = 1024 };

int main(int argc, char **argv)
{
    static int64_t received[(CART_IN + CART_STATES) * CART_BATCH];
    static int64_t sent[CART_OUT * CART_BATCH];
    cart_state state;
    cart_in in;
    cart_out out;
    const size_t ahead = argc > 1 ? (size_t)CART_STATES : 0u; /* the states to start from */
    const size_t length = ahead + CART_IN;
    size_t got, ticks, t;

    (void)argv;
    for (t = 0u; t < sizeof state; t++) { /* what init leaves out must show */
        ((volatile unsigned char *)&state)[t] = 0xA5u;
    }
    cart_init(&state);
    for (;;) {
        got = fread(received, sizeof received[0], length * CART_BATCH, stdin);
        ticks = got / length;
        if (got == 0u) {
            break;
        }
        if (got % length != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * length + ahead];
            int64_t *const w = &sent[t * CART_OUT];
            if (ahead > 0u) {
                const int64_t *const from = &received[t * length];
                state.first_tick = (uint8_t)from[0];
                state.rate_count = (int16_t)from[1];
                state.rate_sum = (int32_t)from[2];
                state.tilt_state = (int32_t)from[3];
                state.gravity_good_count = (int16_t)from[4];
                state.turning_last = (int16_t)from[5];
                state.turning_same_count = (int16_t)from[6];
                state.turning_trip = (uint8_t)from[7];
                state.turning_reset_last = (uint8_t)from[8];
                state.upright_on = (uint8_t)from[9];
                state.place_when_last = (uint8_t)from[10];
                state.place_held = (int16_t)from[11];
                state.balance_slow = (int32_t)from[12];
                state.effort_integral = (int32_t)from[13];
            }
            in.accel_forward = (int16_t)r[0];
            in.accel_up = (int16_t)r[1];
            in.pitch_rate = (int16_t)r[2];
            in.travel = (int16_t)r[3];
            in.armed = (uint8_t)r[4];
            if (r[5] != 0) {
                const uint8_t newest = state.ready;
                cart_set_effort_kp(&state, (int32_t)r[6]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[7] != 0) {
                const uint8_t newest = state.ready;
                cart_set_effort_kd(&state, (int32_t)r[8]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[9] != 0) {
                const uint8_t newest = state.ready;
                cart_set_effort_ki(&state, (int32_t)r[10]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[11] == 1) {
                cart_restart(&state);
            }
            if (r[11] == 2) {
                cart_restart_with_integrals(&state);
            }
            cart_step(&state, &in, &out);
            w[0] = out.drive;
            w[1] = state.first_tick;
            w[2] = state.rate_count;
            w[3] = state.rate_sum;
            w[4] = state.tilt_state;
            w[5] = state.gravity_good_count;
            w[6] = state.turning_last;
            w[7] = state.turning_same_count;
            w[8] = state.turning_trip;
            w[9] = state.turning_reset_last;
            w[10] = state.upright_on;
            w[11] = state.place_when_last;
            w[12] = state.place_held;
            w[13] = state.balance_slow;
            w[14] = state.effort_integral;
            w[15] = state.gains[state.in_use].effort_kp;
            w[16] = state.gains[state.in_use].effort_kd;
            w[17] = state.gains[state.in_use].effort_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * CART_OUT, stdout) != ticks * CART_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
