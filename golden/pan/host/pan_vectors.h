/*
 * Self-test vectors of pan: 64 ticks from pan_init, with the outputs
 * that the bit-exact model gives for them. pan_selftest() on the board compares all
 * of them, what restarts in mid-run leave, and the state at the end. Where constants are
 * copied to RAM (AVR) the vectors take 448 bytes of it.
 * Written by gainwright 0.1.0 from pan.yaml.
 */
#ifndef PAN_VECTORS_H
#define PAN_VECTORS_H

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x3578937b)
#error "pan.h comes from another spec than this file: run generate"
#endif

/* angle, wanted, run */
static const pan_in pan_vector_in[64] = {
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
    { 241, 0, 1u },
    { 1, 2001, 1u },
    { 0, 0, 1u },
    { 240, 0, 1u },
    { 0, 2001, 1u },
    { 1, 0, 1u },
    { 241, 0, 1u },
    { 1, 2001, 1u },
    { 0, 0, 1u },
    { 240, 0, 1u },
    { 0, 2001, 1u },
    { 1, 0, 1u },
    { 241, 0, 1u },
    { 1, 2001, 1u },
    { 241, 2645, 1u },
    { 481, 2499, 1u },
    { 241, 3135, 1u },
    { 75, 2495, 1u },
    { -165, 2014, 1u },
    { 75, 1108, 1u },
    { 315, 1232, 1u },
    { 189, 1217, 1u },
    { 429, 1748, 1u },
    { 189, 2713, 1u },
    { -51, 2611, 1u },
    { 112, 3435, 1u },
    { 352, 3128, 1u },
    { 112, 2309, 1u },
    { 352, 2115, 1u },
    { 592, 2519, 1u },
    { 352, -16000, 0u },
    { 592, 9749, 1u },
    { 352, -2724, 1u },
    { 112, 16000, 1u },
    { 352, 10284, 1u },
    { 112, -2205, 0u },
    { -128, 12534, 1u },
    { 112, -4846, 1u },
    { 979, 266, 1u },
    { 17000, 13199, 0u },
    { 14300, -7841, 1u },
    { 14054, -16000, 1u },
    { 17000, 13460, 1u },
    { -17000, 5063, 1u },
    { -6426, 12187, 0u },
    { 9983, -8980, 0u },
};

/* duty */
static const pan_out pan_vector_out[64] = {
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { -3 },
    { 2 },
    { -2 },
    { 2 },
    { -2 },
    { 2 },
    { -3 },
    { 674 },
    { -194 },
    { -823 },
    { 1000 },
    { 78 },
    { -699 },
    { 1000 },
    { 94 },
    { -319 },
    { 852 },
    { -54 },
    { -245 },
    { 930 },
    { 12 },
    { -197 },
    { 958 },
    { 13 },
    { -207 },
    { 535 },
    { 590 },
    { 691 },
    { -62 },
    { -245 },
    { 280 },
    { 82 },
    { 783 },
    { 875 },
    { 431 },
    { -28 },
    { 487 },
    { 67 },
    { 12 },
    { 316 },
    { 1000 },
    { -441 },
    { 1000 },
    { 745 },
    { -243 },
    { 810 },
    { -937 },
    { -117 },
    { 34 },
    { 12 },
    { -4 },
    { -15 },
    { -19 },
    { -19 },
    { -15 },
};

/*
 * Live gains that are set anew before a tick, two at a time, so that the step works with each
 * of the three sets of coefficients.
 */
static inline void pan_vector_settings(pan_state *s, uint16_t tick)
{
    if (tick == 8u) {
        pan_set_push_kp(s, INT32_C(8000));
        pan_set_push_kd(s, INT32_C(20000));
    }
    if (tick == 16u) {
        pan_set_push_ki(s, INT32_C(2000));
        pan_set_push_kp(s, INT32_C(40000));
    }
    if (tick == 24u) {
        pan_set_push_kd(s, INT32_C(6000));
        pan_set_push_ki(s, INT32_C(5000));
    }
    if (tick == 32u) {
        pan_set_push_kp(s, INT32_C(14000));
        pan_set_push_kd(s, INT32_C(10000));
    }
    if (tick == 40u) {
        pan_set_push_ki(s, INT32_C(2000));
        pan_set_push_kp(s, INT32_C(20000));
    }
    if (tick == 48u) {
        pan_set_push_kd(s, INT32_C(6000));
        pan_set_push_ki(s, INT32_C(2000));
    }
}

/* Fills a state with rubbish and has it initialised: true where a member is not at its start. */
static inline uint8_t pan_vector_start_differs(pan_state *s, uint8_t rubbish)
{
    volatile uint8_t *const bytes = (volatile uint8_t *)s;
    uint16_t n;

    for (n = 0u; n < sizeof *s; n++) {
        bytes[n] = rubbish;
    }
    pan_init(s);
    return (uint8_t)(s->first_tick != 1
        || s->seen_last != 0
        || s->seen_before != 0
        || s->seen_same_count != 0
        || s->seen_trip != 0
        || s->seen_reset_last != 0
        || s->push_slow != 0
        || s->push_integral != 0
        || s->quiet_x1 != 0
        || s->quiet_x2 != 0
        || s->quiet_y1 != 0
        || s->quiet_y2 != 0
        || s->quiet_left1 != 0
        || s->quiet_left2 != 0
        || s->gains[0].push_kp != 1147
        || s->gains[0].push_kd != (-512)
        || s->gains[0].push_ki != 1678
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Starts the controller over before some of the ticks, in mid-run: true where a state is not as
 * that must leave it, or a live gain not as it was set. What stands at its start there is put off
 * it first, so that a restart that forgets it shows.
 */
static inline uint8_t pan_vector_restart_differs(pan_state *s, uint16_t tick)
{
    if (tick == 8u) {
        s->seen_same_count = 1;
        s->push_integral = INT32_C(1);
        s->quiet_x1 = 1;
        s->quiet_x2 = 1;
        s->quiet_y1 = INT32_C(1);
        s->quiet_y2 = INT32_C(1);
        s->quiet_left1 = 1;
        s->quiet_left2 = 1;
        pan_restart(s);
        if (s->first_tick != 1
            || s->seen_last != 0
            || s->seen_before != 0
            || s->seen_same_count != 0
            || s->seen_trip != 0
            || s->seen_reset_last != 0
            || s->push_slow != 0
            || s->push_integral != 0
            || s->quiet_x1 != 0
            || s->quiet_x2 != 0
            || s->quiet_y1 != 0
            || s->quiet_y2 != 0
            || s->quiet_left1 != 0
            || s->quiet_left2 != 0
            || s->gains[s->ready].push_kp != 655
            || s->gains[s->ready].push_kd != (-1707)
            || s->gains[s->ready].push_ki != 1678) {
            return 1u;
        }
    }
    if (tick == 56u) {
        s->seen_same_count = 1;
        pan_restart_with_integrals(s);
        if (s->first_tick != 1
            || s->seen_last != 0
            || s->seen_before != 0
            || s->seen_same_count != 0
            || s->seen_trip != 0
            || s->seen_reset_last != 1
            || s->push_slow != 0
            || s->push_integral != INT32_C(12927312)
            || s->quiet_x1 != 0
            || s->quiet_x2 != 0
            || s->quiet_y1 != 0
            || s->quiet_y2 != 0
            || s->quiet_left1 != 0
            || s->quiet_left2 != 0
            || s->gains[s->ready].push_kp != 1638
            || s->gains[s->ready].push_kd != (-512)
            || s->gains[s->ready].push_ki != 1678) {
            return 1u;
        }
    }
    return 0u;
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * pan_init leaves something of what was in memory before; 64 + 3 where starting
 * over leaves something else than it must.
 */
static inline uint16_t pan_selftest(void)
{
    pan_state state;
    uint16_t tick;

    if (pan_vector_start_differs(&state, 0x5Au) || pan_vector_start_differs(&state, 0xA5u)) {
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        pan_out out;
        pan_vector_settings(&state, tick);
        if (pan_vector_restart_differs(&state, tick)) {
            return 64u + 3u;
        }
        pan_step(&state, &pan_vector_in[tick], &out);
        if (out.duty != pan_vector_out[tick].duty) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.seen_last != 9983
        || state.seen_before != 1
        || state.seen_same_count != 0
        || state.seen_trip != 1
        || state.seen_reset_last != 0
        || state.push_slow != INT32_C(103789408)
        || state.push_integral != 0
        || state.quiet_x1 != 0
        || state.quiet_x2 != 0
        || state.quiet_y1 != (-1874)
        || state.quiet_y2 != (-2382)
        || state.quiet_left1 != (-587)
        || state.quiet_left2 != 237) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* PAN_VECTORS_H */
