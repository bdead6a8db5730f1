/* Arctangent of y over x in 1/128 deg, within 0.02 deg: 13 bits of the quotient, 33 entries and a line between two. */
#if defined(__AVR__)
#include <avr/pgmspace.h>
#define TABLE PROGMEM
#define ENTRY(i) ((uint16_t)pgm_read_word(&arctangent[i]))
#else
#define TABLE
#define ENTRY(i) (arctangent[i])
#endif
static const uint16_t arctangent[34] TABLE = { 0, 229, 458, 686, 912, 1137, 1359, 1579, 1797, 2011, 2221, 2428, 2631, 2830, 3025, 3215,
    3400, 3581, 3758, 3930, 4097, 4259, 4417, 4570, 4719, 4864, 5004, 5140, 5272, 5400, 5524, 5644, 5760, 5760 };

static inline int16_t angle_of(int16_t y, int16_t x)
{
    const uint16_t ay = y < 0 ? (uint16_t)(0u - (uint16_t)y) : (uint16_t)y;
    const uint16_t ax = x < 0 ? (uint16_t)(0u - (uint16_t)x) : (uint16_t)x;
    const uint8_t steep = ay > ax;
    const uint16_t longer = steep ? ay : ax;
    uint16_t rest = steep ? ax : ay;
    uint16_t quotient = 0;
    uint8_t bit;
    int16_t angle;
    if (longer == 0u) {
        return 0;
    }
    for (bit = 13; bit > 0u; bit--) {
        rest = (uint16_t)(rest << 1);
        quotient = (uint16_t)(quotient << 1);
        if (rest >= longer) {
            rest = (uint16_t)(rest - longer);
            quotient |= 1u;
        }
    }
    {
        const uint8_t i = (uint8_t)(quotient >> 8);
        const uint16_t low = ENTRY(i);
        const uint8_t rise = (uint8_t)(ENTRY(i + 1u) - low);
        angle = (int16_t)(low + (uint16_t)(((uint16_t)(rise * (uint16_t)(uint8_t)quotient) + 128u) >> 8));
    }
    if (steep) {
        angle = (int16_t)(11520 - angle);
    }
    if (x < 0) {
        angle = (int16_t)(23040 - angle);
    }
    return y < 0 ? (int16_t)-angle : angle;
}
