//go:build ignore

/*
 * Runs pan on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. pan.h is one folder up:
 *     cc -I.. pan_stream.c
 *
 *   in   angle, wanted, run, set push_kp, push_kp, set push_kd, push_kd, set push_ki, push_ki
 *   out  duty, first_tick, push_slow, push_integral, quiet_x1, quiet_x2, quiet_y1, quiet_y2,
 *        quiet_left1, quiet_left2, push_kp, push_kd, push_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0.
 * Written by gainwright 0.1.0 from pan.yaml. Exit code 0, or 2 for a torn record
 * or a failed write.
 */
#include <stdint.h>
#include <stdio.h>

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x8c90ada9)
#error "pan.h comes from another spec than this file: run generate"
#endif

enum { PAN_IN = 9, PAN_OUT = 13, PAN_BATCH = 1024 };

int main(void)
{
    static int64_t received[PAN_IN * PAN_BATCH];
    static int64_t sent[PAN_OUT * PAN_BATCH];
    pan_state state;
    pan_in in;
    pan_out out;

    pan_init(&state);
    for (;;) {
        const size_t got = fread(received, sizeof received[0], PAN_IN * PAN_BATCH, stdin);
        const size_t ticks = got / PAN_IN;
        size_t t;
        if (got == 0u) {
            break;
        }
        if (got % PAN_IN != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * PAN_IN];
            int64_t *const w = &sent[t * PAN_OUT];
            in.angle = (int16_t)r[0];
            in.wanted = (int16_t)r[1];
            in.run = (uint8_t)r[2];
            if (r[3] != 0) {
                pan_set_push_kp(&state, (int32_t)r[4]);
            }
            if (r[5] != 0) {
                pan_set_push_kd(&state, (int32_t)r[6]);
            }
            if (r[7] != 0) {
                pan_set_push_ki(&state, (int32_t)r[8]);
            }
            pan_step(&state, &in, &out);
            w[0] = out.duty;
            w[1] = state.first_tick;
            w[2] = state.push_slow;
            w[3] = state.push_integral;
            w[4] = state.quiet_x1;
            w[5] = state.quiet_x2;
            w[6] = state.quiet_y1;
            w[7] = state.quiet_y2;
            w[8] = state.quiet_left1;
            w[9] = state.quiet_left2;
            w[10] = state.gains[state.in_use].push_kp;
            w[11] = state.gains[state.in_use].push_kd;
            w[12] = state.gains[state.in_use].push_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * PAN_OUT, stdout) != ticks * PAN_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
