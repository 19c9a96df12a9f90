/* A model of the plate's accelerometer, with no simulator of a chip in it: time in cycles goes in.
 *
 * Registers of LIS3DH-class parts, as far as the firmware needs them. "(m)": a data sheet's
 * statement, from memory. "(guess)": how a real part behaves here is not known to us until measured.
 *
 * - Address 0x18, or 0x19 by a pin. A written byte chooses the register, its top bit lets it go on
 *   to the following ones (data sheet DocID17530 Rev 2, 6.1.1); further bytes are written.
 * - Powered down until a rate is chosen; only 100 a second is modelled, on a clock of its own.
 * - Values are two's complement, left justified, twelve bits with HR, ten without; 1, 2, 4 or 12 mg
 *   a digit of twelve bits by the range (m).
 * - A new result sets the ready bit in the status; reading all three high bytes clears it (m). One
 *   that nobody took is replaced. With BDU, a value whose low byte was read stays until its high
 *   byte was (m); without, its halves mix.
 * - After a change of mode seven readings are not settled (data sheet, table 11); the model then gives
 *   nonsense (guess, the harder case).
 * - The self-test adds `push` digits to every axis.
 * - Cut in the middle of a byte that it sends, it holds the data line until that byte's clocks have
 *   come: that is the bus's business, see twi.h.
 */
#ifndef ACCELEROMETER_H
#define ACCELEROMETER_H

#include <stdbool.h>
#include <stdint.h>

enum { AXES = 3 };
#define UNSETTLED 7

/* What an axis feels at a time, in mm/s². */
typedef double felt_by(void *source, int axis, uint32_t index, double seconds);

struct accelerometer {
    /* how it is built */
    uint8_t address; /* 0: there is none */
    double period;   /* cycles, at 100 a second */
    double jitter;   /* share of the period, uniform to both sides */
    int push;        /* digits of 2 mg */
    uint64_t dice;
    felt_by *felt;
    void *source;
    /* faults */
    bool off; /* not connected */
    /* state */
    uint8_t registers[64];
    uint8_t at;
    bool chosen, onward, fresh, half_read;
    uint8_t high_read;
    int unsettled;
    double due; /* cycle of the next result; 0: powered down */
    uint32_t index;
    /* the newest result */
    double edge;
    int digits[AXES];
    void (*on_taken)(struct accelerometer *sensor); /* all of a result was read */
    void (*on_started)(struct accelerometer *sensor); /* it begins to convert */
    uint32_t taken, replaced;
};

/* Power comes: every register as after a start. */
void accelerometer_start(struct accelerometer *sensor);
/* A result falls due; sets when the next one will. */
void accelerometer_due(struct accelerometer *sensor);
/* The bus: whether it answers to this first byte; takes or gives one. */
bool accelerometer_called(struct accelerometer *sensor, uint8_t first);
void accelerometer_write(struct accelerometer *sensor, uint8_t byte, double now);
uint8_t accelerometer_read(struct accelerometer *sensor);
#endif
