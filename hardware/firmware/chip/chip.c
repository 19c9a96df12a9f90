/* Wiring: PC0-PC3 the data lines of front left, front right, rear left, rear right; PB1 the clock
 * line of all four converters; PD0, PD1 the serial line; PC4, PC5 the accelerometer's SDA, SCL.
 * The accelerometer's bus itself is in bus.c. */
#include "chip.h"

#include <avr/eeprom.h>
#include <avr/interrupt.h>
#include <avr/io.h>
#include <avr/pgmspace.h>
#include <avr/sleep.h>
#include <avr/wdt.h>
#include <util/delay.h>

#include "bus.h"
#include "core/ring.h"

#define BAUD UINT32_C(500000)
#define DIVIDER (F_CPU / 16 / BAUD)
_Static_assert(DIVIDER * 16 * BAUD == F_CPU, "the line's speed must divide the clock exactly");

#define CLOCK_BIT (1u << PORTB1)
#define LINES PINC

/* How many pulses end a read: 25 choose channel A at a gain of 128 for the next result. Another
 * number is for the test that shows that the modelled converters mind. */
#ifndef READ_PULSES
#define READ_PULSES 25
#endif

/* Above 60 µs (data sheet, from memory) the converters power down; low again starts them anew. */
#define RESTART_US 100

/* Timer 0 counts 1,024 of the processor's cycles. */
#define ALARM_STEP_US 64

static struct ring outgoing;

enum { HEARD_SIZE = 32 };
static struct {
    uint8_t bytes[HEARD_SIZE];
    volatile uint8_t head, tail;
} heard;

volatile bool woken;
static volatile uint32_t timer_high; /* counts 32,768 µs */
static volatile uint32_t fell_us[CELLS];
static volatile uint8_t fell;     /* lines that fell since last asked */
static volatile uint8_t line_low; /* lines as last looked at */

/* ---- self-test ---------------------------------------------------------------------------- */

extern const uint8_t __heap_start; /* the linker's name for the first byte above the variables */

bool chip_stack_is_short(void)
{
    const volatile uint8_t *const end = &__heap_start;
    for (uint8_t i = 0; i < 16; i++)
        if (end[i] != STACK_PAINT)
            return true;
    return false;
}

/* The checksum of the program, set by the build after the first link; see seal.c. */
extern const uint16_t program_seal;
extern const uint8_t __data_load_end;

static bool flash_is_sound(void)
{
    const uint16_t end = (uint16_t)&__data_load_end;
    const uint16_t seal = (uint16_t)&program_seal;
    uint16_t crc = 0xFFFF;
    for (uint16_t at = 0; at < end; at++)
        if (at != seal && at != seal + 1)
            crc = crc16_byte(crc, pgm_read_byte(at));
    return crc == pgm_read_word(seal);
}

uint8_t chip_self_test(void)
{
    uint8_t failed = GPIOR0;
    if (!flash_is_sound())
        failed |= FAILED_FLASH;
    const uint8_t digits[] = {'1', '2', '3', '4', '5', '6', '7', '8', '9'};
    if (crc16(0xFFFF, digits, sizeof digits) != 0x29B1)
        failed |= FAILED_ARITHMETIC;
    return failed;
}

/* ---- start -------------------------------------------------------------------------------- */

void chip_start(void)
{
    PORTC = ALL_CELLS; /* pull-ups: a line to nowhere reads high, never ready */
    bus_start();
    DDRB = CLOCK_BIT;

    /* Timer 1 counts half microseconds. */
    TCCR1A = 0;
    TCCR1B = 1 << CS11;
    TIMSK1 = 1 << TOIE1;
    TIMSK0 = 1 << TOIE0;

    /* The speed bit before the divider: the simulator looks at it only then. */
    UCSR0A = 0;
    UBRR0 = DIVIDER - 1;
    UCSR0C = (1 << UCSZ01) | (1 << UCSZ00);
    UCSR0B = (1 << RXEN0) | (1 << TXEN0) | (1 << RXCIE0);

    /* The 1.1 V reference measured against the supply. */
    ADMUX = (1 << REFS0) | 0x0E;
    ADCSRA = (1 << ADEN) | (1 << ADPS2) | (1 << ADPS1) | (1 << ADPS0);

    PCICR = 1 << PCIE1;
    PCMSK1 = ALL_CELLS;

    wdt_enable(WDTO_250MS);

    /* A reset in the middle of a read leaves converters that wait for the rest of their pulses. */
    PORTB = CLOCK_BIT;
    _delay_us(RESTART_US);
    PORTB = 0;
    sei();
}

void chip_watchdog_kick(void)
{
    wdt_reset();
}

void chip_board_id(uint8_t id[8])
{
    /* Eight bytes and their CRC, from address 0. */
    struct {
        uint8_t id[8];
        uint16_t crc;
    } kept;
    eeprom_read_block(&kept, (const void *)0, sizeof kept);
    const bool good = crc16(0xFFFF, kept.id, sizeof kept.id) == kept.crc;
    for (uint8_t i = 0; i < 8; i++)
        id[i] = good ? kept.id[i] : (uint8_t)(BOARD_ID >> 8 * i);
}

/* ---- time and sleep ----------------------------------------------------------------------- */

/* With interrupts off. */
static inline uint32_t micros_now(void)
{
    uint32_t high = timer_high;
    const uint16_t low = TCNT1;
    /* It wrapped, but its interrupt has not run yet. */
    if ((TIFR1 & (1 << TOV1)) && low < 0x8000)
        high++;
    return high << 15 | low >> 1;
}

uint32_t chip_micros(void)
{
    cli();
    const uint32_t now_us = micros_now();
    sei();
    return now_us;
}

ISR(TIMER1_OVF_vect)
{
    timer_high++;
    woken = true;
}

/* Timer 0 does nothing else, and timer 1 is left alone: it keeps the time. */
void chip_wake_at(uint32_t when_us)
{
    const int32_t ahead_us = (int32_t)(when_us - chip_micros());
    TCCR0B = 0;
    if (ahead_us < ALARM_STEP_US) { /* not worth sleeping */
        woken = true;
        return;
    }
    if (ahead_us > 255 * ALARM_STEP_US)
        return;
    /* Running first: the simulator forgets what is written into a timer that stands. */
    TCCR0B = (1 << CS02) | (1 << CS00);
    TCNT0 = (uint8_t)(255 - ahead_us / ALARM_STEP_US);
}

ISR(TIMER0_OVF_vect)
{
    TCCR0B = 0;
    woken = true;
}

void chip_sleep(void)
{
    set_sleep_mode(SLEEP_MODE_IDLE);
    cli();
    while (!woken) {
        sleep_enable();
        sei();
        sleep_cpu(); /* the instruction after sei() runs before any interrupt */
        sleep_disable();
        cli();
    }
    woken = false;
    sei();
}

/* ---- converters --------------------------------------------------------------------------- */

/* With interrupts off. */
static inline void look_at_lines(void)
{
    const uint8_t low = (uint8_t)~LINES & ALL_CELLS;
    const uint8_t now_low = low & (uint8_t)~line_low;
    line_low = low;
    if (!now_low)
        return;
    const uint32_t now_us = micros_now();
    for (uint8_t cell = 0; cell < CELLS; cell++)
        if (now_low & (1u << cell))
            fell_us[cell] = now_us;
    fell |= now_low;
    woken = true;
}

ISR(PCINT1_vect)
{
    look_at_lines();
}

uint8_t chip_ready(void)
{
    return (uint8_t)~LINES & ALL_CELLS;
}

uint8_t chip_edges(uint32_t edge_us[CELLS])
{
    cli();
    const uint8_t cells = fell;
    fell = 0;
    for (uint8_t cell = 0; cell < CELLS; cell++)
        edge_us[cell] = fell_us[cell];
    sei();
    return cells;
}

/* One pulse. High for 0.5 µs (at least 0.2 are needed; the bit is out 0.1 µs after the rise: data
 * sheet, from memory), and nothing may stretch it: an interrupt in it could take the clock over
 * the 60 µs at which the converters power down. */
static inline void pulse(void)
{
    cli();
    PORTB |= CLOCK_BIT;
    _delay_us(0.375);
    PORTB &= (uint8_t)~CLOCK_BIT;
    sei();
}

uint8_t chip_read(uint8_t lines[COUNT_BITS])
{
    PCMSK1 = 0; /* bits are no edges */
    for (uint8_t bit = 0; bit < COUNT_BITS; bit++) {
        pulse();
        lines[bit] = LINES;
    }
    for (uint8_t more = COUNT_BITS; more < READ_PULSES; more++)
        pulse();
    cli();
    const uint8_t held = (uint8_t)~LINES & ALL_CELLS;
    PCIFR = 1 << PCIF1;
    PCMSK1 = ALL_CELLS;
    line_low = held;
    look_at_lines(); /* one may have fallen between the two looks */
    sei();
    return held;
}

/* ---- serial line -------------------------------------------------------------------------- */

bool chip_send(const uint8_t *line, uint8_t length)
{
    if (!ring_put(&outgoing, line, length))
        return false;
    cli();
    UCSR0B |= 1 << UDRIE0;
    sei();
    return true;
}

ISR(USART_UDRE_vect)
{
    uint8_t byte;
    if (ring_take(&outgoing, &byte))
        UDR0 = byte;
    else
        UCSR0B &= (uint8_t)~(1 << UDRIE0);
}

ISR(USART_RX_vect)
{
    const uint8_t byte = UDR0;
    const uint8_t next = (uint8_t)((heard.head + 1) % HEARD_SIZE);
    if (next != heard.tail) {
        heard.bytes[heard.head] = byte;
        heard.head = next;
    }
    woken = true;
}

bool chip_heard(uint8_t *byte)
{
    const uint8_t tail = heard.tail;
    if (tail == heard.head)
        return false;
    *byte = heard.bytes[tail];
    heard.tail = (uint8_t)((tail + 1) % HEARD_SIZE);
    return true;
}

/* ---- supply ------------------------------------------------------------------------------- */

uint16_t chip_reference_steps(void)
{
    static bool begun;
    const uint16_t steps = begun ? ADC : 0;
    begun = true;
    ADCSRA |= 1 << ADSC;
    return steps;
}
