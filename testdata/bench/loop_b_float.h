/* Benchmark loop B in floating point. */
#include <math.h>
#include <stdint.h>
#include "pid_float.h"

typedef struct { int16_t forward, up, rate; } loop_b_in;
typedef struct { int16_t drive; } loop_b_out;
typedef pid_state loop_b_state;
#define loop_b_init pid_init
#define loop_b_set_effort_kp pid_set_kp
#define loop_b_set_effort_ki pid_set_ki
#define loop_b_set_effort_kd pid_set_kd

static inline void loop_b_step(loop_b_state *s, const loop_b_in *in, loop_b_out *out)
{
    const float rate = (float)in->rate * RATE_COUNT;
    const float lean = limited(atan2f((float)in->forward, (float)in->up) * 57.2957795f, -90.0f, 90.0f);
    take_gains(&s->active, &s->pending, &s->fresh);
    follow(s, lean, rate);
    out->drive = (int16_t)lroundf(effort(s, 1.5f, rate));
}
