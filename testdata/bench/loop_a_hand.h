/* Benchmark loop A in integers, by hand. */
#include <stdint.h>
#include "pid_hand.h"

typedef struct { int16_t angle, rate; } loop_a_in;
typedef struct { int16_t drive; } loop_a_out;
typedef pid_state loop_a_state;
#define loop_a_init pid_init
#define loop_a_set_effort_kp pid_set_kp
#define loop_a_set_effort_ki pid_set_ki
#define loop_a_set_effort_kd pid_set_kd

static inline void loop_a_step(loop_a_state *s, const loop_a_in *in, loop_a_out *out)
{
    const int16_t rate = in->rate;
    int16_t tilt;
    take_gains(&s->active, &s->pending, &s->fresh);
    tilt = follow(s, (int16_t)(2 * limited16(in->angle, 5760)), rate);
    out->drive = upper(effort(s, (int16_t)(192 - tilt), rate));
}
