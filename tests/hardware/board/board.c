/* The board on the bench: the firmware's ELF in a simulated ATmega328P, four modelled converters on
 * its pins, its serial line on a pseudo-terminal that the real host opens.
 *
 * Runs as fast as it can; a host that reads slowly holds the simulated time up, and no byte is lost.
 * The chip begins to run when the host has asked for the first time. At the end, one line of JSON
 * with what was met, and the pseudo-terminal stays open until standard input is closed.
 *
 * Usage: board --elf FILE --port LINK --seconds S [--truth FILE] [--rates A,B,C,D]
 *   [--offsets US,US,US,US] [--jitter SHARE] [--collision renew|again] [--script FILE]
 *   [--noise COUNTS] [--seed N] [--eeprom HEX] [--flip-flash ADDRESS:BIT]
 *   [--stuck-ram ADDRESS:BIT] [--accel RATE] [--accel-address 24|25] [--accel-script FILE]
 *   [--accel-truth FILE] [--at S:EVENT]...
 *
 * Events: open=I ground=I saturate=I stick=I heal=I rate=I:HZ supply=MV reset reset-in-read
 *   reset-in-transfer hang yank plug sensor-off sensor-on sensor-forget sensor-weak sensor-strong hold-sda=CLOCKS
 *   hold-scl let-go
 *
 * A script is text: its rows a second, then rows of four counts; straight lines between them, the
 * last row for ever. Without one, cell I's result N is scrambled(N, I), all bits different from the
 * one before, so that any mixing shows. The accelerometer's has rows of x, y, z in mm/s²; without
 * one it is shaken a little, no result like the other. Without --accel there is none.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <poll.h>
#include <pty.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include <simavr/avr_adc.h>
#include <simavr/avr_eeprom.h>
#include <simavr/avr_ioport.h>
#include <simavr/avr_uart.h>
#include <simavr/sim_avr.h>
#include <simavr/sim_elf.h>

#include "accelerometer.h"
#include "converter.h"
#include "twi.h"

#define HERTZ 16000000.0
enum {
    /* The data line reaches the chip's registers this late: the converter's own delay, at most
     * 0.1 µs (data sheet, from memory), and the port's synchroniser, which the simulator lacks. */
    LINE_DELAY = 4,
    TYPE_SAMPLE = 2,
    TYPE_ACCELERATION = 3,
    CYCLES_PER_BYTE = 320,     /* ten bits at 500,000 baud */
    TICK = 16000,              /* the loop below comes round at least every ms */
    HOST_EVERY = 80000,        /* bytes go to and come from the host every 5 ms */
    NOT_BEFORE = 1600000,      /* what the host says in the first 0.1 s waits: the chip starts */
    PAINT = 0xC5,              /* the firmware's, see its memory test */
    EVENTS = 64,
};

static avr_t *avr;
static elf_firmware_t firmware;
static struct converters converters;
static avr_irq_t *line_irq[CELLS];
static avr_irq_t *uart_in;

static void die(const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vfprintf(stderr, format, arguments);
    va_end(arguments);
    fputc('\n', stderr);
    exit(2);
}

/* ---- what the cells carry ----------------------------------------------------------------- */

struct script {
    double rate;
    long rows;
    double (*row)[CELLS];
};

static double scrambled(void *source, int cell, uint32_t index, double seconds)
{
    (void)source, (void)seconds;
    /* Odd, so one to one in 24 bits; about half of the bits change from one to the next. */
    const uint32_t bits = (index * 0x9E3779u + (uint32_t)cell * 0x3C6EF3u) & 0xFFFFFF;
    return (double)bits + BOTTOM;
}

static double scripted(void *source, int column, uint32_t index, double seconds)
{
    const struct script *const s = source;
    (void)index;
    const double at = fmin(fmax(seconds * s->rate, 0), (double)(s->rows - 1));
    const long row = at >= (double)(s->rows - 1) ? s->rows - 2 : (long)at;
    const double part = at - (double)row;
    return s->row[row][column] * (1 - part) + s->row[row + 1][column] * part;
}

static bool read_row(FILE *file, int columns, double *row)
{
    for (int column = 0; column < columns; column++)
        if (fscanf(file, "%lf", &row[column]) != 1)
            return false;
    return true;
}

static void read_script(struct script *s, int columns, const char *path)
{
    FILE *const file = fopen(path, "r");
    if (!file || fscanf(file, "%lf", &s->rate) != 1)
        die("no script at %s", path);
    long room = 1024;
    s->row = malloc((size_t)room * sizeof *s->row);
    for (double r[CELLS] = {0}; read_row(file, columns, r);) {
        if (s->rows == room)
            s->row = realloc(s->row, (size_t)(room *= 2) * sizeof *s->row);
        memcpy(s->row[s->rows++], r, sizeof r);
    }
    fclose(file);
    if (s->rows < 2)
        die("a script needs two rows");
}

/* ---- the converters on the chip's pins ---------------------------------------------------- */

static FILE *truth;
static bool reset_in_read, reset_in_transfer;
static bool reset_now;

static void write_truth(struct converters *all)
{
    if (!truth)
        return;
    fprintf(truth, "%.0f %.0f %d", all->read.begin, all->read.end, all->read.clocked);
    for (int i = 0; i < CELLS; i++) {
        const struct converter *const c = &all->cell[i];
        fprintf(truth, " %u %d %.1f %d", c->truth_index, c->truth, c->truth_edge, c->collided);
    }
    fputc('\n', truth);
}

static avr_cycle_count_t show_lines(avr_t *chip, avr_cycle_count_t when, void *unused)
{
    (void)chip, (void)when, (void)unused;
    for (int i = 0; i < CELLS; i++)
        avr_raise_irq(line_irq[i], converter_line(&converters.cell[i]));
    return 0;
}

static void lines_changed(void)
{
    avr_cycle_timer_register(avr, LINE_DELAY, show_lines, NULL);
}

static avr_cycle_count_t on_due(avr_t *chip, avr_cycle_count_t when, void *which)
{
    const int cell = (int)(intptr_t)which;
    (void)chip;
    converters_due(&converters, cell, (double)when);
    lines_changed();
    return (avr_cycle_count_t)ceil(converters.cell[cell].due);
}

static void arm_due(int cell)
{
    const double wait = ceil(converters.cell[cell].due) - (double)avr->cycle;
    avr_cycle_timer_cancel(avr, on_due, (void *)(intptr_t)cell);
    avr_cycle_timer_register(avr, wait > 1 ? (avr_cycle_count_t)wait : 1, on_due,
                             (void *)(intptr_t)cell);
}

static void on_clock(struct avr_irq_t *irq, uint32_t high, void *unused)
{
    (void)irq, (void)unused;
    const uint32_t restarts = converters.restarts;
    converters_clock(&converters, high != 0, (double)avr->cycle);
    if (converters.restarts != restarts)
        for (int i = 0; i < CELLS; i++)
            arm_due(i);
    if (reset_in_read && converters.burst == 10) {
        reset_in_read = false;
        reset_now = true;
    }
    lines_changed();
}

/* ---- the accelerometer -------------------------------------------------------------------- */

static FILE *accel_truth;
static struct accelerometer sensor;

/* At most 32 digits to either side; which one of 4,096 it is shows in x and y. */
static double shaken(void *source, int axis, uint32_t index, double seconds)
{
    static const int rest[AXES] = {-100, 7, 500};
    const uint32_t part = axis == 0 ? index : axis == 1 ? index / 64 : index * 29;
    (void)source, (void)seconds;
    return (rest[axis] + (int)(part % 64) - 32) * 2 * 9.80665;
}

static void write_accel_truth(struct accelerometer *s)
{
    if (accel_truth)
        fprintf(accel_truth, "%.1f %d %d %d\n", s->edge, s->digits[0], s->digits[1], s->digits[2]);
}

static avr_cycle_count_t on_result(avr_t *chip, avr_cycle_count_t when, void *unused)
{
    (void)chip, (void)when, (void)unused;
    if (sensor.due == 0)
        return 0;
    accelerometer_due(&sensor);
    return (avr_cycle_count_t)ceil(sensor.due);
}

static void arm_sensor(struct accelerometer *s)
{
    avr_cycle_timer_cancel(avr, on_result, NULL);
    if (s->due == 0)
        return;
    const double wait = ceil(s->due) - (double)avr->cycle;
    avr_cycle_timer_register(avr, wait > 1 ? (avr_cycle_count_t)wait : 1, on_result, NULL);
}

/* The simulator pulled the converters' lines up with the rest of the port. */
static void show_lines_again(void)
{
    show_lines(avr, 0, NULL);
}

/* ---- the line to the host ----------------------------------------------------------------- */

static const char *port_link;
static int master = -1, slave = -1;
static uint8_t out[65536], in[4096];
static size_t out_count, in_count;
static unsigned long long bytes_out; /* since the port was last plugged in */

static void plug(void)
{
    char name[256];
    struct termios raw;
    if (openpty(&master, &slave, name, NULL, NULL) != 0)
        die("no pseudo-terminal: %s", strerror(errno));
    tcgetattr(slave, &raw);
    cfmakeraw(&raw); /* a terminal's own mode would translate bytes */
    tcsetattr(slave, TCSANOW, &raw);
    fcntl(master, F_SETFL, O_NONBLOCK);
    unlink(port_link);
    if (symlink(name, port_link) != 0)
        die("%s: %s", port_link, strerror(errno));
    out_count = in_count = 0;
    bytes_out = 0;
    /* Time stands still until somebody is there. */
    struct pollfd asked = {.fd = master, .events = POLLIN};
    if (poll(&asked, 1, 60000) != 1)
        die("nobody asked");
}

/* What is still on its way is lost. */
static void yank(void)
{
    unlink(port_link);
    close(master);
    close(slave);
    master = slave = -1;
    in_count = 0;
}

/* From the moment at which the last line fell to the last byte of its frame in the chip's hands. */
static double delay_sum, delay_max;
static uint32_t delays;
/* From a result in the accelerometer to its frame's last byte. */
static double accel_delay_sum, accel_delay_max;
static uint32_t accel_delays;

static void measure_delay(void)
{
    double newest = 0;
    for (int i = 0; i < CELLS; i++)
        if (converters.cell[i].truth_edge > newest)
            newest = converters.cell[i].truth_edge;
    const double delay = (double)avr->cycle - newest;
    delay_sum += delay;
    delay_max = fmax(delay_max, delay);
    delays++;
}

static void on_byte(struct avr_irq_t *irq, uint32_t byte, void *unused)
{
    static uint32_t told; /* the read whose frame was seen last */
    static uint8_t last_type, at;
    (void)irq, (void)unused;
    if (byte == 0 && last_type == TYPE_SAMPLE && told != converters.reads) {
        told = converters.reads;
        measure_delay();
    }
    if (byte == 0 && last_type == TYPE_ACCELERATION) {
        const double delay = (double)avr->cycle - sensor.edge;
        accel_delay_sum += delay;
        accel_delay_max = fmax(accel_delay_max, delay);
        accel_delays++;
    }
    /* Of a frame's bytes the second is its type: no type is zero. */
    if (at == 1)
        last_type = (uint8_t)byte;
    at = byte == 0 ? 0 : (uint8_t)(at + (at < 2));
    if (master < 0)
        return;
    if (out_count == sizeof out)
        die("more than a serial line can carry");
    out[out_count++] = (uint8_t)byte;
}

static void flush(void)
{
    size_t done = 0;
    while (done < out_count && master >= 0) {
        const ssize_t written = write(master, out + done, out_count - done);
        if (written > 0) {
            done += (size_t)written;
            continue;
        }
        if (errno != EAGAIN && errno != EINTR)
            die("port: %s", strerror(errno));
        struct pollfd room = {.fd = master, .events = POLLOUT};
        if (poll(&room, 1, 60000) == 0)
            die("nobody reads");
    }
    bytes_out += done;
    out_count = 0;
}

static avr_cycle_count_t to_chip(avr_t *chip, avr_cycle_count_t when, void *unused)
{
    (void)chip, (void)unused;
    if (in_count == 0)
        return 0;
    avr_raise_irq(uart_in, in[0]);
    memmove(in, in + 1, --in_count);
    return in_count ? when + CYCLES_PER_BYTE : 0;
}

static void listen_to_host(void)
{
    if (master < 0 || avr->cycle < NOT_BEFORE)
        return;
    const ssize_t got = read(master, in + in_count, sizeof in - in_count);
    if (got > 0 && in_count == 0)
        avr_cycle_timer_register(avr, CYCLES_PER_BYTE, to_chip, NULL);
    if (got > 0)
        in_count += (size_t)got;
}

/* ---- the chip ----------------------------------------------------------------------------- */

static double asleep;       /* cycles */
static uint32_t resets;
static avr_cycle_count_t reset_at;
static uint32_t paint_top;  /* most bytes of stack ever seen */
static bool rearm;
static void (*core_reset)(avr_t *chip);
static struct {
    uint32_t at;
    uint8_t was[2];
    bool set;
} hang;

static void no_wait(avr_t *chip, avr_cycle_count_t cycles)
{
    (void)chip;
    asleep += (double)cycles;
}

static avr_cycle_count_t tick(avr_t *chip, avr_cycle_count_t when, void *unused)
{
    (void)chip, (void)unused;
    return when + TICK;
}

static void measure_stack(void)
{
    uint32_t at = 0x100 + firmware.datasize + firmware.bsssize;
    while (at <= avr->ramend && avr->data[at] == PAINT)
        at++;
    const uint32_t used = avr->ramend + 1 - at;
    /* Until the memory test is over nothing is painted. */
    if (avr->cycle > reset_at + NOT_BEFORE && used > paint_top)
        paint_top = used;
}

static void on_reset(avr_t *chip)
{
    core_reset(chip);
    resets++;
    reset_at = avr->cycle;
    rearm = true; /* the simulator forgot all timers */
    if (hang.set)
        memcpy(avr->flash + hang.at, hang.was, 2);
    hang.set = false;
}

static void after_reset(void)
{
    rearm = false;
    /* The pins are inputs: a resistor holds the clock low. */
    converters_clock(&converters, false, (double)avr->cycle);
    for (int i = 0; i < CELLS; i++)
        arm_due(i);
    arm_sensor(&sensor);
    twi_reset();
    lines_changed();
    if (in_count)
        avr_cycle_timer_register(avr, CYCLES_PER_BYTE, to_chip, NULL);
    avr_cycle_timer_register(avr, TICK, tick, NULL);
}

static double baud(void)
{
    const unsigned divider = avr->data[0xC4] | (unsigned)(avr->data[0xC5] & 0x0F) << 8;
    return HERTZ / ((avr->data[0xC0] & 2 ? 8 : 16) * (divider + 1.0));
}

static void quiet(avr_t *chip, const int level, const char *format, va_list arguments)
{
    (void)chip;
    if (level <= LOG_ERROR)
        vfprintf(stderr, format, arguments);
}

/* ---- events ------------------------------------------------------------------------------- */

static struct event {
    double cycle;
    const char *what;
} events[EVENTS];
static int event_count, event_next;

static void happen(const char *what)
{
    const char *const equals = strchr(what, '=');
    const int length = equals ? (int)(equals - what) : (int)strlen(what);
    const int number = equals ? atoi(equals + 1) : 0;
    struct converter *const c = &converters.cell[number & 3];
#define IS(name) (length == (int)strlen(name) && !strncmp(what, name, (size_t)length))
    if (IS("open")) {
        c->open = true;
    } else if (IS("ground")) {
        c->grounded = true;
    } else if (IS("saturate")) {
        c->saturated = true;
    } else if (IS("stick")) {
        c->stuck = true;
    } else if (IS("heal")) {
        c->open = c->grounded = c->saturated = c->stuck = false;
    } else if (IS("rate")) {
        c->period = HERTZ / atof(strchr(what, ':') + 1);
    } else if (IS("supply")) {
        avr->vcc = avr->avcc = (uint32_t)number;
    } else if (IS("reset")) {
        reset_now = true;
    } else if (IS("reset-in-read")) {
        reset_in_read = true;
    } else if (IS("reset-in-transfer")) {
        reset_in_transfer = true;
    } else if (IS("hang")) {
        /* Where it is now, the program jumps to itself; whole again after a reset. */
        hang.at = avr->pc;
        hang.set = true;
        memcpy(hang.was, avr->flash + hang.at, 2);
        memcpy(avr->flash + hang.at, "\xff\xcf", 2);
    } else if (IS("yank")) {
        flush();
        yank();
    } else if (IS("plug")) {
        plug();
    } else if (IS("sensor-off")) {
        sensor.off = true;
        accelerometer_start(&sensor);
    } else if (IS("sensor-on")) {
        sensor.off = false;
    } else if (IS("sensor-forget")) {
        accelerometer_start(&sensor);
    } else if (IS("sensor-weak")) {
        sensor.push = 20;
    } else if (IS("sensor-strong")) {
        sensor.push = 200;
    } else if (IS("hold-sda")) {
        twi_hold_sda(number);
    } else if (IS("hold-scl")) {
        twi_hold_scl(true);
    } else if (IS("let-go")) {
        twi_hold_sda(0);
        twi_hold_scl(false);
    } else {
        die("unknown event %s", what);
    }
#undef IS
    lines_changed();
}

/* ---- the bench ---------------------------------------------------------------------------- */

static void four(const char *text, double values[CELLS])
{
    if (sscanf(text, "%lf,%lf,%lf,%lf", &values[0], &values[1], &values[2], &values[3]) != CELLS)
        die("four numbers with commas, not %s", text);
}

static void place(const char *text, uint32_t *address, uint8_t *bit)
{
    unsigned a, b;
    if (sscanf(text, "%x:%u", &a, &b) != 2)
        die("ADDRESS:BIT, not %s", text);
    *address = a;
    *bit = (uint8_t)(1u << (b & 7));
}

static double wall(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

int main(int count, char **arguments)
{
    const char *elf = NULL, *eeprom = NULL;
    double seconds = 0, rates[CELLS] = {80, 80, 80, 80}, offsets[CELLS] = {0}, jitter = 0;
    uint32_t flip_at = 0, stuck_at = 0;
    uint8_t flip_bit = 0, stuck_bit = 0;

    converters.dice = 1;
    converters.input = scrambled;
    converters.on_read = write_truth;
    sensor = (struct accelerometer){.felt = shaken,
                                    .push = 200,
                                    .dice = 7,
                                    .on_taken = write_accel_truth,
                                    .on_started = arm_sensor};
    for (int i = 1; i + 1 < count; i += 2) {
        const char *const name = arguments[i], *const value = arguments[i + 1];
#define IS(option) (!strcmp(name, option))
        if (IS("--elf"))
            elf = value;
        else if (IS("--port"))
            port_link = value;
        else if (IS("--seconds"))
            seconds = atof(value);
        else if (IS("--truth"))
            truth = fopen(value, "w");
        else if (IS("--rates"))
            four(value, rates);
        else if (IS("--offsets"))
            four(value, offsets);
        else if (IS("--jitter"))
            jitter = atof(value);
        else if (IS("--collision"))
            converters.collision = strcmp(value, "again") ? RENEW : AGAIN;
        else if (IS("--script")) {
            static struct script loads;
            read_script(&loads, CELLS, value);
            converters.input = scripted;
            converters.source = &loads;
        } else if (IS("--accel")) {
            sensor.period = HERTZ / atof(value);
            if (!sensor.address)
                sensor.address = 0x18;
        } else if (IS("--accel-address")) {
            sensor.address = (uint8_t)atoi(value);
        } else if (IS("--accel-truth")) {
            accel_truth = fopen(value, "w");
        } else if (IS("--accel-script")) {
            static struct script motion;
            read_script(&motion, AXES, value);
            sensor.felt = scripted;
            sensor.source = &motion;
        } else if (IS("--noise"))
            converters.noise = atof(value);
        else if (IS("--seed"))
            converters.dice = strtoull(value, NULL, 10) * 0x9E3779B97F4A7C15u + 1;
        else if (IS("--eeprom"))
            eeprom = value;
        else if (IS("--flip-flash"))
            place(value, &flip_at, &flip_bit);
        else if (IS("--stuck-ram"))
            place(value, &stuck_at, &stuck_bit);
        else if (IS("--at") && event_count < EVENTS && strchr(value, ':'))
            events[event_count++] =
                (struct event){atof(value) * HERTZ, strchr(value, ':') + 1};
        else
            die("unknown option %s", name);
#undef IS
    }
    if (!elf || !port_link || seconds <= 0)
        die("--elf, --port and --seconds are needed");

    avr_global_logger_set(quiet);
    if (elf_read_firmware(elf, &firmware) != 0)
        die("can't read %s", elf);
    avr = avr_make_mcu_by_name("atmega328p");
    avr_init(avr);
    avr->frequency = (uint32_t)HERTZ;
    avr->vcc = avr->avcc = avr->aref = 5000;
    avr_load_firmware(avr, &firmware);
    avr->frequency = (uint32_t)HERTZ;
    avr->sleep = no_wait;
    core_reset = avr->reset;
    avr->reset = on_reset;
    avr->flash[flip_at] ^= flip_bit;
    if (eeprom) {
        uint8_t bytes[64];
        avr_eeprom_desc_t kept = {.ee = bytes};
        for (unsigned byte; sscanf(eeprom, "%2x", &byte) == 1 && kept.size < 64; eeprom += 2)
            bytes[kept.size++] = (uint8_t)byte;
        avr_ioctl(avr, AVR_IOCTL_EEPROM_SET, &kept);
    }

    if (sensor.address && sensor.period == 0)
        die("--accel is needed for the others");
    sensor.jitter = jitter;
    accelerometer_start(&sensor);
    twi_attach(avr, &sensor, show_lines_again);

    uint32_t flags = 0;
    avr_ioctl(avr, AVR_IOCTL_UART_SET_FLAGS('0'), &flags);
    avr_irq_register_notify(
        avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_OUTPUT), on_byte, NULL);
    uart_in = avr_io_getirq(avr, AVR_IOCTL_UART_GETIRQ('0'), UART_IRQ_INPUT);
    avr_irq_register_notify(avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('B'), 1), on_clock, NULL);
    for (int i = 0; i < CELLS; i++) {
        line_irq[i] = avr_io_getirq(avr, AVR_IOCTL_IOPORT_GETIRQ('C'), i);
        converters.cell[i].period = HERTZ / rates[i];
        converters.cell[i].offset = offsets[i] * CYCLES_PER_US;
        converters.cell[i].jitter = jitter;
    }
    converters_start(&converters, 0);
    after_reset();
    plug();

    const double begin = wall(), end = seconds * HERTZ;
    avr_cycle_count_t host_at = 0;
    int state = cpu_Running;
    if (stuck_bit)
        avr->run_cycle_limit = 1; /* instruction by instruction: the bit is stuck between any two */
    /* Not in the middle of a read or its frame. */
    while (((double)avr->cycle < end || (double)avr->cycle < converters.read.begin + 3 * TICK) &&
           state != cpu_Done && state != cpu_Crashed) {
        state = avr_run(avr);
        if (stuck_bit)
            avr->data[stuck_at] |= stuck_bit;
        while (event_next < event_count && (double)avr->cycle >= events[event_next].cycle)
            happen(events[event_next++].what);
        if (reset_in_transfer && twi_is_reading()) {
            reset_in_transfer = false;
            reset_now = true;
        }
        if (reset_now) {
            reset_now = false;
            measure_stack();
            avr_reset(avr);
        }
        if (rearm)
            after_reset();
        if (avr->cycle >= host_at) {
            host_at = avr->cycle + HOST_EVERY;
            flush();
            listen_to_host();
            measure_stack();
        }
    }
    flush();
    const double took = wall() - begin, cycles = (double)avr->cycle;
    if (truth)
        fclose(truth);
    if (accel_truth)
        fclose(accel_truth);
    printf("{\"simulated_s\": %.3f, \"wall_s\": %.3f, \"awake_percent\": %.3f, "
           "\"clock_high_max_us\": %.4f, \"read_max_us\": %.3f, \"restarts\": %u, "
           "\"reads\": %u, \"collisions\": %u, \"pulses_at_no_result\": %u, "
           "\"stack_bytes\": %u, \"static_bytes\": %u, \"resets\": %u, \"baud\": %.1f, "
           "\"transfers\": %u, \"bus_clocks_by_hand\": %u, \"arbitrations_lost\": %u, "
           "\"bus_hz\": %.1f, \"accel_taken\": %u, \"accel_replaced\": %u, "
           "\"delay_mean_us\": %.1f, \"delay_max_us\": %.1f, \"accel_delay_mean_us\": %.1f, "
           "\"accel_delay_max_us\": %.1f, \"bytes_out\": %llu, \"state\": %d}\n",
           cycles / HERTZ, took, 100 * (cycles - asleep) / cycles,
           converters.clock_high_max / CYCLES_PER_US, converters.read_max / CYCLES_PER_US,
           converters.restarts, converters.reads, converters.collisions,
           converters.pulses_at_no_result, paint_top, firmware.datasize + firmware.bsssize, resets,
           baud(), twi_met.transfers, twi_met.clocks, twi_met.lost, twi_met.hz, sensor.taken,
           sensor.replaced, delays ? delay_sum / delays / CYCLES_PER_US : 0, delay_max / CYCLES_PER_US,
           accel_delays ? accel_delay_sum / accel_delays / CYCLES_PER_US : 0,
           accel_delay_max / CYCLES_PER_US,
           bytes_out, state);
    fflush(stdout);
    /* The reader may not be done: keep the port open until it says so. */
    while (getchar() != EOF)
        ;
    if (master >= 0)
        yank();
    return 0;
}
