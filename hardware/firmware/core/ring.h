/* A ring between the main loop and an interrupt: one side puts, the other takes. */
#ifndef CORE_RING_H
#define CORE_RING_H

#include <stdbool.h>
#include <stdint.h>

enum { RING_SIZE = 256 }; /* so that a byte's own wrap is the ring's */

struct ring {
    uint8_t bytes[RING_SIZE];
    volatile uint8_t head; /* written by the putting side only */
    volatile uint8_t tail; /* written by the taking side only */
};

/* Puts all of it or, where it doesn't fit, nothing: half a frame would be rubbish on the line. */
static inline bool ring_put(struct ring *ring, const uint8_t *bytes, uint8_t count)
{
    uint8_t head = ring->head;
    const uint8_t room = (uint8_t)(ring->tail - head - 1);
    if (count > room)
        return false;
    for (uint8_t i = 0; i < count; i++)
        ring->bytes[head++] = bytes[i];
    ring->head = head; /* last: only now may the other side see the bytes */
    return true;
}

static inline bool ring_take(struct ring *ring, uint8_t *byte)
{
    const uint8_t tail = ring->tail;
    if (tail == ring->head)
        return false;
    *byte = ring->bytes[tail];
    ring->tail = (uint8_t)(tail + 1);
    return true;
}

#endif
