/* Benchmark loop B in integers, by hand. */
#include <stdint.h>
#include "pid_hand.h"
#include "angle_hand.h"

typedef struct { int16_t forward, up, rate; } loop_b_in;
typedef struct { int16_t drive; } loop_b_out;
typedef pid_state loop_b_state;
#define loop_b_init pid_init
#define loop_b_set_effort_kp pid_set_kp
#define loop_b_set_effort_ki pid_set_ki
#define loop_b_set_effort_kd pid_set_kd

static inline void loop_b_step(loop_b_state *s, const loop_b_in *in, loop_b_out *out)
{
    const int16_t rate = in->rate;
    int16_t tilt;
    take_gains(&s->active, &s->pending, &s->fresh);
    tilt = follow(s, limited16(angle_of(in->forward, in->up), 11520), rate);
    out->drive = upper(effort(s, (int16_t)(192 - tilt), rate));
}
