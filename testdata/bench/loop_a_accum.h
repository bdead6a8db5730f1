/*
 * Benchmark loop A in fixed-point types of ISO/IEC TR 18037, s16.15: the floating-point text with other types. With
 * TUNED, the rate is counted in 1/128 of a raw count's worth, which a shift gives, and constants take in the rest.
 */
#include <stdfix.h>
#include <stdint.h>
#define TYPE _Accum
#include "gains.h"

typedef struct { int16_t angle, rate; } loop_a_in;
typedef struct { int16_t drive; } loop_a_out;
typedef struct {
    _Accum tilt, integral;
    uint8_t first;
    gains active;
    volatile gains pending;
    volatile uint8_t fresh;
} loop_a_state;

/* A setting in 1/per units, times factor / 2^15. */
#if defined(TUNED)
#define PERIODS 200L
#define KD_FACTOR 32018 /* 128/131 */
#else
#define PERIODS 1L
#define KD_FACTOR 32768
#endif
static inline _Accum merged(int32_t x, int32_t factor, int32_t per)
{
    return kbits((int32_t)(((int64_t)x * factor + per / 2) / per));
}

#define STATE loop_a_state
SETTER(loop_a_set_effort_kp, kp, EFFORT_KP_MOST, merged(LIMITED(x, EFFORT_KP_MOST), 32768, EFFORT_KP_PER))
SETTER(loop_a_set_effort_ki, ki, EFFORT_KI_MOST, merged(LIMITED(x, EFFORT_KI_MOST), 32768, EFFORT_KI_PER * PERIODS))
SETTER(loop_a_set_effort_kd, kd, EFFORT_KD_MOST, merged(LIMITED(x, EFFORT_KD_MOST), KD_FACTOR, EFFORT_KD_PER))

static inline void loop_a_init(loop_a_state *s)
{
#if defined(TUNED)
    const gains start = { 41.0k, 3.25k, 1.46565k };
#else
    const gains start = { 41.0k, 650.0k, 1.5k };
#endif
    s->tilt = s->integral = 0.0k;
    s->first = 1u;
    s->active = start;
    s->pending.kp = start.kp;
    s->pending.ki = start.ki;
    s->pending.kd = start.kd;
    s->fresh = 0u;
}

static inline _Accum limited(_Accum x, _Accum low, _Accum high)
{
    return x < low ? low : (x > high ? high : x);
}

static inline void loop_a_step(loop_a_state *s, const loop_a_in *in, loop_a_out *out)
{
#if defined(TUNED)
    const _Accum lean = limited(kbits((int32_t)in->angle * 512), -90.0k, 90.0k);
    const _Accum rate = kbits((int32_t)in->rate * 256);
#else
    const _Accum lean = limited((_Accum)in->angle * 0.015625k, -90.0k, 90.0k);
    const _Accum rate = (_Accum)in->rate * 0.0076336k;
#endif
    _Accum error, u;
    take_gains(&s->active, &s->pending, &s->fresh);
    if (s->first != 0u) {
        s->first = 0u;
        s->tilt = lean;
    }
#if defined(TUNED)
    s->tilt += 0.0163934k * (lean - s->tilt) + 0.0048054k * rate;
#else
    s->tilt = 0.9836066k * (s->tilt + rate * 0.005k) + 0.0163934k * lean;
#endif
    error = 1.5k - s->tilt;
#if defined(TUNED)
    s->integral = limited(s->integral + s->active.ki * error, -320.0k, 320.0k);
#else
    s->integral = limited(s->integral + s->active.ki * 0.005k * error, -320.0k, 320.0k);
#endif
    u = limited(s->active.kp * error + s->integral - s->active.kd * rate, -320.0k, 320.0k);
    out->drive = (int16_t)((bitsk(u) + 16384) >> 15);
}
