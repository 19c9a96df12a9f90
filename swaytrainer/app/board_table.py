"""A board's condition as lines of text."""

from __future__ import annotations

import math

from swaytrainer.board.pair import BoardCalibration
from swaytrainer.board.wire import Hello
from swaytrainer.sitting.board_report import NOT_MEASURED, BoardReport, CellState, Delay, Floor


def head_lines(hello: Hello, url: str, calibration: BoardCalibration | None) -> list[str]:
    """What a board says of itself, and whether it is calibrated."""
    firmware = ".".join(str(n) for n in hello.firmware)
    made = (
        f"calibrated {calibration.made:%Y-%m-%d %H:%M}"
        if calibration
        else "not calibrated: swaytrainer calibrate --mass KG"
    )
    return [
        f"Board {hello.board_id} at {url}, {hello.rate_hz:g} samples a second",
        f"  wire {hello.wire_major}.{hello.wire_minor}, firmware {firmware}, {made}",
    ]


def number(value: float, form: str, unit: str = "") -> str:
    """A number with its unit; a dash where there is none, and no minus before nothing.

    >>> number(-0.004, "z.2f", " N"), number(math.nan, "z.2f", " N")
    ('0.00 N', '–')
    """
    return f"{value:{form}}{unit}" if math.isfinite(value) else "–"


def report_lines(report: BoardReport) -> list[str]:
    """The table, worst warning first."""
    twist = number(report.twist_percent, "z.1f", " % of the load")
    force = number(report.force_n, "z.1f", " N")
    rows = [
        ("load", f"{force}   {number(report.mass_kg, 'z.2f', ' kg')}"),
        ("pressure", pressure_words(report)),
        ("twist", f"{number(report.twist_n, '+z.1f', ' N')}   {twist}"),
        (
            "rate",
            f"{number(report.rate_hz, 'z.2f')} a second by the board's own clock,"
            f" {report.nominal_hz:g} announced; heard {report.samples}",
        ),
        (
            "loss",
            f"lost {report.lost}, corrupt {report.corrupt}, unknown {report.unknown},"
            f" late {report.late} ({number(report.lost_percent, 'z.2f', ' % lost')})",
        ),
        ("noise floor", floor_words(report.floor)),
        ("drift", drift_words(report.drift_ppm)),
    ]
    warnings = [f"  ! {words}" for words in report.warnings] or ["  All is well."]
    head = f"  {'cell':<18}  {'state':<20}  {'counts':>11}  {'newtons':>9}  noise rms"
    return [
        *warnings,
        "",
        head,
        *(_cell_line(cell) for cell in report.cells),
        "",
        *(f"  {label:<12}  {words}" for label, words in rows),
        "",
        "  Delays that show here, median and 99th percentile:",
        f"  {'jitter':<12}  {delay_words(report.jitter)}  late, against the earliest arrivals",
        f"  {'queue':<12}  {delay_words(report.queue)}  from arrival until worked off here",
        f"  {'bundling':<12}  {number(report.samples_per_read, 'z.2f')} samples a read,"
        f" {report.most_per_read} at most; {number(report.reads_hz, 'z.0f')} reads a second",
        "  Not to be seen from here (hardware/DELAY.md):",
        *(f"  {'':<12}  {part}" for part in NOT_MEASURED),
    ]


def _cell_line(cell: CellState) -> str:
    noise = number(cell.noise_n, "z.3f", " N")
    if math.isnan(cell.noise_n):
        noise = number(cell.noise_counts, "z.0f", " counts")
    return (
        f"  {cell.name:<18}  {cell.word:<20}  {number(cell.counts, 'z,.0f'):>11}"
        f"  {number(cell.load_n, 'z.1f'):>9}  {noise}"
    )


def pressure_words(report: BoardReport) -> str:
    """Where the centre of pressure is.

    It is at the board's own frame: x right, y forward.
    """
    if math.isnan(report.x_mm):
        return "–"
    return f"right {report.x_mm:+z.1f} mm, forward {report.y_mm:+z.1f} mm"


def delay_words(delay: Delay) -> str:
    """Both percentiles.

    >>> delay_words(Delay(1.25, 12.0)).split()
    ['1.2', '12.0', 'ms']
    """
    if math.isnan(delay.median_ms):
        return "–"
    return f"{delay.median_ms:z5.1f} {delay.p99_ms:z5.1f} ms"


def drift_words(drift_ppm: float) -> str:
    """The drift, or that it takes a while."""
    if math.isnan(drift_ppm):
        return "– (known after twenty seconds)"
    return f"{drift_ppm:+z.0f} ppm: the host's clock against the board's"


def floor_words(floor: Floor) -> str:
    """The noise floor, or why there is none."""
    if math.isnan(floor.speed_mm_s):
        return f"– {floor.why}"
    under = f"under the dead {floor.force_n:.0f} N on it"
    if not floor.dead:
        under = f"empty, scaled to {floor.force_n:.0f} N"
    ago = f", {floor.age_s:.0f} s ago" if floor.why else ""
    return (
        f"{floor.speed_mm_s:.2f} mm/s at 10 Hz ({under}{ago}); a cell"
        f" {floor.cell_noise_n:.3f} N rms, the unfiltered centre of pressure"
        f" {floor.cop_noise_mm:.3f} mm rms"
    )
