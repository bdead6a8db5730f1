/*
 * Self-test vectors of spindle: 64 ticks from spindle_init, with the outputs
 * that the bit-exact model gives for them. spindle_selftest() on the board compares all
 * of them, what restarts in mid-run leave, and the state at the end. Where constants are
 * copied to RAM (AVR) the vectors take 448 bytes of it.
 * Written by gainwright 0.1.0 from spindle.yaml.
 */
#ifndef SPINDLE_VECTORS_H
#define SPINDLE_VECTORS_H

#include "spindle.h"

#if SPINDLE_STAMP != UINT32_C(0xb7cd1f02)
#error "spindle.h comes from another spec than this file: run generate"
#endif

/* speed, wanted, run */
static const spindle_in spindle_vector_in[64] = {
    { 0, 0, 0u },
    { 1, 0, 0u },
    { 0, 0, 0u },
    { 1, 0, 0u },
    { 0, 0, 0u },
    { 1, 0, 0u },
    { 0, 0, 0u },
    { 1, 0, 0u },
    { 0, 0, 1u },
    { 1, 0, 1u },
    { 0, 0, 1u },
    { 1, 0, 1u },
    { 0, 0, 1u },
    { 1, 0, 1u },
    { 0, 0, 1u },
    { 1, 0, 1u },
    { 0, 2001, 1u },
    { 1, 0, 1u },
    { 641, 0, 1u },
    { 1, 2001, 1u },
    { 0, 0, 1u },
    { 640, 0, 1u },
    { 0, 2001, 1u },
    { 1, 0, 1u },
    { 641, 0, 1u },
    { 1, 2001, 1u },
    { 0, 0, 1u },
    { 640, 0, 1u },
    { 0, 2001, 1u },
    { 1, 0, 1u },
    { 641, 0, 1u },
    { 1, 2001, 1u },
    { -298, 2645, 1u },
    { 199, 2499, 1u },
    { 839, 3135, 1u },
    { 883, 2495, 1u },
    { 1270, 2014, 1u },
    { 835, 1108, 1u },
    { 195, 1232, 1u },
    { 465, 1217, 1u },
    { 1105, 1748, 1u },
    { 465, 2713, 1u },
    { -175, 2611, 1u },
    { 465, 3435, 1u },
    { 1105, 3128, 1u },
    { 1745, 2309, 1u },
    { 2385, 2115, 1u },
    { 3025, 2519, 1u },
    { 2385, -16000, 0u },
    { 1745, 9749, 1u },
    { 1105, -2724, 1u },
    { 1745, 16000, 1u },
    { 2385, 10284, 1u },
    { 1745, -2205, 0u },
    { 2166, 12534, 1u },
    { 2806, -4846, 1u },
    { 6754, 266, 1u },
    { 19200, 13199, 0u },
    { 13695, -7841, 1u },
    { -8221, -16000, 1u },
    { 19200, 13460, 1u },
    { -19200, 5063, 1u },
    { -9176, 12187, 0u },
    { 6969, -8980, 0u },
};

/* duty */
static const spindle_out spindle_vector_out[64] = {
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 591 },
    { 1 },
    { -14 },
    { 549 },
    { -51 },
    { -49 },
    { 532 },
    { -54 },
    { -5 },
    { 162 },
    { -3 },
    { -2 },
    { 165 },
    { 0 },
    { 0 },
    { 167 },
    { 438 },
    { 430 },
    { 538 },
    { 403 },
    { 283 },
    { 95 },
    { 110 },
    { 130 },
    { 159 },
    { 258 },
    { 259 },
    { 357 },
    { 341 },
    { 256 },
    { 216 },
    { 226 },
    { 0 },
    { 713 },
    { -311 },
    { 1000 },
    { 798 },
    { 0 },
    { 969 },
    { -474 },
    { 1 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
};

/*
 * Live gains that are set anew before a tick, two at a time, so that the step works with each
 * of the three sets of coefficients.
 */
static inline void spindle_vector_settings(spindle_state *s, uint16_t tick)
{
    if (tick == 8u) {
        spindle_set_push_kp(s, INT32_C(8000));
        spindle_set_push_ki(s, INT32_C(60000));
    }
    if (tick == 16u) {
        spindle_set_push_kp(s, INT32_C(40000));
        spindle_set_push_ki(s, INT32_C(9000));
    }
    if (tick == 24u) {
        spindle_set_push_kp(s, INT32_C(6000));
        spindle_set_push_ki(s, INT32_C(30000));
    }
    if (tick == 32u) {
        spindle_set_push_kp(s, INT32_C(20000));
        spindle_set_push_ki(s, INT32_C(12000));
    }
    if (tick == 40u) {
        spindle_set_push_kp(s, INT32_C(8000));
        spindle_set_push_ki(s, INT32_C(60000));
    }
    if (tick == 48u) {
        spindle_set_push_kp(s, INT32_C(6000));
        spindle_set_push_ki(s, INT32_C(9000));
    }
}

/* Fills a state with rubbish and has it initialised: true where a member is not at its start. */
static inline uint8_t spindle_vector_start_differs(spindle_state *s, uint8_t rubbish)
{
    volatile uint8_t *const bytes = (volatile uint8_t *)s;
    uint16_t n;

    for (n = 0u; n < sizeof *s; n++) {
        bytes[n] = rubbish;
    }
    spindle_init(s);
    return (uint8_t)(s->turning_last != 0
        || s->turning_before != 0
        || s->turning_same_count != 0
        || s->turning_trip != 0
        || s->turning_reset_last != 0
        || s->smooth_x1 != 0
        || s->smooth_x2 != 0
        || s->smooth_y1 != 0
        || s->smooth_y2 != 0
        || s->smooth_left1 != 0
        || s->push_integral != 0
        || s->gains[0].push_kp != 2458
        || s->gains[0].push_ki != 590
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Starts the controller over before some of the ticks, in mid-run: true where a state is not as
 * that must leave it, or a live gain not as it was set. What stands at its start there is put off
 * it first, so that a restart that forgets it shows.
 */
static inline uint8_t spindle_vector_restart_differs(spindle_state *s, uint16_t tick)
{
    if (tick == 8u) {
        s->turning_same_count = 1;
        s->smooth_x2 = 1;
        s->push_integral = INT32_C(1);
        spindle_restart(s);
        if (s->turning_last != 0
            || s->turning_before != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 0
            || s->smooth_x1 != 0
            || s->smooth_x2 != 0
            || s->smooth_y1 != 0
            || s->smooth_y2 != 0
            || s->smooth_left1 != 0
            || s->push_integral != 0
            || s->gains[s->ready].push_kp != 3277
            || s->gains[s->ready].push_ki != 3932) {
            return 1u;
        }
    }
    if (tick == 56u) {
        s->turning_same_count = 1;
        spindle_restart_with_integrals(s);
        if (s->turning_last != 0
            || s->turning_before != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 1
            || s->smooth_x1 != 0
            || s->smooth_x2 != 0
            || s->smooth_y1 != 0
            || s->smooth_y2 != 0
            || s->smooth_left1 != 0
            || s->push_integral != INT32_C(2223120)
            || s->gains[s->ready].push_kp != 2458
            || s->gains[s->ready].push_ki != 590) {
            return 1u;
        }
    }
    return 0u;
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * spindle_init leaves something of what was in memory before; 64 + 3 where starting
 * over leaves something else than it must.
 */
static inline uint16_t spindle_selftest(void)
{
    spindle_state state;
    uint16_t tick;

    if (spindle_vector_start_differs(&state, 0x5Au) || spindle_vector_start_differs(&state, 0xA5u))
        {
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        spindle_out out;
        spindle_vector_settings(&state, tick);
        if (spindle_vector_restart_differs(&state, tick)) {
            return 64u + 3u;
        }
        spindle_step(&state, &spindle_vector_in[tick], &out);
        if (out.duty != spindle_vector_out[tick].duty) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.turning_last != 6969
        || state.turning_before != 1
        || state.turning_same_count != 0
        || state.turning_trip != 1
        || state.turning_reset_last != 0
        || state.smooth_x1 != 6969
        || state.smooth_x2 != (-9176)
        || state.smooth_y1 != (-18510)
        || state.smooth_y2 != 1267
        || state.smooth_left1 != (-3568)
        || state.push_integral != 0) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* SPINDLE_VECTORS_H */
