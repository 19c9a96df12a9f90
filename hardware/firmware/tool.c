/* Run by the build, on the builder's machine.
 *
 * tool seal IMAGE ADDRESS  the checksum of a program image, without the two bytes at ADDRESS (hex),
 *                          where it will stand
 * tool id ID               what the chip's EEPROM must hold for a board of this id
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "core/wire.h"

static int print_seal(const char *path, long seal)
{
    FILE *const image = fopen(path, "rb");
    if (!image) {
        perror(path);
        return 1;
    }
    uint16_t crc = 0xFFFF;
    int byte;
    for (long at = 0; (byte = fgetc(image)) != EOF; at++)
        if (at != seal && at != seal + 1)
            crc = crc16_byte(crc, (uint8_t)byte);
    fclose(image);
    printf("0x%04x\n", crc);
    return 0;
}

static int print_id(const char *text)
{
    char *end;
    const unsigned long long id = strtoull(text, &end, 16);
    if (*end || end == text) {
        fprintf(stderr, "an id is up to 16 hexadecimal digits, not %s\n", text);
        return 2;
    }
    uint8_t bytes[8];
    for (int i = 0; i < 8; i++)
        bytes[i] = (uint8_t)(id >> 8 * i);
    const uint16_t crc = crc16(0xFFFF, bytes, sizeof bytes);
    for (int i = 0; i < 8; i++)
        printf("0x%02x,", bytes[i]);
    printf("0x%02x,0x%02x\n", crc & 0xFF, crc >> 8);
    return 0;
}

int main(int count, char **arguments)
{
    if (count == 4 && strcmp(arguments[1], "seal") == 0)
        return print_seal(arguments[2], strtol(arguments[3], NULL, 16));
    if (count == 3 && strcmp(arguments[1], "id") == 0)
        return print_id(arguments[2]);
    fprintf(stderr, "usage: tool seal IMAGE ADDRESS | tool id ID\n");
    return 2;
}
