/*
 * Complementary filter and PID in integers, by hand. Angles are int16_t in 1/128 deg, the filter's state has 16 more
 * bits: with a lean within 90 deg and any rate it stays within 166 deg, so 32 bits hold it, and the gap within 256 deg.
 * Efforts are in 2^-16 duty: 56 * 512 * 22150 counts of the error + 320 * 2^16 + 2002 * 32768 stay below 2^31.
 */
#define TYPE int16_t
#include "gains.h"

typedef struct {
    int32_t tilt, integral;
    uint8_t first;
    gains active;
    volatile gains pending;
    volatile uint8_t fresh;
} pid_state;

/* A setting in 1/per units as a number of 1/512 duty a deg (kp, ki a tick) or 1/500.27 (kd, by the rate's counts). */
static inline int16_t merged(int32_t x, int32_t factor, int32_t per)
{
    return (int16_t)(((int64_t)x * factor + per / 2) / per);
}

#define STATE pid_state
SETTER(pid_set_kp, kp, EFFORT_KP_MOST, merged(LIMITED(x, EFFORT_KP_MOST), 512, EFFORT_KP_PER))
SETTER(pid_set_ki, ki, EFFORT_KI_MOST, merged(LIMITED(x, EFFORT_KI_MOST), 512, EFFORT_KI_PER * 200L))
SETTER(pid_set_kd, kd, EFFORT_KD_MOST, merged(LIMITED(x, EFFORT_KD_MOST), 65536, EFFORT_KD_PER * 131L))

static inline void pid_init(pid_state *s)
{
    const gains start = { 20992, 1664, 750 };
    s->tilt = s->integral = 0;
    s->first = 1u;
    s->active = start;
    s->pending.kp = start.kp;
    s->pending.ki = start.ki;
    s->pending.kd = start.kd;
    s->fresh = 0u;
}

#if defined(__AVR__) && defined(INLINE_MULTIPLY)
/* 16 by 16 bits, signed, in place. */
static inline int32_t multiply(int16_t a, int16_t b)
{
    int32_t r;
    uint8_t zero;
    __asm__("clr %1\n\t"
            "muls %B2, %B3\n\t"
            "movw %C0, r0\n\t"
            "mul %A2, %A3\n\t"
            "movw %A0, r0\n\t"
            "mulsu %B2, %A3\n\t"
            "sbc %D0, %1\n\t"
            "add %B0, r0\n\t"
            "adc %C0, r1\n\t"
            "adc %D0, %1\n\t"
            "mulsu %B3, %A2\n\t"
            "sbc %D0, %1\n\t"
            "add %B0, r0\n\t"
            "adc %C0, r1\n\t"
            "adc %D0, %1\n\t"
            "clr __zero_reg__"
            : "=&r"(r), "=&r"(zero) : "a"(a), "a"(b));
    return r;
}
#else
static inline int32_t multiply(int16_t a, int16_t b) { return (int32_t)a * b; }
#endif

static inline int16_t limited16(int16_t x, int16_t most) { return x < -most ? (int16_t)-most : (x > most ? most : x); }
static inline int32_t limited32(int32_t x, int32_t most) { return x < -most ? -most : (x > most ? most : x); }
static inline int16_t upper(int32_t x) { return (int16_t)((x + 32768) >> 16); }

/* lean and result in 1/128 deg. */
static inline int16_t follow(pid_state *s, int16_t lean, int16_t rate)
{
    int32_t tilt = s->tilt;
    if (s->first != 0u) {
        s->first = 0u;
        tilt = (int32_t)lean * 65536;
    }
    tilt += multiply((int16_t)(lean - upper(tilt)), 1074) + multiply(rate, 315);
    s->tilt = tilt;
    return upper(tilt);
}

/* In 2^-16 duty. */
static inline int32_t effort(pid_state *s, int16_t error, int16_t rate)
{
    const int32_t most = (int32_t)320 * 65536;
    const int32_t integral = limited32(s->integral + multiply(error, s->active.ki), most);
    s->integral = integral;
    return limited32(multiply(error, s->active.kp) + integral - multiply(rate, s->active.kd), most);
}
