"""The four strides' still pictures: a riding hall, and the horse's neck seen from its back."""

from __future__ import annotations

import math
import random
from functools import lru_cache, partial
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.horse import COAT, COAT_DARK, COAT_LIGHT, MANE
from swaytrainer.games.palette import GOLD, INK, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, sprite

#: Where the wall meets the sand, and where the footnote begins, as shares of the height.
SAND: Final = 0.60
FOOT: Final = 0.957
_WOOD: Final[Colour] = (92, 78, 70)
_BOARD: Final[Colour] = (126, 100, 76)
_LIGHT: Final[Colour] = (206, 220, 226)
_FLOOR: Final[Colour] = (196, 168, 128)
_FLOOR_DARK: Final[Colour] = (148, 120, 88)


def wall(size: tuple[int, int], seed: int) -> tuple[Surface, int]:
    """The hall's long side, wider than the screen, and after how many pixels it repeats itself."""
    width, height = size
    period = round(0.9 * height)
    deep = round(SAND * height)
    surface = Surface((width + period, deep))
    for row in range(deep):
        surface.fill(blend((58, 54, 64), _WOOD, row / deep), Rect(0, row, width + period, 1))
    rng = random.Random(f"hall {seed}")
    kick = round(0.115 * height)
    for left in range(-period, width + period, period):
        for k in range(3):
            window = Rect(0, 0, round(0.2 * height), round(0.09 * height))
            window.topleft = (left + round((0.06 + 0.33 * k) * period), round(0.33 * height))
            pygame.draw.rect(surface, _LIGHT, window, border_radius=round(0.008 * height))
            pygame.draw.line(surface, _WOOD, window.midtop, window.midbottom, max(2, height // 200))
        for k in range(6):
            x = left + round(k * period / 6)
            surface.fill(blend(_WOOD, INK, 0.35), Rect(x, 0, max(2, height // 240), deep - kick))
    surface.fill(_BOARD, Rect(0, deep - kick, width + period, kick))
    for _ in range(5):
        y = deep - kick + round(kick * rng.uniform(0.1, 0.95))
        surface.fill(blend(_BOARD, INK, 0.2), Rect(0, y, width + period, max(1, height // 300)))
    for left in range(-period, width + period, period):
        mark = (left + period // 2, deep - kick // 2)
        pygame.draw.circle(surface, PAPER, mark, 0.032 * height)
        pygame.draw.circle(surface, _BOARD, mark, 0.018 * height)
    surface.fill(blend(_BOARD, PAPER, 0.4), Rect(0, deep - kick, width + period, height // 120))
    return surface, period


def sand(size: tuple[int, int], seed: int) -> Surface:
    """The floor, from the wall's foot to the footnote's line and below."""
    width, height = size
    top = round(SAND * height)
    surface = Surface((width, height - top))
    for row in range(height - top):
        share = row / (height - top)
        surface.fill(blend(_FLOOR_DARK, _FLOOR, share), Rect(0, row, width, 1))
    rng = random.Random(f"sand {seed}")
    for _ in range(260):
        y = rng.random() ** 1.5 * (height - top)
        wide = (0.01 + 0.03 * y / (height - top)) * height
        colour = blend(_FLOOR_DARK, _FLOOR, rng.random())
        pygame.draw.ellipse(surface, colour, Rect(rng.uniform(0, width), y, wide, wide / 4))
    surface.fill(INK, Rect(0, round(FOOT * height) - top, width, height))
    return surface


def _neck(brush: Brush) -> None:
    """From behind and above: the crest between two ears, the withers at the lower edge."""
    for grown, tone in ((0.03, INK), (0.0, None)):
        coat = tone or COAT
        brush.polygon(
            [
                (-0.62 - grown, 1.0),
                (-0.21 - grown, -0.35),
                (0.21 + grown, -0.35),
                (0.62 + grown, 1.0),
            ],
            coat,
        )
        brush.ellipse(0.0, -0.42, 0.25 + grown, 0.22 + grown, coat)
        for side in (-1, 1):
            ear = [(0.08, -0.52), (0.135, -0.92 - grown), (0.25 + grown, -0.46)]
            brush.polygon([(side * x, y) for x, y in ear], tone or COAT_DARK)
    for side in (-1, 1):
        inner = [(0.12, -0.56), (0.145, -0.80), (0.205, -0.52)]
        brush.polygon([(side * x, y) for x, y in inner], COAT_LIGHT)
        brush.polygon(
            [(side * x, y) for x, y in [(0.2, 1.0), (0.1, -0.3), (0.17, -0.3), (0.42, 1.0)]],
            COAT_LIGHT,
        )
    brush.polygon([(-0.16, 1.0), (-0.07, -0.5), (0.07, -0.5), (0.16, 1.0)], MANE)
    for k in range(8):  # plaited, as for a competition
        y, size = -0.34 + 0.17 * k, 0.085 + 0.012 * k
        brush.circle(0.0, y, size, MANE)
        brush.circle(-0.3 * size, y - 0.2 * size, 0.3 * size, blend(MANE, COAT, 0.5))
    brush.circle(0.0, -0.5, 0.09, MANE)


@lru_cache(maxsize=4)
def neck(size_px: int) -> Surface:
    """The horse's neck and ears."""
    return sprite(size_px, _neck)


def _plaque(brush: Brush, lit: bool) -> None:
    """A horseshoe, open end up: hollow until its stride has been stood."""
    arc = [
        (0.66 * math.sin(a), -0.02 + 0.68 * math.cos(a))
        for a in (math.radians(d) for d in range(-142, 143, 6))
    ]
    brush.curve(arc, 0.5, INK)
    brush.curve(arc, 0.38, GOLD if lit else (92, 96, 106))
    if not lit:
        brush.curve(arc, 0.22, INK)
    for degrees in (-115, -75, -35, 35, 75, 115):
        a = math.radians(degrees)
        nail = INK if lit else (92, 96, 106)
        brush.circle(0.66 * math.sin(a), -0.02 + 0.68 * math.cos(a), 0.045, nail)


@lru_cache(maxsize=8)
def plaque(size_px: int, lit: bool) -> Surface:
    """One stride's horseshoe."""
    return sprite(size_px, partial(_plaque, lit=lit))
