//go:build ignore

/*
 * An example of a control loop around pan, to copy and to fill in: on an AVR part
 * with avr-libc it is a firmware
 *     (avr-gcc -mmcu=atmega328p -Os -DF_CPU=16000000 -I.. pan_loop_example.c),
 * elsewhere it plays pan some ticks and prints what would go to the pins.
 *
 * A moving machine can hurt, and so can a heater.
 *     This code drives a machine. Stay with it at first, the wheels off the ground or the
 *     belt off.
 *     Keep an independent cut-off within reach: a switch in the supply that needs no
 *     processor.
 *     Put a fuse in the supply of each motor and heater.
 *     Give each heater a thermal cut-out of its own, set above the working temperature.
 *     Batteries burn: fuse them at the pole, never short them or run them flat. Charge
 *     lithium cells with a charger made for them, in a fire-proof place, and stay there.
 *     Mains wiring and machines that can hurt people fall under local codes and, in many
 *     places, are work for licensed people.
 * Put a lamp in the heater's place first. The run switch below is no cut-off: it is this program
 * that reads it.
 *
 * What it needs from you
 *   - PAN_SENSOR, the name of a file of yours that holds read_registers; see there. As long
 *     as there is none, the compiler says so, no reading arrives, and nothing is driven.
 *   - F_CPU, the clock of your part in Hz. A factory-new part runs at 1 MHz until its fuses are
 *     set. That it is given, that the part may run so fast and that the timer can make the tick is
 *     checked where this is compiled. Nothing finds out that the part runs at another clock: ticks
 *     are longer or shorter then by the ratio of the two, and the gains are others. To see it,
 *     toggle a free pin in tick_done, and measure its period while every tick is good: it is two
 *     ticks, 4 ms.
 *   - Drivers that take a PWM and, where an output can be negative, a direction, that make their
 *     own dead time and that stand some kHz. Bare transistor halves on these pins short the supply;
 *     a relay, a contactor and a solid-state relay for mains do not stand such a PWM; a servo does
 *     not take it.
 *   - A machine that is safe with all PWM pins low: "safe" below is no more than that. What must be
 *     powered to be safe (a brake that power closes, a valve that must open, a load that falls, a
 *     pump that cools), and what must not stop at once, needs other lines in safe_outputs and in
 *     start_board, and hardware that does it in a reset.
 *   - A pull-down of some 10 kOhm at each input of a driver. From a reset to the first lines of
 *     this program, and while a boot loader runs, no pin is driven: the pull-down alone keeps the
 *     driver off.
 *   - The brown-out fuse (BODLEVEL), set to the level for your clock: without it a supply that
 *     sags makes the part execute anything.
 *
 * When it drives
 *   - Nothing is driven from a reset, whatever was its cause, until the run switch was off for
 *     24 ms in one go (OFF_LOOKS): power that comes back and a watchdog that bites start no
 *     machine. The timer's interrupt counts, whatever the loop does. Less than 20 ms never
 *     counts, as far as looks 2 ms apart can tell: an on between two of them is not seen.
 *   - Whatever the run switch is off for makes the outputs safe, at the next look, and also while
 *     the loop hangs or waits for the sensor, as long as interrupts are not held off.
 *     After less than 24 ms a reading that had jumped or frozen keeps all off until the
 *     run switch was off for that long.
 *   - The run switch is run, the one switch of pan without which something is off
 *     (RUN_SWITCH).
 *   - A switch that closes to ground is on. A broken wire is off: a switch whose off is the
 *     dangerous side (an end switch that opens when nothing is hit, a door's contact that closes
 *     when the door opens) belongs into the spec the other way round, and is wired so.
 *   - At a missed tick (two are due), a late one (the next is due before the outputs are
 *     written) and a sensor that does not answer, the outputs are safe for that tick and
 *     pan stays as it is. After RESTART_AFTER of them without DRIVE_AFTER good ones in a row
 *     between, pan_restart starts it over, live gains kept: the time in between is unknown.
 *     A reading that had jumped or frozen before stays so, and nothing at all is driven before the
 *     run switch was off again: what resets it might come on in the new start.
 *     pan_restart_with_integrals keeps the integral terms too, for what is so slow that they
 *     still hold. A PID that is off at the tick behind it, as where its reading is not believed
 *     yet, begins from its start all the same.
 *   - From a start on, and from when the run switch comes on, DRIVE_AFTER ticks in a row must be
 *     good before it drives.
 *   - The watchdog is fed where the loop waits for a tick, at each interrupt of its timer, unless
 *     RESET_AFTER ticks in a row went wrong. A loop that hangs, and a timer that does not
 *     come, reset the part within about 16 ms; a sensor that never answers, and a loop
 *     that is always late, within about 116 ms. The watchdog has a clock of its own,
 *     good to some 10 %. A loop that hangs leaves the outputs as they were until the reset, or
 *     until the run switch goes off.
 *   - Live gains may be set from here between two ticks, or from one interrupt, with
 *     pan_set_...
 *
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from pan.yaml.
 */
#include <stdint.h>

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x3578937b)
#error "pan.h comes from another spec than this file: run generate"
#endif

#define REGISTERS 4u /* bytes that the sensor hands over */

#define RESTART_AFTER 3u /* wrong ticks, 6 ms */
#define DRIVE_AFTER 4u /* good ticks in a row, 8 ms */
#define RESET_AFTER 50u /* wrong ticks in a row, 100 ms */
#define RUN_SWITCH 0u /* number of the switch without which nothing is driven */
#define OFF_LOOKS 12u /* looks in a row at which it must be off, 24 ms */

static pan_state state;

static void safe_outputs(void);

#if defined(__AVR__)
/* ---- Pins: one table for each part --------------------------------------------------------- */

/*
 * ONE_WAY(output, port and bit of the PWM pin, register and bit that connect the pin to its timer,
 *         compare register)
 * TWO_WAY(the same, then port and bit of the direction pin) for an output that can be negative
 * SWITCH(number, port and bit)
 * Timer 1 makes the ticks. No pin of the bus of serial sensors (SDA, SCL), of SPI, of the first
 * serial port, of reset or of a crystal is taken, and no pin is taken that pan does not use.
 */
#if defined(__AVR_ATmega328P__)
/* output 0, duty: PWM at PD6, direction at PD4, low is forward */
/* switch 0, run: from PC0 to ground */

#define MOST_HZ 20000000 /* largest clock at 4.5 V and more; data sheet, from memory */
#define OUTPUT_TABLE \
    TWO_WAY(0, D, 6, TCCR0A, COM0A1, OCR0A, D, 4)
#define SWITCH_TABLE \
    SWITCH(0, C, 0)
/* Fast PWM of 8 bits, the clock divided by 8: some 7.8 kHz at 16 MHz. */
#define START_PWM() \
    TCCR0A = (1 << WGM01) | (1 << WGM00); TCCR0B = 1 << CS01;
#elif defined(__AVR_ATmega2560__)
/* output 0, duty: PWM at PE3, direction at PA0, low is forward */
/* switch 0, run: from PK0 to ground */

#define MOST_HZ 16000000 /* largest clock at 4.5 V and more; data sheet, from memory */
#define OUTPUT_TABLE \
    TWO_WAY(0, E, 3, TCCR3A, COM3A1, OCR3A, A, 0)
#define SWITCH_TABLE \
    SWITCH(0, K, 0)
/* Fast PWM of 8 bits, the clock divided by 8: some 7.8 kHz at 16 MHz. */
#define START_PWM() \
    TCCR3A = 1 << WGM30; TCCR3B = (1 << WGM32) | (1 << CS31);
#elif defined(__AVR_ATmega32U4__)
/* output 0, duty: PWM at PB7, direction at PB5, low is forward */
/* switch 0, run: from PD4 to ground */

#define MOST_HZ 16000000 /* largest clock at 4.5 V and more; data sheet, from memory */
#define OUTPUT_TABLE \
    TWO_WAY(0, B, 7, TCCR0A, COM0A1, OCR0A, B, 5)
#define SWITCH_TABLE \
    SWITCH(0, D, 4)
/* Fast PWM of 8 bits, the clock divided by 8: some 7.8 kHz at 16 MHz. */
#define START_PWM() \
    TCCR0A = (1 << WGM01) | (1 << WGM00); TCCR0B = 1 << CS01;
#else
#error "no table of pins for this part: add one; known are ATmega328P, ATmega2560, ATmega32U4"
#endif

/* ---- The board: an AVR part ---------------------------------------------------------------- */

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#ifndef F_CPU
#error "F_CPU is not given, the clock of your part in Hz: -DF_CPU=16000000 where that is 16 MHz"
#define F_CPU 16000000 /* so that nothing else is told wrong */
#endif
#if defined(MOST_HZ) && F_CPU > MOST_HZ
#error "F_CPU is more than the data sheet of this part allows at any supply"
#endif

/*
 * A tick is 2 ms, one interrupt of timer 1. TIMER is
 * clock cycles from one to the next; the timer has 16 bits and a divider before it.
 */
#define INTERRUPTS 1
#define TIMER ((F_CPU) * INT64_C(1) / INT64_C(500) / INTERRUPTS)
#if TIMER < 100
#error "a tick is shorter than 100 cycles of this clock"
#elif TIMER <= 65536
#define DIVIDER 1
#define DIVIDER_BITS (1 << CS10)
#elif TIMER <= 65536 * INT64_C(8)
#define DIVIDER 8
#define DIVIDER_BITS (1 << CS11)
#elif TIMER <= 65536 * INT64_C(64)
#define DIVIDER 64
#define DIVIDER_BITS ((1 << CS11) | (1 << CS10))
#elif TIMER <= 65536 * INT64_C(256)
#define DIVIDER 256
#define DIVIDER_BITS (1 << CS12)
#elif TIMER <= 65536 * INT64_C(1024)
#define DIVIDER 1024
#define DIVIDER_BITS ((1 << CS12) | (1 << CS10))
#else
#error "F_CPU is beyond what this file knows"
#endif

/* ---- Reset --------------------------------------------------------------------------------- */

/*
 * Why the part was reset, as MCUSR said it (WDRF, BORF, EXTRF, PORF), for your log. Nothing below
 * asks for it: after any reset the run switch must be off once. So it does no harm where a boot
 * loader has cleared MCUSR before this program started, and it reads 0.
 */
volatile uint8_t reset_cause __attribute__((section(".noinit")));

void keep_reset_cause(void) __attribute__((naked, used, section(".init3")));

/* Runs before memory is set up: after a reset by the watchdog that one still runs, and fast. */
void keep_reset_cause(void)
{
    reset_cause = MCUSR;
    MCUSR = 0;
    wdt_disable();
}

/* ---- Outputs ------------------------------------------------------------------------------- */

/*
 * Off is no compare value but a pin that the timer has let go: with COMnx1 and COMnx0 both 0 the
 * pin shows its bit of PORT, and that is 0. In fast PWM a compare value of 0 still gives a pulse
 * of one count in each period (ATmega328P data sheet, timer 0, fast PWM mode). The value becomes
 * 0 too, so that the first period of the next drive is not as wide as the last one of this.
 * COMnx0 stands one bit below COMnx1 on all of these timers.
 */
#define OFF_PWM(port, bit, control, connect, compare) \
    control &= (uint8_t)~(3u << ((connect) - 1)); \
    PORT##port &= (uint8_t)~(1u << (bit)); \
    compare = 0u;

#define ON_PWM(port, bit, control, connect, compare) \
    compare = duty; \
    control |= (uint8_t)(1u << (connect));

/* The latch is low before the pin becomes an output. */
#define START_PIN(port, bit) \
    PORT##port &= (uint8_t)~(1u << (bit)); \
    DDR##port |= (uint8_t)(1u << (bit));

/* All outputs off, and then all directions forward, which is low. */
static void safe_outputs(void)
{
    const uint8_t before = SREG;
    cli(); /* registers of a port are shared with your interrupts */
#define ONE_WAY(n, port, bit, control, connect, compare) \
    OFF_PWM(port, bit, control, connect, compare)
#define TWO_WAY(n, port, bit, control, connect, compare, way, way_bit) \
    OFF_PWM(port, bit, control, connect, compare) \
    PORT##way &= (uint8_t)~(1u << (way_bit));
    OUTPUT_TABLE
#undef ONE_WAY
#undef TWO_WAY
    SREG = before;
}

/*
 * The size of an output in 1/255 of its range, and its direction: first the duty off, then the
 * direction, then the duty. The compare register is copied at the end of a period: after a change
 * of direction the rest of that one may still have the old width. 0 is off; 255 is on throughout.
 */
static void drive(uint8_t number, uint8_t duty, uint8_t backward)
{
    const uint8_t before = SREG;
    cli();
    switch (number) {
#define ONE_WAY(n, port, bit, control, connect, compare) \
    case n: \
        if (duty == 0u || backward != 0u) { \
            OFF_PWM(port, bit, control, connect, compare) \
        } else { \
            ON_PWM(port, bit, control, connect, compare) \
        } \
        break;
#define TWO_WAY(n, port, bit, control, connect, compare, way, way_bit) \
    case n: \
        if (duty == 0u || (uint8_t)((PORT##way >> (way_bit)) & 1) != backward) { \
            OFF_PWM(port, bit, control, connect, compare) \
        } \
        if (backward != 0u) { \
            PORT##way |= (uint8_t)(1u << (way_bit)); \
        } else { \
            PORT##way &= (uint8_t)~(1u << (way_bit)); \
        } \
        if (duty != 0u) { \
            ON_PWM(port, bit, control, connect, compare) \
        } \
        break;
    OUTPUT_TABLE
#undef ONE_WAY
#undef TWO_WAY
    default:
        break;
    }
    SREG = before;
}

/* ---- Switches ------------------------------------------------------------------------------ */

/* 1 where the switch closes its pin to ground. The pull-up makes an open pin, and so a broken
 * wire, read as off. */
static uint8_t read_switch(uint8_t number)
{
    switch (number) {
#define SWITCH(n, port, bit) \
    case n: \
        return (uint8_t)((PIN##port & (1u << (bit))) == 0u);
    SWITCH_TABLE
#undef SWITCH
    default:
        return 0u;
    }
}

/* ---- Start and ticks ----------------------------------------------------------------------- */

static volatile uint8_t due;           /* ticks since the loop looked last */
static volatile uint8_t came;          /* the timer's interrupt came since then */
static volatile uint8_t was_off;       /* the run switch was off at some look since the loop asked
    */
static volatile uint8_t off_for_long;  /* it was off at OFF_LOOKS in a row since the loop asked */
static volatile uint16_t off_looks;    /* interrupts in a row at which it was, OFF_LOOKS at most */

/*
 * The run switch is looked at here, whatever the loop does. Of OFF_LOOKS in a row the first may
 * come
 * late, and so close to the second, where another interrupt took long; all others are 2 ms apart
 * or more, so that they span 20 ms at least.
 */
ISR(TIMER1_COMPA_vect)
{
#if INTERRUPTS > 1
    static uint8_t part;
#endif
    came = 1u;
    if (read_switch(RUN_SWITCH) != 0u) {
        off_looks = 0u;
    } else {
        was_off = 1u;
        safe_outputs();
        if (off_looks < OFF_LOOKS) {
            off_looks++;
        }
        if (off_looks >= OFF_LOOKS) {
            off_for_long = 1u;
        }
    }
#if INTERRUPTS > 1
    part++;
    if (part < INTERRUPTS) {
        return;
    }
    part = 0u;
#endif
    if (due < 255u) {
        due++;
    }
}

static void start_board(void)
{
#define ONE_WAY(n, port, bit, control, connect, compare) START_PIN(port, bit)
#define TWO_WAY(n, port, bit, control, connect, compare, way, way_bit) \
    START_PIN(port, bit) \
    START_PIN(way, way_bit)
#define SWITCH(n, port, bit) PORT##port |= (uint8_t)(1u << (bit)); /* its pull-up */
    OUTPUT_TABLE
    SWITCH_TABLE
#undef ONE_WAY
#undef TWO_WAY
#undef SWITCH
    START_PWM()
    safe_outputs();
}

static void start_ticks(void)
{
    TCCR1A = 0; /* as after a reset, whatever a boot loader left */
    TCCR1B = 0;
    TCNT1 = 0;
    OCR1A = (uint16_t)(TIMER / DIVIDER - 1);
    TCCR1B = (uint8_t)((1 << WGM12) | DIVIDER_BITS);
    TIMSK1 = 1 << OCIE1A;
    SMCR = 1 << SE; /* sleeping is idling: the timer goes on */
    wdt_enable(WDTO_15MS);
    sei();
}

/* Waits until a tick is due; returns how many are. Meanwhile it feeds the watchdog at each
 * interrupt of the timer, where it may, and looks at the run switch whenever it wakes up. */
static uint8_t wait_for_tick(uint8_t feed)
{
    for (;;) {
        uint8_t n;
        cli();
        n = due;
        due = 0u;
        if (came != 0u) {
            came = 0u;
            if (feed != 0u) {
                wdt_reset();
            }
        }
        if (n != 0u) {
            sei();
            return n;
        }
        if (read_switch(RUN_SWITCH) == 0u) {
            was_off = 1u;
        } else {
            off_looks = 0u;
        }
        if (was_off != 0u) {
            safe_outputs();
        }
        sei(); /* takes effect behind the next instruction: no interrupt is slept through */
        sleep_cpu();
    }
}

/* 1 where the run switch is on and was on at each look since the tick before. */
static uint8_t run_switch(void)
{
    const uint8_t before = SREG;
    uint8_t on;
    cli();
    on = (uint8_t)(was_off == 0u && read_switch(RUN_SWITCH) != 0u);
    was_off = 0u;
    SREG = before;
    return on;
}

/* The same for the time since run_switch was asked. */
static uint8_t still_on(void)
{
    return (uint8_t)(was_off == 0u && read_switch(RUN_SWITCH) != 0u);
}

/* 1 where the run switch was off at OFF_LOOKS looks in a row since this was asked last, also where
 * it is on again by now: contacts that bounce, and a spike on a long wire, are not switched off. */
static uint8_t was_switched_off(void)
{
    const uint8_t before = SREG;
    uint8_t was;
    cli();
    was = off_for_long;
    off_for_long = 0u;
    SREG = before;
    return was;
}

static uint8_t next_is_due(void)
{
    return due;
}

static void tick_done(void) {} /* a place for a lamp of yours */

/* ---- The sensor ---------------------------------------------------------------------------- */

/*
 * Your bus driver goes into a file of its own, which generate leaves alone, with one function
 *     static uint16_t read_registers(uint8_t *registers)
 * that fills in REGISTERS bytes, the high byte of each reading first, and returns how many have
 * come: REGISTERS, or less where a sensor does not answer, answers in part, or has no reading that
 * is new since the last tick. It returns in less than a tick, and than the watchdog waits: no wait
 * for a bus without an end. Name it:
 *     #define PAN_SENSOR "my_sensor.h"
 * above, or -DPAN_SENSOR='"my_sensor.h"' for the compiler.
 *     registers[0]: angle, 16 bits
 *     registers[2]: wanted, 16 bits
 */
#ifdef PAN_SENSOR
#include PAN_SENSOR
#else
#warning "nothing is driven: no sensor; name a file as PAN_SENSOR"

static uint16_t read_registers(uint8_t *registers)
{
    uint16_t i;
    for (i = 0u; i < REGISTERS; i++) {
        registers[i] = 0u;
    }
    return 0u; /* no answer */
}
#endif

#else
/* ---- The board: a stand-in on a computer --------------------------------------------------- */

#include <stdio.h>

static unsigned played;

static void start_board(void)
{
    printf("start\n");
}

static void start_ticks(void) {}

/* Ticks 13 to 15 come too late, and behind tick 24 nothing comes. */
static uint8_t wait_for_tick(uint8_t feed)
{
    (void)feed;
    played++;
    return played > 24u ? 0u : (played >= 13u && played <= 15u ? 2u : 1u);
}

static uint8_t next_is_due(void)
{
    return (uint8_t)(played == 11u);
}

static void tick_done(void)
{
    printf("tick %u: done in time\n", played);
}

/* No answer in tick 9. */
static uint16_t read_registers(uint8_t *registers)
{
    uint16_t i;
    for (i = 0u; i < REGISTERS; i++) {
        registers[i] = (uint8_t)(played + i);
    }
    return played != 9u ? REGISTERS : 0u;
}

/* Off in tick 3 and again in tick 22. */
static uint8_t read_switch(uint8_t number)
{
    (void)number;
    return (uint8_t)(played != 3u && played != 22u);
}

static uint8_t run_switch(void)
{
    return read_switch(RUN_SWITCH);
}

static uint8_t still_on(void)
{
    return run_switch();
}

static uint8_t was_switched_off(void)
{
    return (uint8_t)(read_switch(RUN_SWITCH) == 0u);
}

static void safe_outputs(void)
{
    printf("tick %u: outputs are safe\n", played);
}

static void drive(uint8_t number, uint8_t duty, uint8_t backward)
{
    printf("tick %u: output %u is %u/255 %s\n", played, number, duty, backward != 0u ? "backward" :
        "forward");
}

#endif

/* ---- Sensor registers into inputs ---------------------------------------------------------- */

/* Two registers, the high byte first, as most sensors have them. */
static uint16_t word_at(const uint8_t *registers)
{
    return (uint16_t)(((uint16_t)registers[0] << 8) | registers[1]);
}

/* The number whose two's complement the registers hold, without a conversion that C
 * leaves open. */
static int32_t signed_of(uint32_t bits, uint32_t sign)
{
    return (bits & sign) != 0u ? -(int32_t)((sign - 1u) - (bits & (sign - 1u))) - 1 : (int32_t)bits;
}

/* All inputs of a tick, raw: pan does scales and signs. 0 where a sensor did not
 * answer, or not in full. The run switch is off to pan until it may run. */
static uint8_t read_inputs(pan_in *in, uint8_t may_run)
{
    uint8_t registers[REGISTERS];

    if (read_registers(registers) != REGISTERS) {
        return 0u;
    }
    in->angle = (int16_t)signed_of(word_at(&registers[0]), UINT32_C(0x8000));
    in->wanted = (int16_t)signed_of(word_at(&registers[2]), UINT32_C(0x8000));
    in->run = may_run;
    return 1u;
}

/* ---- Outputs as size and direction --------------------------------------------------------- */

static void drive_signed(uint8_t number, int32_t value, int32_t most)
{
    const uint8_t backward = (uint8_t)(value < 0);
    uint32_t size = (uint32_t)(backward != 0u ? -value : value);
    if (size > (uint32_t)most) {
        size = (uint32_t)most;
    }
    drive(number, (uint8_t)(size * 255u / (uint32_t)most), backward);
}

static void write_outputs(const pan_out *out)
{
    drive_signed(0u, (int32_t)out->duty, INT32_C(1000)); /* duty */
}

/* ---- The loop ------------------------------------------------------------------------------ */

/* 1 where some reading has jumped or frozen. */
static uint8_t tripped(void)
{
    return (uint8_t)(state.seen_trip != 0u);
}

int main(void)
{
    uint16_t wrong = 0u;              /* ticks in a row that went wrong */
    uint16_t lately = 0u;             /* ticks that did since DRIVE_AFTER in a row were good */
    uint8_t row = 0u;                 /* good ticks in a row, DRIVE_AFTER at most */
    uint8_t settling = DRIVE_AFTER;   /* good ticks in a row until it may drive */
    uint8_t locked = 1u;              /* until the run switch was off for long enough */
    uint8_t long_off = 0u;            /* it was, and did not come on since */
    uint8_t ran = 0u;                 /* it might run at the tick before */

    start_board();
    pan_init(&state);
    start_ticks();
    for (;;) {
        pan_in in;
        pan_out out;
        const uint8_t ticks = wait_for_tick((uint8_t)(wrong < RESET_AFTER));
        uint8_t may_run;
        uint8_t good = 0u;

        if (ticks == 0u) {
            return 0; /* the stand-in has no more; a board never gets here */
        }
        may_run = run_switch();
        if (was_switched_off() != 0u) {
            locked = 0u;
            may_run = 0u; /* whatever it is by now: this tick is told of it */
            long_off = 1u;
        }
        if (long_off == 0u && (may_run == 0u || ran == 0u) && tripped() != 0u) {
            locked = 1u; /* nobody has switched it off: its reset may come on, but nothing is driven
                */
        }
        if (locked != 0u) {
            may_run = 0u;
        }
        ran = may_run;
        if (may_run != 0u) {
            long_off = 0u;
        }
        if (may_run == 0u) {
            settling = DRIVE_AFTER; /* a contact that bounces drives nothing */
        }
        if (ticks == 1u && read_inputs(&in, may_run) != 0u) {
            pan_step(&state, &in, &out);
            good = (uint8_t)(next_is_due() == 0u);
        }
        if (good == 0u) {
            safe_outputs();
            if (wrong < RESET_AFTER) {
                wrong = (uint16_t)(wrong + ticks);
            }
            if (lately < RESTART_AFTER) {
                lately = (uint16_t)(lately + ticks);
            }
            row = 0u;
            if (lately >= RESTART_AFTER) {
                if (tripped() != 0u) {
                    (void)was_switched_off(); /* what was before does not count */
                    locked = 1u; /* its reset might come on in the new start */
                }
                pan_restart(&state);
                settling = DRIVE_AFTER;
            } else if (settling != 0u) {
                settling = DRIVE_AFTER;
            }
            continue;
        }
        wrong = 0u;
        if (row < DRIVE_AFTER) {
            row++;
        }
        if (row >= DRIVE_AFTER) {
            lately = 0u;
        }
        if (may_run != 0u && settling == 0u && still_on() != 0u) {
            write_outputs(&out);
        } else {
            safe_outputs();
        }
        if (may_run != 0u && settling != 0u) {
            settling--;
        }
        tick_done();
    }
}
