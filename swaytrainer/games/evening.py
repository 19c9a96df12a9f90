"""The ribbon's still picture: an evening sky over hills, and a meadow that passes by."""

from __future__ import annotations

import math
import random
from typing import Final

import numpy as np
import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import INK, Colour, blend

#: Where the meadow begins, and where the footnote does, as shares of the height.
GROUND: Final = 0.655
FOOT: Final = 0.957
_SKY: Final[list[tuple[float, Colour]]] = [
    (0.0, (38, 40, 92)),
    (0.30, (96, 70, 128)),
    (0.50, (196, 112, 122)),
    (0.66, (250, 186, 128)),
]
_SUN: Final[Colour] = (255, 236, 190)
_FAR: Final[Colour] = (112, 82, 120)
_NEAR: Final[Colour] = (66, 66, 92)
_GRASS: Final[Colour] = (58, 104, 74)
_GRASS_DARK: Final[Colour] = (36, 74, 60)
_POST: Final[Colour] = (206, 184, 150)


def evening(size: tuple[int, int], seed: int) -> Surface:
    """Sky, sun and hills, down to where the meadow covers them."""
    width, height = size
    rows = np.linspace(0.0, 1.0, height)
    column = np.stack(
        [np.interp(rows, [y for y, _ in _SKY], [c[k] for _, c in _SKY]) for k in range(3)], axis=1
    )
    picture = np.broadcast_to(column[None, :, :], (width, height, 3)).astype(np.uint8)
    surface = pygame.surfarray.make_surface(picture)
    sun = (round(0.24 * width), round(0.575 * height))
    for k in range(12):
        glow = Surface(size, pygame.SRCALPHA)
        pygame.draw.circle(glow, (*_SUN, 9), sun, (0.085 + 0.016 * k) * height)
        surface.blit(glow, (0, 0))
    pygame.draw.circle(surface, _SUN, sun, 0.075 * height)
    rng = random.Random(f"evening {seed}")
    for base, high, colour in ((0.60, 0.075, _FAR), (0.645, 0.05, _NEAR)):
        turns = [rng.uniform(0.0, math.tau) for _ in range(3)]
        points = [(0.0, float(height))]
        for x in range(0, width + 8, 8):
            u = x / height
            rise = sum(
                math.sin(u * pace + turn) / (k + 1)
                for k, (pace, turn) in enumerate(zip((2.2, 4.9, 9.7), turns, strict=True))
            )
            points.append((float(x), (base - 0.5 * high * (1.0 + 0.6 * rise)) * height))
        points.append((float(width + 8), float(height)))
        pygame.draw.polygon(surface, colour, points)
    pygame.draw.rect(surface, INK, Rect(0, round(FOOT * height), width, height))
    return surface


def meadow(size: tuple[int, int], seed: int) -> tuple[Surface, int]:
    """A strip wider than the screen that repeats itself, and after how many pixels."""
    width, height = size
    top, bottom = round(GROUND * height), round(FOOT * height)
    deep = bottom - top
    period = round(0.8 * height)
    surface = Surface((width + period, deep))
    for row in range(deep):
        surface.fill(blend(_GRASS, _GRASS_DARK, row / deep), Rect(0, row, width + period, 1))
    rng = random.Random(f"meadow {seed}")
    tufts = []
    for _ in range(46):
        y = deep * (0.08 + 0.9 * rng.random())
        tufts.append((rng.uniform(0.0, period), y, rng.uniform(-0.4, 0.4), rng.random()))
    for copy in range(-1, (width + period) // period + 2):
        left = copy * period
        _post(surface, left + 0.25 * period, height)
        _post(surface, left + 0.75 * period, height)
        for x, y, lean, kind in tufts:
            _tuft(surface, left + x, y, lean, kind, height)
    rail = max(2, round(0.006 * height))
    for down in (0.012, 0.034):
        surface.fill(_POST, Rect(0, round(down * height), width + period, rail))
    return surface, period


def _post(surface: Surface, x: float, height: int) -> None:
    wide = max(3, round(0.012 * height))
    pygame.draw.rect(surface, _POST, Rect(round(x) - wide // 2, 0, wide, round(0.06 * height)))


def _tuft(surface: Surface, x: float, y: float, lean: float, kind: float, height: int) -> None:
    tall = (0.012 + 0.02 * y / (0.3 * height)) * height
    blade = blend(_GRASS, (150, 190, 120), 0.45)
    for k in (-1, 0, 1):
        tip = (x + (lean + 0.5 * k) * tall, y - tall)
        pygame.draw.line(surface, blade, (x + 2 * k, y), tip, max(1, round(0.003 * height)))
    if kind < 0.3:
        colour = (250, 236, 200) if kind < 0.15 else (240, 170, 190)
        pygame.draw.circle(surface, colour, (x + lean * tall, y - tall), max(2, 0.006 * height))
