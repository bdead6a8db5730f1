/*
 * Complementary filter and PID in floating point, from a lean in deg and a rate. As in the textbooks; with TUNED,
 * constants are merged, the rate stays in raw counts, and the filter multiplies twice instead of three times.
 */
#if defined(TUNED)
#define PERIOD_I 0.005f
#define RATE_COUNT 1.0f
#define RATE_UNIT (1.0f / 131.0f)
#else
#define PERIOD_I 1.0f
#define RATE_COUNT (1.0f / 131.0f)
#define RATE_UNIT 1.0f
#endif
#define TYPE float
#include "gains.h"

typedef struct {
    float tilt, integral;
    uint8_t first;
    gains active;
    volatile gains pending;
    volatile uint8_t fresh;
} pid_state;

#define STATE pid_state
SETTER(pid_set_kp, kp, EFFORT_KP_MOST, (float)LIMITED(x, EFFORT_KP_MOST) * (1.0f / EFFORT_KP_PER))
SETTER(pid_set_ki, ki, EFFORT_KI_MOST, (float)LIMITED(x, EFFORT_KI_MOST) * (PERIOD_I / EFFORT_KI_PER))
SETTER(pid_set_kd, kd, EFFORT_KD_MOST, (float)LIMITED(x, EFFORT_KD_MOST) * (RATE_UNIT / EFFORT_KD_PER))

static inline void pid_init(pid_state *s)
{
    const gains start = { 41.0f, 650.0f * PERIOD_I, 1.5f * RATE_UNIT };
    s->tilt = s->integral = 0.0f;
    s->first = 1u;
    s->active = start;
    s->pending.kp = start.kp;
    s->pending.ki = start.ki;
    s->pending.kd = start.kd;
    s->fresh = 0u;
}

static inline float limited(float x, float low, float high)
{
    return x < low ? low : (x > high ? high : x);
}

static inline void follow(pid_state *s, float lean, float rate)
{
    if (s->first != 0u) {
        s->first = 0u;
        s->tilt = lean;
    }
#if defined(TUNED)
    s->tilt += (0.005f / 0.305f) * (lean - s->tilt) + (0.3f / 0.305f * 0.005f / 131.0f) * rate;
#else
    s->tilt = (0.3f / 0.305f) * (s->tilt + rate * 0.005f) + (0.005f / 0.305f) * lean;
#endif
}

static inline float effort(pid_state *s, float target, float rate)
{
    const float error = target - s->tilt;
#if defined(TUNED)
    s->integral = limited(s->integral + s->active.ki * error, -320.0f, 320.0f);
#else
    s->integral = limited(s->integral + s->active.ki * error * 0.005f, -320.0f, 320.0f);
#endif
    return limited(s->active.kp * error + s->integral - s->active.kd * rate, -320.0f, 320.0f);
}
