/* Live gains kp, ki and kd: what a setter leaves is taken over whole by the next tick. TYPE is that of a gain. */
typedef struct { TYPE kp, ki, kd; } gains;

static inline void take_gains(gains *active, const volatile gains *pending, volatile uint8_t *fresh)
{
    if (*fresh != 0u) {
        gains copy;
        *fresh = 0u;
        copy.kp = pending->kp;
        copy.ki = pending->ki;
        copy.kd = pending->kd;
        if (*fresh == 0u) {
            *active = copy;
        }
    }
}

#define LIMITED(x, most) ((x) < 0 ? 0 : ((x) > (most) ? (most) : (x)))
#define SETTER(name, field, most, value)                             \
    static inline void name(STATE *s, int32_t x)                     \
    {                                                                \
        const TYPE g = (TYPE)(value);                                \
        s->fresh = 0u;                                               \
        s->pending.field = g;                                        \
        s->fresh = 1u;                                               \
    }
