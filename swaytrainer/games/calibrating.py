"""The board from above while it learns its newtons, and the residuals when it has learnt them."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.board.fit import TOLD_AT_N, Fit
from swaytrainer.board.guided import Guide
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY
from swaytrainer.games.plate import draw_plate
from swaytrainer.words import number, say

#: Residuals are drawn this many times as long as they are.
MAGNIFIED: Final = 20.0
#: An arrow longer than this (mm of residual) is told as a warning.
_LONG_MM: Final = 3.0


def draw_calibrating(surface: Surface, guide: Guide, half_size_mm: tuple[float, float]) -> None:
    """Draw one frame: what is done, what comes next, and why it waits.

    Args:
        surface: to draw on.
        guide: for what is done and what comes next.
        half_size_mm: the cells stand at (±, ±) these.
    """
    canvas = Canvas(surface)
    surface.fill(NIGHT)
    canvas.text("Calibration", canvas.area(0.06, 0.02, 0.6, 0.11), size=0.08, align="left")
    done, all_of_them = len(guide.readings), len(guide.tasks)
    words = say("{n} of {all}", n=min(done + 1, all_of_them), all=all_of_them)
    canvas.text(words, canvas.area(0.7, 0.02, 0.94, 0.11), size=0.07, align="right", colour=MIST)
    hint = guide.hint
    canvas.text(guide.instruction, canvas.area(0.04, 0.79, 0.96, 0.875), size=0.085, colour=GOLD)
    canvas.text(hint, canvas.area(0.03, 0.875, 0.97, 0.985), size=0.05, colour=ORANGE, lines=2)
    _, at = draw_plate(canvas, half_size_mm, (canvas.width // 2, round(0.48 * canvas.height)), 0.57)
    radius = canvas.px(0.04)
    task = guide.task
    taken = [r.spot for r in guide.placed if task is None or r.mass_kg == task.mass_kg]
    for spot in guide.spots:
        place = at(spot.x_mm, spot.y_mm)
        if task is not None and task.spot == spot:
            side = Rect(0, 0, 2 * radius, 2 * radius)
            side.center = place
            pygame.draw.rect(surface, GOLD, side, border_radius=radius // 3)
            canvas.text(f"{task.mass_kg:g}", side, size=0.05, colour=INK)
        elif spot in taken or (task is not None and task.spot is None and guide.placed):
            # Done: a full disc with a tick, so that the shape tells it too.
            pygame.draw.circle(surface, SKY, place, radius)
            x, y = place
            r = radius // 2
            tick = [(x - r, y), (x - r // 4, y + r), (x + r, y - r)]
            pygame.draw.lines(surface, INK, False, tick, max(2, canvas.px(0.009)))
        else:
            pygame.draw.circle(surface, MIST, place, radius, max(2, canvas.px(0.006)))


def draw_residuals(surface: Surface, fitted: Fit, half_size_mm: tuple[float, float]) -> None:
    """The picture of what the fit leaves: an arrow a reading, from the mark to where the board
    sees the mass, ``MAGNIFIED`` times as long; and what the calibration promises.

    Args:
        surface: to draw on.
        fitted: the finished fit.
        half_size_mm: the cells stand at (±, ±) these.
    """
    canvas = Canvas(surface)
    surface.fill(NIGHT)
    canvas.text("Calibrated", canvas.area(0.04, 0.02, 0.6, 0.12), size=0.09, align="left")
    centre = (round(0.35 * canvas.width), round(0.53 * canvas.height))
    height = 0.66
    if canvas.width < 1.5 * canvas.height:
        height *= canvas.width / (1.5 * canvas.height)
    plate, at = draw_plate(canvas, half_size_mm, centre, height)
    heaviest = max(r.mass_kg for r in fitted.residuals)
    for r in fitted.residuals:
        begin = at(r.spot.x_mm, r.spot.y_mm)
        end = at(r.spot.x_mm + MAGNIFIED * r.x_mm, r.spot.y_mm + MAGNIFIED * r.y_mm)
        long = math.hypot(r.x_mm, r.y_mm) > _LONG_MM
        colour = ORANGE if long else SKY if r.mass_kg == heaviest else PAPER
        pygame.draw.circle(surface, MIST, begin, canvas.px(0.008), max(1, canvas.px(0.003)))
        _arrow(canvas, begin, end, colour)
    foot = Rect(plate.x, plate.bottom + canvas.px(0.012), plate.width, canvas.px(0.05))
    canvas.text(
        say("arrows {times:g} × as long as they are", times=MAGNIFIED),
        foot, size=0.04, colour=MIST, main=False,
    )  # fmt: skip
    area = fitted.foot_area
    lines = (
        (f"±{number(max(area.x_mm, area.y_mm), '.1f')} mm", "of place", GOLD),
        (f"±{number(100 * area.force_n / TOLD_AT_N, '.1f')} %", "of force", GOLD),
        (f"{number(fitted.worst_place_mm, '.1f')} mm", "longest arrow", PAPER),
        (f"{number(fitted.residual_n, '.2f')} N", "force left", PAPER),
    )
    side = canvas.area(0.68, 0.14, 0.97, 0.9)
    canvas.panel(side)
    row = side.height // len(lines)
    for n, (figure, words, colour) in enumerate(lines):
        top = Rect(side.x, side.y + n * row, side.width, row).inflate(-canvas.px(0.04), 0)
        canvas.text(
            figure, Rect(top.x, top.y + canvas.px(0.015), top.width, row // 2),
            size=0.085, colour=colour,
        )  # fmt: skip
        canvas.text(
            words, Rect(top.x, top.y + row // 2, top.width, row // 2 - canvas.px(0.01)),
            size=0.052, colour=MIST,
        )  # fmt: skip
    canvas.text(
        "95 % · any key goes on",
        canvas.area(0.68, 0.91, 0.97, 0.98), size=0.04, colour=MIST, main=False,
    )  # fmt: skip


def _arrow(
    canvas: Canvas, begin: tuple[int, int], end: tuple[int, int], colour: tuple[int, int, int]
) -> None:
    thick = max(2, canvas.px(0.005))
    pygame.draw.line(canvas.surface, colour, begin, end, thick)
    dx, dy = end[0] - begin[0], end[1] - begin[1]
    length = math.hypot(dx, dy)
    head = min(canvas.px(0.022), 0.6 * length)
    if head < 2.0:
        return
    ux, uy = dx / length, dy / length
    tips = [
        end,
        (end[0] - head * ux + 0.5 * head * uy, end[1] - head * uy - 0.5 * head * ux),
        (end[0] - head * ux - 0.5 * head * uy, end[1] - head * uy + 0.5 * head * ux),
    ]
    pygame.draw.polygon(canvas.surface, colour, tips)
