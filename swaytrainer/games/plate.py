"""The plate from above: its outline, its cells, its front, and where a millimetre lies on it."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import DUSK, INK, PAPER, Colour
from swaytrainer.sway.cop import CellPlaces

#: The plate reaches so far beyond its cells in the picture.
RIM_MM: Final = 30.0

At = Callable[[float, float], tuple[int, int]]


def half_size_of(places: CellPlaces) -> tuple[float, float]:
    """The half width and half depth (mm) that four cells span."""
    return (max(abs(p[0]) for p in places), max(abs(p[1]) for p in places))


def draw_plate(
    canvas: Canvas, half_size_mm: tuple[float, float], centre: tuple[int, int], height: float
) -> tuple[Rect, At]:
    """The plate with its cells, and where a place on it is on the screen.

    Args:
        canvas: to draw on.
        half_size_mm: the cells stand at (±, ±) these.
        centre: of the plate, pixels.
        height: of the plate, as a share of the screen's.
    """
    half_width, half_depth = half_size_mm
    scale = height * canvas.height / (2.0 * (half_depth + RIM_MM))
    plate = Rect(
        0, 0, round(2.0 * (half_width + RIM_MM) * scale), round(2.0 * (half_depth + RIM_MM) * scale)
    )
    plate.center = centre
    canvas.panel(plate, INK, DUSK)

    def at(x_mm: float, y_mm: float) -> tuple[int, int]:
        return (round(centre[0] + x_mm * scale), round(centre[1] - y_mm * scale))

    for x in (-half_width, half_width):
        for y in (-half_depth, half_depth):
            pygame.draw.circle(canvas.surface, DUSK, at(x, y), canvas.px(0.02))
    front = Rect(plate.x, plate.y - canvas.px(0.062), plate.width, canvas.px(0.055))
    canvas.text("front", front, size=0.052, colour=PAPER)
    return plate, at


def draw_pressure(canvas: Canvas, plate: Rect, at: At, x_mm: float, y_mm: float) -> None:
    """The centre of pressure as a disc with a ring; nothing where there is none."""
    if math.isnan(x_mm) or math.isnan(y_mm):
        return
    x, y = at(x_mm, y_mm)
    # A wrongly wired board can put it anywhere: then it stays at the plate's edge.
    x = min(max(x, plate.left), plate.right)
    y = min(max(y, plate.top), plate.bottom)
    pygame.draw.circle(canvas.surface, INK, (x, y), canvas.px(0.026))
    pygame.draw.circle(canvas.surface, PAPER, (x, y), canvas.px(0.022), max(2, canvas.px(0.006)))
    pygame.draw.circle(canvas.surface, PAPER, (x, y), canvas.px(0.009))


def draw_arrow(
    canvas: Canvas, begin: tuple[int, int], end: tuple[int, int], colour: Colour
) -> None:
    """A broad arrow, for which way to lean."""
    dx, dy = end[0] - begin[0], end[1] - begin[1]
    length = math.hypot(dx, dy)
    if length < 2.0:
        return
    ux, uy = dx / length, dy / length
    half, wing = canvas.px(0.016), canvas.px(0.042)
    neck = max(0.0, length - 1.5 * wing)

    def place(along: float, across: float) -> tuple[float, float]:
        return (begin[0] + along * ux - across * uy, begin[1] + along * uy + across * ux)

    outline = [
        place(0, half),
        place(neck, half),
        place(neck, wing),
        place(length, 0),
        place(neck, -wing),
        place(neck, -half),
        place(0, -half),
    ]
    pygame.draw.polygon(canvas.surface, colour, outline)


def draw_tick(canvas: Canvas, area: Rect, colour: Colour) -> None:
    """A tick: done, or good."""
    x, y, r = area.centerx, area.centery, min(area.size) // 2
    points = [(x - r, y), (x - r // 4, y + round(0.7 * r)), (x + r, y - round(0.7 * r))]
    pygame.draw.lines(canvas.surface, colour, False, points, max(2, r // 3))


def draw_cross(canvas: Canvas, area: Rect, colour: Colour) -> None:
    """A cross: not good."""
    x, y, r = area.centerx, area.centery, round(0.35 * min(area.size))
    thick = max(2, r // 2)
    pygame.draw.line(canvas.surface, colour, (x - r, y - r), (x + r, y + r), thick)
    pygame.draw.line(canvas.surface, colour, (x - r, y + r), (x + r, y - r), thick)
