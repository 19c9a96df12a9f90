/* The portable core on this machine, under sanitizers. Its only argument: the wire's vectors. */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/accel.h"
#include "core/guard.h"
#include "core/health.h"
#include "core/ring.h"
#include "core/wire.h"

static int checks, failures;

#define CHECK(condition, ...)                                                        \
    do {                                                                             \
        checks++;                                                                    \
        if (!(condition)) {                                                          \
            failures++;                                                              \
            fprintf(stderr, "%s:%d: %s: ", __FILE__, __LINE__, #condition);          \
            fprintf(stderr, __VA_ARGS__);                                            \
            fputc('\n', stderr);                                                     \
        }                                                                            \
    } while (0)

/* ---- the vectors -------------------------------------------------------------------------- */

static unsigned from_hex(const char *hex, uint8_t *bytes, unsigned room)
{
    unsigned count = 0;
    for (unsigned value; sscanf(hex, "%2x", &value) == 1; hex += 2) {
        if (count == room)
            abort();
        bytes[count++] = (uint8_t)value;
    }
    return count;
}

static uint8_t encode_meaning(const char *meaning, uint8_t line[LINE_MAX])
{
    struct sample s;
    struct hello h;
    struct acceleration a;
    uint16_t sequence;
    uint64_t id;
    if (sscanf(meaning,
               "sample %" SCNu16 " %" SCNu32 " %" SCNu16 " %" SCNd32 " %" SCNd32 " %" SCNd32
               " %" SCNd32,
               &sequence, &s.time_us, &s.status, &s.counts[0], &s.counts[1], &s.counts[2],
               &s.counts[3]) == 7)
        return encode_sample(line, sequence, &s);
    if (sscanf(meaning,
               "hello %" SCNu16 " 1 %" SCNu8 " %" SCNu8 " %" SCNu8 " %" SCNu8 " %" SCNx64 " %" SCNu32
               " 4 %" SCNu8 " %" SCNu16,
               &sequence, &h.minor, &h.firmware[0], &h.firmware[1], &h.firmware[2], &id,
               &h.rate_mhz, &h.count_bits, &h.features) == 9) {
        for (unsigned i = 0; i < 8; i++)
            h.board_id[i] = (uint8_t)(id >> 8 * i);
        return encode_hello(line, sequence, &h);
    }
    if (sscanf(meaning,
               "acceleration %" SCNu16 " %" SCNu32 " %" SCNu16 " %" SCNd32 " %" SCNd32 " %" SCNd32,
               &sequence, &a.time_us, &a.status, &a.mm_s2[0], &a.mm_s2[1], &a.mm_s2[2]) == 6)
        return encode_acceleration(line, sequence, &a);
    return 0;
}

static void test_vectors(const char *path)
{
    FILE *const file = fopen(path, "r");
    if (!file) {
        perror(path);
        exit(2);
    }
    char row[2048];
    int rows = 0, encoded = 0, accelerations = 0;
    struct ask_parser parser = {0};
    CHECK(fgets(row, sizeof row, file) && !strcmp(row, "name,line,host,board,encode\n"),
          "the columns are others");
    while (fgets(row, sizeof row, file)) {
        char *field[5], *rest = row;
        rest[strcspn(rest, "\n")] = 0;
        /* A name with a comma is quoted; nothing else is. */
        if (*rest == '"') {
            field[0] = rest + 1;
            rest = strchr(rest + 1, '"');
            *rest++ = 0;
            rest++;
        } else {
            field[0] = strsep(&rest, ",");
        }
        for (int i = 1; i < 5; i++)
            field[i] = strsep(&rest, ",");
        if (!field[4]) {
            CHECK(false, "row %d has too few columns", rows + 1);
            break;
        }
        rows++;

        uint8_t line[512];
        const unsigned length = from_hex(field[1], line, sizeof line);
        int asks = 0;
        for (unsigned i = 0; i < length; i++)
            asks += ask_feed(&parser, line[i]);
        CHECK(asks == atoi(field[3]), "%s: %d asks", field[0], asks);

        /* Two plates are a board that this firmware isn't. */
        const bool ours = strncmp(field[2], "pair ", 5) && strcmp(field[0], "two plates");
        if (!strcmp(field[4], "1") && ours) {
            uint8_t made[LINE_MAX];
            memset(made, 0xEE, sizeof made);
            const uint8_t made_length = encode_meaning(field[2], made);
            encoded++;
            accelerations += !strncmp(field[2], "acceleration ", 13);
            CHECK(made_length == length && !memcmp(made, line, length), "%s", field[0]);
        }
    }
    fclose(file);
    CHECK(rows > 40 && encoded > 10, "%d rows, %d to encode", rows, encoded);
    CHECK(accelerations >= 3, "%d accelerations to encode", accelerations);
}

/* ---- wire, ring --------------------------------------------------------------------------- */

static uint32_t dice = 1;
static uint32_t roll(void)
{
    dice ^= dice << 13;
    dice ^= dice >> 17;
    return dice ^= dice << 5;
}

static void test_rubbish_is_ignored(void)
{
    static const uint8_t ask[] = {0x02, 0x81, 0x01, 0x03, 0xf6, 0xc0, 0x00};
    struct ask_parser parser = {0};
    int asks = 0;
    for (long i = 0; i < 2000000; i++)
        asks += ask_feed(&parser, (uint8_t)(roll() >> 8));
    /* An ask by chance: a random piece of the right length, type and checksum. */
    CHECK(asks < 3, "%d asks in rubbish", asks);
    ask_feed(&parser, 0);
    asks = 0;
    for (unsigned i = 0; i < sizeof ask; i++)
        asks += ask_feed(&parser, ask[i]);
    CHECK(asks == 1, "heard %d", asks);
    /* Every single flipped bit. */
    for (unsigned bit = 0; bit < 8 * (sizeof ask - 1); bit++) {
        asks = 0;
        for (unsigned i = 0; i < sizeof ask; i++)
            asks += ask_feed(&parser, (uint8_t)(ask[i] ^ (i == bit / 8 ? 1u << bit % 8 : 0)));
        asks += ask_feed(&parser, 0);
        CHECK(asks == 0, "bit %u flipped", bit);
    }
}

static void test_ring_drops_whole_frames(void)
{
    static struct ring ring;
    uint8_t frame[29], byte;
    unsigned taken = 0;
    memset(frame, 7, sizeof frame);
    for (int turn = 0; turn < 50; turn++) {
        int put = 0;
        while (ring_put(&ring, frame, sizeof frame))
            put++;
        CHECK(put == 8, "%d frames fit", put); /* 255 / 29 */
        for (taken = 0; ring_take(&ring, &byte); taken++)
            CHECK(byte == 7, "byte %u", taken);
        CHECK(taken == 8 * sizeof frame, "%u bytes of whole frames", taken);
        frame[0] = 7;
    }
}

/* ---- health ------------------------------------------------------------------------------- */

static void test_unpack(void)
{
    const int32_t truth[CELLS] = {COUNT_MAX, COUNT_MIN, -1, 0x123456};
    uint8_t lines[COUNT_BITS];
    int32_t counts[CELLS];
    for (int bit = 0; bit < COUNT_BITS; bit++) {
        lines[bit] = 0xF0; /* what else is on the port */
        for (int cell = 0; cell < CELLS; cell++)
            lines[bit] |= (uint8_t)(((uint32_t)truth[cell] >> (23 - bit) & 1) << cell);
    }
    unpack_counts(lines, counts);
    for (int cell = 0; cell < CELLS; cell++)
        CHECK(counts[cell] == truth[cell], "cell %d: %" PRId32, cell, counts[cell]);
}

struct feed {
    struct health health;
    uint32_t time_us;
    uint16_t status;
};

static uint16_t feed(struct feed *f, int32_t a, int32_t b, uint8_t unanswered, uint8_t held)
{
    f->time_us += 12500;
    struct sample s = {.time_us = f->time_us, .counts = {a, b, (int32_t)f->time_us % 1000, 5}};
    s.counts[3] = (int32_t)f->time_us % 777;
    return f->status = health_cells(&f->health, &s, unanswered, held);
}

static void test_stuck_takes_a_second(void)
{
    struct feed f = {.time_us = 0xFFFFFFFFu - 300000}; /* over the wrap of the stamp */
    feed(&f, 1, 2, 0, 0);
    for (int i = 1; i <= 200; i++) {
        feed(&f, 42, i & 1, 0, 0);
        /* Sample 1 brings the count, sample 81 comes a second later. */
        CHECK(f.status == (i >= 81 ? 0x0100 : 0), "sample %d: %04x", i, f.status);
    }
    CHECK(feed(&f, 43, 1, 0, 0) == 0, "another count heals: %04x", f.status);
}

static void test_a_silence_is_not_stuck(void)
{
    struct feed f = {0};
    feed(&f, 42, 1, 0, 0);
    f.time_us += 5000000;
    CHECK(feed(&f, 42, 2, 0, 0) == 0, "%04x", f.status);
}

static void test_cells_are_told_apart(void)
{
    struct feed f = {0};
    for (int i = 0; i < 100; i++) {
        feed(&f, COUNT_MAX, COUNT_MIN, 0, 0);
        CHECK(f.status == 0x0030, "saturated, not stuck: %04x", f.status);
    }
    CHECK(feed(&f, COUNT_MAX - 1, COUNT_MIN + 1, 0, 0) == 0, "in range: %04x", f.status);
    for (int i = 0; i < 100; i++) {
        feed(&f, 0, i, 0x1, 0);
        CHECK(f.status == 0x0001, "no converter: %04x", f.status);
    }
    for (int i = 0; i < 100; i++)
        feed(&f, -1, i, 0, 0x1);
    CHECK(f.status == 0x0101, "a line to ground: missing and stuck: %04x", f.status);
    struct sample s = {.counts = {9, 9, 9, 9}};
    health_cells(&f.health, &s, 0x1, 0x8);
    CHECK(s.counts[0] == 0 && s.counts[1] == 9 && s.counts[3] == 0, "no count of what is missing");
}

static void test_supply(void)
{
    CHECK(health_supply(0) == 0, "not measured");
    /* steps = 1100 mV · 1023 / supply: 5 V, and 4.65 V with a reference that is 10 % high */
    CHECK(health_supply(225) == 0 && health_supply(266) == 0, "good");
    /* 3.8 V with a reference that is 10 % low: 990 · 1023 / 3800 is 266.5; 3.7 V */
    CHECK(health_supply(273) == STATUS_SUPPLY, "low");
}

/* ---- the guard ---------------------------------------------------------------------------- */

static void lock(struct guard *guard, uint8_t cell, uint32_t from_us, uint32_t period_us)
{
    for (int i = 0; i < 3; i++)
        guard_edge(guard, cell, from_us + (uint32_t)i * period_us);
}

static void test_guard_locks_and_foretells(void)
{
    uint32_t until_us = 0;
    for (uint32_t start_us = 0; start_us < 2; start_us++) {
        const uint32_t t = start_us ? 0xFFFFFFFFu - 30000 : 1000; /* over the wrap, too */
        struct guard g = {0};
        guard_edge(&g, 2, t);
        CHECK(g.locked == 0 && g.seen == 4, "one edge is no period");
        guard_edge(&g, 2, t + 12500);
        CHECK(g.locked == 0, "one interval is no proof");
        CHECK(!guard_due(&g, ALL_CELLS, t + 24900, t + 25100, &until_us), "says nothing yet");
        guard_edge(&g, 2, t + 25000);
        CHECK(g.locked == 4 && g.period_us[2] == 12500, "%" PRIu32, g.period_us[2]);

        CHECK(!guard_due(&g, ALL_CELLS, t + 25010, t + 25110, &until_us), "just come");
        CHECK(!guard_due(&g, ALL_CELLS, t + 37200, t + 37300, &until_us), "well before");
        CHECK(guard_due(&g, ALL_CELLS, t + 37450, t + 37550, &until_us), "in the middle");
        CHECK((int32_t)(until_us - (t + 37500)) > 0 && until_us - (t + 37500) < 200, "until %" PRIu32,
              until_us);
        CHECK(!guard_due(&g, ALL_CELLS, until_us, until_us + 100, &until_us), "over");
        CHECK(!guard_due(&g, 0x0B, t + 37450, t + 37550, &until_us), "another's business");
        CHECK(guard_due(&g, ALL_CELLS, t + 49900, t + 50000, &until_us), "the next but one");
    }
}

static void test_guard_survives_a_result_that_nobody_took(void)
{
    struct guard g = {0};
    lock(&g, 0, 0, 12400);
    guard_edge(&g, 0, 4 * 12400);
    CHECK(g.locked == 1 && g.period_us[0] == 12400, "%" PRIu32, g.period_us[0]);
    /* Nor while it locks: two periods in one interval are no proof of anything. */
    struct guard h = {0};
    for (int i = 0; i < 6; i++) {
        guard_edge(&h, 0, (uint32_t)i * 24800);
        CHECK(h.locked == 0, "locked on twice the period");
        guard_read(&h, (uint32_t)i * 24800 + 20000);
    }
    /* The same interval is one period if the read came right after the edge. */
    for (int i = 6; i < 9; i++) {
        guard_edge(&h, 0, (uint32_t)i * 24800);
        guard_read(&h, (uint32_t)i * 24800 + 200);
    }
    CHECK(h.locked == 1 && h.period_us[0] == 24800, "%" PRIu32, h.period_us[0]);
}

static void test_guard_follows_and_lets_go(void)
{
    struct guard g = {0};
    uint32_t t = 0;
    lock(&g, 1, 0, 12500);
    t = 25000;
    for (int i = 0; i < 400; i++) {
        const uint32_t period = 12500 + (uint32_t)i; /* warms up: 3 % slower in the end */
        t += period;
        guard_edge(&g, 1, t);
        CHECK(g.locked == 2, "lost at %d", i);
        CHECK(g.period_us[1] + 8 > period && g.period_us[1] <= period, "%" PRIu32, g.period_us[1]);
    }
    t += 6400;
    guard_edge(&g, 1, t);
    CHECK(g.locked == 0, "half a period is no period of it");
    lock(&g, 1, t, 100000);
    CHECK(g.locked == 2 && health_rate(&g, ALL_CELLS) == STATUS_RATE, "ten a second");
    CHECK(health_rate(&g, 0x0D) == 0, "of the other cells nothing is known");
    guard_forget(&g, 1);
    CHECK(g.locked == 0 && g.seen == 0 && g.period_us[1] == 0, "forgotten");
    lock(&g, 1, t, 12500);
    CHECK(health_rate(&g, ALL_CELLS) == 0, "eighty a second");
}

/* Whatever comes: no result of four wandering converters falls into a stretch that the guard let
 * through, and it always lets one through soon. */
static void test_guard_over_many_phases(void)
{
    long held = 0;
    for (int trial = 0; trial < 20000; trial++) {
        struct guard g = {0};
        uint32_t period[CELLS], phase[CELLS], last = 0, until_us;
        for (uint8_t cell = 0; cell < CELLS; cell++) {
            period[cell] = 12500 - 190 + roll() % 380;
            phase[cell] = roll() % 12500;
            lock(&g, cell, phase[cell], period[cell]);
            const uint32_t edge = phase[cell] + 2 * period[cell];
            last = edge > last ? edge : last;
        }
        const uint32_t ready = last + 5 + roll() % 12000;
        uint32_t now = ready;
        for (int i = 0; guard_due(&g, ALL_CELLS, now, now + 100, &until_us); i++) {
            CHECK(i < 8 && (int32_t)(until_us - now) > 0, "no end");
            now = until_us;
            held++;
        }
        CHECK(now - ready < 1200, "held for %" PRIu32, now - ready);
        for (uint8_t cell = 0; cell < CELLS; cell++) {
            const uint32_t age = now - g.edge_us[cell], into = age % period[cell];
            /* The edge that was seen needs no distance, one that is foretold does. */
            CHECK((age < period[cell] || into >= 90) && into + 100 + 90 <= period[cell],
                  "cell %u is %" PRIu32 " into %" PRIu32, cell, into, period[cell]);
        }
    }
    CHECK(held > 200, "only %ld of 20,000 had to be held: that proves little", held);
}

static void test_newest(void)
{
    struct guard g = {0};
    CHECK(guard_newest(&g, ALL_CELLS, 77) == 77, "nothing known");
    guard_edge(&g, 0, 0xFFFFFFF0u);
    guard_edge(&g, 3, 5); /* later: the stamp wrapped */
    CHECK(guard_newest(&g, ALL_CELLS, 77) == 5, "%" PRIu32, guard_newest(&g, ALL_CELLS, 77));
    CHECK(guard_newest(&g, 0x7, 77) == 0xFFFFFFF0u, "only of the cells asked for");
}

/* ---- the accelerometer --------------------------------------------------------------------- */

static void test_scaling(void)
{
    /* Every value that the sensor can give, against the real number. */
    for (int digits = ACCEL_DIGIT_MIN; digits <= ACCEL_DIGIT_MAX; digits++) {
        const uint16_t raw = (uint16_t)(digits * 16);
        const uint8_t bytes[2] = {(uint8_t)raw, (uint8_t)(raw >> 8)};
        CHECK(accel_digits(bytes) == digits, "%d: %d", digits, accel_digits(bytes));
        const double exact = digits * 0.002 * 9806.65;
        const double off = accel_mm_s2((int16_t)digits) - exact;
        CHECK(off <= 0.5 && off >= -0.5, "%d digits: %" PRId32, digits, accel_mm_s2((int16_t)digits));
    }
    CHECK(accel_mm_s2(500) == 9807 && accel_mm_s2(-500) == -9807, "1 g: %" PRId32, accel_mm_s2(500));
}

/* A sensor and a bus for the state machine alone: transfers take TRANSFER_US or never end. */
enum { TRANSFER_US = 300, LOOP_US = 40, PERIOD_US = 9700 };

struct bench {
    struct accel accel;
    uint32_t now_us, begun_us, ready_at_us, ready_us; /* ready_us: the newest result's */
    uint8_t address;  /* the sensor's; 0: none */
    uint8_t identity;
    bool held;        /* nothing ends */
    int fails;        /* so many transfers will fail */
    bool fresh, silent;
    uint8_t control;
    int16_t rest[AXES], push;
    int freed, frames, missing, transfers, pushed;
    struct acceleration last;
};

static void put_digits(uint8_t *bytes, int16_t digits)
{
    const uint16_t raw = (uint16_t)(digits * 16);
    bytes[0] = (uint8_t)raw;
    bytes[1] = (uint8_t)(raw >> 8);
}

static enum accel_bus answer(struct bench *b)
{
    struct accel_transfer *const t = &b->accel.transfer;
    if (b->held || b->now_us - b->begun_us < TRANSFER_US)
        return ACCEL_BUS_BUSY;
    if (t->address != b->address || b->fails > 0) {
        b->fails -= b->fails > 0;
        return ACCEL_BUS_FAILED;
    }
    if (t->write) {
        CHECK(t->reg == 0xA0 && t->count == 4 && t->data[0] == 0x57, "%02x", t->reg);
        CHECK((t->data[3] & ~2) == 0x98, "%02x", t->data[3]);
        b->control = t->data[3];
        b->pushed += b->control >> 1 & 1;
    } else if (t->reg == 0x0F) {
        t->data[0] = b->identity;
    } else if (t->reg == 0x27) {
        t->data[0] = b->fresh ? 0x0F : 0x00;
    } else {
        CHECK(t->reg == 0xA8 && t->count == 6 && b->fresh, "reads %02x", t->reg);
        for (int axis = 0; axis < AXES; axis++)
            put_digits(&t->data[2 * axis],
                       (int16_t)(b->rest[axis] + (b->control & 2 ? b->push : 0)));
        b->fresh = false;
    }
    return ACCEL_BUS_DONE;
}

static void live(struct bench *b, uint32_t for_us)
{
    for (const uint32_t from_us = b->now_us; b->now_us - from_us < for_us; b->now_us += LOOP_US) {
        if (!b->silent && (int32_t)(b->now_us - b->ready_at_us) >= 0) {
            b->ready_us = b->ready_at_us;
            b->ready_at_us += PERIOD_US;
            b->fresh = true;
        }
        const enum accel_bus bus = b->accel.under_way ? answer(b) : ACCEL_BUS_DONE;
        switch (accel_step(&b->accel, b->now_us, bus)) {
        case ACCEL_TRANSFER:
            b->begun_us = b->now_us;
            b->transfers++;
            break;
        case ACCEL_FREE_BUS:
            b->freed++;
            break;
        case ACCEL_WAIT:
            break;
        }
        if (!accel_take(&b->accel, &b->last))
            continue;
        b->frames++;
        b->missing += b->last.status & ACCELERATION_MISSING;
        if (!(b->last.status & ACCELERATION_MISSING)) {
            const int32_t late_us = (int32_t)(b->last.time_us - b->ready_us);
            CHECK(late_us < 500 && late_us > -500, "stamped %" PRId32 " µs late", late_us);
        }
    }
}

static struct bench sensor(uint8_t address, uint32_t now_us)
{
    struct bench b = {.now_us = now_us, .ready_at_us = now_us + 5000, .address = address,
                      .identity = 0x33, .rest = {-100, 7, 500}, .push = 200};
    b.accel.wake_us = now_us;
    return b;
}

static void test_accelerometer_is_found_tested_and_read(void)
{
    for (uint8_t address = 0x18; address <= 0x19; address++) {
        struct bench b = sensor(address, 0xFFFFFFFFu - 1000000); /* over the wrap of the stamp */
        live(&b, 3000000);
        /* Two times twelve readings of the test, eight to settle; the rest is told. */
        CHECK(b.frames > 3000000 / PERIOD_US - 40 && b.missing == 0, "%d frames", b.frames);
        CHECK(b.pushed == 1 && b.accel.answered && b.last.status == 0, "%04x", b.last.status);
        CHECK(b.last.mm_s2[0] == -1961 && b.last.mm_s2[1] == 137 && b.last.mm_s2[2] == 9807,
              "%" PRId32 " %" PRId32 " %" PRId32, b.last.mm_s2[0], b.last.mm_s2[1],
              b.last.mm_s2[2]);
        /* It looks a few times a reading, not all the time. */
        CHECK(b.transfers < 8 * 3000000 / PERIOD_US, "%d transfers", b.transfers);
    }
}

static void test_accelerometer_at_the_end_of_its_range(void)
{
    for (int axis = 0; axis < AXES; axis++)
        for (int side = 0; side < 2; side++) {
            struct bench b = sensor(0x18, 0);
            live(&b, 1000000);
            CHECK(b.last.status == 0, "%04x", b.last.status);
            b.rest[axis] = side ? ACCEL_DIGIT_MAX : ACCEL_DIGIT_MIN;
            live(&b, 30000);
            CHECK(b.last.status == ACCELERATION_AT_END, "axis %d: %04x", axis, b.last.status);
            b.rest[axis] = side ? ACCEL_DIGIT_MAX - 1 : ACCEL_DIGIT_MIN + 1;
            live(&b, 30000);
            CHECK(b.last.status == 0, "axis %d: %04x", axis, b.last.status);
        }
}

static void test_accelerometer_self_test(void)
{
    const struct {
        int16_t push;
        uint16_t status;
    } cases[] = {{0, 4}, {33, 4}, {34, 0}, {-34, 0}, {720, 0}, {-720, 0}, {721, 4}, {-721, 4}};
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct bench b = sensor(0x18, 0);
        b.push = cases[i].push;
        live(&b, 2000000);
        CHECK(b.frames > 0 && b.last.status == cases[i].status, "%d: %04x", cases[i].push,
              b.last.status);
        CHECK(b.pushed == (cases[i].status ? 3 : 1), "%d tries", b.pushed);
        CHECK(!(b.control & 2), "not pushed any more");
    }
    /* Somebody moves the plate in the first try. */
    struct bench b = sensor(0x18, 0);
    b.push = 3;
    live(&b, 300000);
    b.push = 200;
    live(&b, 1500000);
    CHECK(b.last.status == 0 && b.frames > 0, "%04x", b.last.status);
}

static void test_no_accelerometer(void)
{
    struct bench b = sensor(0, 0);
    live(&b, 1500000);
    CHECK(!b.accel.answered && b.accel.searched && b.frames == 0, "%d frames", b.frames);
    CHECK(b.transfers >= 20 && b.transfers <= 40, "%d searches", b.transfers);
    struct bench other = sensor(0x18, 0);
    other.identity = 0x44; /* some other part */
    live(&other, 1500000);
    CHECK(!other.accel.answered && other.frames == 0, "%d frames", other.frames);
}

static void test_accelerometer_vanishes_and_comes_back(void)
{
    for (int how = 0; how < 3; how++) {
        struct bench b = sensor(0x19, 0);
        live(&b, 1000000);
        CHECK(b.frames > 0 && b.missing == 0, "%d missing", b.missing);
        if (how == 0)
            b.address = 0; /* its cable is off */
        else if (how == 1)
            b.held = true; /* a line to ground */
        else
            b.silent = true; /* it forgot that it should convert */
        live(&b, 1200000);
        CHECK(b.missing >= 8 && b.missing <= 13 && b.last.status == ACCELERATION_MISSING,
              "%d: %d missing", how, b.missing);
        CHECK(b.last.mm_s2[0] == 0 && b.last.mm_s2[2] == 0, "no values");
        CHECK((b.freed > 5) == (how == 1), "freed %d times", b.freed);
        b.address = 0x19;
        b.held = b.silent = false;
        b.ready_at_us = b.now_us;
        live(&b, 1000000);
        CHECK(b.last.status == 0 && b.last.mm_s2[2] == 9807, "%d: %04x", how, b.last.status);
        const int missing = b.missing;
        live(&b, 500000);
        CHECK(b.missing == missing, "%d more", b.missing - missing);
    }
}

static void test_accelerometer_forgives_two_faults(void)
{
    struct bench b = sensor(0x18, 0);
    live(&b, 1000000);
    b.fails = 2;
    const int pushed = b.pushed;
    live(&b, 500000);
    CHECK(b.missing == 0 && b.pushed == pushed, "%d missing", b.missing);
    b.fails = 3;
    live(&b, 1000000);
    CHECK(b.missing > 0 && b.pushed == pushed + 1 && b.last.status == 0, "%d missing", b.missing);
}

int main(int count, char **arguments)
{
    if (count != 2) {
        fprintf(stderr, "usage: host_test VECTORS\n");
        return 2;
    }
    test_vectors(arguments[1]);
    test_rubbish_is_ignored();
    test_ring_drops_whole_frames();
    test_unpack();
    test_stuck_takes_a_second();
    test_a_silence_is_not_stuck();
    test_cells_are_told_apart();
    test_supply();
    test_guard_locks_and_foretells();
    test_guard_survives_a_result_that_nobody_took();
    test_guard_follows_and_lets_go();
    test_guard_over_many_phases();
    test_newest();
    test_scaling();
    test_accelerometer_is_found_tested_and_read();
    test_accelerometer_at_the_end_of_its_range();
    test_accelerometer_self_test();
    test_no_accelerometer();
    test_accelerometer_vanishes_and_comes_back();
    test_accelerometer_forgives_two_faults();
    printf("host-test: %d checks, %d failed\n", checks, failures);
    return failures != 0;
}
