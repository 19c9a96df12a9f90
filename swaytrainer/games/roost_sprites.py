"""Pictures of the roost: owls, the called side, and the wood at dusk."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import GOLD, INK, MIST, ORANGE, PAPER, SKY, Colour, blend
from swaytrainer.games.sprites import Brush, sprite

DUSK_TOP: Final[Colour] = (38, 24, 62)
DUSK_LOW: Final[Colour] = (196, 98, 92)
FAR: Final[Colour] = (98, 54, 88)
NEAR: Final[Colour] = (52, 28, 58)
FLOOR: Final[Colour] = (30, 18, 38)
BARK: Final[Colour] = (98, 70, 60)
BARK_LIGHT: Final[Colour] = (140, 104, 84)
LEAF: Final[Colour] = (126, 70, 74)
FEATHER: Final[Colour] = (170, 128, 92)
FEATHER_DARK: Final[Colour] = (112, 78, 58)
BREAST: Final[Colour] = (232, 208, 170)
MOON: Final[Colour] = (255, 240, 200)
MOON_DIM: Final[Colour] = (122, 96, 122)

END_Y: Final = 0.955

Px = Callable[[float], int]


def _eyes(brush: Brush, y: float, awake: bool) -> None:
    for side in (-1, 1):
        x = 0.26 * side
        if awake:
            brush.circle(x, y, 0.27, PAPER)
            brush.circle(x, y, 0.19, GOLD)
            brush.circle(x, y, 0.11, INK)
        else:
            brush.circle(x, y, 0.25, BREAST)
            lid = [(x + 0.17 * math.cos(a), y + 0.14 * math.sin(a)) for a in _lower_arc()]
            brush.curve(lid, 0.06, INK)


def _lower_arc() -> list[float]:
    return [math.pi * k / 8 for k in range(9)]


def owl(size_px: int, spread: bool) -> Surface:
    """The vaulter's owl: wings folded while it is quiet, spread while it wobbles."""

    def draw(brush: Brush) -> None:
        if spread:
            for side in (-1, 1):
                wing = [(0.3, -0.2), (0.98, -0.5), (0.92, -0.05), (0.75, 0.05), (0.68, 0.3),
                        (0.52, 0.25), (0.35, 0.45)]  # fmt: skip
                brush.polygon([(side * x, y) for x, y in wing], FEATHER_DARK)
        brush.ellipse(0, 0.3, 0.46, 0.62, FEATHER)
        brush.ellipse(0, 0.4, 0.3, 0.46, BREAST)
        for row in range(3):
            for k in range(-1, 2):
                x, y = 0.16 * k + 0.08 * (row % 2), 0.2 + 0.2 * row
                brush.curve([(x - 0.05, y), (x, y + 0.06), (x + 0.05, y)], 0.035, FEATHER)
        if not spread:
            for side in (-1, 1):
                brush.ellipse(side * 0.42, 0.34, 0.13, 0.46, FEATHER_DARK)
        _head(brush, -0.36, True, 0.52)
        for side in (-1, 1):
            for k in range(3):
                x = side * 0.18 + 0.07 * (k - 1)
                brush.line((x, 0.86), (x, 0.95), 0.06, ORANGE)

    return sprite(size_px, draw, FEATHER_DARK)


def _head(brush: Brush, y: float, awake: bool, size: float) -> None:
    brush.circle(0, y, size, FEATHER)
    for side in (-1, 1):
        brush.polygon(
            [
                (side * 0.2, y - 0.8 * size),
                (side * 0.5, y - 1.2 * size),
                (side * 0.5, y - 0.4 * size),
            ],
            FEATHER_DARK,
        )
    _eyes(brush, y, awake)
    brush.polygon([(-0.08, y + 0.12), (0.08, y + 0.12), (0, y + 0.3)], ORANGE)


def owlet(size_px: int, mood: str) -> Surface:
    """A young one: "asleep" after a good landing, "awake" after a hard one; "gone": its feather."""

    def draw(brush: Brush) -> None:
        if mood == "gone":
            quill = [(-0.5, 0.75), (-0.1, 0.35), (0.4, -0.35)]
            brush.polygon(
                [(-0.15, 0.5), (-0.25, 0.1), (0.15, -0.35), (0.5, -0.5), (0.42, -0.1), (0.1, 0.4)],
                MIST,
            )
            brush.curve(quill, 0.06, INK)
            return
        brush.ellipse(0, 0.42, 0.52, 0.5, blend(FEATHER, MIST, 0.35))
        brush.ellipse(0, 0.5, 0.34, 0.38, BREAST)
        _head(brush, -0.12, mood == "awake", 0.55)
        if mood == "awake":
            brush.polygon([(-0.12, 0.02), (0.12, 0.02), (0, 0.34)], INK)

    return sprite(size_px, draw, FEATHER_DARK)


def moon(size_px: int, full: bool) -> Surface:
    """Dim and craterless while it waits, bright with its face when all is still."""

    def draw(brush: Brush) -> None:
        brush.circle(0, 0, 0.94, MOON if full else MOON_DIM)
        spots = ((-0.3, -0.35, 0.2), (0.35, 0.1, 0.26), (-0.2, 0.45, 0.15))
        for x, y, r in spots:
            brush.circle(x, y, r, blend(MOON if full else MOON_DIM, INK, 0.1))
        if not full:
            brush.circle(0.38, -0.1, 0.8, blend(DUSK_TOP, MOON_DIM, 0.35))

    return sprite(size_px, draw, MOON_DIM)


#: Where an arrow comes from, as a direction on the sign: up is the front.
FROM: Final[dict[str, tuple[int, int]]] = {
    "behind": (0, 1),
    "left": (-1, 0),
    "right": (1, 0),
    "front": (0, -1),
}


def side_sign(size_px: int, side: str) -> Surface:
    """The board from above, soles forward, and a thick arrow from the called side onto it."""

    def draw(brush: Brush) -> None:
        kneel = side == "kneel"
        dx, dy = FROM.get(side, (0, 0))
        cx, cy = -0.42 * dx, -0.42 * dy
        half = 0.54
        brush.polygon(
            [(cx - half, cy - half), (cx + half, cy - half), (cx + half, cy + half),
             (cx - half, cy + half)],
            BARK_LIGHT,
        )  # fmt: skip
        brush.polygon([(cx - 0.11, cy - 0.4), (cx, cy - 0.5), (cx + 0.11, cy - 0.4)], INK)
        for foot in (-1, 1):
            x = cx + 0.22 * foot
            brush.ellipse(x, cy - 0.08, 0.14, 0.23, INK)
            brush.ellipse(x, cy + 0.3, 0.1, 0.15, INK)
        if kneel:
            for x in (-0.78, 0.78):
                for y in (0.3, 0.0, -0.3):
                    brush.curve([(x - 0.16, y + 0.1), (x, y - 0.1), (x + 0.16, y + 0.1)], 0.1, GOLD)
            return
        tail, neck, tip = 0.86, 0.5, 0.02
        brush.line((tail * dx, tail * dy), (neck * dx, neck * dy), 0.24, GOLD)
        brush.polygon(
            [(neck * dx - 0.34 * dy, neck * dy - 0.34 * dx),
             (neck * dx + 0.34 * dy, neck * dy + 0.34 * dx), (tip * dx, tip * dy)],
            GOLD,
        )  # fmt: skip

    return sprite(size_px, draw, INK)


def verdict(size_px: int, good: bool) -> Surface:
    """A tick, or a cross."""

    def draw(brush: Brush) -> None:
        if good:
            brush.curve([(-0.7, 0.05), (-0.2, 0.6), (0.75, -0.6)], 0.26, SKY)
        else:
            brush.line((-0.55, -0.55), (0.55, 0.55), 0.24, ORANGE)
            brush.line((-0.55, 0.55), (0.55, -0.55), 0.24, ORANGE)

    return sprite(size_px, draw)


def wood(size: tuple[int, int], seed: int) -> Surface:
    """The still picture: dusk behind the trunks, and the dark floor."""
    width, height = size
    rng = random.Random(f"wood {seed}")
    surface = Surface(size)

    def px(share: float) -> int:
        return round(share * height)

    for y in range(px(0.8)):
        colour = blend(DUSK_TOP, DUSK_LOW, min(1.0, (y / px(0.8)) ** 1.6))
        pygame.draw.line(surface, colour, (0, y), (width, y))
    for _ in range(40):
        at = (rng.uniform(0, width), rng.uniform(0, 0.3) * height)
        pygame.draw.circle(surface, MIST, at, max(1, px(0.0018)))
    _firs(surface, px, rng, FAR, 0.56, 0.06)
    _firs(surface, px, rng, NEAR, 0.68, 0.1)
    pygame.draw.rect(surface, NEAR, Rect(0, px(0.765), width, height))
    pygame.draw.rect(surface, FLOOR, Rect(0, px(0.79), width, height))
    for _ in range(70):
        across, down = rng.uniform(0, width), rng.uniform(0.8, END_Y)
        leaf = Rect(round(across), px(down), px(rng.uniform(0.015, 0.03)), px(0.009))
        pygame.draw.ellipse(surface, blend(LEAF, FLOOR, rng.uniform(0.3, 0.8)), leaf)
    pygame.draw.rect(surface, INK, Rect(0, px(END_Y), width, height))
    return surface


def _firs(
    surface: Surface, px: Px, rng: random.Random, colour: Colour, top: float, wide: float
) -> None:
    x = -float(px(wide))
    while x < surface.get_width() + px(wide):
        tip, half = px(top + rng.uniform(-0.09, 0.05)), px(wide * rng.uniform(0.6, 1.0))
        for tier in range(3):
            y = tip + tier * px(0.055)
            reach = half * (0.5 + 0.25 * tier)
            points = [(x, y - px(0.03)), (x - reach, y + px(0.09)), (x + reach, y + px(0.09))]
            pygame.draw.polygon(surface, colour, points)
        pygame.draw.rect(surface, colour, Rect(round(x - half / 2), tip + px(0.18), half, px(0.5)))
        x += px(wide * rng.uniform(0.5, 1.2))
