"""The mark, why it is what it is, and what to try next."""

from __future__ import annotations

import math
from dataclasses import dataclass

import pygame
from pygame import Rect

from swaytrainer.games.canvas import FOOTNOTE_SHARE, Canvas
from swaytrainer.games.frame import draw_best, draw_ground, draw_head, mark_words, measure_words
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, ORANGE, PAPER, SKY, blend
from swaytrainer.games.soles import Path, draw_path
from swaytrainer.sitting.view import Signal, View
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.noise import near_floor
from swaytrainer.training.outcome import Outcome, PartEarned
from swaytrainer.words import number, say


@dataclass(frozen=True, slots=True)
class Comparison:
    """How a mark stands against the best one from before the trial (None: there was none)."""

    before: float | None

    def is_best(self, outcome: Outcome) -> bool:
        """Whether the outcome counts and beats what was there."""
        if outcome.mark is None or not outcome.counts:
            return False
        return self.before is None or outcome.mark > self.before

    def words(self, outcome: Outcome) -> str:
        """The line under the mark."""
        if self.is_best(outcome):
            return "First mark!" if self.before is None else "New best!"
        return "" if self.before is None else say("Best: {mark:.1f}", mark=self.before)


def _draw_mark(canvas: Canvas, outcome: Outcome, comparison: Comparison, area: Rect) -> None:
    canvas.panel(area)
    inner = area.inflate(-canvas.px(0.04), -canvas.px(0.02))
    digits = Rect(inner.x, inner.y, inner.width, round(inner.height * 0.55))
    best = comparison.is_best(outcome)
    if outcome.mark is None:
        canvas.text("No mark", digits, size=0.2, lines=2)
    else:
        canvas.text(mark_words(outcome.mark), digits, size=0.32, colour=GOLD if best else PAPER)
    under = Rect(inner.x, digits.bottom, inner.width, canvas.px(0.075))
    if outcome.mark is not None:
        words = "out of 10" if outcome.counts else "not counted"
        canvas.text(words, under, size=0.062, colour=MIST if outcome.counts else ORANGE)
    words = comparison.words(outcome)
    if words:
        line = Rect(inner.x, under.bottom, inner.width, inner.bottom - under.bottom)
        if best:
            draw_best(canvas, words, line)
        else:
            canvas.text(words, line, size=0.062, colour=GOLD)


def noise_words(part: PartEarned, signal: Signal) -> tuple[str, bool]:
    """What the board's own noise makes of a marked speed, and whether it is near the value.

    Empty for a measure that noise doesn't lengthen, or where the floor is unknown: the same live
    filter and the last body's weight make the two comparable.

    >>> noise_words(PartEarned("mean_speed_mm_s", 7.9, 4.0, 5.0), Signal(noise_floor_mm_s=0.31))
    ("board's own noise 0.3 mm/s", False)
    >>> noise_words(PartEarned("mean_speed_mm_s", 7.9, 4.0, 5.0), Signal(noise_floor_mm_s=3.1))
    ("near the board's noise, 3.1 mm/s", True)
    """
    floor = signal.noise_floor_mm_s
    if (
        part.measure not in ("mean_speed_mm_s", "calm_speed_mm_s")
        or math.isnan(floor)
        or math.isnan(part.value)
    ):
        return "", False
    if near_floor(part.value, floor):
        return say("near the board's noise, {floor:.1f} mm/s", floor=floor), True
    return say("board's own noise {floor:.1f} mm/s", floor=floor), False


def _with_unit(value: float, unit: str) -> str:
    return say("{value:.1f} {unit}", value=value, unit=unit) if unit else number(value, ".1f")


def _draw_part(canvas: Canvas, part: PartEarned, signal: Signal, area: Rect) -> None:
    """Label and points, then a bar as long as could be earned, filled as far as was; the value;
    and under a speed the part of it that is the board's own.
    """
    label, unit = measure_words(part.measure)
    head = Rect(area.x, area.y, area.width, canvas.px(0.058))
    points = head.copy()
    points.width = canvas.px(0.23)
    points.right = head.right
    drawn = canvas.text(
        f"{number(part.earned, '.2f')} / {number(part.possible, 'g')}",
        points,
        size=0.054,
        align="right",
    )
    head.width -= drawn.width + canvas.px(0.015)
    canvas.text(label, head, size=0.054, align="left")
    bar = Rect(area.x, head.bottom + canvas.px(0.004), area.width, canvas.px(0.07))
    value_area = bar.copy()
    value_area.width = canvas.px(0.255)
    value_area.right = bar.right
    value = "–" if math.isnan(part.value) else _with_unit(part.value, unit)
    canvas.text(value, value_area, size=0.052, colour=MIST, align="right")
    bar.width -= value_area.width + canvas.px(0.015)
    radius = canvas.px(0.012)
    pygame.draw.rect(canvas.surface, blend(INK, DUSK, 0.75), bar, border_radius=radius)
    share = 0.0 if part.possible <= 0 else min(max(part.earned / part.possible, 0.0), 1.0)
    filled = bar.copy()
    filled.width = round(bar.width * share)
    if filled.width:
        pygame.draw.rect(canvas.surface, SKY, filled, border_radius=radius)
    words, near = noise_words(part, signal)
    # For the coach who walks up: a footnote, where the rows leave room for one.
    under = Rect(area.x, bar.bottom, area.width, area.bottom - bar.bottom)
    if words and under.height >= canvas.px(1.2 * FOOTNOTE_SHARE):
        canvas.text(
            words, under, size=0.034, colour=ORANGE if near else MIST, align="right",
            upright="top", main=False,
        )  # fmt: skip


def _draw_parts(canvas: Canvas, outcome: Outcome, signal: Signal, area: Rect) -> None:
    canvas.panel(area)
    inner = area.inflate(-canvas.px(0.05), -canvas.px(0.035))
    shown = outcome.parts[:3]
    spare = inner.height - canvas.px(0.065) - canvas.px(0.135) * len(shown)
    height = canvas.px(0.135) + max(0, spare) // (len(shown) + 1)
    y = inner.y
    # Two measures are all that a level may mark; more would not be read from three metres.
    for part in shown:
        _draw_part(canvas, part, signal, Rect(inner.x, y, inner.width, height))
        y += height
    line = Rect(inner.x, y, inner.width, max(canvas.px(0.055), inner.bottom - y))
    if not outcome.parts:
        canvas.text("Nothing to mark", inner, size=0.065, colour=MIST, lines=2)
    elif outcome.deduction > 0:
        times = outcome.step_offs
        steps = "1 step off" if times == 1 else say("{times} steps off", times=times)
        why = steps if outcome.step_offs else "Deduction"
        words = Rect(line.x, line.y, line.width - canvas.px(0.13), line.height)
        canvas.text(why, words, size=0.054, colour=ORANGE, align="left")
        points = Rect(line.right - canvas.px(0.13), line.y, canvas.px(0.13), line.height)
        canvas.text(
            f"−{number(outcome.deduction, '.1f')}", points, size=0.06, colour=ORANGE, align="right"
        )
    else:
        canvas.text("Never stepped off", line, size=0.054, colour=MIST, align="left")


def draw_result(
    canvas: Canvas, view: View, outcome: Outcome, comparison: Comparison, feet: Feet, path: Path,
    instead: str = "",
) -> None:  # fmt: skip
    """The whole result screen; ``instead`` of advice where nobody may choose what to try next."""
    draw_ground(canvas)
    draw_head(canvas, view, "Step off to go on")
    top, bottom = 0.115, 0.665
    _draw_mark(canvas, outcome, comparison, canvas.area(0.02, top, 0.275, bottom))
    _draw_parts(canvas, outcome, view.signal, canvas.area(0.29, top, 0.69, bottom))
    band = (view.level.band_low_percent, view.level.band_high_percent)
    draw_path(canvas, canvas.area(0.705, top, 0.98, bottom), path, feet, band)
    reason = canvas.area(0.03, 0.68, 0.97, 0.795)
    canvas.text(outcome.reason, reason, size=0.062, lines=2)
    panel = canvas.area(0.02, 0.805, 0.98, 0.945)
    canvas.panel(panel, INK, GOLD)
    if instead:
        canvas.text(instead, panel.inflate(-canvas.px(0.06), 0), size=0.06, lines=2)
        return
    label = Rect(panel.x + canvas.px(0.03), panel.y, canvas.px(0.25), panel.height)
    canvas.text("Try this", label, size=0.06, colour=GOLD, align="left")
    advice = Rect(label.right, panel.y, panel.right - label.right - canvas.px(0.02), panel.height)
    canvas.text(outcome.advice, advice, size=0.06, align="left", lines=2)
