/*
 * Self-test vectors of cart: 64 ticks from cart_init, with the outputs that the bit-exact model
 * gives for them. cart_selftest() on the board compares all of them and the state they lead to.
 * Where constants are copied to RAM (AVR) the vectors take 576 bytes of it.
 * Written by gainwright 0.1.0 from cart.yaml.
 */
#ifndef CART_VECTORS_H
#define CART_VECTORS_H

#include "cart.h"

#if CART_STAMP != UINT32_C(0xfec7619b)
#error "cart.h comes from another spec than this file: run generate"
#endif

/* accel_forward, accel_up, pitch_rate, armed */
static const cart_in cart_vector_in[64] = {
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
    { 3892, 0, 0, 1u },
    { 0, 3892, 0, 1u },
    { 0, 0, 3931, 1u },
    { 0, 0, 0, 1u },
    { 3892, 0, 0, 1u },
    { 0, 3892, 0, 1u },
    { 0, 0, 3931, 1u },
    { 0, 0, 0, 1u },
    { 3892, 0, 0, 1u },
    { 0, 3892, 0, 1u },
    { 0, 0, 3931, 1u },
    { 0, 0, 0, 1u },
    { 3892, 0, 0, 1u },
    { 0, 3892, 0, 1u },
    { 0, 0, 3931, 1u },
    { 0, 0, 0, 1u },
    { 771, -1627, -1573, 1u },
    { 873, -2889, -1983, 1u },
    { 814, -2184, -2190, 1u },
    { 2700, -2320, -1674, 1u },
    { 2393, -3689, -1962, 1u },
    { 3126, -3253, -2306, 1u },
    { 1399, -5127, -1321, 1u },
    { 926, -6823, -1312, 1u },
    { 971, -8134, 406, 1u },
    { 766, -9163, 1730, 1u },
    { 2259, -7983, 2162, 1u },
    { 2635, -9543, 449, 1u },
    { 4122, -10888, 849, 1u },
    { 2203, -10757, 1713, 1u },
    { 3247, -9019, 1842, 1u },
    { 1379, -10496, 1561, 1u },
    { 31129, -27453, -23983, 1u },
    { 6438, 28032, -26427, 1u },
    { 29106, -20824, 3330, 1u },
    { -6541, -31129, -23997, 1u },
    { 31129, 14417, 17913, 1u },
    { 11740, -11903, -31440, 0u },
    { -27582, 25661, 4697, 1u },
    { -31129, 15926, -31440, 1u },
    { -31129, -23471, 27211, 1u },
    { -31129, -10175, 30498, 1u },
    { -31129, -30010, -26601, 1u },
    { 30771, 26690, -23552, 1u },
    { -26827, -9418, 31440, 1u },
    { -30521, 31129, -5613, 1u },
    { -27685, -14373, -10362, 1u },
    { -27509, -2291, 31440, 1u },
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
    { 54 },
    { 55 },
    { 30 },
    { 53 },
    { 89 },
    { 90 },
    { 66 },
    { 89 },
    { 126 },
    { 127 },
    { 103 },
    { 126 },
    { 164 },
    { 165 },
    { 141 },
    { 165 },
    { 213 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
    { 255 },
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
};

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick, from 1;
 * 64 + 1 where all outputs agree but not the state at the end.
 */
static inline uint16_t cart_selftest(void)
{
    cart_state state;
    uint16_t tick;

    cart_init(&state);
    for (tick = 0u; tick < 64u; tick++) {
        cart_out out;
        cart_step(&state, &cart_vector_in[tick], &out);
        if (out.drive != cart_vector_out[tick].drive) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.rate_count != 0
        || state.rate_sum != 0
        || state.tilt_state != (-INT32_C(121569271))
        || state.upright_on != 0
        || state.balance_when_last != 0
        || state.balance_held != 0
        || state.effort_integral != 0) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* CART_VECTORS_H */
