/* What happens before there are variables and a stack. Compiled without -fstack-usage, which can't
 * measure a function that has none. */
#include <avr/io.h>

#include "chip.h"

/* After a watchdog reset the watchdog is still on, at its shortest: off before anything else. */
__attribute__((naked, used, section(".init3"))) static void before_memory(void)
{
    MCUSR = 0; /* the watchdog can't be stopped while its reset is noted here */
    WDTCSR = (1 << WDCE) | (1 << WDE);
    WDTCSR = 0;

    /* All of the memory, before anything lives in it: no stack, no variables here. Two patterns
     * and their complements in neighbouring cells, then paint, so that the depth that the stack
     * ever reached can be seen. */
    uint8_t failed = 0;
    for (uint8_t pass = 0; pass < 2; pass++) {
        const uint8_t even = pass ? 0xAA : 0x55;
        for (volatile uint8_t *at = (volatile uint8_t *)RAMSTART;
             at <= (volatile uint8_t *)RAMEND; at++)
            *at = (uint8_t)(even ^ ((uint16_t)at & 1 ? 0xFF : 0));
        for (volatile uint8_t *at = (volatile uint8_t *)RAMSTART;
             at <= (volatile uint8_t *)RAMEND; at++)
            if (*at != (uint8_t)(even ^ ((uint16_t)at & 1 ? 0xFF : 0)))
                failed = FAILED_MEMORY;
    }
    for (volatile uint8_t *at = (volatile uint8_t *)RAMSTART; at <= (volatile uint8_t *)RAMEND;
         at++)
        *at = STACK_PAINT;
    GPIOR0 = failed; /* a register outlives the clearing of the variables */
}
