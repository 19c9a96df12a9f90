/* A model of the four converters, with no simulator of a chip in it: time in cycles goes in.
 *
 * What is modelled, and where it is from. "(m)": a data sheet's statement, from memory. "(guess)":
 * how a real part behaves here is not known to us until measured.
 *
 * - Each converter runs on a clock of its own: a result every `period`, with jitter. (m)
 * - A new result pulls the data line low. (m) If the result before was not taken, the line simply
 *   stays low (guess; the harder case, since nothing is seen from outside), and the old one is lost.
 * - 24 pulses give the result, first bit first, each bit after the rise of the clock. (m) The 25th
 *   raises the line. (m) 25, 26, 27 pulses choose channel A at 128, B at 32, A at 64 for the next
 *   result. (m) Nothing is connected to B.
 * - A result that falls due in the middle of a read does one of two things (guess):
 *     RENEW: the register is replaced, so the bits still to come are those of the new result;
 *     AGAIN: the register is replaced, and the next pulse begins with its first bit.
 *   Both give a count that is neither result. Skipping the conversion would hide the fault.
 * - Pulses at a line that is high (no result) do nothing (guess); they are counted.
 * - The clock high for more than 60 µs: power down, line high. Low again: starts anew at A 128;
 *   the first result comes after the settling time, four periods. (m)
 */
#ifndef CONVERTER_H
#define CONVERTER_H

#include <stdbool.h>
#include <stdint.h>

#define CYCLES_PER_US 16.0
#define POWER_DOWN_US 60.0
#define PAUSE_US 1000.0 /* between two reads there is at least this */
enum { CELLS = 4, SETTLING_PERIODS = 4, TOP = 8388607, BOTTOM = -8388608 };

enum collision { RENEW, AGAIN };
enum gain { GAIN_A128, GAIN_B32, GAIN_A64 };

/* What a converter's input sees: the count at a gain of 128 before it is cut to 24 bits. */
typedef double input_of(void *source, int cell, uint32_t index, double seconds);

struct converter {
    /* how it is built */
    double period;      /* cycles */
    double jitter;      /* share of the period, uniform to both sides */
    double offset;      /* cycles by which its first result comes late */
    /* faults */
    bool open, grounded, saturated, stuck;
    /* state */
    bool line;          /* true: high */
    bool down;          /* powered down */
    bool ready;         /* a result waits */
    double due;         /* cycle of the next result */
    double edge;        /* cycle at which the line last fell */
    uint32_t index;     /* of the next result, counting from 0 */
    int32_t result;     /* in the register */
    uint32_t result_index;
    int pulses;         /* of the read at hand */
    enum gain gain;
    /* the read at hand, as it began */
    int32_t truth;
    uint32_t truth_index;
    double truth_edge;
    bool collided;
};

struct read {
    double begin, end; /* cycles: the first rise, the 25th */
    int clocked;       /* converters that had a result when it began */
};

struct converters {
    struct converter cell[CELLS];
    enum collision collision;
    double noise; /* rms counts */
    uint64_t dice;
    input_of *input;
    void *source;
    bool clock;
    double rose;
    int burst; /* pulses without a pause */
    struct read read;
    void (*on_read)(struct converters *all); /* at the 25th rise */
    /* what was met */
    double clock_high_max; /* cycles, without the wanted restarts */
    double read_max;       /* cycles */
    uint32_t restarts, reads, collisions, pulses_at_no_result;
};

void converters_start(struct converters *all, double now);
void converters_clock(struct converters *all, bool high, double now);
/* A result of this cell falls due; sets when the next one will. */
void converters_due(struct converters *all, int cell, double now);
/* The level of a cell's line as the chip sees it, faults included. */
bool converter_line(const struct converter *c);

#endif
