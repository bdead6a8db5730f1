//go:build ignore

/*
 * Runs spindle on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. spindle.h is one folder up:
 *     cc -I.. spindle_stream.c
 *
 *   in   speed, wanted, run, set push_kp, push_kp, set push_ki, push_ki, restart
 *   out  duty, turning_last, turning_before, turning_same_count, turning_trip,
 *        turning_reset_last, smooth_x1, smooth_x2, smooth_y1, smooth_y2, smooth_left1,
 *        push_integral, push_kp, push_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0; it is started
 * over before the step where restart is 1, and with its integral terms kept where it is 2.
 * With any argument, each record begins with the states that the tick is to start from.
 * Written by gainwright 0.1.0 from spindle.yaml. Exit code 0; 2 for a torn record
 * or a failed write; 3 where a setter did not make a new set of coefficients.
 */
#include <stdint.h>
#include <stdio.h>

#include "spindle.h"

#if SPINDLE_STAMP != UINT32_C(0xb7cd1f02)
#error "spindle.h comes from another spec than this file: run generate"
#endif

enum { SPINDLE_IN = 8, SPINDLE_STATES = 11, SPINDLE_OUT = 14, SPINDLE_BATCH = 1024 };

int main(int argc, char **argv)
{
    static int64_t received[(SPINDLE_IN + SPINDLE_STATES) * SPINDLE_BATCH];
    static int64_t sent[SPINDLE_OUT * SPINDLE_BATCH];
    spindle_state state;
    spindle_in in;
    spindle_out out;
    const size_t ahead = argc > 1 ? (size_t)SPINDLE_STATES : 0u; /* the states to start from */
    const size_t length = ahead + SPINDLE_IN;
    size_t got, ticks, t;

    (void)argv;
    for (t = 0u; t < sizeof state; t++) { /* what init leaves out must show */
        ((volatile unsigned char *)&state)[t] = 0xA5u;
    }
    spindle_init(&state);
    for (;;) {
        got = fread(received, sizeof received[0], length * SPINDLE_BATCH, stdin);
        ticks = got / length;
        if (got == 0u) {
            break;
        }
        if (got % length != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * length + ahead];
            int64_t *const w = &sent[t * SPINDLE_OUT];
            if (ahead > 0u) {
                const int64_t *const from = &received[t * length];
                state.turning_last = (int16_t)from[0];
                state.turning_before = (uint8_t)from[1];
                state.turning_same_count = (int16_t)from[2];
                state.turning_trip = (uint8_t)from[3];
                state.turning_reset_last = (uint8_t)from[4];
                state.smooth_x1 = (int16_t)from[5];
                state.smooth_x2 = (int16_t)from[6];
                state.smooth_y1 = (int32_t)from[7];
                state.smooth_y2 = (int32_t)from[8];
                state.smooth_left1 = (int16_t)from[9];
                state.push_integral = (int32_t)from[10];
            }
            in.speed = (int16_t)r[0];
            in.wanted = (int16_t)r[1];
            in.run = (uint8_t)r[2];
            if (r[3] != 0) {
                const uint8_t newest = state.ready;
                spindle_set_push_kp(&state, (int32_t)r[4]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[5] != 0) {
                const uint8_t newest = state.ready;
                spindle_set_push_ki(&state, (int32_t)r[6]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[7] == 1) {
                spindle_restart(&state);
            }
            if (r[7] == 2) {
                spindle_restart_with_integrals(&state);
            }
            spindle_step(&state, &in, &out);
            w[0] = out.duty;
            w[1] = state.turning_last;
            w[2] = state.turning_before;
            w[3] = state.turning_same_count;
            w[4] = state.turning_trip;
            w[5] = state.turning_reset_last;
            w[6] = state.smooth_x1;
            w[7] = state.smooth_x2;
            w[8] = state.smooth_y1;
            w[9] = state.smooth_y2;
            w[10] = state.smooth_left1;
            w[11] = state.push_integral;
            w[12] = state.gains[state.in_use].push_kp;
            w[13] = state.gains[state.in_use].push_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * SPINDLE_OUT, stdout) != ticks * SPINDLE_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
