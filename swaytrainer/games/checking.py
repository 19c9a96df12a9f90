"""The one-minute check on a screen: what to beware of, where to stand, and the verdict."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.board.acceptance import CAUTIONS, LEANING_CAUTION, Check
from swaytrainer.board.findings import LEANS, Step, Verdict
from swaytrainer.board.gravity import STANDARD_GRAVITY
from swaytrainer.board.judging import COP_MM, FORCE_SHARE, NOISE_N
from swaytrainer.games.canvas import Canvas, begin_on
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, blend
from swaytrainer.games.plate import (
    At,
    draw_arrow,
    draw_cross,
    draw_plate,
    draw_pressure,
    draw_tick,
    half_size_of,
)
from swaytrainer.games.soles import Sheet, draw_soles
from swaytrainer.sway.feet import Feet
from swaytrainer.words import number, say, tr

_STEP_WORDS: Final = {
    Step.EMPTY: "Empty",
    Step.LEFT: "Left",
    Step.RIGHT: "Right",
    Step.HEELS: "Heels",
    Step.TOES: "Toes",
    Step.WEIGHT: "Mass",
    Step.EMPTY_AGAIN: "Empty",
}
#: Which way each lean goes, as shares of the half width and half depth.
_WAY: Final = {Step.LEFT: (-1, 0), Step.RIGHT: (1, 0), Step.HEELS: (0, -1), Step.TOES: (0, 1)}
#: Drawn soles are of nobody in particular: the data folder's usual foot, on the heel line.
_FOOT_MM, _STANCE_MM = 240.0, 200.0


def draw_cautions(surface: Surface, note: str = "", cautions: Sequence[str] = CAUTIONS) -> Canvas:
    """What to beware of, before the board is looked for; a key goes on.

    Args:
        surface: to draw on.
        note: a sentence more, for what is amiss already.
        cautions: what to beware of.

    Returns:
        The canvas, for the tests.
    """
    canvas = begin_on(surface, NIGHT)
    canvas.text(
        "Before you step on", canvas.area(0.05, 0.03, 0.95, 0.15), size=0.1, colour=ORANGE,
        align="left",
    )  # fmt: skip
    panel = canvas.area(0.04, 0.16, 0.96, 0.76 if note else 0.85)
    canvas.panel(panel)
    inner = panel.inflate(-canvas.px(0.06), -canvas.px(0.03))
    row = inner.height // len(cautions)
    mark = canvas.px(0.024)
    for n, caution in enumerate(cautions):
        line = Rect(inner.x, inner.y + n * row, inner.width, row)
        pygame.draw.rect(
            surface, ORANGE, Rect(line.x, line.centery - mark // 2, mark, mark),
            border_radius=mark // 4,
        )  # fmt: skip
        line.x, line.width = line.x + 2 * mark, line.width - 2 * mark
        canvas.text(caution, line, size=0.058, align="left", lines=2)
    canvas.text(note, canvas.area(0.04, 0.765, 0.96, 0.87), colour=ORANGE, lines=2)
    canvas.text(
        "Leave the board empty. Space or a click begins, Esc leaves.",
        canvas.area(0.04, 0.875, 0.96, 0.985), size=0.058, colour=GOLD, lines=2,
    )  # fmt: skip
    return canvas


def draw_checking(surface: Surface, check: Check) -> Canvas:
    """One frame of the check: the steps, the plate with what to do on it, and why it waits."""
    canvas = begin_on(surface, NIGHT)
    step = check.step
    steps = tuple(Step)
    done = len(steps) if step is None else steps.index(step)
    canvas.text("Check", canvas.area(0.04, 0.02, 0.3, 0.11), size=0.08, align="left")
    words = say("{n} of {all}", n=min(done + 1, len(steps)), all=len(steps))
    canvas.text(words, canvas.area(0.74, 0.02, 0.96, 0.11), size=0.07, align="right", colour=MIST)
    _draw_steps(canvas, check, done)
    half_size = half_size_of(check.calibration.places)
    centre = (round(0.64 * canvas.width), round(0.465 * canvas.height))
    height = min(
        0.54, 0.66 * canvas.width / canvas.height * (half_size[1] + 30) / (half_size[0] + 30)
    )
    plate, at = draw_plate(canvas, half_size, centre, height)
    pressed = check.pressed
    if step is not None:
        _draw_task(canvas, check, step, plate, at)
    if pressed is not None:
        force, x, y = pressed
        canvas.text(
            say("{mass:.0f} kg on it", mass=max(force, 0.0) / STANDARD_GRAVITY),
            canvas.area(0.36, 0.02, 0.7, 0.11), size=0.06, colour=MIST,
        )  # fmt: skip
        draw_pressure(canvas, plate, at, x, y)
    canvas.text(
        check.instruction, canvas.area(0.03, 0.765, 0.97, 0.875), size=0.075, colour=GOLD, lines=2
    )
    caution = LEANING_CAUTION if step in LEANS or step is Step.EMPTY else ""
    canvas.text(
        check.hint or caution, canvas.area(0.03, 0.88, 0.97, 0.99),
        colour=ORANGE if check.hint else MIST, lines=2,
    )  # fmt: skip
    return canvas


def _draw_steps(canvas: Canvas, check: Check, done: int) -> None:
    area = canvas.area(0.03, 0.14, 0.27, 0.75)
    canvas.panel(area)
    inner = area.inflate(-canvas.px(0.03), -canvas.px(0.02))
    row = inner.height // len(Step)
    size = canvas.px(0.04)
    for n, step in enumerate(Step):
        line = Rect(inner.x, inner.y + n * row, inner.width, row)
        mark = Rect(line.x, line.centery - size // 2, size, size)
        if n < done:
            draw_tick(canvas, mark, SKY)
        elif n == done:
            pygame.draw.polygon(
                canvas.surface, GOLD, [mark.topleft, mark.midright, mark.bottomleft]
            )
        else:
            pygame.draw.circle(canvas.surface, DUSK, mark.center, size // 4)
        words = f"{check.mass_kg:g} kg" if step is Step.WEIGHT else _STEP_WORDS[step]
        line.x, line.width = line.x + size + canvas.px(0.02), line.width - size - canvas.px(0.02)
        colour = GOLD if n == done else SKY if n < done else MIST
        canvas.text(words, line, size=0.056, align="left", colour=colour)


def _draw_task(canvas: Canvas, check: Check, step: Step, plate: Rect, at: At) -> None:
    """What is to be on the plate now."""
    if step in LEANS:
        x0, y0 = at(0.0, 0.0)
        scale = (at(100.0, 0.0)[0] - x0) / 100.0
        feet = Feet.from_length(_FOOT_MM, _STANCE_MM, check.calibration.heel_line_mm)
        draw_soles(
            canvas.surface, Sheet(x0, y0, scale), feet, blend(INK, DUSK, 0.8), MIST,
            max(1, canvas.px(0.004)),
        )  # fmt: skip
        across, along = _WAY[step]
        half = half_size_of(check.calibration.places)
        end = at(0.92 * across * half[0], 0.92 * along * half[1])
        draw_arrow(canvas, at(0.25 * across * half[0], 0.25 * along * half[1]), end, GOLD)
        return
    if step is Step.WEIGHT:
        side = Rect(0, 0, canvas.px(0.1), canvas.px(0.1))
        side.center = at(0.0, 0.0)
        pygame.draw.rect(canvas.surface, GOLD, side, border_radius=side.width // 6)
        canvas.text(f"{check.mass_kg:g}", side, size=0.07, colour=INK)
        return
    middle = Rect(0, 0, round(0.7 * plate.width), canvas.px(0.1))
    middle.center = plate.center
    canvas.text("nothing on it", middle, size=0.07, colour=MIST)


def draw_verdict(surface: Surface, verdict: Verdict, mass_kg: float, foot: str) -> Canvas:
    """Passed or failed, and why.

    Args:
        surface: to draw on.
        verdict: of a finished check.
        mass_kg: the known mass.
        foot: what a key does now.
    """
    canvas = begin_on(surface, NIGHT)
    sign = canvas.area(0.04, 0.03, 0.04, 0.17)
    sign.width = sign.height
    colour = SKY if verdict.passed else ORANGE
    (draw_tick if verdict.passed else draw_cross)(canvas, sign, colour)
    title = canvas.area(0.04, 0.03, 0.96, 0.17)
    title.x, title.width = sign.right + canvas.px(0.03), title.right - sign.right - canvas.px(0.03)
    words = "PASS: fit to train on" if verdict.passed else "FAIL: don't train on it"
    canvas.text(words, title, size=0.12, colour=colour, align="left")
    panel = canvas.area(0.04, 0.19, 0.96, 0.86)
    canvas.panel(panel)
    inner = panel.inflate(-canvas.px(0.06), -canvas.px(0.03))
    if verdict.passed:
        _draw_figures(canvas, verdict, mass_kg, inner)
    else:
        _draw_findings(canvas, verdict, inner)
    canvas.text(foot, canvas.area(0.03, 0.87, 0.97, 0.985), size=0.056, colour=GOLD, lines=2)
    return canvas


def _draw_figures(canvas: Canvas, verdict: Verdict, mass_kg: float, area: Rect) -> None:
    error = 100.0 * verdict.force_error
    lines = (
        (
            say("{mass:g} kg read", mass=mass_kg),
            f"{number(error, '+.2f')} %",
            say("at most {limit}", limit=f"±{100.0 * FORCE_SHARE:g} %"),
        ),
        (
            "place, off by",
            f"{number(verdict.cop_error_mm, '.1f')} mm",
            say("at most {limit}", limit=f"{COP_MM:g} mm"),
        ),
        (
            "a cell's noise",
            f"{number(verdict.noise_n, '.3f')} N",
            say("at most {limit}", limit=f"{NOISE_N:g} N"),
        ),
    )
    row = area.height // len(lines)
    for n, (label, value, limit) in enumerate(lines):
        for share, width, words, size, colour in (
            (0.0, 0.36, label, 0.06, PAPER),
            (0.37, 0.28, value, 0.1, SKY),
            (0.68, 0.32, limit, 0.056, MIST),
        ):
            place = Rect(
                area.x + round(share * area.width), area.y + n * row,
                round(width * area.width), row,
            )  # fmt: skip
            canvas.text(words, place, size=size, colour=colour, align="left")


def _draw_findings(canvas: Canvas, verdict: Verdict, area: Rect) -> None:
    """The worst finding in full, the others by their names: the terminal has every word."""
    first, *others = verdict.findings
    what = Rect(area.x, area.y, area.width, round(0.52 * area.height))
    said = canvas.text(first.what, what, size=0.062, align="left", upright="top", lines=6)
    remedy = Rect(area.x, said.bottom + canvas.px(0.04), area.width, round(0.34 * area.height))
    canvas.text(first.remedy, remedy, size=0.062, align="left", colour=GOLD, upright="top", lines=4)
    if others:
        rest = Rect(area.x, area.bottom - canvas.px(0.06), area.width, canvas.px(0.06))
        words = say("Also: {others}", others=", ".join(tr(f.trouble.value) for f in others))
        canvas.text(words, rest, align="left", colour=MIST)


def draw_trouble(surface: Surface, what: str, remedy: str) -> Canvas:
    """What went wrong, and what to do: a key goes on."""
    canvas = begin_on(surface, NIGHT)
    canvas.text("It stopped", canvas.area(0.05, 0.04, 0.95, 0.2), size=0.12, colour=ORANGE)
    canvas.text(what, canvas.area(0.05, 0.22, 0.95, 0.58), size=0.062, lines=6)
    canvas.text(remedy, canvas.area(0.05, 0.6, 0.95, 0.86), size=0.062, colour=GOLD, lines=4)
    canvas.text("Any key closes this.", canvas.area(0.05, 0.88, 0.95, 0.97), colour=MIST)
    return canvas
