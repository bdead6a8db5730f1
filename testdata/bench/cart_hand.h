/* The starter cart in integers, by hand, all its steps but the check of its readings. */
#include <stdint.h>
#include "pid_hand.h"
#include "angle_hand.h"

typedef struct { int16_t accel_forward, accel_up, pitch_rate, travel; uint8_t armed; } cart_in;
typedef struct { int16_t drive; } cart_out;
typedef struct {
    pid_state pid;
    int32_t sum;
    int32_t slow; /* travel, filtered, in 2^-14 counts */
    int16_t count, place;
    uint8_t upright;
} cart_state;

static inline void cart_set_effort_kp(cart_state *s, int32_t x) { pid_set_kp(&s->pid, x); }
static inline void cart_set_effort_ki(cart_state *s, int32_t x) { pid_set_ki(&s->pid, x); }
static inline void cart_set_effort_kd(cart_state *s, int32_t x) { pid_set_kd(&s->pid, x); }

static inline void cart_init(cart_state *s)
{
    pid_init(&s->pid);
    s->sum = s->slow = 0;
    s->count = s->place = 0;
    s->upright = 0u;
}

static inline void cart_step(cart_state *s, const cart_in *in, cart_out *out)
{
    int16_t rate = in->pitch_rate;
    int16_t tilt, balance;
    int32_t ahead, u = 0;
    uint8_t upright;
    take_gains(&s->pid.active, &s->pid.pending, &s->pid.fresh);
    if (s->count >= 256) {
        const int32_t less = rate - ((s->sum + 128) >> 8);
        rate = (int16_t)(less < -32768 ? -32768 : (less > 32767 ? 32767 : less));
    } else if (rate <= 3275 && rate >= -3275) {
        s->sum += rate; /* at most 256 * 3275 */
        s->count++;
    } else {
        s->sum = 0;
        s->count = 0;
    }
    if (s->pid.first != 0u) {
        s->slow = (int32_t)in->travel * 16384;
    }
    /* The sensor is mounted backwards. Where the count has no negative, one less stands for it. */
    tilt = follow(&s->pid, limited16(angle_of(in->accel_forward == -32768 ? 32767 : (int16_t)-in->accel_forward, in->accel_up), 11520), rate);
    upright = in->armed != 0u && tilt >= -3072 && tilt <= 3072 && (s->upright != 0u || (tilt >= -1280 && tilt <= 1280));
    if (upright && s->upright == 0u) {
        s->place = in->travel;
    }
    s->upright = upright;
    /* In 1/16 counts, at most 2^20; 0.116/0.04 and 0.052 deg/cm. */
    ahead = (int32_t)in->travel * 16 - ((s->slow + 512) >> 10);
    s->slow += ahead * 128; /* an eighth of the way */
    ahead = ((ahead * 297 + 128) >> 8) + ((((int32_t)in->travel - s->place) * 21810 + 32768) >> 16);
    balance = (int16_t)limited32(ahead, 1024);
    if (upright) {
        u = effort(&s->pid, (int16_t)(balance - tilt), rate);
    } else {
        s->pid.integral = 0;
    }
    if (u >= 32768 || u <= -32768) {
        const int32_t driven = u - ((u + 8) >> 4);           /* 15/16 of it */
        u = limited32(u < 0 ? driven - (int32_t)20 * 65536 : driven + (int32_t)20 * 65536, (int32_t)320 * 65536);
    } else {
        u = 0;
    }
    out->drive = upper(u);
}
