#include "twi.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <simavr/avr_ioport.h>
#include <simavr/avr_twi.h>
#include <simavr/sim_io.h>

enum {
    TWBR = 0xB8, TWSR = 0xB9, TWDR = 0xBB, TWCR = 0xBC, /* data addresses */
    DDRC = 0x27, PORTC = 0x28,
    TWINT = 0x80, TWEA = 0x40, TWSTA = 0x20, TWSTO = 0x10, TWEN = 0x04,
    SDA = 4, SCL = 5,
    LOOK_AGAIN = 160, /* cycles: how soon a waiting unit sees that the line is free */
};

/* How far the unit is: nobody has the bus; the address comes next; it writes; it reads. */
enum place { IDLE, STARTED, WRITES, READS };
enum action { NOTHING, START, STOP, BYTE };

struct twi_met twi_met;

static avr_t *chip;
static avr_int_vector_t *vector;
static struct accelerometer *sensor;
static void (*pins_changed)(void);
static avr_irq_t *pin[2];
static enum place place;
static enum action action;
static bool takes_more;
static uint8_t byte;
static int sda_clocks; /* so many more until it is let go */
static bool scl_held;
static bool scl_was_high = true;

static bool is_pulled_up(int which)
{
    return (chip->data[PORTC] >> which & 1) || (sensor->address && !sensor->off);
}

/* As the bus has it. The chip's own pulling counts only as a plain pin. */
static bool is_high(int which)
{
    const bool by_hand = !(chip->data[TWCR] & TWEN);
    const bool pulled = by_hand && (chip->data[DDRC] >> which & 1) && !(chip->data[PORTC] >> which & 1);
    const bool held = which == SDA ? sda_clocks > 0 : scl_held;
    /* Driven by the unit, SCL is low most of the time. */
    const bool driven = which == SCL && !by_hand && place != IDLE;
    return !pulled && !held && !driven && is_pulled_up(which);
}

void twi_show_pins(void)
{
    for (int i = 0; i < 2; i++)
        if (!(chip->data[DDRC] >> (SDA + i) & 1))
            avr_raise_irq(pin[i], is_high(SDA + i));
}

static avr_cycle_count_t bit_cycles(void)
{
    static const int prescaler[] = {1, 4, 16, 64};
    const unsigned cycles = 16 + 2u * chip->data[TWBR] * (unsigned)prescaler[chip->data[TWSR] & 3];
    twi_met.hz = 16e6 / cycles;
    return cycles;
}

static void tell(uint8_t status)
{
    chip->data[TWSR] = (uint8_t)(status | (chip->data[TWSR] & 3));
    avr_raise_interrupt(chip, vector);
}

static void byte_is_over(void)
{
    const bool held = sda_clocks > 0;
    if (held && place != READS && byte != 0) {
        place = IDLE;
        twi_met.lost++;
        tell(0x38);
        return;
    }
    if (place == STARTED) {
        const bool there = accelerometer_called(sensor, byte);
        place = byte & 1 ? READS : WRITES;
        tell(byte & 1 ? (there ? 0x40 : 0x48) : (there ? 0x18 : 0x20));
    } else if (place == WRITES) {
        const bool there = sensor->address && !sensor->off;
        if (there)
            accelerometer_write(sensor, byte, (double)chip->cycle);
        tell(there ? 0x28 : 0x30);
    } else {
        chip->data[TWDR] = byte;
        tell(takes_more ? 0x50 : 0x58);
    }
}

static avr_cycle_count_t happens(avr_t *avr, avr_cycle_count_t when, void *unused)
{
    (void)avr, (void)unused;
    const enum action now = action;
    action = NOTHING;
    switch (now) {
    case START:
        /* A repeated start has SCL in its own hand. */
        if (sda_clocks > 0 || scl_held || (place == IDLE && !(is_high(SDA) && is_high(SCL)))) {
            action = START;
            return when + LOOK_AGAIN;
        }
        tell(place == IDLE ? 0x08 : 0x10);
        twi_met.transfers += place == IDLE;
        place = STARTED;
        break;
    case STOP:
        if (sda_clocks > 0 || scl_held) {
            action = STOP;
            return when + LOOK_AGAIN;
        }
        place = IDLE;
        chip->data[TWCR] &= (uint8_t)~TWSTO;
        break;
    case BYTE:
        byte_is_over();
        break;
    case NOTHING:
        break;
    }
    twi_show_pins();
    return 0;
}

static void after(enum action what, avr_cycle_count_t cycles)
{
    action = what;
    avr_cycle_timer_cancel(chip, happens, NULL);
    avr_cycle_timer_register(chip, cycles, happens, NULL);
}

static void on_control(avr_t *avr, avr_io_addr_t address, uint8_t value, void *unused)
{
    (void)unused;
    const uint8_t raised = avr->data[address] & TWINT;
    if (!(value & TWEN)) {
        avr_cycle_timer_cancel(avr, happens, NULL);
        avr_clear_interrupt(avr, vector);
        avr->data[address] = value & (uint8_t)~(TWINT | TWSTA | TWSTO);
        avr->data[TWSR] |= 0xF8;
        action = NOTHING;
        place = IDLE;
        twi_show_pins();
        return;
    }
    /* The flag is cleared by writing it, and only that lets the bus go on. */
    avr->data[address] = (uint8_t)((value & ~TWINT) | (value & TWINT ? 0 : raised));
    if (!(value & TWINT))
        return;
    avr_clear_interrupt(avr, vector);
    if (value & TWSTA) {
        after(START, 2 * bit_cycles());
    } else if (value & TWSTO) {
        after(STOP, 2 * bit_cycles());
    } else if (place != IDLE) {
        takes_more = value & TWEA;
        /* What it sends is looked up when its first bit is due. */
        byte = place == READS ? (sda_clocks > 0 ? 0 : accelerometer_read(sensor)) : avr->data[TWDR];
        after(BYTE, 9 * bit_cycles());
    }
}

static void on_data(avr_t *avr, avr_io_addr_t address, uint8_t value, void *unused)
{
    (void)unused;
    avr->data[address] = value;
}

/* Port C's own callbacks, for its direction and its outputs. */
static avr_io_write_t port_write[2];
static void *port[2];

static void on_pins(avr_t *avr, avr_io_addr_t address, uint8_t value, void *which)
{
    const int i = (int)(intptr_t)which;
    port_write[i](avr, address, value, port[i]);
    const bool high = is_high(SCL);
    if (!(chip->data[TWCR] & TWEN) && high && !scl_was_high) {
        twi_met.clocks++;
        sda_clocks -= sda_clocks > 0;
    }
    scl_was_high = high;
    twi_show_pins();
    pins_changed();
}

bool twi_is_reading(void)
{
    return place == READS && action == BYTE;
}

void twi_reset(void)
{
    /* Half of a byte: nothing but its clocks will make the sensor let go. */
    if (twi_is_reading())
        sda_clocks = 5;
    place = IDLE;
    action = NOTHING;
    twi_show_pins();
}

void twi_hold_sda(int clocks)
{
    sda_clocks = clocks;
    twi_show_pins();
}

void twi_hold_scl(bool held)
{
    scl_held = held;
    twi_show_pins();
}

void twi_attach(avr_t *avr, struct accelerometer *attached, void (*after_pins)(void))
{
    chip = avr;
    sensor = attached;
    pins_changed = after_pins;
    for (avr_io_t *io = avr->io_port; io; io = io->next)
        if (!strcmp(io->kind, "twi"))
            vector = &((avr_twi_t *)(void *)io)->twi;
    if (!vector)
        abort();
    avr->io[AVR_DATA_TO_IO(TWCR)].w.c = on_control;
    avr->io[AVR_DATA_TO_IO(TWDR)].w.c = on_data;
    for (int i = 0; i < 2; i++)
        pin[i] = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('C'), SDA + i);
    static const avr_io_addr_t addresses[] = {DDRC, PORTC};
    for (int i = 0; i < 2; i++) {
        const int io = AVR_DATA_TO_IO(addresses[i]);
        port_write[i] = avr->io[io].w.c;
        port[i] = avr->io[io].w.param;
        avr->io[io].w.c = on_pins;
        avr->io[io].w.param = (void *)(intptr_t)i;
    }
    twi_show_pins();
}
