//go:build ignore

/*
 * Runs heading on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. heading.h is one folder up:
 *     cc -I.. heading_stream.c
 *
 *   in   yaw_rate, wanted, drive, moving, set turn_kp, turn_kp, set turn_ki, turn_ki, restart
 *   out  left_wheel, right_wheel, turning_last, turning_same_count, turning_trip,
 *        turning_reset_last, rate_count, rate_sum, heading_sum, turn_integral, turn_kp,
 *        turn_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0; it is started
 * over before the step where restart is 1, and with its integral terms kept where it is 2.
 * With any argument, each record begins with the states that the tick is to start from.
 * Written by gainwright 0.1.0 from heading.yaml. Exit code 0; 2 for a torn record
 * or a failed write; 3 where a setter did not make a new set of coefficients.
 */
#include <stdint.h>
#include <stdio.h>

#include "heading.h"

#if HEADING_STAMP != UINT32_C(0x3ea71132)
#error "heading.h comes from another spec than this file: run generate"
#endif

enum { HEADING_IN = 9, HEADING_STATES = 8, HEADING_OUT = 12, HEADING_BATCH = 1024 };

int main(int argc, char **argv)
{
    static int64_t received[(HEADING_IN + HEADING_STATES) * HEADING_BATCH];
    static int64_t sent[HEADING_OUT * HEADING_BATCH];
    heading_state state;
    heading_in in;
    heading_out out;
    const size_t ahead = argc > 1 ? (size_t)HEADING_STATES : 0u; /* the states to start from */
    const size_t length = ahead + HEADING_IN;
    size_t got, ticks, t;

    (void)argv;
    for (t = 0u; t < sizeof state; t++) { /* what init leaves out must show */
        ((volatile unsigned char *)&state)[t] = 0xA5u;
    }
    heading_init(&state);
    for (;;) {
        got = fread(received, sizeof received[0], length * HEADING_BATCH, stdin);
        ticks = got / length;
        if (got == 0u) {
            break;
        }
        if (got % length != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * length + ahead];
            int64_t *const w = &sent[t * HEADING_OUT];
            if (ahead > 0u) {
                const int64_t *const from = &received[t * length];
                state.turning_last = (int16_t)from[0];
                state.turning_same_count = (int16_t)from[1];
                state.turning_trip = (uint8_t)from[2];
                state.turning_reset_last = (uint8_t)from[3];
                state.rate_count = (int16_t)from[4];
                state.rate_sum = (int32_t)from[5];
                state.heading_sum = (int32_t)from[6];
                state.turn_integral = (int32_t)from[7];
            }
            in.yaw_rate = (int16_t)r[0];
            in.wanted = (int16_t)r[1];
            in.drive = (int16_t)r[2];
            in.moving = (uint8_t)r[3];
            if (r[4] != 0) {
                const uint8_t newest = state.ready;
                heading_set_turn_kp(&state, (int32_t)r[5]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[6] != 0) {
                const uint8_t newest = state.ready;
                heading_set_turn_ki(&state, (int32_t)r[7]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[8] == 1) {
                heading_restart(&state);
            }
            if (r[8] == 2) {
                heading_restart_with_integrals(&state);
            }
            heading_step(&state, &in, &out);
            w[0] = out.left_wheel;
            w[1] = out.right_wheel;
            w[2] = state.turning_last;
            w[3] = state.turning_same_count;
            w[4] = state.turning_trip;
            w[5] = state.turning_reset_last;
            w[6] = state.rate_count;
            w[7] = state.rate_sum;
            w[8] = state.heading_sum;
            w[9] = state.turn_integral;
            w[10] = state.gains[state.in_use].turn_kp;
            w[11] = state.gains[state.in_use].turn_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * HEADING_OUT, stdout) != ticks * HEADING_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
