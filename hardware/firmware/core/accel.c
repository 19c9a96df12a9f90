#include "accel.h"

enum {
    MISSES_MAX = 3,
    /* Seven readings after a change of mode (data sheet, table 11), and one more. */
    SETTLING = 8,
    AVERAGED = 4,
    /* The push must move each axis by 68 to 1,440 mg (m): 17 to 360 digits of 4 mg. */
    PUSH_MIN = 34 * AVERAGED,
    PUSH_MAX = 720 * AVERAGED,
    /* Who moves the plate during a test can fail it: only three in a row count. */
    ATTEMPTS = 3,

    RATE_100_ALL_AXES = 0x57,
    /* Halves of one value never mix, ±4 g, twelve bits. */
    WHOLE_4G_TWELVE_BITS = 0x98,
    PUSH = 0x02,
};

/* From the beginning of a status transfer until the sensor looks its status up: two starts and three
 * bytes at 200 kHz are 155 µs, and the chip hesitates a little at each. */
#define LOOK_US UINT32_C(180)

int16_t accel_digits(const uint8_t bytes[2])
{
    const uint16_t raw = (uint16_t)(bytes[0] | (uint16_t)bytes[1] << 8);
    const int16_t digits = (int16_t)(raw >> 4);
    return digits > ACCEL_DIGIT_MAX ? (int16_t)(digits - 4096) : digits;
}

int32_t accel_mm_s2(int16_t digits)
{
    /* 19.6133 mm/s² a digit; a half never comes up. */
    const int32_t scaled = (int32_t)digits * INT32_C(196133);
    return (scaled + (scaled < 0 ? -5000 : 5000)) / 10000;
}

static bool is_over(uint32_t now_us, uint32_t end_us)
{
    return (int32_t)(now_us - end_us) >= 0;
}

static void tell_missing(struct accel *accel, uint32_t now_us)
{
    accel->reading = (struct acceleration){.time_us = now_us, .status = ACCELERATION_MISSING};
    accel->untold = true;
    accel->told_us = now_us;
}

static void lose(struct accel *accel, uint32_t now_us)
{
    /* From then on it is told, at once and again and again. */
    if (accel->answered && !accel->lost)
        tell_missing(accel, now_us);
    accel->lost = accel->answered;
    /* What has just been lost may be back at once; what has been searched in vain is given time. */
    accel->wake_us = now_us + (accel->phase == ACCEL_SEARCH ? ACCEL_RETRY_US : 0);
    accel->phase = ACCEL_SEARCH;
    accel->misses = 0;
}

static void missed(struct accel *accel, uint32_t now_us)
{
    accel->wake_us = now_us;
    if (accel->phase == ACCEL_SEARCH) {
        const bool second = accel->transfer.address & 1;
        accel->transfer.address ^= 1;
        if (second) {
            accel->searched = true;
            lose(accel, now_us);
        }
    } else if (++accel->misses >= MISSES_MAX) {
        lose(accel, now_us);
    } else {
        accel->wake_us = now_us + ACCEL_POLL_US;
    }
}

static void configure(struct accel *accel, enum accel_stage stage)
{
    accel->phase = ACCEL_CONFIGURE;
    accel->stage = stage;
    accel->skip = SETTLING;
    accel->summed = 0;
}

static bool push_is_right(const struct accel *accel)
{
    for (uint8_t axis = 0; axis < AXES; axis++) {
        const int16_t push = accel->push[axis];
        const int16_t size = push < 0 ? (int16_t)-push : push;
        if (size < PUSH_MIN || size > PUSH_MAX)
            return false;
    }
    return true;
}

/* One more reading of a self-test. */
static void test(struct accel *accel, const int16_t digits[AXES])
{
    for (uint8_t axis = 0; axis < AXES; axis++) {
        if (accel->stage == ACCEL_AT_REST)
            accel->push[axis] -= digits[axis];
        else
            accel->push[axis] += digits[axis];
    }
    if (++accel->summed < AVERAGED)
        return;
    if (accel->stage == ACCEL_AT_REST) {
        configure(accel, ACCEL_PUSHED);
        return;
    }
    accel->failed = !push_is_right(accel);
    for (uint8_t axis = 0; axis < AXES; axis++)
        accel->push[axis] = 0;
    if (accel->failed && ++accel->attempts < ATTEMPTS)
        configure(accel, ACCEL_AT_REST);
    else
        configure(accel, ACCEL_LIVE);
}

static void fetched(struct accel *accel)
{
    int16_t digits[AXES];
    for (uint8_t axis = 0; axis < AXES; axis++)
        digits[axis] = accel_digits(&accel->transfer.data[2 * axis]);
    accel->phase = ACCEL_POLL;
    if (accel->skip) {
        accel->skip--;
        return;
    }
    if (accel->stage != ACCEL_LIVE) {
        test(accel, digits);
        return;
    }
    struct acceleration *const reading = &accel->reading;
    reading->time_us = accel->ready_us;
    reading->status = accel->failed ? ACCELERATION_SELF_TEST : 0;
    for (uint8_t axis = 0; axis < AXES; axis++) {
        reading->mm_s2[axis] = accel_mm_s2(digits[axis]);
        if (digits[axis] == ACCEL_DIGIT_MAX || digits[axis] == ACCEL_DIGIT_MIN)
            reading->status |= ACCELERATION_AT_END;
    }
    accel->untold = true;
    accel->lost = false;
}

/* The status has come. */
static void polled(struct accel *accel, uint32_t now_us)
{
    const uint32_t looked_us = accel->begin_us + LOOK_US;
    if (accel->transfer.data[0] & ACCEL_READY) {
        /* It became ready between two looks: halfway is wrong by half of that at most. */
        accel->ready_us =
            accel->looked ? looked_us - (looked_us - accel->looked_us) / 2 : looked_us;
        accel->looked = false;
        accel->heard_us = now_us;
        accel->phase = ACCEL_FETCH;
    } else if (now_us - accel->heard_us >= ACCEL_SILENT_US) {
        lose(accel, now_us);
    } else {
        accel->looked = true;
        accel->looked_us = looked_us;
        accel->wake_us = accel->begin_us + ACCEL_POLL_US;
    }
}

static void done(struct accel *accel, uint32_t now_us)
{
    accel->misses = 0;
    accel->wake_us = now_us;
    switch (accel->phase) {
    case ACCEL_SEARCH:
        if (accel->transfer.data[0] != ACCEL_IDENTITY) {
            missed(accel, now_us);
            return;
        }
        accel->answered = accel->searched = true;
        accel->attempts = 0;
        for (uint8_t axis = 0; axis < AXES; axis++)
            accel->push[axis] = 0;
        configure(accel, ACCEL_AT_REST);
        return;
    case ACCEL_CONFIGURE:
        accel->phase = ACCEL_POLL;
        accel->looked = false;
        accel->heard_us = now_us;
        return;
    case ACCEL_POLL:
        polled(accel, now_us);
        return;
    case ACCEL_FETCH:
        fetched(accel);
        if (accel->phase == ACCEL_POLL)
            accel->wake_us = accel->ready_us + ACCEL_QUIET_US;
        return;
    }
}

static void ask(struct accel *accel, uint8_t reg, uint8_t count)
{
    accel->transfer.reg = count > 1 ? reg | ACCEL_NEXT : reg;
    accel->transfer.count = count;
    accel->transfer.write = false;
}

static void prepare(struct accel *accel)
{
    struct accel_transfer *const transfer = &accel->transfer;
    switch (accel->phase) {
    case ACCEL_SEARCH:
        transfer->address = ACCEL_ADDRESS | (transfer->address & 1);
        ask(accel, ACCEL_IDENTITY_REGISTER, 1);
        return;
    case ACCEL_CONFIGURE:
        transfer->write = true;
        transfer->reg = ACCEL_CONTROL_REGISTER | ACCEL_NEXT;
        transfer->count = 4;
        transfer->data[0] = RATE_100_ALL_AXES;
        transfer->data[1] = transfer->data[2] = 0; /* no high-pass filter, no interrupts */
        transfer->data[3] = accel->stage == ACCEL_PUSHED ? WHOLE_4G_TWELVE_BITS | PUSH
                                                         : WHOLE_4G_TWELVE_BITS;
        return;
    case ACCEL_POLL:
        ask(accel, ACCEL_STATUS_REGISTER, 1);
        return;
    case ACCEL_FETCH:
        ask(accel, ACCEL_VALUES_REGISTER, 2 * AXES);
        return;
    }
}

enum accel_wish accel_step(struct accel *accel, uint32_t now_us, enum accel_bus bus)
{
    if (accel->lost && now_us - accel->told_us >= ACCEL_RETRY_US)
        tell_missing(accel, now_us);

    if (accel->under_way) {
        const bool stuck = bus == ACCEL_BUS_BUSY;
        if (stuck && now_us - accel->begin_us < ACCEL_TRANSFER_MAX_US)
            return ACCEL_WAIT;
        accel->under_way = false;
        if (stuck) {
            accel->searched = true;
            lose(accel, now_us);
            return ACCEL_FREE_BUS;
        }
        if (bus == ACCEL_BUS_DONE)
            done(accel, now_us);
        else
            missed(accel, now_us);
    }
    if (!is_over(now_us, accel->wake_us))
        return ACCEL_WAIT;
    prepare(accel);
    accel->under_way = true;
    accel->begin_us = now_us;
    accel->wake_us = now_us + ACCEL_TRANSFER_MAX_US;
    return ACCEL_TRANSFER;
}

bool accel_take(struct accel *accel, struct acceleration *reading)
{
    const bool any = accel->untold;
    accel->untold = false;
    *reading = accel->reading;
    return any;
}
