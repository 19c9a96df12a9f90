#include "health.h"

enum { SUPPLY_LOW_MV = 4200, REFERENCE_MV = 1100, STEPS = 1023 };
/* A silence is no proof that a count stood still: longer steps count as this. */
#define STEP_MAX_US UINT32_C(100000)

void unpack_counts(const uint8_t lines[COUNT_BITS], int32_t counts[CELLS])
{
    for (uint8_t cell = 0; cell < CELLS; cell++) {
        /* The first bit is the sign. */
        uint32_t bits = (lines[0] >> cell & 1) ? UINT32_MAX : 0;
        for (uint8_t bit = 1; bit < COUNT_BITS; bit++)
            bits = bits << 1 | (lines[bit] >> cell & 1);
        counts[cell] = (int32_t)bits;
    }
}

uint16_t health_cells(struct health *health, struct sample *sample, uint8_t unanswered,
                      uint8_t held_low)
{
    const uint8_t missing = unanswered | held_low;
    uint16_t status = (uint16_t)((uint16_t)missing << STATUS_MISSING);
    uint32_t step_us = health->begun ? sample->time_us - health->time_us : 0;
    if (step_us > STEP_MAX_US)
        step_us = STEP_MAX_US;

    for (uint8_t cell = 0; cell < CELLS; cell++) {
        int32_t *const count = &sample->counts[cell];
        if (missing >> cell & 1)
            *count = 0;
        if (unanswered >> cell & 1 || !health->begun || *count != health->count[cell])
            health->same_us[cell] = 0;
        else if (health->same_us[cell] < STUCK_AFTER_US)
            health->same_us[cell] += step_us;
        health->count[cell] = *count;

        /* A saturated count doesn't move either; that is no second fault. */
        if (*count == COUNT_MAX || *count == COUNT_MIN)
            status |= (uint16_t)(1u << (STATUS_SATURATED + cell));
        else if (health->same_us[cell] >= STUCK_AFTER_US)
            status |= (uint16_t)(1u << (STATUS_STUCK + cell));
    }
    health->time_us = sample->time_us;
    health->begun = true;
    return status;
}

uint16_t health_rate(const struct guard *guard, uint8_t cells)
{
    for (uint8_t cell = 0; cell < CELLS; cell++) {
        const uint32_t period_us = guard->period_us[cell];
        if ((cells & guard->locked & (1u << cell)) &&
            (period_us > NOMINAL_PERIOD_US + RATE_TOLERANCE_US ||
             period_us < NOMINAL_PERIOD_US - RATE_TOLERANCE_US))
            return STATUS_RATE;
    }
    return 0;
}

uint16_t health_supply(uint16_t reference_steps)
{
    const uint32_t low = (uint32_t)REFERENCE_MV * STEPS / SUPPLY_LOW_MV;
    return reference_steps > low ? STATUS_SUPPLY : 0;
}
