#include "guard.h"

/* No converter of this kind is faster, at 80 a second, or slower, at 10, clocks far off included. */
#define PERIOD_MIN_US UINT32_C(9000)
#define PERIOD_MAX_US UINT32_C(130000)
/* An edge may be stamped this late: other interrupts' lengths. Measured: 30 with the accelerometer's
 * bus running, 21 without. */
#define LATENCY_US UINT32_C(32)
/* Further ahead than this many periods nothing is foretold. Eight are needed where one converter
 * runs at 10 a second and makes the others wait. */
enum { AHEAD = 12 };

/* How far a result may come from where it is foretold: 0.8 % of a period and the stamp's lateness.
 * The jitter of a real converter's clock is not known to us; this is our own choice. */
static uint32_t margin_us(uint32_t period_us)
{
    return period_us / 128 + LATENCY_US;
}

static uint32_t apart(uint32_t a, uint32_t b)
{
    return a > b ? a - b : b - a;
}

void guard_forget(struct guard *guard, uint8_t cell)
{
    const uint8_t bit = (uint8_t)(1u << cell);
    guard->seen &= (uint8_t)~bit;
    guard->locked &= (uint8_t)~bit;
    guard->period_us[cell] = 0;
}

void guard_read(struct guard *guard, uint32_t now_us)
{
    guard->read_us = now_us;
}

/* Whether an interval between two edges is one period, not several whose results nobody took: it is
 * too short for two, or the read that raised the line came in its first half, and from the read to
 * the next edge it is never more than a period. */
static bool is_single(uint32_t interval_us, uint32_t since_read_us)
{
    return interval_us < 2 * PERIOD_MIN_US || since_read_us > interval_us / 2;
}

void guard_edge(struct guard *guard, uint8_t cell, uint32_t now_us)
{
    const uint8_t bit = (uint8_t)(1u << cell);
    const uint32_t interval_us = now_us - guard->edge_us[cell];
    uint32_t *const period_us = &guard->period_us[cell];

    guard->edge_us[cell] = now_us;
    if (!(guard->seen & bit)) {
        guard->seen |= bit;
        return;
    }
    if (!(guard->locked & bit)) {
        const bool fits = interval_us >= PERIOD_MIN_US && interval_us <= PERIOD_MAX_US &&
                          is_single(interval_us, now_us - guard->read_us);
        /* Two of them must agree. */
        if (fits && apart(interval_us, *period_us) < interval_us / 64)
            guard->locked |= bit;
        *period_us = fits ? interval_us : 0;
        return;
    }
    uint8_t periods = 1;
    uint32_t whole_us = *period_us;
    while (periods < AHEAD && interval_us > whole_us + *period_us / 2) {
        whole_us += *period_us;
        periods++;
    }
    if (apart(interval_us, whole_us) > periods * margin_us(*period_us)) {
        guard->locked &= (uint8_t)~bit;
        *period_us = 0;
        return;
    }
    const uint32_t mean_us = periods == 1 ? interval_us : interval_us / periods;
    /* A quarter of the way: follows warming up, smooths the lateness of stamps. */
    *period_us += ((int32_t)(mean_us - *period_us) + 2) >> 2;
}

bool guard_due(const struct guard *guard, uint8_t cells, uint32_t from_us, uint32_t to_us,
               uint32_t *until_us)
{
    for (uint8_t cell = 0; cell < CELLS; cell++) {
        if (!(cells & guard->locked & (1u << cell)))
            continue;
        const uint32_t period_us = guard->period_us[cell];
        const uint32_t margin = margin_us(period_us);
        const uint32_t begin_us = from_us - guard->edge_us[cell];
        const uint32_t end_us = to_us - guard->edge_us[cell];
        for (uint8_t ahead = 1; ahead <= AHEAD; ahead++) {
            const uint32_t due_us = ahead * period_us;
            const uint32_t slack_us = ahead * margin;
            if (due_us - slack_us > end_us)
                break;
            if (due_us + slack_us >= begin_us) {
                *until_us = guard->edge_us[cell] + due_us + slack_us + 1;
                return true;
            }
        }
    }
    return false;
}

uint32_t guard_newest(const struct guard *guard, uint8_t cells, uint32_t otherwise_us)
{
    bool any = false;
    uint32_t newest_us = otherwise_us;
    for (uint8_t cell = 0; cell < CELLS; cell++) {
        if (!(cells & guard->seen & (1u << cell)))
            continue;
        if (!any || (int32_t)(guard->edge_us[cell] - newest_us) > 0)
            newest_us = guard->edge_us[cell];
        any = true;
    }
    return newest_us;
}
