/* Between chip.c and bus.c. */
#ifndef CHIP_BUS_H
#define CHIP_BUS_H

#include <stdbool.h>

/* Ends chip_sleep(). Set in interrupts or with interrupts off. */
extern volatile bool woken;

/* Pull-ups, speed; frees the bus. */
void bus_start(void);

#endif
