//go:build ignore

/*
 * An example of a control loop around pan, to copy and to fill in: on an AVR part
 * with avr-libc it is a firmware
 *     (avr-gcc -mmcu=atmega328p -Os -I.. pan_loop_example.c),
 * elsewhere it plays pan a few ticks and prints what would go to the pins.
 *
 *   - A timer interrupt marks when a tick is due; the loop does the work. An interrupt is
 *     short that way, and a tick that comes too late is seen.
 *   - A missed tick (two are due), a late one (the next is due before the outputs are
 *     written) and a sensor that does not answer each set safe outputs and start the
 *     controller over: the time in between is unknown, and its state speaks of a tick
 *     ago.
 *   - The watchdog is fed by ticks that were done in time and by nothing else.
 *   - Live gains may be set from here between two ticks, or from one interrupt, with
 *     pan_set_...
 *
 * What the pins do until the first line of main runs is up to the board: give each driver
 * input a pull-down.
 * The first line tells the Go tool, which builds the folder's Go model, to pass over this
 * file.
 * Written by gainwright 0.1.0 from pan.yaml.
 */
#include <stdint.h>

#include "pan.h"

#if PAN_STAMP != UINT32_C(0x8c90ada9)
#error "pan.h comes from another spec than this file: run generate"
#endif

enum { REGISTERS = 4 };

#if defined(__AVR__)
/* ---- The board: ATmega328P ----------------------------------------------------------------- */

#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/sleep.h>
#include <avr/wdt.h>

#ifndef F_CPU
#define F_CPU 16000000
#endif

/* Clock cycles of a tick, 500 Hz; timer 1 has 16 bits and a divider before it. */
#define TICK ((F_CPU) * INT64_C(1) / INT64_C(500))
#if TICK <= 65536
#define DIVIDER 1
#define DIVIDER_BITS (1 << CS10)
#elif TICK <= 65536 * 8
#define DIVIDER 8
#define DIVIDER_BITS (1 << CS11)
#elif TICK <= INT64_C(65536) * 64
#define DIVIDER 64
#define DIVIDER_BITS ((1 << CS11) | (1 << CS10))
#elif TICK <= INT64_C(65536) * 256
#define DIVIDER 256
#define DIVIDER_BITS (1 << CS12)
#elif TICK <= INT64_C(65536) * 1024
#define DIVIDER 1024
#define DIVIDER_BITS ((1 << CS12) | (1 << CS10))
#else
#error "timer 1 is too short for this tick: count several interrupts"
#endif

static volatile uint8_t due; /* ticks since the loop looked last */

ISR(TIMER1_COMPA_vect)
{
    if (due < 255u) {
        due++;
    }
}

static void start_board(void)
{
    MCUSR = 0; /* after a reset by the watchdog it still runs, and fast */
    wdt_disable();
    DDRD = (1 << DDD5) | (1 << DDD6);
    DDRB = (1 << DDB0) | (1 << DDB1) | (1 << DDB2) | (1 << DDB3);
    TCCR0A = (1 << COM0A1) | (1 << COM0B1) | (1 << WGM01) | (1 << WGM00);
    TCCR0B = 1 << CS01;
    TCCR2A = (1 << COM2A1) | (1 << WGM21) | (1 << WGM20);
    TCCR2B = 1 << CS21;
    OCR1A = (uint16_t)(TICK / DIVIDER - 1);
    TCCR1B = (uint8_t)((1 << WGM12) | DIVIDER_BITS);
    TIMSK1 = 1 << OCIE1A;
    SMCR = 1 << SE; /* sleeping is idling: the timer goes on */
    wdt_enable(WDTO_15MS); /* at least two ticks */
    sei();
}

/* Waits until a tick is due; returns how many are. */
static uint8_t wait_for_tick(void)
{
    uint8_t n;
    for (;;) {
        cli();
        n = due;
        due = 0u;
        if (n != 0u) {
            sei();
            return n;
        }
        sei(); /* takes effect behind the next instruction: no interrupt is slept through */
        sleep_cpu();
    }
}

static uint8_t next_is_due(void)
{
    return due;
}

static void feed_watchdog(void)
{
    wdt_reset();
}

/* Reads the sensor's registers in one burst; 0 where it does not answer in time. Your
 * bus driver goes here. */
static uint8_t read_registers(uint8_t *registers)
{
    uint8_t i;
    for (i = 0u; i < REGISTERS; i++) {
        registers[i] = 0u;
    }
    return 1u;
}

/* A switch: number 0 is PC0 and so on; a switch that pulls its pin to ground is on. */
static uint8_t read_switch(uint8_t number)
{
    return (uint8_t)((PINC & (1u << number)) == 0u);
}

/* The size of an output in 1/255 of its range, and its direction: three channels with
 * one direction pin each. */
static void drive(uint8_t number, uint8_t duty, uint8_t backward)
{
    const uint8_t pin = (uint8_t)(1u << number);
    if (number > 2u) {
        return; /* no more channels here */
    }
    if (backward != 0u) {
        PORTB |= pin;
    } else {
        PORTB &= (uint8_t)~pin;
    }
    switch (number) {
    case 0u:
        OCR0A = duty;
        break;
    case 1u:
        OCR0B = duty;
        break;
    default:
        OCR2A = duty;
        break;
    }
}

#else
/* ---- The board: a stand-in on a computer --------------------------------------------------- */

#include <stdio.h>

static unsigned played;

static void start_board(void)
{
    printf("start\n");
}

/* Tick 5 comes too late, and behind tick 8 nothing comes. */
static uint8_t wait_for_tick(void)
{
    played++;
    return played > 8u ? 0u : (played == 5u ? 2u : 1u);
}

static uint8_t next_is_due(void)
{
    return (uint8_t)(played == 7u);
}

static void feed_watchdog(void)
{
    printf("tick %u: done in time\n", played);
}

static uint8_t read_registers(uint8_t *registers)
{
    uint8_t i;
    for (i = 0u; i < REGISTERS; i++) {
        registers[i] = (uint8_t)(played + i);
    }
    return (uint8_t)(played != 3u);
}

static uint8_t read_switch(uint8_t number)
{
    (void)number;
    return 1u;
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
 * answer. */
static uint8_t read_inputs(pan_in *in)
{
    uint8_t registers[REGISTERS];

    if (read_registers(registers) == 0u) {
        return 0u;
    }
    in->angle = (int16_t)signed_of(word_at(&registers[0]), UINT32_C(0x8000));
    in->wanted = (int16_t)signed_of(word_at(&registers[2]), UINT32_C(0x8000));
    in->run = read_switch(0u);
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
    drive_signed(0u, (int32_t)out->duty, INT32_C(1000));
}

static void safe_outputs(void)
{
    drive(0u, 0u, 0u); /* duty */
}

/* ---- The loop ------------------------------------------------------------------------------ */

int main(void)
{
    pan_state state;

    start_board();
    safe_outputs();
    pan_init(&state);
    for (;;) {
        pan_in in;
        pan_out out;
        const uint8_t ticks = wait_for_tick();
        if (ticks == 0u) {
            return 0; /* the stand-in has no more; a board never gets here */
        }
        if (ticks != 1u || read_inputs(&in) == 0u) {
            safe_outputs();
            pan_init(&state);
            continue; /* the watchdog is not fed: if this goes on, it resets the board */
        }
        pan_step(&state, &in, &out);
        if (next_is_due() != 0u) {
            safe_outputs();
            pan_init(&state);
            continue;
        }
        write_outputs(&out);
        feed_watchdog();
    }
}
