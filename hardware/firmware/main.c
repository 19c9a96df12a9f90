/* The board: waits until the converters are ready, reads them, tells the host. Sleeps otherwise. */
#include "chip/chip.h"
#include "core/accel.h"
#include "core/guard.h"
#include "core/health.h"
#include "core/wire.h"

#define RATE_MHZ UINT32_C(80000)
#define SECOND_US UINT32_C(1000000)
/* A converter that is not ready this long after the last read doesn't answer. Longer than a period
 * at ten a second, so that a wrong rate pin is told as a wrong rate. */
#define ANSWER_US UINT32_C(150000)
/* All moments in a row at which a result may be renewed are shorter than this. */
#define HOLD_MAX_US UINT32_C(8000)

/* 0 builds the firmware without its remedy, for the test that shows that it needs one. */
#ifndef GUARD
#define GUARD 1
#endif

static struct guard guard;
static struct health health;
static struct accel accel;
static struct ask_parser asks;
static struct hello hello = {
    .firmware = {FIRMWARE_VERSION},
    .minor = WIRE_MINOR,
    .rate_mhz = RATE_MHZ,
    .count_bits = COUNT_BITS,
    .features = FEATURES,
};
static uint16_t sequence;
static uint16_t board_status; /* supply and self-test */
static uint8_t answering = ALL_CELLS;
static uint8_t held_low;

/* A frame that doesn't fit is dropped whole; its number is missing, so the host knows. */
static void send_sample(const struct sample *sample)
{
    uint8_t line[LINE_MAX];
    chip_send(line, encode_sample(line, sequence++, sample));
}

static void send_hello(void)
{
    uint8_t line[LINE_MAX];
    chip_send(line, encode_hello(line, sequence++, &hello));
}

/* One step with the accelerometer; it never waits. */
static void follow_accelerometer(void)
{
    struct acceleration reading;
    const enum accel_bus bus = accel.under_way ? chip_bus() : ACCEL_BUS_DONE;
    switch (accel_step(&accel, chip_micros(), bus)) {
    case ACCEL_TRANSFER:
        chip_bus_begin(&accel.transfer);
        break;
    case ACCEL_FREE_BUS:
        chip_bus_free();
        break;
    case ACCEL_WAIT:
        break;
    }
    chip_wake_at(accel.wake_us);
    if (accel_take(&accel, &reading)) {
        uint8_t line[LINE_MAX];
        chip_send(line, encode_acceleration(line, sequence++, &reading));
    }
}

/* Whether there is one now that the hello doesn't tell yet. */
static bool note_accelerometer(void)
{
    const bool is_new = accel.answered && !(hello.features & FEATURE_ACCELEROMETER);
    if (is_new)
        hello.features |= FEATURE_ACCELEROMETER;
    return is_new;
}

static void take_edges(void)
{
    uint32_t edge_us[CELLS];
    const uint8_t fell = chip_edges(edge_us);
    for (uint8_t cell = 0; cell < CELLS; cell++)
        if (fell >> cell & 1)
            guard_edge(&guard, cell, edge_us[cell]);
}

/* Waits until no result falls due during a read; when the read may begin. */
static uint32_t hold(uint8_t cells)
{
    const uint32_t begin_us = chip_micros();
    uint32_t now_us = begin_us, until_us;
    while (guard_due(&guard, cells, now_us, now_us + READ_US, &until_us) &&
           now_us - begin_us < HOLD_MAX_US)
        do
            now_us = chip_micros();
        while ((int32_t)(until_us - now_us) > 0);
    return now_us;
}

static void read_sample(void)
{
    const uint8_t cells = answering & (uint8_t)~held_low;
    uint8_t lines[COUNT_BITS];
    uint32_t until_us;

    take_edges(); /* the one that made the last cell ready may have come just now */
    const uint32_t from_us = GUARD ? hold(cells) : chip_micros();
    held_low = chip_read(lines);
    const uint32_t to_us = chip_micros();
    guard_read(&guard, to_us);

    const uint8_t good = answering & (uint8_t)~held_low;
    struct sample sample = {.time_us = guard_newest(&guard, good, from_us)};
    unpack_counts(lines, sample.counts);
    sample.status = board_status | health_rate(&guard, good) |
                    health_cells(&health, &sample, (uint8_t)~answering & ALL_CELLS, held_low);
    if (GUARD && ((good & (uint8_t)~guard.locked) ||
                  guard_due(&guard, good, from_us, to_us, &until_us)))
        sample.status |= STATUS_MIXED;
    send_sample(&sample);
}

static void send_unanswered(uint32_t now_us)
{
    struct sample sample = {.time_us = now_us};
    sample.status = board_status | health_cells(&health, &sample, ALL_CELLS, 0);
    send_sample(&sample);
}

int main(void)
{
    const uint8_t failed = chip_self_test();
    chip_board_id(hello.board_id);
    if (failed)
        board_status = STATUS_SELF_TEST;
    chip_start();
    /* Whether there is an accelerometer belongs into the first hello. It has had its power for as
     * long as the self-test took, and needs 5 ms (data sheet, from memory). Asking takes 0.2 ms, or
     * 3 if somebody holds the bus. */
    accel.wake_us = chip_micros();
    while (!accel.searched)
        follow_accelerometer();
    note_accelerometer();
    /* A reset may have cut a frame: this ends it, or the hello would be lost with it. */
    const uint8_t end_of_frame = 0;
    chip_send(&end_of_frame, 1);
    send_hello();

    uint32_t hello_us = chip_micros(), read_us = hello_us;
    for (;;) {
        chip_watchdog_kick();
        take_edges();

        bool asked = false;
        for (uint8_t byte; chip_heard(&byte);)
            asked |= ask_feed(&asks, byte);

        const uint32_t now_us = chip_micros();
        if (now_us - hello_us >= SECOND_US) {
            hello_us += SECOND_US;
            board_status &= (uint16_t)~STATUS_SUPPLY;
            board_status |= health_supply(chip_reference_steps());
            if (chip_stack_is_short())
                board_status |= STATUS_SELF_TEST;
            asked = true;
        }
        if (asked)
            send_hello();

        const uint8_t ready = chip_ready();
        answering |= ready;
        if (answering && (ready & answering) == answering) {
            read_sample();
            read_us = chip_micros();
        } else if (now_us - read_us >= ANSWER_US) {
            for (uint8_t cell = 0; cell < CELLS; cell++)
                if (!(ready >> cell & 1))
                    guard_forget(&guard, cell);
            answering = ready;
            held_low = 0;
            read_us = now_us;
            if (!ready)
                send_unanswered(now_us);
            continue; /* what is ready is read at once */
        }
        follow_accelerometer();
        if (note_accelerometer())
            send_hello();
        chip_sleep();
    }
}
