/* Benchmark loop A in floating point. */
#include <math.h>
#include <stdint.h>
#include "pid_float.h"

typedef struct { int16_t angle, rate; } loop_a_in;
typedef struct { int16_t drive; } loop_a_out;
typedef pid_state loop_a_state;
#define loop_a_init pid_init
#define loop_a_set_effort_kp pid_set_kp
#define loop_a_set_effort_ki pid_set_ki
#define loop_a_set_effort_kd pid_set_kd

static inline void loop_a_step(loop_a_state *s, const loop_a_in *in, loop_a_out *out)
{
    const float rate = (float)in->rate * RATE_COUNT;
    const float lean = limited((float)in->angle * (1.0f / 64.0f), -90.0f, 90.0f);
    take_gains(&s->active, &s->pending, &s->fresh);
    follow(s, lean, rate);
    out->drive = (int16_t)lroundf(effort(s, 1.5f, rate));
}
