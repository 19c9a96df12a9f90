/* The checksum of the program as the self-test computes it; the build sets it after the first link. */
#include <avr/pgmspace.h>
#include <stdint.h>

extern const uint16_t program_seal;
const uint16_t program_seal PROGMEM = SEAL;
