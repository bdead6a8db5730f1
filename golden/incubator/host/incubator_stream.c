//go:build ignore

/*
 * Runs incubator on a host, for tests: fixed-size records of native int64_t from standard
 * input to standard output until the input ends. incubator.h is one folder up:
 *     cc -I.. incubator_stream.c
 *
 *   in   temperature, set heat_kp, heat_kp, set heat_ki, heat_ki, restart
 *   out  heater, first_tick, believed_last, believed_before, believed_count, believed_gone,
 *        believed_seen, believed_same_count, believed_trip, smooth_output, heat_slow,
 *        heat_integral, heat_kp, heat_ki
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file. A gain's setting is applied before the step where its flag is not 0; it is started
 * over before the step where restart is 1, and with its integral terms kept where it is 2.
 * With any argument, each record begins with the states that the tick is to start from.
 * Written by gainwright 0.1.0 from incubator.yaml. Exit code 0; 2 for a torn record
 * or a failed write; 3 where a setter did not make a new set of coefficients.
 */
#include <stdint.h>
#include <stdio.h>

#include "incubator.h"

#if INCUBATOR_STAMP != UINT32_C(0x53ead142)
#error "incubator.h comes from another spec than this file: run generate"
#endif

enum { INCUBATOR_IN = 6, INCUBATOR_STATES = 11, INCUBATOR_OUT = 14, INCUBATOR_BATCH = 1024 };

int main(int argc, char **argv)
{
    static int64_t received[(INCUBATOR_IN + INCUBATOR_STATES) * INCUBATOR_BATCH];
    static int64_t sent[INCUBATOR_OUT * INCUBATOR_BATCH];
    incubator_state state;
    incubator_in in;
    incubator_out out;
    const size_t ahead = argc > 1 ? (size_t)INCUBATOR_STATES : 0u; /* the states to start from */
    const size_t length = ahead + INCUBATOR_IN;
    size_t got, ticks, t;

    (void)argv;
    for (t = 0u; t < sizeof state; t++) { /* what init leaves out must show */
        ((volatile unsigned char *)&state)[t] = 0xA5u;
    }
    incubator_init(&state);
    for (;;) {
        got = fread(received, sizeof received[0], length * INCUBATOR_BATCH, stdin);
        ticks = got / length;
        if (got == 0u) {
            break;
        }
        if (got % length != 0u) {
            return 2;
        }
        for (t = 0u; t < ticks; t++) {
            const int64_t *const r = &received[t * length + ahead];
            int64_t *const w = &sent[t * INCUBATOR_OUT];
            if (ahead > 0u) {
                const int64_t *const from = &received[t * length];
                state.first_tick = (uint8_t)from[0];
                state.believed_last = (int16_t)from[1];
                state.believed_before = (uint8_t)from[2];
                state.believed_count = (int16_t)from[3];
                state.believed_gone = (uint8_t)from[4];
                state.believed_seen = (uint8_t)from[5];
                state.believed_same_count = (int16_t)from[6];
                state.believed_trip = (uint8_t)from[7];
                state.smooth_output = (int32_t)from[8];
                state.heat_slow = (int32_t)from[9];
                state.heat_integral = (int32_t)from[10];
            }
            in.temperature = (int16_t)r[0];
            if (r[1] != 0) {
                const uint8_t newest = state.ready;
                incubator_set_heat_kp(&state, (int32_t)r[2]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[3] != 0) {
                const uint8_t newest = state.ready;
                incubator_set_heat_ki(&state, (int32_t)r[4]);
                if (state.ready == newest || state.ready == state.in_use) {
                    return 3; /* an interrupt would find half of a set */
                }
            }
            if (r[5] == 1) {
                incubator_restart(&state);
            }
            if (r[5] == 2) {
                incubator_restart_with_integrals(&state);
            }
            incubator_step(&state, &in, &out);
            w[0] = out.heater;
            w[1] = state.first_tick;
            w[2] = state.believed_last;
            w[3] = state.believed_before;
            w[4] = state.believed_count;
            w[5] = state.believed_gone;
            w[6] = state.believed_seen;
            w[7] = state.believed_same_count;
            w[8] = state.believed_trip;
            w[9] = state.smooth_output;
            w[10] = state.heat_slow;
            w[11] = state.heat_integral;
            w[12] = state.gains[state.in_use].heat_kp;
            w[13] = state.gains[state.in_use].heat_ki;
        }
        if (fwrite(sent, sizeof sent[0], ticks * INCUBATOR_OUT, stdout) != ticks * INCUBATOR_OUT) {
            return 2;
        }
    }
    return fflush(stdout) == 0 ? 0 : 2;
}
