/* What the board says of itself in each sample's status. */
#ifndef CORE_HEALTH_H
#define CORE_HEALTH_H

#include <stdbool.h>
#include <stdint.h>

#include "guard.h"
#include "wire.h"

enum { COUNT_BITS = 24 };
#define COUNT_MAX INT32_C(8388607)
#define COUNT_MIN (-COUNT_MAX - 1)
#define STUCK_AFTER_US UINT32_C(1000000)
#define NOMINAL_PERIOD_US UINT32_C(12500)
/* The host warns at 5 %; the board itself only where a rate pin must be wrong. */
#define RATE_TOLERANCE_US (NOMINAL_PERIOD_US / 10)

struct health {
    int32_t count[CELLS];
    uint32_t same_us[CELLS]; /* for how long the count has been the same, up to a second */
    uint32_t time_us;
    bool begun;
};

/* Twenty-four snapshots of the data lines, first bit first, become four signed counts. */
void unpack_counts(const uint8_t lines[COUNT_BITS], int32_t counts[CELLS]);

/* The cells' status bits: missing, saturated, stuck. A count of a missing cell is set to 0.
 * unanswered: cells whose line never fell. held_low: cells whose line did not rise after a read;
 * no converter does that, so they are missing too, and after a second stuck as well: that tells
 * a line to ground from a line to nowhere. */
uint16_t health_cells(struct health *health, struct sample *sample, uint8_t unanswered,
                      uint8_t held_low);

/* STATUS_RATE if one of the cells converts at another rate than the nominal one. */
uint16_t health_rate(const struct guard *guard, uint8_t cells);

/* STATUS_SUPPLY if the supply is low, told by the chip's 1.1 V reference in steps of supply/1023.
 * The reference is good to ±10 % (data sheet, from memory): below 3.8 V, where 16 MHz is no
 * longer safe, it is told for sure; above 4.6 V never. 0: not yet measured. */
uint16_t health_supply(uint16_t reference_steps);

#endif
