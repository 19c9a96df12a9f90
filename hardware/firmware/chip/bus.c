/* The accelerometer's bus: PC4 SDA, PC5 SCL. Driven by interrupt, a few µs a byte, so that neither
 * the main loop nor a read of the converters ever waits for it. */
#include "bus.h"

#include <avr/interrupt.h>
#include <avr/io.h>
#include <util/delay.h>
#include <util/twi.h>

#include "chip.h"

/* Half of what the sensor can do: a level shifter and a cable take time. */
#define BUS_HZ UINT32_C(200000)
#define DIVIDER ((F_CPU / BUS_HZ - 16) / 2)
_Static_assert(DIVIDER <= 255 && (2 * DIVIDER + 16) * BUS_HZ == F_CPU, "the bus's speed");

#define SDA (1u << PORTC4)
#define SCL (1u << PORTC5)

/* Nine bring any byte to its end. Another number is for the test that shows that they are needed. */
#ifndef FREEING_CLOCKS
#define FREEING_CLOCKS 9
#endif

static struct accel_transfer *transfer;
static uint8_t at; /* bytes of the transfer that are over */
static volatile enum accel_bus state = ACCEL_BUS_FAILED;

/* What the bus does next. Writing TWINT lets it go on. */
enum {
    GO = (1 << TWINT) | (1 << TWEN) | (1 << TWIE),
    GO_AND_TAKE = GO | (1 << TWEA), /* a byte, and another one after it */
    BEGIN = GO | (1 << TWSTA),
    END = (1 << TWINT) | (1 << TWEN) | (1 << TWSTO),
};

static void end(enum accel_bus how)
{
    TWCR = END;
    state = how;
    woken = true;
}

ISR(TWI_vect)
{
    uint8_t next = GO;
    switch (TW_STATUS) {
    case TW_START:
        TWDR = (uint8_t)(transfer->address << 1 | TW_WRITE);
        break;
    case TW_REP_START:
        TWDR = (uint8_t)(transfer->address << 1 | TW_READ);
        break;
    case TW_MT_SLA_ACK:
        TWDR = transfer->reg;
        break;
    case TW_MT_DATA_ACK:
        if (!transfer->write) {
            next = BEGIN;
        } else if (at < transfer->count) {
            TWDR = transfer->data[at++];
        } else {
            end(ACCEL_BUS_DONE);
            return;
        }
        break;
    case TW_MR_DATA_ACK:
        transfer->data[at++] = TWDR;
        /* fall through */
    case TW_MR_SLA_ACK:
        if (at + 1 < transfer->count)
            next = GO_AND_TAKE;
        break;
    case TW_MR_DATA_NACK:
        transfer->data[at++] = TWDR;
        end(ACCEL_BUS_DONE);
        return;
    default: /* nobody there, or a fault of the bus */
        end(ACCEL_BUS_FAILED);
        return;
    }
    TWCR = next;
}

void bus_start(void)
{
    TWBR = DIVIDER;
    TWSR = 0;
    chip_bus_free(); /* a reset may have cut a transfer */
}

void chip_bus_begin(struct accel_transfer *begun)
{
    transfer = begun;
    at = 0;
    state = ACCEL_BUS_BUSY;
    TWCR = BEGIN;
}

enum accel_bus chip_bus(void)
{
    /* It is over when both lines are high again. If one is held, what was read is not to be
     * believed either. */
    if (!(TWCR & (1 << TWSTO)) && !(~PINC & (SDA | SCL)))
        return state;
    if (state != ACCEL_BUS_BUSY)
        woken = true; /* only the stop is missing, and no interrupt tells of it */
    return ACCEL_BUS_BUSY;
}

/* A line is pulled down or let go, never driven high: the other end may hold it low. */
static void pull(uint8_t line)
{
    PORTC &= (uint8_t)~line;
    DDRC |= line;
    _delay_us(5);
}

static void let_go(uint8_t line)
{
    DDRC &= (uint8_t)~line;
    PORTC |= line;
    _delay_us(5);
}

void chip_bus_free(void)
{
    TWCR = 0;
    let_go(SDA);
    let_go(SCL);
    for (uint8_t clock = 0; clock < FREEING_CLOCKS; clock++) {
        pull(SCL);
        let_go(SCL);
    }
    /* A stop: SDA rises while SCL is high. */
    pull(SCL);
    pull(SDA);
    let_go(SCL);
    let_go(SDA);
    state = ACCEL_BUS_FAILED;
}
