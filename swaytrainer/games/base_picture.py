"""What must be there before somebody steps on a base: a picture for each, drawn once a size."""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import (
    CATTAIL,
    DUSK,
    GOLD,
    INK,
    LANE,
    MIST,
    NIGHT,
    ORANGE,
    PAPER,
    REED,
    SKY,
    Colour,
    blend,
)
from swaytrainer.training.risk import Risk

#: Drawn larger, then shrunk, so that edges are smooth.
_FINE: Final = 2
#: How high a base lifts the board, in shares of the picture's side.
_LIFT: Final = {"firm": 0.0, "foam": 0.07, "dome": 0.11, "disc": 0.07}
_BARREL_LIFT: Final = 0.2

Point = tuple[float, float]


class _Pen:
    """Draws in shares of a square's side, x right and y up from the floor's middle."""

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.side = surface.get_width()

    def at(self, x: float, y: float) -> Point:
        return (self.side * (0.5 + x), self.side * (0.9 - y))

    def line(self, points: Sequence[Point], width: float, colour: Colour) -> None:
        px = max(1, round(width * self.side))
        spots = [self.at(*p) for p in points]
        pygame.draw.lines(self.surface, colour, False, spots, px)
        for spot in spots:
            pygame.draw.circle(self.surface, colour, spot, px / 2)

    def slab(self, x: float, y: float, width: float, height: float, colour: Colour) -> None:
        """A rounded slab with its lower edge's middle at (x, y)."""
        left, top = self.at(x - width / 2, y + height)
        area = Rect(round(left), round(top), round(width * self.side), round(height * self.side))
        pygame.draw.rect(self.surface, colour, area, border_radius=min(area.size) // 3)

    def disc(self, x: float, y: float, radius: float, colour: Colour) -> None:
        pygame.draw.circle(self.surface, colour, self.at(x, y), radius * self.side)

    def shape(self, points: Sequence[Point], colour: Colour) -> None:
        pygame.draw.polygon(self.surface, colour, [self.at(*p) for p in points])


@lru_cache(maxsize=12)
def base_picture(side_px: int, risk: Risk, spotter: bool) -> Surface:
    """The base with board and vaulter, the mat, a hand-hold, and the spotter where one must be.

    Args:
        side_px: of the square picture.
        risk: base, eyes and whether the vaulter hops on.
        spotter: whether one must stand by.
    """
    large = Surface((side_px * _FINE, side_px * _FINE), 0, 32)
    large.fill(NIGHT)
    pen = _Pen(large)
    _room(pen)
    lift = _base(pen, risk.base)
    pen.slab(0.0, lift, 0.3, 0.025, PAPER)
    _vaulter(pen, lift + 0.025, risk)
    if spotter:
        _spotter(pen, lift)
    return pygame.transform.smoothscale(large, (side_px, side_px))


def _room(pen: _Pen) -> None:
    pen.shape([(-0.5, -0.1), (0.5, -0.1), (0.5, -0.03), (-0.5, -0.03)], DUSK)
    pen.slab(0.0, -0.04, 0.78, 0.04, LANE)
    # A wall bar within reach.
    for x in (0.25, 0.36):
        pen.line([(x, -0.03), (x, 0.78)], 0.016, MIST)
    for n in range(8):
        y = 0.05 + 0.1 * n
        pen.line([(0.25, y), (0.36, y)], 0.012, MIST)


def _base(pen: _Pen, base: str) -> float:
    """Draw a base; the height of its top."""
    if base == "foam":
        pen.slab(0.0, 0.0, 0.36, 0.07, REED)
    elif base == "dome":
        arc = [math.pi * n / 24 for n in range(25)]
        pen.shape([(0.15 * math.cos(a), 0.105 * math.sin(a)) for a in arc], SKY)
        pen.slab(0.0, 0.0, 0.32, 0.02, blend(SKY, INK, 0.4))
    elif base == "disc":
        pen.slab(0.0, 0.0, 0.27, 0.07, GOLD)
        pen.line([(-0.1, 0.035), (0.1, 0.035)], 0.008, CATTAIL)
    elif base != "firm":
        # A barrel seen from its end: the vaulter stands along it.
        pen.disc(0.0, _BARREL_LIFT / 2, _BARREL_LIFT / 2, CATTAIL)
        pen.disc(0.0, _BARREL_LIFT / 2, _BARREL_LIFT / 2 - 0.02, blend(CATTAIL, INK, 0.35))
        if base == "still barrel":
            for sign in (-1, 1):
                wedge = [(sign * 0.05, 0.0), (sign * 0.15, 0.0), (sign * 0.093, 0.055)]
                pen.shape(wedge, ORANGE)
        else:
            for sign in (-1, 1):
                tip = (sign * 0.24, _BARREL_LIFT / 2)
                pen.line([(sign * 0.15, tip[1]), tip], 0.012, ORANGE)
                pen.shape([(tip[0] + sign * 0.03, tip[1]), (tip[0], tip[1] + 0.025),
                           (tip[0], tip[1] - 0.025)], ORANGE)  # fmt: skip
    return _LIFT.get(base, _BARREL_LIFT)


def _vaulter(pen: _Pen, ground: float, risk: Risk) -> None:
    """Somebody with arms sideways; knees soft; a band over closed eyes."""
    if risk.lands:
        hop = [(-0.2 + 0.2 * t / 12, 0.62 + 0.1 * math.sin(math.pi * t / 12)) for t in range(9)]
        pen.line(hop, 0.008, GOLD)
    hip, neck = ground + 0.2, ground + 0.37
    for sign in (-1, 1):
        foot = (sign * 0.055, ground + 0.008)
        pen.line([(sign * 0.03, hip), (sign * 0.05, ground + 0.1), foot], 0.028, GOLD)
        pen.line([(0.0, neck - 0.02), (sign * 0.13, neck), (sign * 0.2, neck + 0.01)], 0.022, GOLD)
    pen.line([(0.0, hip), (0.0, neck)], 0.05, GOLD)
    head = ground + 0.44
    pen.disc(0.0, head, 0.05, PAPER)
    if risk.eyes == "closed":
        pen.line([(-0.045, head + 0.008), (0.045, head + 0.008)], 0.018, INK)
    else:
        for sign in (-1, 1):
            pen.disc(sign * 0.018, head + 0.008, 0.007, INK)


def _spotter(pen: _Pen, lift: float) -> None:
    """Somebody on the mat beside, a hand at the vaulter's hip."""
    x, ground = -0.33, 0.0
    for sign in (-1, 1):
        pen.line([(x, 0.22), (x + sign * 0.05, ground + 0.012)], 0.03, ORANGE)
    pen.line([(x, 0.22), (x, 0.4)], 0.055, ORANGE)
    pen.disc(x, 0.49, 0.055, PAPER)
    pen.line([(x, 0.38), (x + 0.12, 0.3 + lift), (-0.07, 0.25 + lift)], 0.024, ORANGE)
    pen.line([(x, 0.38), (x + 0.1, 0.24 + lift), (-0.12, 0.2 + lift)], 0.024, ORANGE)
