#include "wire.h"

#define CRC_START 0xFFFFu

uint16_t crc16_byte(uint16_t crc, uint8_t byte)
{
    crc ^= (uint16_t)((uint16_t)byte << 8);
    for (uint8_t bit = 0; bit < 8; bit++)
        crc = (crc & 0x8000u) ? (uint16_t)((uint16_t)(crc << 1) ^ 0x1021u) : (uint16_t)(crc << 1);
    return crc;
}

uint16_t crc16(uint16_t crc, const uint8_t *bytes, uint8_t count)
{
    while (count--)
        crc = crc16_byte(crc, *bytes++);
    return crc;
}

/* Writes a frame straight into its COBS form, byte by byte: no second buffer on the stack.
 * A frame of at most 64 bytes never fills a COBS block of 254, so each block ends with a zero. */
struct writer {
    uint8_t *line;
    uint8_t at;    /* where the next byte goes */
    uint8_t block; /* where the length of the open block stands */
    uint16_t crc;
};

static void put_stuffed(struct writer *w, uint8_t byte)
{
    if (byte != 0) {
        w->line[w->at++] = byte;
        return;
    }
    w->line[w->block] = (uint8_t)(w->at - w->block);
    w->block = w->at++;
}

static void put(struct writer *w, uint8_t byte)
{
    w->crc = crc16_byte(w->crc, byte);
    put_stuffed(w, byte);
}

static void put_u16(struct writer *w, uint16_t value)
{
    put(w, (uint8_t)value);
    put(w, (uint8_t)(value >> 8));
}

static void put_u32(struct writer *w, uint32_t value)
{
    put_u16(w, (uint16_t)value);
    put_u16(w, (uint16_t)(value >> 16));
}

static struct writer begin(uint8_t *line, uint8_t type, uint16_t sequence)
{
    struct writer w = {.line = line, .at = 1, .block = 0, .crc = CRC_START};
    put(&w, type);
    put_u16(&w, sequence);
    return w;
}

static uint8_t end(struct writer *w)
{
    const uint16_t crc = w->crc;
    put_stuffed(w, (uint8_t)crc);
    put_stuffed(w, (uint8_t)(crc >> 8));
    w->line[w->block] = (uint8_t)(w->at - w->block);
    w->line[w->at++] = 0;
    return w->at;
}

uint8_t encode_sample(uint8_t line[LINE_MAX], uint16_t sequence, const struct sample *sample)
{
    struct writer w = begin(line, TYPE_SAMPLE, sequence);
    put_u32(&w, sample->time_us);
    put_u16(&w, sample->status);
    for (uint8_t cell = 0; cell < CELLS; cell++)
        put_u32(&w, (uint32_t)sample->counts[cell]);
    return end(&w);
}

uint8_t encode_hello(uint8_t line[LINE_MAX], uint16_t sequence, const struct hello *hello)
{
    struct writer w = begin(line, TYPE_HELLO, sequence);
    put(&w, WIRE_MAJOR);
    put(&w, hello->minor);
    for (uint8_t i = 0; i < 3; i++)
        put(&w, hello->firmware[i]);
    for (uint8_t i = 0; i < sizeof hello->board_id; i++)
        put(&w, hello->board_id[i]);
    put_u32(&w, hello->rate_mhz);
    put(&w, CELLS);
    put(&w, hello->count_bits);
    put_u16(&w, hello->features);
    return end(&w);
}

uint8_t encode_acceleration(uint8_t line[LINE_MAX], uint16_t sequence,
                            const struct acceleration *acceleration)
{
    struct writer w = begin(line, TYPE_ACCELERATION, sequence);
    put_u32(&w, acceleration->time_us);
    put_u16(&w, acceleration->status);
    for (uint8_t axis = 0; axis < AXES; axis++)
        put_u32(&w, (uint32_t)acceleration->mm_s2[axis]);
    return end(&w);
}

/* Undoes COBS in place; the decoded length, or 0 if the piece is damaged. */
static uint8_t unstuff(uint8_t *piece, uint8_t length)
{
    uint8_t from = 0, to = 0;
    while (from < length) {
        const uint8_t block = piece[from++];
        /* A zero can't come: it would have ended the piece. */
        if (block - 1 > length - from)
            return 0;
        for (uint8_t i = 1; i < block; i++)
            piece[to++] = piece[from++];
        if (from < length)
            piece[to++] = 0;
    }
    return to;
}

static bool is_ask(uint8_t *piece, uint8_t length)
{
    length = unstuff(piece, length);
    /* A later minor version may add a body. */
    return length >= 5 && piece[0] == TYPE_ASK &&
           crc16(CRC_START, piece, (uint8_t)(length - 2)) ==
               (uint16_t)(piece[length - 2] | (uint16_t)piece[length - 1] << 8);
}

bool ask_feed(struct ask_parser *parser, uint8_t byte)
{
    if (byte != 0) {
        if (parser->length < sizeof parser->piece)
            parser->piece[parser->length++] = byte;
        else
            parser->overlong = true;
        return false;
    }
    const bool ask = !parser->overlong && is_ask(parser->piece, parser->length);
    parser->length = 0;
    parser->overlong = false;
    return ask;
}
