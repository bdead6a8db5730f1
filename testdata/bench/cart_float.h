/* The starter cart in floating point, all its steps but the check of its readings. */
#include <math.h>
#include <stdint.h>
#include "pid_float.h"

typedef struct { int16_t accel_forward, accel_up, pitch_rate, travel; uint8_t armed; } cart_in;
typedef struct { int16_t drive; } cart_out;
typedef struct {
    pid_state pid;
    float sum, place, slow;
    int16_t count;
    uint8_t upright;
} cart_state;

static inline void cart_set_effort_kp(cart_state *s, int32_t x) { pid_set_kp(&s->pid, x); }
static inline void cart_set_effort_ki(cart_state *s, int32_t x) { pid_set_ki(&s->pid, x); }
static inline void cart_set_effort_kd(cart_state *s, int32_t x) { pid_set_kd(&s->pid, x); }

static inline void cart_init(cart_state *s)
{
    pid_init(&s->pid);
    s->sum = s->place = s->slow = 0.0f;
    s->count = 0;
    s->upright = 0u;
}

static inline void cart_step(cart_state *s, const cart_in *in, cart_out *out)
{
    const float travel = (float)in->travel * (1.0f / 20.0f);
    float rate = (float)in->pitch_rate;
    float ahead, balance;
    const float lean = limited(atan2f((float)-(int32_t)in->accel_forward, (float)in->accel_up) * 57.2957795f, -90.0f, 90.0f);
    float u = 0.0f;
    uint8_t upright;
    take_gains(&s->pid.active, &s->pid.pending, &s->pid.fresh);
    if (s->count >= 256) {
        rate -= s->sum * (1.0f / 256.0f);
    } else if (in->pitch_rate <= 3275 && in->pitch_rate >= -3275) {
        s->sum += rate;
        s->count++;
    } else {
        s->sum = 0.0f;
        s->count = 0;
    }
    rate = limited(rate, -32768.0f, 32767.0f) * RATE_COUNT;
    if (s->pid.first != 0u) {
        s->slow = travel;
    }
    follow(&s->pid, lean, rate);
    upright = in->armed != 0u && s->pid.tilt >= -24.0f && s->pid.tilt <= 24.0f
        && (s->upright != 0u || (s->pid.tilt >= -10.0f && s->pid.tilt <= 10.0f));
    if (upright && s->upright == 0u) {
        s->place = travel;
    }
    s->upright = upright;
    ahead = travel - s->slow;
    s->slow += (0.005f / 0.04f) * ahead;
    balance = limited(-0.052f * (s->place - travel) + (0.116f / 0.04f) * ahead, -8.0f, 8.0f);
    if (upright) {
        u = effort(&s->pid, balance, rate);
    } else {
        s->pid.integral = 0.0f;
    }
    if (u >= 0.5f) {
        u = limited(20.0f + u * 0.9375f, -320.0f, 320.0f);
    } else if (u <= -0.5f) {
        u = limited(-20.0f + u * 0.9375f, -320.0f, 320.0f);
    } else {
        u = 0.0f;
    }
    out->drive = (int16_t)lroundf(u);
}
