/*
 * Self-test vectors of pan: 64 ticks from pan_init, with the outputs
 * that the bit-exact model gives for them. pan_selftest() on the board compares all
 * of them and the state they lead to. Where constants are copied to RAM (AVR) the vectors
 * take 448 bytes of it.
 * Written by gainwright 0.1.0 from pan.yaml.
 */
#ifndef PAN_VECTORS_H
#define PAN_VECTORS_H

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x8c90ada9)
#error "pan.h comes from another spec than this file: run generate"
#endif

/* angle, wanted, run */
static const pan_in pan_vector_in[64] = {
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 0u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 0, 1u },
    { 0, 2001, 1u },
    { 0, 0, 1u },
    { 2126, 0, 1u },
    { 0, 2001, 1u },
    { 0, 0, 1u },
    { 2126, 0, 1u },
    { 0, 2001, 1u },
    { 0, 0, 1u },
    { 2126, 0, 1u },
    { 0, 2001, 1u },
    { 0, 0, 1u },
    { 2126, 0, 1u },
    { 0, 2001, 1u },
    { 0, 0, 1u },
    { 2126, 0, 1u },
    { 0, 2001, 1u },
    { 690, 2645, 1u },
    { 1350, 2499, 1u },
    { 303, 3135, 1u },
    { 137, 2495, 1u },
    { -345, 2014, 1u },
    { 184, 1108, 1u },
    { 1000, 1232, 1u },
    { 874, 1217, 1u },
    { 1289, 1748, 1u },
    { 671, 2713, 1u },
    { 13, 2611, 1u },
    { 176, 3435, 1u },
    { 998, 3128, 1u },
    { 313, 2309, 1u },
    { 867, 2115, 1u },
    { 1611, 2519, 1u },
    { -5493, -16000, 0u },
    { 8021, 9749, 1u },
    { -7432, -2724, 1u },
    { -8085, 16000, 1u },
    { 17000, 10284, 1u },
    { -14856, -2205, 0u },
    { -7866, 12534, 1u },
    { 16418, -4846, 1u },
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
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 0 },
    { 236 },
    { -67 },
    { -864 },
    { 1000 },
    { 278 },
    { -1000 },
    { 999 },
    { 375 },
    { -1000 },
    { 1000 },
    { 486 },
    { -964 },
    { 1000 },
    { 542 },
    { -941 },
    { 1000 },
    { 191 },
    { -444 },
    { 1000 },
    { 661 },
    { 630 },
    { -97 },
    { -627 },
    { 108 },
    { -41 },
    { 870 },
    { 971 },
    { 432 },
    { -625 },
    { 366 },
    { -280 },
    { -627 },
    { 369 },
    { -573 },
    { 1000 },
    { 725 },
    { -1000 },
    { -13 },
    { 823 },
    { -1000 },
    { 980 },
    { -127 },
    { -854 },
    { -536 },
    { -407 },
    { 1000 },
    { -193 },
    { -296 },
};

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1;
 * 64 + 1 where all outputs agree but not the state at the end.
 */
static inline uint16_t pan_selftest(void)
{
    pan_state state;
    uint16_t tick;

    pan_init(&state);
    for (tick = 0u; tick < 64u; tick++) {
        pan_out out;
        pan_step(&state, &pan_vector_in[tick], &out);
        if (out.duty != pan_vector_out[tick].duty) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.push_slow != INT32_C(105744109)
        || state.push_integral != 0
        || state.quiet_x1 != 0
        || state.quiet_x2 != 0
        || state.quiet_y1 != (-INT32_C(37873))
        || state.quiet_y2 != (-24728)
        || state.quiet_left1 != 429
        || state.quiet_left2 != 479) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* PAN_VECTORS_H */
