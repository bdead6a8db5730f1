//go:build ignore

/*
 * Runs heading on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. heading.h is one folder up:
 *     cc -I.. heading_stream.c
 *
 *   in   yaw_rate, wanted, drive, moving, set turn_kp, turn_kp, set turn_ki, turn_ki
 *   out  left_wheel, right_wheel, rate_count, rate_sum, heading_sum, turn_integral, turn_kp,
 *        turn_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0.
 * Written by gainwright 0.1.0 from heading.yaml. Exit code 0, or 2 for a torn record
 * or a failed write.
 */
#include <stdint.h>
#include <stdio.h>

#include "heading.h"

#if HEADING_STAMP != UINT32_C(0xb11b6bec)
#error "heading.h comes from another spec than this file: run generate"
#endif

enum { HEADING_IN = 8, HEADING_OUT = 8, HEADING_BATCH = 1024 };

int main(void)
{
    static int64_t received[HEADING_IN * HEADING_BATCH];
    static int64_t sent[HEADING_OUT * HEADING_BATCH];
    heading_state state;
    heading_in in;
    heading_out out;

    heading_init(&state);
    for (;;) {
        const size_t got = fread(received, sizeof received[0], HEADING_IN * HEADING_BATCH, stdin);
        const size_t ticks = got / HEADING_IN;
        size_t t;
        if (got == 0u) {
            break;
        }
        if (got % HEADING_IN != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * HEADING_IN];
            int64_t *const w = &sent[t * HEADING_OUT];
            in.yaw_rate = (int16_t)r[0];
            in.wanted = (int16_t)r[1];
            in.drive = (int16_t)r[2];
            in.moving = (uint8_t)r[3];
            if (r[4] != 0) {
                heading_set_turn_kp(&state, (int32_t)r[5]);
            }
            if (r[6] != 0) {
                heading_set_turn_ki(&state, (int32_t)r[7]);
            }
            heading_step(&state, &in, &out);
            w[0] = out.left_wheel;
            w[1] = out.right_wheel;
            w[2] = state.rate_count;
            w[3] = state.rate_sum;
            w[4] = state.heading_sum;
            w[5] = state.turn_integral;
            w[6] = state.gains[state.in_use].turn_kp;
            w[7] = state.gains[state.in_use].turn_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * HEADING_OUT, stdout) != ticks * HEADING_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
