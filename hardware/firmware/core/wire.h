/* The board's side of the wire, version 1.1. The layout is specified in ../../WIRE.md. */
#ifndef CORE_WIRE_H
#define CORE_WIRE_H

#include <stdbool.h>
#include <stdint.h>

enum {
    CELLS = 4,
    ALL_CELLS = 0x0F,

    WIRE_MAJOR = 1,
    WIRE_MINOR = 1,

    TYPE_HELLO = 0x01,
    TYPE_SAMPLE = 0x02,
    TYPE_ACCELERATION = 0x03,
    TYPE_ASK = 0x81,

    FRAME_MAX = 64,             /* decoded */
    LINE_MAX = FRAME_MAX + 2,   /* with the byte that COBS adds, and the closing zero */

    STATUS_MISSING = 0,         /* shift of four bits, one a cell */
    STATUS_SATURATED = 4,
    STATUS_STUCK = 8,
    STATUS_MIXED = 1 << 12,
    STATUS_SUPPLY = 1 << 13,
    STATUS_RATE = 1 << 14,

    FEATURE_ACCELEROMETER = 1 << 0,

    /* An acceleration's status. */
    ACCELERATION_MISSING = 1 << 0,
    ACCELERATION_AT_END = 1 << 1,
    ACCELERATION_SELF_TEST = 1 << 2,
};
#define STATUS_SELF_TEST 0x8000u

struct sample {
    uint32_t time_us;
    uint16_t status;
    int32_t counts[CELLS]; /* front left, front right, rear left, rear right */
};

enum { AXES = 3 };

struct acceleration {
    uint32_t time_us;
    uint16_t status;
    int32_t mm_s2[AXES]; /* x right, y forward, z up; what a sensor at rest feels included */
};

struct hello {
    uint8_t minor; /* of the wire's version */
    uint8_t firmware[3];
    uint8_t board_id[8]; /* as it goes over the line: last digits first */
    uint32_t rate_mhz;
    uint8_t count_bits;
    uint16_t features;
};

/* CRC-16/IBM-3740. Begin with 0xFFFF; the check value over "123456789" is 0x29B1. */
uint16_t crc16_byte(uint16_t crc, uint8_t byte);
uint16_t crc16(uint16_t crc, const uint8_t *bytes, uint8_t count);

/* Each writes one frame as it goes over the line, closing zero included; gives its length. */
uint8_t encode_sample(uint8_t line[LINE_MAX], uint16_t sequence, const struct sample *sample);
uint8_t encode_hello(uint8_t line[LINE_MAX], uint16_t sequence, const struct hello *hello);
uint8_t encode_acceleration(uint8_t line[LINE_MAX], uint16_t sequence,
                            const struct acceleration *acceleration);

/* Listens for an ask; everything else is ignored. All zero at first. */
struct ask_parser {
    uint8_t piece[FRAME_MAX + 1];
    uint8_t length;
    bool overlong;
};

/* Takes the next byte from the host; true if it completes an ask. */
bool ask_feed(struct ask_parser *parser, uint8_t byte);

#endif
