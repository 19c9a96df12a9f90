"""A board's condition on the screen, large: the plate with its cells and the point of pressure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.board.calibration import Calibration
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.pair import BoardCalibration, PairCalibration
from swaytrainer.games.canvas import Canvas, canvas_of
from swaytrainer.games.palette import GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY
from swaytrainer.games.plate import RIM_MM, draw_plate, draw_pressure, draw_tick, half_size_of
from swaytrainer.sitting.board_report import BODY_KG, BoardReport, CellState, CellWord, Delay, Floor
from swaytrainer.sway.cop import CopSample
from swaytrainer.words import number, say

#: Without a calibration nobody knows where the cells are: the drawings' places (hardware/BUILD.md).
_DRAWN_MM: Final = (220.0, 170.0)
_DRAWN_FOOT_MM: Final = (90.0, 170.0)
_DRAWN_APART_MM: Final = 240.0
_NO_VALUE: Final = "–"
_SHORT: Final = {
    CellWord.SILENT: "no signal",
    CellWord.MISSING: "no answer",
    CellWord.SATURATED: "saturated",
    CellWord.STUCK: "stuck",
    CellWord.FINE: "fine",
}


def draw_condition(
    surface: Surface, report: BoardReport, calibration: BoardCalibration | None, cop: CopSample
) -> Canvas:
    """One frame.

    Args:
        surface: to draw on.
        report: the figures; may be a little older than ``cop``.
        calibration: the board's, if it has one.
        cop: the newest sample, for the moving point.

    Returns:
        The canvas, for the tests.
    """
    canvas = canvas_of(surface)
    canvas.begin()
    surface.fill(NIGHT)
    load = _words(report.mass_kg, "z.1f", " kg")
    canvas.text(load, canvas.area(0.03, 0.02, 0.33, 0.14), size=0.12, align="left")
    canvas.text(
        _words(report.force_n, "z.0f", " N"), canvas.area(0.34, 0.02, 0.53, 0.14), size=0.07,
        align="right", colour=MIST,
    )  # fmt: skip
    if len(report.cells) == 4:
        places = calibration.places if isinstance(calibration, Calibration) else None
        half_size = half_size_of(places) if places else _DRAWN_MM
        middles: tuple[float, ...] = (0.0,)
    else:
        pair = calibration if isinstance(calibration, PairCalibration) else None
        half_size = half_size_of(pair.left.places) if pair else _DRAWN_FOOT_MM
        half = 0.5 * (pair.apart_mm if pair else _DRAWN_APART_MM)
        middles = (-half, half)
    _draw_plates(canvas, report.cells, half_size, middles, cop)
    _draw_rows(canvas, report, calibration is not None)
    _draw_foot(canvas, report)
    return canvas


def _draw_plates(
    canvas: Canvas,
    cells: Sequence[CellState],
    half_size_mm: tuple[float, float],
    middles_mm: Sequence[float],
    cop: CopSample,
) -> None:
    """One plate or two, true to scale, with the joint point of pressure."""
    half_width, half_depth = half_size_mm
    wide_mm = 2.0 * (half_width + RIM_MM + max(middles_mm))
    tall_mm = 2.0 * (half_depth + RIM_MM)
    scale = min(0.56 * canvas.height / tall_mm, 0.5 * canvas.width / wide_mm)
    x0, y0 = round(0.28 * canvas.width), round(0.51 * canvas.height)
    drawn = []
    for n, middle in enumerate(middles_mm):
        centre = (round(x0 + middle * scale), y0)
        height = tall_mm * scale / canvas.height
        plate, at = draw_plate(canvas, half_size_mm, centre, height)
        drawn.append(plate)
        for cell, across, along in zip(
            cells[4 * n : 4 * n + 4], (-1, 1, -1, 1), (1, 1, -1, -1), strict=True
        ):
            _draw_cell(canvas, cell, at(across * half_width, along * half_depth), plate)

    def joint(x_mm: float, y_mm: float) -> tuple[int, int]:
        return (round(x0 + x_mm * scale), round(y0 - y_mm * scale))

    draw_pressure(canvas, drawn[0].unionall(drawn[1:]), joint, cop.x_mm, cop.y_mm)


def _words(value: float, form: str, unit: str = "") -> str:
    return f"{value:{form}}{unit}" if math.isfinite(value) else _NO_VALUE


def _draw_cell(canvas: Canvas, cell: CellState, place: tuple[int, int], plate: Rect) -> None:
    """A disc for a fine cell, a square for any other, so that the shape tells it too."""
    x, y = place
    r = canvas.px(0.022)
    fine = cell.word is CellWord.FINE
    if fine:
        pygame.draw.circle(canvas.surface, SKY, place, r)
    else:
        pygame.draw.rect(canvas.surface, ORANGE, Rect(x - r, y - r, 2 * r, 2 * r))
    left = x < plate.centerx
    words = Rect(0, 0, round(0.4 * plate.width), canvas.px(0.056))
    words.x = (
        plate.left + canvas.px(0.012) if left else plate.right - canvas.px(0.012) - words.width
    )
    up = y < plate.centery
    words.y = y + r + canvas.px(0.008) if up else y - r - canvas.px(0.008) - words.height
    unit = " N" if words.width > canvas.px(0.16) else ""
    value = _words(cell.load_n, "z.0f", unit)
    if fine and value == _NO_VALUE:
        value = _words(cell.counts / 1000.0, "z.0f", " k")
    canvas.text(
        value if fine else _SHORT[cell.word], words, size=0.054,
        colour=PAPER if fine else ORANGE, align="left" if left else "right",
    )  # fmt: skip


def _draw_rows(canvas: Canvas, report: BoardReport, calibrated: bool) -> None:
    panel = canvas.area(0.555, 0.03, 0.985, 0.86)
    canvas.panel(panel)
    inner = panel.inflate(-canvas.px(0.035), -canvas.px(0.02))
    lost = say("{lost} · corrupt {corrupt}", lost=report.lost, corrupt=report.corrupt)
    wrong = not 0.95 * report.nominal_hz <= report.rate_hz <= 1.05 * report.nominal_hz
    noises = [c.noise_n for c in report.cells if math.isfinite(c.noise_n)]
    rows = (
        (
            "Rate, Hz",
            say(
                "{rate} of {nominal:g}",
                rate=_words(report.rate_hz, "z.1f"),
                nominal=report.nominal_hz,
            ),
            wrong,
        ),
        ("Lost", lost, bool(report.lost or report.corrupt)),
        ("Across", _words(report.x_mm, "+z.0f", " mm"), False),
        ("Forward", _words(report.y_mm, "+z.0f", " mm"), False),
        ("Twist", _words(report.twist_percent, "z.0f", " %"), False),
        ("Noise, a cell", f"{number(max(noises), '.3f')} N" if noises else _NO_VALUE, False),
        ("Floor, mm/s", _floor(report.floor) if calibrated else _NO_VALUE, False),
        ("Drift", _words(report.drift_ppm, "+z.0f", " ppm"), False),
        ("Jitter", _delay(report.jitter), False),
        ("Queue", _delay(report.queue), False),
        (
            "A read",
            say(
                "{mean} · most {most}",
                mean=_words(report.samples_per_read, "z.1f"),
                most=report.most_per_read,
            ),
            False,
        ),
    )
    row = inner.height // len(rows)
    for n, (label, value, bad) in enumerate(rows):
        line = Rect(inner.x, inner.y + n * row, inner.width, row)
        drawn = canvas.text(label, line, size=0.054, align="left", colour=MIST)
        line.x, line.width = (
            drawn.right + canvas.px(0.01),
            line.right - drawn.right - canvas.px(0.01),
        )
        canvas.text(value, line, size=0.06, align="right", colour=ORANGE if bad else PAPER)


def _floor(floor: Floor) -> str:
    if math.isnan(floor.speed_mm_s):
        return "clear 3 s"
    return number(floor.speed_mm_s, ".2f")


def _delay(delay: Delay) -> str:
    if math.isnan(delay.median_ms):
        return _NO_VALUE
    p99 = number(delay.p99_ms, "z.1f") if delay.p99_ms < 99.95 else f"{delay.p99_ms:.0f}"
    return say("{median:z.1f} to {p99}", median=delay.median_ms, p99=p99)


def _draw_foot(canvas: Canvas, report: BoardReport) -> None:
    """The worst warning, or that all is well; and what no program can measure."""
    line = canvas.area(0.03, 0.87, 0.97, 0.99)
    if report.warnings:
        canvas.panel(line, INK, ORANGE)
        inner = line.inflate(-canvas.px(0.04), 0)
        canvas.text(report.warnings[0], inner, size=0.056, colour=ORANGE, lines=2)
        return
    sign = Rect(line.x, line.centery - canvas.px(0.025), canvas.px(0.05), canvas.px(0.05))
    draw_tick(canvas, sign, SKY)
    words = Rect(sign.right + canvas.px(0.02), line.y, line.width // 4, line.height)
    canvas.text("All is well", words, size=0.062, colour=SKY, align="left")
    rest = Rect(words.right, line.y, line.right - words.right, line.height)
    floor = report.floor
    under_kg = floor.force_n / STANDARD_GRAVITY if floor.dead else BODY_KG
    canvas.text(
        say(
            "Floor: noise under {mass:.0f} kg. Jitter, queue: ms, median to 99th percentile."
            " Not measured here: the converter's filter, the USB chip, the screen. Esc ends.",
            mass=under_kg,
        ),
        rest, size=0.036, colour=GOLD, main=False, lines=3, align="right",
    )  # fmt: skip
