/*
 * Self-test vectors of heading: 64 ticks from heading_init, with the outputs
 * that the bit-exact model gives for them. heading_selftest() on the board compares all
 * of them and the state they lead to. Where constants are copied to RAM (AVR) the vectors
 * take 704 bytes of it.
 * Written by gainwright 0.1.0 from heading.yaml.
 */
#ifndef HEADING_VECTORS_H
#define HEADING_VECTORS_H

#include "heading.h"

#if HEADING_STAMP != UINT32_C(0xb11b6bec)
#error "heading.h comes from another spec than this file: run generate"
#endif

/* yaw_rate, wanted, drive, moving */
static const heading_in heading_vector_in[64] = {
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 0u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 0, 0, 32, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 0, 0, 32, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 0, 0, 32, 1u },
    { 0, 0, 0, 1u },
    { 3931, 0, 0, 1u },
    { 0, 2251, 0, 1u },
    { 0, 0, 32, 1u },
    { 0, 0, 0, 1u },
    { -1847, 60, 3, 1u },
    { -3271, 107, 15, 1u },
    { -3542, 843, 24, 1u },
    { -1907, 1863, 33, 1u },
    { -2507, 1176, 24, 1u },
    { -1419, 1088, 30, 1u },
    { -3244, 1342, 33, 1u },
    { -4739, 889, 32, 1u },
    { -3718, -175, 32, 1u },
    { -5515, -177, 27, 1u },
    { -4648, -511, 22, 1u },
    { -3287, -1425, 26, 1u },
    { -4541, -303, 29, 1u },
    { -5676, 450, 34, 1u },
    { -6128, 299, 28, 1u },
    { -8091, -154, 27, 1u },
    { 31440, -15213, 223, 1u },
    { 16356, 1613, -219, 1u },
    { -28683, 13132, 68, 1u },
    { 14304, -18000, -15, 1u },
    { 31440, -15922, -133, 1u },
    { -23475, -15536, -255, 0u },
    { -6738, -3961, -56, 1u },
    { -31440, 13922, -255, 1u },
    { -31440, -12328, -229, 1u },
    { -31440, -17984, 167, 1u },
    { -31440, -1491, 83, 1u },
    { -31330, -3665, 73, 1u },
    { -8826, -11980, 255, 1u },
    { -18148, 18000, 253, 1u },
    { 13789, -15561, 75, 1u },
    { 6410, -5547, 255, 1u },
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
    { 26, -26 },
    { -130, 130 },
    { 54, 41 },
    { 25, -25 },
    { 33, -33 },
    { -130, 130 },
    { 61, 35 },
    { 31, -31 },
    { 25, -25 },
    { -81, 81 },
    { 52, 43 },
    { 23, -23 },
    { 26, -26 },
    { -79, 79 },
    { 53, 42 },
    { 24, -24 },
    { 27, -22 },
    { 33, 31 },
    { -39, 84 },
    { -89, 151 },
    { -62, 106 },
    { -52, 108 },
    { -67, 129 },
    { -48, 107 },
    { 44, 51 },
    { 37, 49 },
    { 39, 38 },
    { 63, 21 },
    { 39, 51 },
    { 24, 76 },
    { 19, 70 },
    { 24, 62 },
    { 255, 114 },
    { -255, -177 },
    { -66, 193 },
    { 116, -144 },
    { -30, -253 },
    { -255, -255 },
    { 78, -182 },
    { -255, -144 },
    { -119, -255 },
    { 255, 62 },
    { 69, 121 },
    { 111, 61 },
    { 255, 144 },
    { 255, 142 },
    { 199, -60 },
    { 255, 161 },
};

/*
 * Live gains that are set anew before a tick, two at a time, so that the step works with each
 * of the three sets of coefficients.
 */
static inline void heading_vector_settings(heading_state *s, uint16_t tick)
{
    if (tick == 8u) {
        heading_set_turn_kp(s, INT32_C(2400));
        heading_set_turn_ki(s, INT32_C(40000));
    }
    if (tick == 16u) {
        heading_set_turn_kp(s, INT32_C(12000));
        heading_set_turn_ki(s, INT32_C(4000));
    }
    if (tick == 24u) {
        heading_set_turn_kp(s, INT32_C(3200));
        heading_set_turn_ki(s, INT32_C(20000));
    }
    if (tick == 32u) {
        heading_set_turn_kp(s, INT32_C(6000));
        heading_set_turn_ki(s, INT32_C(8000));
    }
    if (tick == 40u) {
        heading_set_turn_kp(s, INT32_C(2400));
        heading_set_turn_ki(s, INT32_C(40000));
    }
    if (tick == 48u) {
        heading_set_turn_kp(s, INT32_C(3200));
        heading_set_turn_ki(s, INT32_C(4000));
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
    return (uint8_t)(s->rate_count != 0
        || s->rate_sum != 0
        || s->heading_sum != 0
        || s->turn_integral != 0
        || s->gains[0].turn_kp != 2097
        || s->gains[0].turn_ki != 1342
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * heading_init leaves something of what was in memory before.
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
        heading_step(&state, &heading_vector_in[tick], &out);
        if (out.left_wheel != heading_vector_out[tick].left_wheel
            || out.right_wheel != heading_vector_out[tick].right_wheel) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.rate_count != 0
        || state.rate_sum != 0
        || state.heading_sum != (-INT32_C(85301500))
        || state.turn_integral != (-INT32_C(77747428))) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* HEADING_VECTORS_H */
