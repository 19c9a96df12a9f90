/* Keeps a read out of the moments at which a converter renews its result.
 *
 * The four converters run on four clocks. Read when all four are ready, a faster one can finish its
 * next conversion in the middle of the read, and then the bits of two results come mixed in one
 * count, under a good CRC. So the guard follows each converter's own period from the falling edges
 * of its data line, and tells when a stretch of time touches a moment at which a result is due. The
 * main loop then waits until that moment is over; what it can't keep apart, it marks.
 *
 * No absolute accuracy of the converters' clocks is assumed, only that a period is within
 * MARGIN of the ones just before.
 */
#ifndef CORE_GUARD_H
#define CORE_GUARD_H

#include <stdbool.h>
#include <stdint.h>

#include "wire.h"

struct guard {
    uint32_t edge_us[CELLS];   /* when the line last fell */
    uint32_t period_us[CELLS]; /* estimate; 0 before the second edge */
    uint32_t read_us;          /* when the last read ended */
    uint8_t seen;              /* a bit a cell: edge_us holds */
    uint8_t locked;            /* a bit a cell: period_us was confirmed */
};

/* A read ended: all lines are high, and what falls now is a new result. */
void guard_read(struct guard *guard, uint32_t now_us);

/* The line of a cell fell. */
void guard_edge(struct guard *guard, uint8_t cell, uint32_t now_us);

/* A cell's converter was lost or started anew: what was known of it no longer holds. */
void guard_forget(struct guard *guard, uint8_t cell);

/* Whether a result of one of the cells may be renewed from from_us to to_us. If so, until_us is
 * when that moment is surely over; another may follow, so ask again. Only for locked cells. */
bool guard_due(const struct guard *guard, uint8_t cells, uint32_t from_us, uint32_t to_us,
               uint32_t *until_us);

/* When the last of the cells became ready; otherwise_us if none is known. */
uint32_t guard_newest(const struct guard *guard, uint8_t cells, uint32_t otherwise_us);

#endif
