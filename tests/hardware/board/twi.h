/* The chip's two-wire unit and its bus, in place of the simulator's own, which takes 9 µs a byte at
 * any speed and knows no bus that is held.
 *
 * Modelled to the byte, at the speed of TWBR: start, address, bytes, repeated start, stop; a unit
 * that waits with a start or a stop while a line is low (guess); what it sends while another holds
 * SDA low is an arbitration lost, what it reads are zeros. Lines are high only by pull-ups: the
 * chip's own (PORTC while input), or the sensor's board's. As plain pins (TWEN off) they are watched,
 * and each rise of SCL counts for whoever holds SDA.
 */
#ifndef TWI_H
#define TWI_H

#include <simavr/sim_avr.h>

#include "accelerometer.h"

struct twi_met {
    uint32_t transfers; /* starts that came through */
    uint32_t clocks;    /* by hand */
    uint32_t lost;      /* arbitrations */
    double hz;
};
extern struct twi_met twi_met;

/* after_pins() is called when the chip has changed its port C: the simulator then pulls all inputs
 * up, whoever holds them. */
void twi_attach(avr_t *avr, struct accelerometer *sensor, void (*after_pins)(void));
/* The chip began anew: the unit is off, and what the sensor was sending stays on the line. */
void twi_reset(void);
/* Whether the sensor is in the middle of a byte. */
bool twi_is_reading(void);
/* Somebody holds SDA low until it has seen so many clocks; SCL until it lets go. */
void twi_hold_sda(int clocks);
void twi_hold_scl(bool held);
/* Puts the lines' levels onto the chip's pins. */
void twi_show_pins(void);
#endif
