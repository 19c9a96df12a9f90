/* All that touches the ATmega328P: pins, serial line, time, sleep, watchdog, start-up tests. */
#ifndef CHIP_CHIP_H
#define CHIP_CHIP_H

#include <stdbool.h>
#include <stdint.h>

#include "core/accel.h"
#include "core/guard.h"
#include "core/health.h"

/* From the decision to read until the last bit it takes less than this, the decision's own reckoning
 * and interrupts between the bits included. What takes longer is marked, if it matters. */
#define READ_US UINT32_C(200)

/* Sets everything up, starts the converters anew, and begins to listen. */
void chip_start(void);

/* Why the start-up self-test failed; 0 if it passed. Bits: memory, flash, arithmetic. */
enum { FAILED_MEMORY = 1, FAILED_FLASH = 2, FAILED_ARITHMETIC = 4 };
uint8_t chip_self_test(void);

/* What the memory test leaves behind where nothing has been written since. */
#define STACK_PAINT 0xC5

/* Whether the stack has ever come near the variables. */
bool chip_stack_is_short(void);

/* The id kept in the EEPROM or, where there is none, the build's. */
void chip_board_id(uint8_t id[8]);

/* µs since start; wraps after 71.6 minutes. */
uint32_t chip_micros(void);

/* Sleeps until something happened: a line fell, a byte came, a transfer ended, the
 * moment of chip_wake_at() is there, or a timer's 33 ms are over. */
void chip_sleep(void);

void chip_watchdog_kick(void);

/* Cells whose line is low: a result waits, or the line is held. */
uint8_t chip_ready(void);

/* Cells whose line fell since the last call, and when. */
uint8_t chip_edges(uint32_t edge_us[CELLS]);

/* Clocks one result out of all four at once; the snapshots of the lines, first bit first.
 * Gives the cells whose line is still low after the 25th pulse: no converter does that. */
uint8_t chip_read(uint8_t lines[COUNT_BITS]);

/* Puts a frame on its way; false if there is no room for all of it. Never waits. */
bool chip_send(const uint8_t *line, uint8_t length);

/* Begins a transfer with the accelerometer; never waits. What was read is in it when it is done. */
void chip_bus_begin(struct accel_transfer *transfer);

/* How it stands, once begun. Busy for ever if somebody holds the bus. */
enum accel_bus chip_bus(void);

/* Gives the transfer up and clocks out whatever a sensor still wants to say: it may have been cut
 * in the middle of a byte, and then holds the data line. Takes 0.1 ms. */
void chip_bus_free(void);

/* chip_sleep() ends at when_us or up to 64 µs before, if that is less than 16 ms away. */
void chip_wake_at(uint32_t when_us);

/* The next byte from the host, if there is one. */
bool chip_heard(uint8_t *byte);

/* The supply as health_supply() wants it; starts the next measurement, never waits. */
uint16_t chip_reference_steps(void);

#endif
