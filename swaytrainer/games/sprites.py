"""Small pictures: drawn large in unit coordinates, then shrunk, so that their edges are smooth."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from typing import Protocol

import pygame
from pygame import SRCALPHA, Surface

from swaytrainer.games.palette import (
    BLOSSOM,
    CATTAIL,
    GOLD,
    INK,
    ORANGE,
    PAD,
    PAD_VEIN,
    PAPER,
    REED,
    REED_DARK,
    SKY,
    Colour,
    blend,
)
from swaytrainer.sitting.view import Where


def fineness(size_px: int) -> int:
    """How many times larger than its final size a picture is drawn; less where pixels are small."""
    return 4 if size_px < 120 else 2


DIRECTIONS = 16
WAGS = (-1.0, 0.0, 1.0)

#: Guests of the pond. The rare ones come about once in eight.
COMMON = ("carp", "roach", "frog", "dragonfly", "duckling")
RARE = ("turtle", "veiltail")

Point = tuple[float, float]


class _Drawing(Protocol):
    def __call__(self, brush: Brush, wag: float) -> None: ...


class Brush:
    """Draws on a square surface in coordinates from -1 to 1, x right and y down."""

    def __init__(self, surface: Surface) -> None:
        self.surface = surface
        self.half = surface.get_width() / 2

    def _at(self, x: float, y: float) -> Point:
        return (self.half * (1 + x), self.half * (1 + y))

    def circle(self, x: float, y: float, radius: float, colour: Colour) -> None:
        """A filled circle."""
        pygame.draw.circle(self.surface, colour, self._at(x, y), radius * self.half)

    def ellipse(self, x: float, y: float, rx: float, ry: float, colour: Colour) -> None:
        """A filled, upright ellipse."""
        left, top = self._at(x - rx, y - ry)
        size = (2 * rx * self.half, 2 * ry * self.half)
        pygame.draw.ellipse(self.surface, colour, pygame.Rect((left, top), size))

    def polygon(self, points: Iterable[Point], colour: Colour) -> None:
        """A filled polygon."""
        pygame.draw.polygon(self.surface, colour, [self._at(x, y) for x, y in points])

    def line(self, start: Point, end: Point, width: float, colour: Colour) -> None:
        """A line with round ends."""
        px = max(1, round(width * self.half))
        pygame.draw.line(self.surface, colour, self._at(*start), self._at(*end), px)
        for x, y in (start, end):
            self.circle(x, y, width / 2, colour)

    def curve(self, points: list[Point], width: float, colour: Colour) -> None:
        """A line through several points."""
        for start, end in itertools.pairwise(points):
            self.line(start, end, width, colour)


def large(size_px: int, draw: Callable[[Brush], None], fringe: Colour = INK) -> Surface:
    """The unshrunk drawing. Unpainted pixels carry the fringe colour, so edges do not blacken."""
    side = size_px * fineness(size_px)
    surface = Surface((side, side), SRCALPHA)
    surface.fill((*fringe, 0))
    draw(Brush(surface))
    return surface


def sprite(size_px: int, draw: Callable[[Brush], None], fringe: Colour = INK) -> Surface:
    """A picture of ``size_px`` pixels square."""
    return pygame.transform.smoothscale(large(size_px, draw, fringe), (size_px, size_px))


def turned(picture: Surface, size_px: int, quarter_turns: float) -> Surface:
    """A large drawing turned clockwise about its middle and shrunk."""
    turned_picture = pygame.transform.rotate(picture, -90 * quarter_turns)
    width, height = turned_picture.get_size()
    side = picture.get_width()
    middle = pygame.Rect((width - side) // 2, (height - side) // 2, side, side)
    return pygame.transform.smoothscale(turned_picture.subsurface(middle), (size_px, size_px))


def _fish(brush: Brush, wag: float, body: Colour, patch: Colour, fins: float) -> None:
    tail = 0.26 * wag
    fin = blend(body, PAPER, 0.35)
    brush.polygon(
        [
            (0.02, 0.42),
            (tail - 0.26 * fins, 0.92),
            (tail * 1.2, 0.72),
            (tail + 0.26 * fins, 0.92),
            (-0.02, 0.42),
        ],
        fin,
    )
    for side in (-1, 1):
        brush.polygon(
            [(side * 0.2, -0.3), (side * (0.3 + 0.2 * fins), 0.1 + 0.05 * wag), (side * 0.2, 0.1)],
            fin,
        )
    for step in range(13):
        along = step / 12
        radius = 0.29 * math.sin(math.pi * (0.2 + 0.74 * along)) ** 0.8
        brush.circle(tail * 0.6 * along**2, -0.56 + 1.12 * along, radius, body)
    brush.ellipse(0.03, -0.3, 0.2, 0.17, patch)
    brush.ellipse(tail * 0.15 - 0.04, 0.12, 0.15, 0.13, patch)
    for side in (-1, 1):
        brush.circle(side * 0.17, -0.6, 0.07, PAPER)
        brush.circle(side * 0.19, -0.62, 0.04, INK)


def _carp(brush: Brush, wag: float) -> None:
    _fish(brush, wag, PAPER, ORANGE, 1.0)


def _roach(brush: Brush, wag: float) -> None:
    _fish(brush, wag, (198, 226, 240), (60, 104, 150), 0.9)


def _veiltail(brush: Brush, wag: float) -> None:
    _fish(brush, wag, GOLD, PAPER, 1.9)
    brush.polygon([(-0.08, -0.1), (0.0, -0.42), (0.08, -0.1), (0.0, 0.3)], (230, 150, 40))


def _lily_pad(brush: Brush, wag: float) -> None:
    del wag  # a pad lies still
    brush.circle(0, 0, 0.9, REED_DARK)
    brush.circle(0, 0, 0.84, PAD)
    for turn in range(9):
        angle = math.tau * (turn + 0.5) / 9
        brush.line(
            (0, 0.05), (0.72 * math.sin(angle), 0.05 + 0.7 * -math.cos(angle)), 0.035, PAD_VEIN
        )
    # The notch shows the water, so it takes the surface's alpha to nothing again.
    half = brush.half
    pygame.draw.polygon(
        brush.surface,
        (*REED_DARK, 0),
        [(half, half * 1.05), (half * 1.35, half * 2), (half * 0.9, half * 2)],
    )


def _frog(brush: Brush, wag: float) -> None:
    _lily_pad(brush, 0)
    skin, dark = (176, 214, 96), (96, 142, 52)
    for side in (-1, 1):
        brush.curve([(side * 0.2, 0.3), (side * 0.52, 0.36), (side * 0.36, 0.6)], 0.15, dark)
        brush.curve([(side * 0.2, -0.08), (side * 0.44, -0.2), (side * 0.4, -0.38)], 0.1, dark)
    brush.ellipse(0, 0.12, 0.31 + 0.02 * wag, 0.4, dark)
    brush.ellipse(0, 0.1, 0.27 + 0.02 * wag, 0.36, skin)
    brush.ellipse(0, -0.24, 0.29, 0.23, dark)
    brush.ellipse(0, -0.24, 0.25, 0.2, skin)
    for side in (-1, 1):
        brush.circle(side * 0.2, -0.38, 0.12, PAPER)
        brush.circle(side * 0.2, -0.41, 0.06, INK)
        brush.ellipse(side * 0.1, 0.12, 0.05, 0.12, dark)


def _dragonfly(brush: Brush, wag: float) -> None:
    wing = (232, 246, 255)
    for side in (-1, 1):
        for back, reach in ((-0.28, 0.86), (0.0, 0.74)):
            tip = back + 0.1 * wag * (1 if back else -1)
            brush.polygon(
                [
                    (0, back + 0.08),
                    (side * reach * 0.7, tip - 0.17),
                    (side * reach, tip - 0.04),
                    (side * reach * 0.92, tip + 0.11),
                    (0, back + 0.16),
                ],
                wing,
            )
            brush.circle(side * reach * 0.86, tip - 0.03, 0.045, SKY)
    for step in range(9):
        brush.circle(0.03 * wag * (step / 8) ** 2, -0.1 + 0.115 * step, 0.11, (24, 70, 130))
        brush.circle(0.03 * wag * (step / 8) ** 2, -0.12 + 0.115 * step, 0.055, SKY)
    brush.ellipse(0, -0.2, 0.17, 0.24, (24, 70, 130))
    brush.circle(-0.1, -0.46, 0.11, INK)
    brush.circle(0.1, -0.46, 0.11, INK)
    brush.circle(0, -0.42, 0.1, SKY)


def _duckling(brush: Brush, wag: float) -> None:
    down, shade = (255, 224, 120), (206, 160, 58)
    brush.polygon([(-0.14, 0.5), (0.14 * wag, 0.84), (0.14, 0.5)], shade)
    brush.ellipse(0, 0.18, 0.44, 0.52, shade)
    brush.ellipse(0, 0.14, 0.39, 0.47, down)
    for side in (-1, 1):
        brush.ellipse(side * (0.3 + 0.02 * wag), 0.2, 0.12, 0.3, shade)
        brush.ellipse(side * (0.28 + 0.02 * wag), 0.18, 0.1, 0.26, (250, 206, 88))
    brush.polygon([(-0.13, -0.6), (0, -0.94), (0.13, -0.6)], ORANGE)
    brush.circle(0, -0.42, 0.31, shade)
    brush.circle(0, -0.43, 0.27, down)
    for side in (-1, 1):
        brush.circle(side * 0.16, -0.55, 0.06, INK)


def _turtle(brush: Brush, wag: float) -> None:
    skin, shell, seam = (156, 190, 118), (120, 84, 50), (226, 188, 112)
    for side in (-1, 1):
        brush.ellipse(side * 0.5, -0.34 + 0.08 * wag * side, 0.2, 0.12, skin)
        brush.ellipse(side * 0.46, 0.46 - 0.08 * wag * side, 0.16, 0.12, skin)
    brush.polygon([(-0.07, 0.6), (0.08 * wag, 0.9), (0.07, 0.6)], skin)
    brush.ellipse(0, -0.7, 0.19, 0.23, skin)
    for side in (-1, 1):
        brush.circle(side * 0.1, -0.8, 0.05, INK)
    brush.ellipse(0, 0.06, 0.54, 0.62, seam)
    brush.ellipse(0, 0.06, 0.48, 0.56, shell)
    hexagon = [
        (0.24 * math.sin(math.tau * k / 6), 0.06 - 0.26 * math.cos(math.tau * k / 6))
        for k in range(6)
    ]
    for x, y in hexagon:
        brush.line((x, y), (x * 2, 0.06 + (y - 0.06) * 2.1), 0.045, seam)
    brush.polygon(hexagon, seam)
    brush.polygon([(0.8 * x, 0.06 + 0.8 * (y - 0.06)) for x, y in hexagon], (150, 108, 62))


_DRAWN: dict[str, _Drawing] = {
    "carp": _carp,
    "roach": _roach,
    "frog": _frog,
    "dragonfly": _dragonfly,
    "duckling": _duckling,
    "turtle": _turtle,
    "veiltail": _veiltail,
    "lily pad": _lily_pad,
}


class CreatureSprites:
    """Every guest in every direction, made once for a size: a game's frame only blits."""

    def __init__(self, size_px: int) -> None:
        self.size_px = size_px
        self._kept: dict[tuple[str, int, int], Surface] = {}
        for kind in (*COMMON, *RARE):
            for index, wag in enumerate(WAGS):
                picture = large(size_px, partial(_DRAWN[kind], wag=wag))
                for direction in range(DIRECTIONS):
                    self._kept[kind, index, direction] = turned(
                        picture, size_px, 4 * direction / DIRECTIONS
                    )

    def get(self, kind: str, wag: int, heading: float) -> Surface:
        """The guest with its tail at ``WAGS[wag]``, heading so many turns clockwise from up."""
        return self._kept[kind, wag, round(heading * DIRECTIONS) % DIRECTIONS]


@lru_cache(maxsize=32)
def guest(kind: str, size_px: int) -> Surface:
    """One guest looking up, for a counter or a still picture."""
    return sprite(size_px, lambda brush: _DRAWN[kind](brush, 0.0))


def lily_pad(size_px: int, quarter_turns: float, blossom: bool) -> Surface:
    """A leaf of the water lily, with its flower or without."""

    def draw(brush: Brush) -> None:
        _lily_pad(brush, 0)
        if blossom:
            for ring, (reach, colour) in enumerate(((0.42, BLOSSOM), (0.26, PAPER))):
                for k in range(7):
                    angle = math.tau * (k + 0.5 * ring) / 7
                    brush.circle(
                        reach * 0.62 * math.sin(angle),
                        reach * 0.62 * math.cos(angle),
                        reach * 0.42,
                        colour,
                    )
            brush.circle(0, 0, 0.12, GOLD)

    return turned(large(size_px, draw), size_px, quarter_turns)


def lantern(size_px: int, where: Where) -> Surface:
    """The floating lantern: round inside the band, a triangle up at the toes, down at the heels."""

    def round_one(brush: Brush) -> None:
        brush.circle(0, 0, 0.96, INK)
        brush.circle(0, 0, 0.86, PAPER)
        for k in range(8):
            angle = math.tau * k / 8
            brush.line(
                (0.3 * math.cos(angle), 0.3 * math.sin(angle)),
                (0.8 * math.cos(angle), 0.8 * math.sin(angle)),
                0.05,
                (226, 190, 122),
            )
        brush.circle(0, 0, 0.36, GOLD)
        brush.circle(0, 0, 0.2, PAPER)

    def triangle(brush: Brush) -> None:
        up = -1 if where is Where.TOES else 1
        colour = ORANGE if where is Where.TOES else SKY

        def corners(reach: float) -> list[Point]:
            # About the centroid, so that the shape's middle is the place it shows.
            return [
                (reach * math.sin(math.tau * k / 3), up * reach * math.cos(math.tau * k / 3))
                for k in range(3)
            ]

        brush.polygon(corners(0.99), INK)
        brush.polygon(corners(0.8), colour)
        brush.polygon(corners(0.5), blend(colour, PAPER, 0.55))
        brush.circle(0, 0, 0.14, INK)

    return sprite(size_px, round_one if where is Where.INSIDE else triangle)


def glow(size_px: int, colour: Colour, strength: float) -> Surface:
    """A soft light on the water, strongest in its middle, 0 to 1."""
    small = Surface((64, 64), SRCALPHA)
    for x in range(64):
        for y in range(64):
            away = math.hypot(x - 31.5, y - 31.5) / 31.5
            light = max(0.0, 1 - away) ** 2
            small.set_at((x, y), (*colour, round(255 * strength * light)))
    return pygame.transform.smoothscale(small, (size_px, size_px))


@lru_cache(maxsize=64)
def chevron(size_px: int, up: bool, colour: Colour) -> Surface:
    """An arrowhead without a shaft."""
    sign = 1 if up else -1

    def draw(brush: Brush) -> None:
        for grown, ink in ((0.12, INK), (0.0, colour)):
            out, thick = 0.78 + grown, 0.52 + 2 * grown
            tip, foot = -0.62 - 1.2 * grown, 0.12 - 0.3 * grown
            brush.polygon(
                [
                    (-out, foot * sign),
                    (0, tip * sign),
                    (out, foot * sign),
                    (out, (foot + thick) * sign),
                    (0, (tip + thick) * sign),
                    (-out, (foot + thick) * sign),
                ],
                ink,
            )

    return sprite(size_px, draw)


@lru_cache(maxsize=64)
def bead(size_px: int, colour: Colour) -> Surface:
    """A small round light, of which rings are made that fill or empty."""

    def draw(brush: Brush) -> None:
        brush.circle(0, 0, 0.95, INK)
        brush.circle(0, 0, 0.78, colour)

    return sprite(size_px, draw)


@lru_cache(maxsize=16)
def star(size_px: int, colour: Colour) -> Surface:
    """A five-pointed star."""

    def draw(brush: Brush) -> None:
        for reach, ink in ((0.98, INK), (0.82, colour)):
            brush.polygon(
                [
                    (
                        reach * (1 if k % 2 == 0 else 0.46) * math.sin(math.tau * k / 10),
                        -reach * (1 if k % 2 == 0 else 0.46) * math.cos(math.tau * k / 10),
                    )
                    for k in range(10)
                ],
                ink,
            )

    return sprite(size_px, draw)


def reed_tuft(size_px: int, leans: list[float], cattail: bool) -> Surface:
    """Blades that stand up from the lower edge's middle; each lean is -1 (left) to 1 (right)."""

    def draw(brush: Brush) -> None:
        for index, lean in enumerate(leans):
            colour = REED if index % 2 else REED_DARK
            tip = (0.85 * lean, -0.95 + 0.5 * abs(lean))
            knee = (0.3 * lean, -0.1)
            brush.polygon(
                [(-0.09, 0.95), (knee[0] - 0.06, knee[1]), tip, knee, (0.09, 0.95)], colour
            )
        if cattail:
            brush.line((0, 0.95), (0.06, -0.85), 0.05, REED_DARK)
            brush.line((0.04, -0.4), (0.06, -0.72), 0.17, CATTAIL)

    return sprite(size_px, draw, REED_DARK)
