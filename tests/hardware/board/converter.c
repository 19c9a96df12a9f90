#include "converter.h"

#include <math.h>

static double uniform(struct converters *all)
{
    all->dice ^= all->dice << 13;
    all->dice ^= all->dice >> 7;
    all->dice ^= all->dice << 17;
    return (double)(all->dice >> 11) / 9007199254740992.0; /* 2^53 */
}

/* The sum of twelve dice: near enough to a bell for a converter's noise. */
static double bell(struct converters *all)
{
    double sum = -6.0;
    for (int i = 0; i < 12; i++)
        sum += uniform(all);
    return sum;
}

static void power_up(struct converters *all, struct converter *c, double now)
{
    (void)all;
    c->down = c->ready = c->collided = false;
    c->line = true;
    c->pulses = 0;
    c->gain = GAIN_A128;
    c->due = now + SETTLING_PERIODS * c->period + c->offset;
}

void converters_start(struct converters *all, double now)
{
    for (int i = 0; i < CELLS; i++)
        power_up(all, &all->cell[i], now);
}

bool converter_line(const struct converter *c)
{
    return c->open || (!c->grounded && c->line);
}

static bool bit_of(int32_t value, int number)
{
    return (uint32_t)value >> (24 - number) & 1;
}

static void rise(struct converters *all, struct converter *c)
{
    if (c->down)
        return;
    if (!c->ready && c->pulses == 0) {
        all->pulses_at_no_result++;
        return;
    }
    if (c->pulses == 0) {
        c->truth = c->result;
        c->truth_index = c->result_index;
        c->truth_edge = c->edge;
        c->collided = false;
    }
    c->pulses++;
    if (c->pulses <= 24) {
        c->line = bit_of(c->result, c->pulses);
        return;
    }
    c->line = true;
    c->ready = false;
    c->gain = c->pulses == 25 ? GAIN_A128 : c->pulses == 26 ? GAIN_B32 : GAIN_A64;
}

void converters_clock(struct converters *all, bool high, double now)
{
    if (high == all->clock)
        return;
    all->clock = high;
    if (high) {
        if (all->burst == 0 || now - all->rose > PAUSE_US * CYCLES_PER_US) {
            all->burst = 0;
            all->read.begin = now;
            all->read.clocked = 0;
            for (int i = 0; i < CELLS; i++)
                all->read.clocked += all->cell[i].ready;
        }
        all->rose = now;
        all->burst++;
        for (int i = 0; i < CELLS; i++)
            rise(all, &all->cell[i]);
        if (all->burst == 25) {
            all->read.end = now;
            all->reads++;
            if (now - all->read.begin > all->read_max)
                all->read_max = now - all->read.begin;
            all->on_read(all);
        }
        return;
    }
    const double high_for = now - all->rose;
    if (high_for > POWER_DOWN_US * CYCLES_PER_US) {
        all->restarts++;
        all->burst = 0;
        converters_start(all, now);
    } else if (high_for > all->clock_high_max) {
        all->clock_high_max = high_for;
    }
}

static int32_t convert(struct converters *all, struct converter *c, int cell, double now)
{
    if (c->stuck)
        return c->result;
    double count = all->input(all->source, cell, c->index, now / (CYCLES_PER_US * 1e6));
    if (c->gain == GAIN_A64)
        count /= 2;
    else if (c->gain == GAIN_B32)
        count = 0;
    if (all->noise > 0)
        count += all->noise * bell(all);
    if (c->saturated)
        count = TOP;
    return (int32_t)fmax(BOTTOM, fmin(TOP, floor(count + 0.5)));
}

void converters_due(struct converters *all, int cell, double now)
{
    struct converter *const c = &all->cell[cell];
    const double exact = c->due;
    c->due += c->period * (1 + c->jitter * (2 * uniform(all) - 1));
    if (all->clock && now - all->rose > POWER_DOWN_US * CYCLES_PER_US) {
        c->down = true;
        c->line = true;
    }
    if (c->down)
        return;

    const int32_t value = convert(all, c, cell, exact);
    const bool in_read = c->pulses > 0 && c->pulses < 25;
    c->result = value;
    c->result_index = c->index++;
    if (in_read) {
        all->collisions++;
        c->collided = true;
        if (all->collision == RENEW) {
            c->line = bit_of(value, c->pulses);
            return;
        }
    }
    if (c->line) /* a line that is low already shows nothing */
        c->edge = exact;
    c->ready = true;
    c->pulses = 0;
    c->line = false;
}
