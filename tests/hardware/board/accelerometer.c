#include "accelerometer.h"

#include <math.h>
#include <string.h>

#define CYCLES_PER_SECOND 16e6
#define MM_S2_PER_MG 9.80665

enum {
    WHO_AM_I = 0x0F,
    CONTROL_1 = 0x20,
    CONTROL_4 = 0x23,
    STATUS = 0x27,
    VALUES = 0x28,
    ALL_HIGH = 0x07,
};

static double uniform(struct accelerometer *sensor)
{
    sensor->dice ^= sensor->dice << 13;
    sensor->dice ^= sensor->dice >> 7;
    sensor->dice ^= sensor->dice << 17;
    return (double)(sensor->dice >> 11) / 9007199254740992.0;
}

void accelerometer_start(struct accelerometer *sensor)
{
    memset(sensor->registers, 0, sizeof sensor->registers);
    sensor->registers[WHO_AM_I] = 0x33;
    sensor->registers[CONTROL_1] = 0x07;
    sensor->due = 0;
    sensor->fresh = sensor->half_read = false;
}

static int converted(struct accelerometer *sensor, int axis, double now)
{
    static const int mg[] = {1, 2, 4, 12};
    const uint8_t control = sensor->registers[CONTROL_4];
    if (sensor->unsettled)
        return (int)(sensor->index * 977 + (uint32_t)axis * 331) % 4096 - 2048;
    double digits = sensor->felt(sensor->source, axis, sensor->index, now / CYCLES_PER_SECOND) /
                    (mg[control >> 4 & 3] * MM_S2_PER_MG);
    if (control & 0x02)
        digits += sensor->push * 2.0 / mg[control >> 4 & 3];
    digits = fmax(-2048, fmin(2047, floor(digits + 0.5)));
    return control & 0x08 ? (int)digits : (int)digits & ~3;
}

void accelerometer_due(struct accelerometer *sensor)
{
    const double exact = sensor->due;
    sensor->due += sensor->period * (1 + sensor->jitter * (2 * uniform(sensor) - 1));
    if ((sensor->registers[CONTROL_4] & 0x80) && sensor->half_read)
        return;
    sensor->replaced += sensor->fresh;
    for (int axis = 0; axis < AXES; axis++) {
        sensor->digits[axis] = converted(sensor, axis, exact);
        const uint16_t raw = (uint16_t)(sensor->digits[axis] * 16);
        sensor->registers[VALUES + 2 * axis] = (uint8_t)raw;
        sensor->registers[VALUES + 2 * axis + 1] = (uint8_t)(raw >> 8);
    }
    sensor->unsettled -= sensor->unsettled > 0;
    sensor->index++;
    sensor->edge = exact;
    sensor->fresh = true;
    sensor->high_read = 0;
    sensor->registers[STATUS] = 0x0F;
}

bool accelerometer_called(struct accelerometer *sensor, uint8_t first)
{
    if (sensor->address == 0 || sensor->off || first >> 1 != sensor->address)
        return false;
    if (!(first & 1))
        sensor->chosen = false; /* the register comes next */
    return true;
}

static void move_on(struct accelerometer *sensor)
{
    if (sensor->onward)
        sensor->at = (sensor->at + 1) & 0x3F;
}

void accelerometer_write(struct accelerometer *sensor, uint8_t byte, double now)
{
    if (!sensor->chosen) {
        sensor->chosen = true;
        sensor->at = byte & 0x3F;
        sensor->onward = byte & 0x80;
        return;
    }
    sensor->registers[sensor->at] = byte;
    if (sensor->at == CONTROL_1) {
        const bool on = (byte & 0xF0) == 0x50;
        if (on && sensor->due == 0) {
            sensor->due = now + sensor->period;
            sensor->on_started(sensor);
        }
        if (!on)
            sensor->due = 0;
    }
    if (sensor->at == CONTROL_1 || sensor->at == CONTROL_4)
        sensor->unsettled = UNSETTLED;
    move_on(sensor);
}

uint8_t accelerometer_read(struct accelerometer *sensor)
{
    const uint8_t byte = sensor->registers[sensor->at];
    if (sensor->at >= VALUES && sensor->at < VALUES + 2 * AXES) {
        sensor->half_read = !(sensor->at & 1);
        if (sensor->at & 1)
            sensor->high_read |= (uint8_t)(1 << (sensor->at - VALUES) / 2);
        if (sensor->high_read == ALL_HIGH && sensor->fresh) {
            sensor->fresh = false;
            sensor->registers[STATUS] = 0;
            sensor->taken++;
            sensor->on_taken(sensor);
        }
    }
    move_on(sensor);
    return byte;
}
