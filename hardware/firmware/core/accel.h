/* The plate's accelerometer: what to ask it and what its answers mean. No chip and no bus in here;
 * the main loop carries the transfers out.
 *
 * Registers are those of LIS3DH-class parts (data sheet DocID17530 Rev 2; LIS2DH and LIS2DH12 share
 * them): identity 0x0F, control from 0x20, status 0x27, values from 0x28, little-endian and left
 * justified. Set to 100 readings a second, ±4 g, twelve bits. What is marked (m) is the data sheet's
 * statement from memory.
 *
 * The way of it: search (both addresses) → configure → self-test → poll the status until there is a
 * reading → fetch it. The self-test pushes the mass electrically; a reading is compared with and
 * without.
 */
#ifndef CORE_ACCEL_H
#define CORE_ACCEL_H

#include <stdbool.h>
#include <stdint.h>

#include "wire.h"

enum {
    ACCEL_ADDRESS = 0x18, /* and the one above, by a pin of the sensor */
    ACCEL_IDENTITY_REGISTER = 0x0F,
    ACCEL_IDENTITY = 0x33,
    ACCEL_CONTROL_REGISTER = 0x20,
    ACCEL_STATUS_REGISTER = 0x27,
    ACCEL_VALUES_REGISTER = 0x28,
    ACCEL_NEXT = 0x80,  /* added to a register: the following ones too */
    ACCEL_READY = 0x08, /* in the status: all three axes have something new */

    ACCEL_DIGIT_MAX = 2047, /* twelve bits */
    ACCEL_DIGIT_MIN = -2048,
};

/* A transfer that takes longer never ends: somebody holds the bus. The longest takes 0.5 ms. */
#define ACCEL_TRANSFER_MAX_US UINT32_C(3000)
/* A sensor that has been lost is searched, and its absence told, this often. */
#define ACCEL_RETRY_US UINT32_C(100000)
/* From one reading until the status is looked at again, and then from look to look. A sensor may be
 * a quarter too fast, with what a read of the converters takes; how fast one is at most is not known
 * to us. */
#define ACCEL_QUIET_US UINT32_C(7000)
#define ACCEL_POLL_US UINT32_C(500)
/* A sensor that answers but has nothing new for so long has forgotten its settings;
 * after a change of mode 70 ms are its right. */
#define ACCEL_SILENT_US UINT32_C(150000)

struct accel_transfer {
    uint8_t address; /* seven bits */
    uint8_t reg;
    bool write;
    uint8_t count;
    uint8_t data[6];
};

/* How the transfer at hand stands. */
enum accel_bus { ACCEL_BUS_BUSY, ACCEL_BUS_DONE, ACCEL_BUS_FAILED };

/* What the main loop is to do: nothing until wake_us, carry accel.transfer out, or free the bus. */
enum accel_wish { ACCEL_WAIT, ACCEL_TRANSFER, ACCEL_FREE_BUS };

enum accel_phase { ACCEL_SEARCH, ACCEL_CONFIGURE, ACCEL_POLL, ACCEL_FETCH };
enum accel_stage { ACCEL_AT_REST, ACCEL_PUSHED, ACCEL_LIVE };

struct accel {
    struct accel_transfer transfer;
    struct acceleration reading;
    enum accel_phase phase;
    enum accel_stage stage;
    bool answered;  /* has answered since the start: the board has one */
    bool searched;  /* both addresses have been asked */
    bool under_way; /* a transfer is */
    bool lost;      /* answered once, and no reading since it was lost */
    bool untold;    /* reading is to be sent */
    bool looked;    /* and found nothing new at looked_us */
    uint8_t misses; /* failed transfers in a row */
    uint8_t skip;   /* readings that are not to be believed: it settles */
    uint8_t summed, attempts;
    bool failed;    /* its self-test */
    int16_t push[AXES];
    uint32_t wake_us, begin_us, looked_us, ready_us, heard_us, told_us;
};

/* Call it often: when the transfer may have ended, and not later than wake_us. All zero at first,
 * but for wake_us: now. The result of the last transfer is asked for only while one is under way. */
enum accel_wish accel_step(struct accel *accel, uint32_t now_us, enum accel_bus bus);

/* The next acceleration to be sent, if there is one. */
bool accel_take(struct accel *accel, struct acceleration *reading);

/* One left-justified value, as the sensor has it, low byte first: in its own digits of 2 mg. */
int16_t accel_digits(const uint8_t bytes[2]);

/* Digits in mm/s², rounded to the nearest: 2 mg (m) each, 1 g is 9,806.65 mm/s² (CGPM 1901). */
int32_t accel_mm_s2(int16_t digits);

#endif
