/*
 * Self-test vectors of heading: 64 ticks from heading_init, with the outputs
 * that the bit-exact model gives for them. heading_selftest() on the board compares all
 * of them, what restarts in mid-run leave, and the state at the end. Where constants are
 * copied to RAM (AVR) the vectors take 704 bytes of it.
 * Written by gainwright 0.1.0 from heading.yaml.
 */
#ifndef HEADING_VECTORS_H
#define HEADING_VECTORS_H

#include "heading.h"

#if HEADING_STAMP != UINT32_C(0x3ea71132)
#error "heading.h comes from another spec than this file: run generate"
#endif

/* yaw_rate, wanted, drive, moving */
static const heading_in heading_vector_in[64] = {
    { 0, 0, 0, 0u },
    { 1, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 1, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 1, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 1, 0, 0, 0u },
    { 0, 0, 0, 1u },
    { 1, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 1, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 1, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 1, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 1, 0, 41, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 1, 0, 41, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 1, 0, 41, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 1, 0, 41, 1u },
    { 0, 0, 0, 1u },
    { -1847, 60, -11, 1u },
    { -3271, 107, -21, 1u },
    { -3542, 843, -17, 1u },
    { -1907, 1863, -15, 1u },
    { -2507, 1176, -4, 1u },
    { -1419, 1088, -1, 1u },
    { -3244, 1342, -19, 1u },
    { -4739, 889, -38, 1u },
    { -3718, -175, -57, 1u },
    { -5515, -177, -57, 1u },
    { -4648, -511, -74, 1u },
    { -3287, -1425, -67, 1u },
    { -4541, -303, -48, 1u },
    { -5676, 450, -66, 1u },
    { -6128, 299, -58, 1u },
    { -8091, -154, -75, 1u },
    { 31440, -15213, 134, 1u },
    { 16356, 1613, 311, 1u },
    { -28683, 13132, 188, 1u },
    { 14304, -18000, 188, 1u },
    { 31440, -15922, -269, 1u },
    { -23475, -15536, -320, 0u },
    { -6738, -3961, -116, 1u },
    { -31440, 13922, -320, 1u },
    { -31440, -12328, 109, 1u },
    { -31440, -17984, 139, 1u },
    { -31440, -1491, 242, 1u },
    { -31330, -3665, -91, 1u },
    { -8826, -11980, 320, 1u },
    { -18148, 18000, -37, 1u },
    { 13789, -15561, -120, 1u },
    { 6410, -5547, 320, 1u },
};

/* left_wheel, right_wheel */
static const heading_out heading_vector_out[64] = {
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 0, 0 },
    { 30, -30 },
    { -161, 161 },
    { 67, 50 },
    { 28, -28 },
    { 38, -38 },
    { -161, 161 },
    { 75, 42 },
    { 36, -36 },
    { 28, -28 },
    { -103, 103 },
    { 64, 53 },
    { 26, -26 },
    { 30, -30 },
    { -101, 101 },
    { 66, 51 },
    { 28, -28 },
    { -22, -38 },
    { -39, -40 },
    { -91, 59 },
    { -163, 135 },
    { -107, 100 },
    { -99, 98 },
    { -139, 103 },
    { -131, 59 },
    { -78, -69 },
    { -81, -66 },
    { -89, -90 },
    { -56, -109 },
    { -73, -57 },
    { -115, -49 },
    { -107, -42 },
    { -115, -66 },
    { 286, -35 },
    { 252, 320 },
    { 56, 320 },
    { 320, 56 },
    { -132, -320 },
    { -320, -320 },
    { 52, -269 },
    { -320, -179 },
    { 263, -58 },
    { 291, -30 },
    { 238, 256 },
    { -47, -164 },
    { 320, 179 },
    { 126, -195 },
    { 48, -273 },
    { 320, 179 },
};

/*
 * Live gains that are set anew before a tick, two at a time, so that the step works with each
 * of the three sets of coefficients.
 */
static inline void heading_vector_settings(heading_state *s, uint16_t tick)
{
    if (tick == 8u) {
        heading_set_turn_kp(s, INT32_C(3000));
        heading_set_turn_ki(s, INT32_C(50000));
    }
    if (tick == 16u) {
        heading_set_turn_kp(s, INT32_C(15000));
        heading_set_turn_ki(s, INT32_C(8000));
    }
    if (tick == 24u) {
        heading_set_turn_kp(s, INT32_C(4200));
        heading_set_turn_ki(s, INT32_C(25000));
    }
    if (tick == 32u) {
        heading_set_turn_kp(s, INT32_C(7500));
        heading_set_turn_ki(s, INT32_C(10000));
    }
    if (tick == 40u) {
        heading_set_turn_kp(s, INT32_C(3000));
        heading_set_turn_ki(s, INT32_C(50000));
    }
    if (tick == 48u) {
        heading_set_turn_kp(s, INT32_C(4200));
        heading_set_turn_ki(s, INT32_C(8000));
    }
}

/* Fills a state with rubbish and has it initialised: true where a member is not at its start. */
static inline uint8_t heading_vector_start_differs(heading_state *s, uint8_t rubbish)
{
    volatile uint8_t *const bytes = (volatile uint8_t *)s;
    uint16_t n;

    for (n = 0u; n < sizeof *s; n++) {
        bytes[n] = rubbish;
    }
    heading_init(s);
    return (uint8_t)(s->turning_last != 0
        || s->turning_same_count != 0
        || s->turning_trip != 0
        || s->turning_reset_last != 0
        || s->rate_count != 0
        || s->rate_sum != 0
        || s->heading_sum != 0
        || s->turn_integral != 0
        || s->gains[0].turn_kp != 1376
        || s->gains[0].turn_ki != 1342
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Starts the controller over before some of the ticks, in mid-run: true where a state is not as
 * that must leave it, or a live gain not as it was set. What stands at its start there is put off
 * it first, so that a restart that forgets it shows.
 */
static inline uint8_t heading_vector_restart_differs(heading_state *s, uint16_t tick)
{
    if (tick == 8u) {
        s->turning_same_count = 1;
        s->heading_sum = INT32_C(1);
        s->turn_integral = INT32_C(1);
        heading_restart(s);
        if (s->turning_last != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 0
            || s->rate_count != 0
            || s->rate_sum != 0
            || s->heading_sum != 0
            || s->turn_integral != 0
            || s->gains[s->ready].turn_kp != 983
            || s->gains[s->ready].turn_ki != 8389) {
            return 1u;
        }
    }
    if (tick == 56u) {
        s->turning_same_count = 1;
        s->rate_count = 1;
        s->rate_sum = INT32_C(1);
        heading_restart_with_integrals(s);
        if (s->turning_last != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 1
            || s->rate_count != 0
            || s->rate_sum != 0
            || s->heading_sum != 0
            || s->turn_integral != INT32_C(14288274)
            || s->gains[s->ready].turn_kp != 1376
            || s->gains[s->ready].turn_ki != 1342) {
            return 1u;
        }
    }
    return 0u;
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * heading_init leaves something of what was in memory before; 64 + 3 where starting
 * over leaves something else than it must.
 */
static inline uint16_t heading_selftest(void)
{
    heading_state state;
    uint16_t tick;

    if (heading_vector_start_differs(&state, 0x5Au) || heading_vector_start_differs(&state, 0xA5u))
        {
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        heading_out out;
        heading_vector_settings(&state, tick);
        if (heading_vector_restart_differs(&state, tick)) {
            return 64u + 3u;
        }
        heading_step(&state, &heading_vector_in[tick], &out);
        if (out.left_wheel != heading_vector_out[tick].left_wheel
            || out.right_wheel != heading_vector_out[tick].right_wheel) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.turning_last != 6410
        || state.turning_same_count != 0
        || state.turning_trip != 0
        || state.turning_reset_last != 1
        || state.rate_count != 0
        || state.rate_sum != 0
        || state.heading_sum != (-INT32_C(66212500))
        || state.turn_integral != (-INT32_C(83886080))) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* HEADING_VECTORS_H */
