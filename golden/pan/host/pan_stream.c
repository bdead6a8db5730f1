//go:build ignore

/*
 * Runs pan on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. pan.h is one folder up:
 *     cc -I.. pan_stream.c
 *
 *   in   angle, wanted, run, set push_kp, push_kp, set push_kd, push_kd, set push_ki, push_ki,
 *        restart
 *   out  duty, first_tick, seen_last, seen_before, seen_same_count, seen_trip, seen_reset_last,
 *        push_slow, push_integral, quiet_x1, quiet_x2, quiet_y1, quiet_y2, quiet_left1,
 *        quiet_left2, push_kp, push_kd, push_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0; it is started
 * over before the step where restart is 1, and with its integral terms kept where it is 2.
 * With any argument, each record begins with the states that the tick is to start from.
 * Written by gainwright 0.1.0 from pan.yaml. Exit code 0; 2 for a torn record
 * or a failed write; 3 where a setter did not make a new set of coefficients.
 */
#include <stdint.h>
#include <stdio.h>

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x3578937b)
#error "pan.h comes from another spec than this file: run generate"
#endif

enum { PAN_IN = 10, PAN_STATES = 14, PAN_OUT = 18, PAN_BATCH = 1024 };

int main(int argc, char **argv)
{
    static int64_t received[(PAN_IN + PAN_STATES) * PAN_BATCH];
    static int64_t sent[PAN_OUT * PAN_BATCH];
    pan_state state;
    pan_in in;
    pan_out out;
    const size_t ahead = argc > 1 ? (size_t)PAN_STATES : 0u; /* the states to start from */
    const size_t length = ahead + PAN_IN;
    size_t got, ticks, t;

    (void)argv;
    for (t = 0u; t < sizeof state; t++) { /* what init leaves out must show */
        ((volatile unsigned char *)&state)[t] = 0xA5u;
    }
    pan_init(&state);
    for (;;) {
        got = fread(received, sizeof received[0], length * PAN_BATCH, stdin);
        ticks = got / length;
        if (got == 0u) {
            break;
        }
        if (got % length != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * length + ahead];
            int64_t *const w = &sent[t * PAN_OUT];
            if (ahead > 0u) {
                const int64_t *const from = &received[t * length];
                state.first_tick = (uint8_t)from[0];
                state.seen_last = (int16_t)from[1];
                state.seen_before = (uint8_t)from[2];
                state.seen_same_count = (int16_t)from[3];
                state.seen_trip = (uint8_t)from[4];
                state.seen_reset_last = (uint8_t)from[5];
                state.push_slow = (int32_t)from[6];
                state.push_integral = (int32_t)from[7];
                state.quiet_x1 = (int16_t)from[8];
                state.quiet_x2 = (int16_t)from[9];
                state.quiet_y1 = (int32_t)from[10];
                state.quiet_y2 = (int32_t)from[11];
                state.quiet_left1 = (int16_t)from[12];
                state.quiet_left2 = (int16_t)from[13];
            }
            in.angle = (int16_t)r[0];
            in.wanted = (int16_t)r[1];
            in.run = (uint8_t)r[2];
            if (r[3] != 0) {
                const uint8_t newest = state.ready;
                pan_set_push_kp(&state, (int32_t)r[4]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[5] != 0) {
                const uint8_t newest = state.ready;
                pan_set_push_kd(&state, (int32_t)r[6]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[7] != 0) {
                const uint8_t newest = state.ready;
                pan_set_push_ki(&state, (int32_t)r[8]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[9] == 1) {
                pan_restart(&state);
            }
            if (r[9] == 2) {
                pan_restart_with_integrals(&state);
            }
            pan_step(&state, &in, &out);
            w[0] = out.duty;
            w[1] = state.first_tick;
            w[2] = state.seen_last;
            w[3] = state.seen_before;
            w[4] = state.seen_same_count;
            w[5] = state.seen_trip;
            w[6] = state.seen_reset_last;
            w[7] = state.push_slow;
            w[8] = state.push_integral;
            w[9] = state.quiet_x1;
            w[10] = state.quiet_x2;
            w[11] = state.quiet_y1;
            w[12] = state.quiet_y2;
            w[13] = state.quiet_left1;
            w[14] = state.quiet_left2;
            w[15] = state.gains[state.in_use].push_kp;
            w[16] = state.gains[state.in_use].push_kd;
            w[17] = state.gains[state.in_use].push_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * PAN_OUT, stdout) != ticks * PAN_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
