/*
 * Self-test vectors of incubator: 64 ticks from incubator_init, with the outputs
 * that the bit-exact model gives for them. incubator_selftest() on the board compares all
 * of them, what restarts in mid-run leave, and the state at the end. Where constants are
 * copied to RAM (AVR) the vectors take 256 bytes of it.
 * Written by gainwright 0.1.0 from incubator.yaml.
 */
#ifndef INCUBATOR_VECTORS_H
#define INCUBATOR_VECTORS_H

#include "incubator.h"

#if INCUBATOR_STAMP != UINT32_C(0x53ead142)
#error "incubator.h comes from another spec than this file: run generate"
#endif

/* temperature */
static const incubator_in incubator_vector_in[64] = {
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 640 },
    { 641 },
    { 698 },
    { 755 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 801 },
    { 802 },
    { 745 },
    { 802 },
    { 745 },
    { 802 },
    { 777 },
    { 834 },
    { 891 },
    { 948 },
    { 891 },
    { 834 },
    { 891 },
    { 948 },
    { 891 },
    { 834 },
    { 777 },
    { 834 },
    { 891 },
    { 948 },
    { 1005 },
    { 948 },
    { 1005 },
    { 948 },
    { 1005 },
    { 1062 },
    { -2560 },
    { 905 },
    { -2560 },
    { -2560 },
    { 6324 },
    { 5408 },
    { 1269 },
    { -2314 },
};

/* heater */
static const incubator_out incubator_vector_out[64] = {
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
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
    { 1000 },
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
static inline void incubator_vector_settings(incubator_state *s, uint16_t tick)
{
    if (tick == 8u) {
        incubator_set_heat_kp(s, INT32_C(10000));
        incubator_set_heat_ki(s, INT32_C(20000));
    }
    if (tick == 16u) {
        incubator_set_heat_kp(s, INT32_C(50000));
        incubator_set_heat_ki(s, INT32_C(2000));
    }
    if (tick == 24u) {
        incubator_set_heat_kp(s, INT32_C(12000));
        incubator_set_heat_ki(s, INT32_C(10000));
    }
    if (tick == 32u) {
        incubator_set_heat_kp(s, INT32_C(25000));
        incubator_set_heat_ki(s, INT32_C(4000));
    }
    if (tick == 40u) {
        incubator_set_heat_kp(s, INT32_C(10000));
        incubator_set_heat_ki(s, INT32_C(20000));
    }
    if (tick == 48u) {
        incubator_set_heat_kp(s, INT32_C(12000));
        incubator_set_heat_ki(s, INT32_C(2000));
    }
}

/* Fills a state with rubbish and has it initialised: true where a member is not at its start. */
static inline uint8_t incubator_vector_start_differs(incubator_state *s, uint8_t rubbish)
{
    volatile uint8_t *const bytes = (volatile uint8_t *)s;
    uint16_t n;

    for (n = 0u; n < sizeof *s; n++) {
        bytes[n] = rubbish;
    }
    incubator_init(s);
    return (uint8_t)(s->first_tick != 1
        || s->believed_last != 0
        || s->believed_before != 0
        || s->believed_count != 0
        || s->believed_gone != 0
        || s->believed_seen != 0
        || s->believed_same_count != 0
        || s->believed_trip != 0
        || s->smooth_output != 0
        || s->heat_slow != 0
        || s->heat_integral != 0
        || s->gains[0].heat_kp != 7680
        || s->gains[0].heat_ki != 1638
        || s->ready != 0
        || s->in_use != 0);
}

/*
 * Starts the controller over before some of the ticks, in mid-run: true where a state is not as
 * that must leave it, or a live gain not as it was set. What stands at its start there is put off
 * it first, so that a restart that forgets it shows.
 */
static inline uint8_t incubator_vector_restart_differs(incubator_state *s, uint16_t tick)
{
    if (tick == 8u) {
        s->believed_gone = 1;
        s->believed_same_count = 1;
        s->heat_integral = INT32_C(1);
        incubator_restart(s);
        if (s->first_tick != 1
            || s->believed_last != 0
            || s->believed_before != 0
            || s->believed_count != 0
            || s->believed_gone != 0
            || s->believed_seen != 0
            || s->believed_same_count != 0
            || s->believed_trip != 0
            || s->smooth_output != 0
            || s->heat_slow != 0
            || s->heat_integral != 0
            || s->gains[s->ready].heat_kp != 6400
            || s->gains[s->ready].heat_ki != 16384) {
            return 1u;
        }
    }
    if (tick == 56u) {
        s->believed_gone = 1;
        s->believed_same_count = 1;
        incubator_restart_with_integrals(s);
        if (s->first_tick != 1
            || s->believed_last != 0
            || s->believed_before != 0
            || s->believed_count != 0
            || s->believed_gone != 0
            || s->believed_seen != 0
            || s->believed_same_count != 0
            || s->believed_trip != 0
            || s->smooth_output != 0
            || s->heat_slow != 0
            || s->heat_integral != INT32_C(597758704)
            || s->gains[s->ready].heat_kp != 7680
            || s->gains[s->ready].heat_ki != 1638) {
            return 1u;
        }
    }
    return 0u;
}

/*
 * Runs the vectors on a controller of its own: 0 if all agree, else the first wrong tick,
 * from 1; 64 + 1 where all outputs agree but not the state at the end; 64 + 2 where
 * incubator_init leaves something of what was in memory before; 64 + 3 where starting
 * over leaves something else than it must.
 */
static inline uint16_t incubator_selftest(void)
{
    incubator_state state;
    uint16_t tick;

    if (incubator_vector_start_differs(&state, 0x5Au) || incubator_vector_start_differs(&state,
        0xA5u)) {
        return 64u + 2u;
    }
    for (tick = 0u; tick < 64u; tick++) {
        incubator_out out;
        incubator_vector_settings(&state, tick);
        if (incubator_vector_restart_differs(&state, tick)) {
            return 64u + 3u;
        }
        incubator_step(&state, &incubator_vector_in[tick], &out);
        if (out.heater != incubator_vector_out[tick].heater) {
            return (uint16_t)(tick + 1u);
        }
    }
    if (state.first_tick != 0
        || state.believed_last != 1269
        || state.believed_before != 0
        || state.believed_count != 1
        || state.believed_gone != 1
        || state.believed_seen != 1
        || state.believed_same_count != 0
        || state.believed_trip != 1
        || state.smooth_output != (-INT32_C(480227))
        || state.heat_slow != (-INT32_C(54461066))
        || state.heat_integral != 0) {
        return 64u + 1u;
    }
    return 0u;
}

#endif /* INCUBATOR_VECTORS_H */
