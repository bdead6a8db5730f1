/*
 * Self-test vectors of cart: 64 ticks from cart_init, with the outputs
 * that the bit-exact model gives for them. cart_selftest() on the board compares all
 * of them, what restarts in mid-run leave, and the state at the end. Where constants are
 * copied to RAM (AVR) the vectors take 704 bytes of it.
 * Written by gainwright 0.1.0 from cart.yaml.
 */
#ifndef CART_VECTORS_H
#define CART_VECTORS_H

#include "cart.h"

#if CART_STAMP != UINT32_C(0xbb124105)
#error "cart.h comes from another spec than this file: run generate"
#endif

/* accel_forward, accel_up, pitch_rate, travel, armed */
static const cart_in cart_vector_in[64] = {
    { 0, 4916, 0, 0, 0u },
    { 0, 4916, 1, 0, 0u },
    { 0, 4916, 0, 0, 0u },
    { 0, 4916, 1, 0, 0u },
    { 0, 4916, 0, 0, 0u },
    { 0, 4916, 1, 0, 0u },
    { 0, 4916, 0, 0, 0u },
    { 0, 4916, 1, 0, 0u },
    { 0, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 0, 0, 1u },
    { 0, 4916, 3931, 0, 1u },
    { 0, 4916, 0, 2501, 1u },
    { 0, 4916, 1, 0, 1u },
    { 3892, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 3931, 0, 1u },
    { 0, 4916, 0, 2501, 1u },
    { 0, 4916, 1, 0, 1u },
    { 3892, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 0, 4916, 3931, 0, 1u },
    { 0, 4916, 0, 2501, 1u },
    { 0, 4916, 1, 0, 1u },
    { 3892, 4916, 0, 0, 1u },
    { 0, 4916, 1, 0, 1u },
    { 771, 4916, -1572, 882, 1u },
    { -491, 4916, -1843, -245, 1u },
    { -1266, 6802, -2350, -537, 1u },
    { -1573, 5433, -2638, -463, 1u },
    { -1137, 4916, -4463, 275, 1u },
    { 612, 4916, -4196, 253, 1u },
    { 657, 4916, -2478, 1162, 1u },
    { -372, 4916, -1611, 203, 1u },
    { 341, 5292, -2960, 15, 1u },
    { 1828, 4916, -2560, -827, 1u },
    { 1959, 5821, -3012, -1373, 1u },
    { 1163, 4916, -3294, -1766, 1u },
    { 2680, 5951, -3795, -1155, 1u },
    { 3504, 4916, -5438, -1129, 1u },
    { 4568, 5554, -6381, -1318, 1u },
    { 6443, 4916, -6804, -1074, 1u },
    { 18618, 4916, 14304, -20000, 1u },
    { 13750, 31129, 9894, 2807, 1u },
    { 11740, 4916, -31440, -20000, 1u },
    { 31129, 25661, 4697, 12996, 1u },
    { 24520, 4916, 27215, 8465, 1u },
    { -31129, 4916, 30498, 4781, 1u },
    { 25501, 4916, -31330, -6074, 1u },
    { 31129, 13579, 980, -20000, 1u },
    { -16979, 2497, -5613, 19804, 1u },
    { -14373, 1556, -7695, 3549, 0u },
    { 31129, 18826, -583, -9473, 0u },
    { -19538, 19580, -13322, -20000, 1u },
    { 119, 692, 31440, 5787, 1u },
    { 15969, -12700, 25503, 20000, 0u },
    { 23337, 31129, -31440, 19763, 1u },
    { -4124, -31129, -5564, -17676, 1u },
};

/* drive */
static const cart_out cart_vector_out[64] = {
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
    { -320 },
    { 320 },
    { -320 },
    { -320 },
    { -320 },
    { 320 },
    { -290 },
    { -306 },
    { -320 },
    { 320 },
    { 320 },
    { 320 },
    { -269 },
    { -174 },
    { -176 },
    { -165 },
    { -159 },
    { -144 },
    { -106 },
    { -75 },
    { -44 },
    { -284 },
    { 265 },
    { 320 },
    { 320 },
    { 258 },
    { 198 },
    { 320 },
    { 190 },
    { 0 },
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
static inline void cart_vector_settings(cart_state *s, uint16_t tick)
{
    if (tick == 8u) {
        cart_set_effort_kp(s, INT32_C(11200));
        cart_set_effort_kd(s, INT32_C(40000));
    }
    if (tick == 16u) {
        cart_set_effort_ki(s, INT32_C(6500));
        cart_set_effort_kp(s, INT32_C(56000));
    }
    if (tick == 24u) {
        cart_set_effort_kd(s, INT32_C(15000));
        cart_set_effort_ki(s, INT32_C(6000));
    }
    if (tick == 32u) {
        cart_set_effort_kp(s, INT32_C(41000));
        cart_set_effort_kd(s, INT32_C(20000));
    }
    if (tick == 40u) {
        cart_set_effort_ki(s, INT32_C(2400));
        cart_set_effort_kp(s, INT32_C(28000));
    }
    if (tick == 48u) {
        cart_set_effort_kd(s, INT32_C(15000));
        cart_set_effort_ki(s, INT32_C(6500));
    }
}

/* Fills a state with rubbish and has it initialised: true where a member is not at its start. */
static inline uint8_t cart_vector_start_differs(cart_state *s, uint8_t rubbish)
{
    volatile uint8_t *const bytes = (volatile uint8_t *)s;
    uint16_t n;

    for (n = 0u; n < sizeof *s; n++) {
        bytes[n] = rubbish;
    }
    cart_init(s);
    return (uint8_t)(s->first_tick != 1
        || s->rate_count != 0
        || s->rate_sum != 0
        || s->tilt_state != 0
        || s->gravity_good_count != 0
        || s->turning_last != 0
        || s->turning_same_count != 0
        || s->turning_trip != 0
        || s->turning_reset_last != 0
        || s->upright_on != 0
        || s->place_when_last != 0
        || s->place_held != 0
        || s->balance_slow != 0
        || s->effort_integral != 0
        || s->gains[0].effort_kp != 5248
        || s->gains[0].effort_kd != (-188)
        || s->gains[0].effort_ki != 416
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Starts the controller over before some of the ticks, in mid-run: true where a state is not as
 * that must leave it, or a live gain not as it was set. What stands at its start there is put off
 * it first, so that a restart that forgets it shows.
 */
static inline uint8_t cart_vector_restart_differs(cart_state *s, uint16_t tick)
{
    if (tick == 8u) {
        s->turning_same_count = 1;
        s->upright_on = 1;
        s->place_when_last = 1;
        s->place_held = 1;
        s->balance_slow = INT32_C(1);
        s->effort_integral = INT32_C(1);
        cart_restart(s);
        if (s->first_tick != 1
            || s->rate_count != 0
            || s->rate_sum != 0
            || s->tilt_state != 0
            || s->gravity_good_count != 0
            || s->turning_last != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 0
            || s->upright_on != 0
            || s->place_when_last != 0
            || s->place_held != 0
            || s->balance_slow != 0
            || s->effort_integral != 0
            || s->gains[s->ready].effort_kp != 1434
            || s->gains[s->ready].effort_kd != (-500)
            || s->gains[s->ready].effort_ki != 416) {
            return 1u;
        }
    }
    if (tick == 56u) {
        s->turning_same_count = 1;
        s->place_held = 1;
        cart_restart_with_integrals(s);
        if (s->first_tick != 1
            || s->rate_count != 0
            || s->rate_sum != 0
            || s->tilt_state != 0
            || s->gravity_good_count != 0
            || s->turning_last != 0
            || s->turning_same_count != 0
            || s->turning_trip != 0
            || s->turning_reset_last != 1
            || s->upright_on != 0
            || s->place_when_last != 0
            || s->place_held != 0
            || s->balance_slow != 0
            || s->effort_integral != INT32_C(2320944)
            || s->gains[s->ready].effort_kp != 3584
            || s->gains[s->ready].effort_kd != (-188)
            || s->gains[s->ready].effort_ki != 416) {
            return 1u;
        }
    }
    return 0u;
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * cart_init leaves something of what was in memory before; 64 + 3 where starting
 * over leaves something else than it must.
 */
static inline uint16_t cart_selftest(void)
{
    cart_state state;
    uint16_t tick;

    if (cart_vector_start_differs(&state, 0x5Au) || cart_vector_start_differs(&state, 0xA5u)) {
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        cart_out out;
        cart_vector_settings(&state, tick);
        if (cart_vector_restart_differs(&state, tick)) {
            return 64u + 3u;
        }
        cart_step(&state, &cart_vector_in[tick], &out);
        if (out.drive != cart_vector_out[tick].drive) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.rate_count != 0
        || state.rate_sum != 0
        || state.tilt_state != INT32_C(610738266)
        || state.gravity_good_count != 0
        || state.turning_last != (-5564)
        || state.turning_same_count != 0
        || state.turning_trip != 0
        || state.turning_reset_last != 1
        || state.upright_on != 0
        || state.place_when_last != 0
        || state.place_held != 0
        || state.balance_slow != INT32_C(270466816)
        || state.effort_integral != 0) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* CART_VECTORS_H */
