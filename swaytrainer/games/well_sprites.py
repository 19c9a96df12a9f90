"""Pictures of the well: bucket, lamp, horse, and the meadow with its shaft."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Final

import numpy as np
import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import GOLD, INK, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, sprite

SKY_TOP: Final[Colour] = (142, 196, 224)
SKY_LOW: Final[Colour] = (226, 238, 226)
HILL: Final[Colour] = (142, 178, 116)
GRASS: Final[Colour] = (98, 148, 74)
GRASS_DARK: Final[Colour] = (66, 112, 54)
EARTH: Final[Colour] = (118, 84, 58)
EARTH_DEEP: Final[Colour] = (74, 52, 40)
STONE: Final[Colour] = (150, 144, 138)
STONE_DARK: Final[Colour] = (104, 98, 94)
SHAFT: Final[Colour] = (30, 34, 44)
WATER: Final[Colour] = (64, 142, 190)
WATER_LIGHT: Final[Colour] = (150, 208, 236)
WOOD: Final[Colour] = (160, 108, 62)
WOOD_DARK: Final[Colour] = (106, 68, 40)
ROPE: Final[Colour] = (226, 204, 160)
COAT: Final[Colour] = (188, 134, 86)
COAT_DARK: Final[Colour] = (138, 92, 56)
MANE: Final[Colour] = (66, 44, 34)
ROOF: Final[Colour] = (164, 66, 50)

#: Places as shares of the height: the ground, the bucket at the top and at the bottom, the water.
GROUND_Y: Final = 0.375
TOP_Y: Final = 0.345
BOTTOM_Y: Final = 0.66
WATER_Y: Final = 0.70
SHAFT_END_Y: Final = 0.775
SHAFT_HALF: Final = 0.19
END_Y: Final = 0.955

Px = Callable[[float], int]

TILTS: Final = (-32, -24, -16, -8, 0, 8, 16, 24, 32)
FILLS: Final = 4


def _turned(points: list[tuple[float, float]], degrees: float) -> list[tuple[float, float]]:
    turn = math.radians(degrees)
    c, s = math.cos(turn), math.sin(turn)
    return [(x * c - y * s, x * s + y * c) for x, y in points]


def bucket(size_px: int, tilt: float, fill: float) -> Surface:
    """A bucket, tilted clockwise by degrees and filled by a share; cut open, to show the water."""

    def draw(brush: Brush) -> None:
        def shape(points: list[tuple[float, float]], colour: Colour) -> None:
            brush.polygon(_turned(points, tilt), colour)

        def wall(y: float) -> float:
            return 0.62 - 0.17 * (y + 0.3)

        handle = [(0.62 * math.cos(a), -0.3 - 0.62 * math.sin(a)) for a in _arc()]
        brush.curve(_turned(handle, tilt), 0.07, INK)
        brush.curve(_turned(handle, tilt), 0.035, STONE)
        shape([(-0.74, -0.36), (0.74, -0.36), (0.58, 0.84), (-0.58, 0.84)], INK)
        shape([(-0.68, -0.3), (0.68, -0.3), (0.53, 0.78), (-0.53, 0.78)], WOOD)
        shape([(-0.6, -0.24), (0.6, -0.24), (0.47, 0.7), (-0.47, 0.7)], SHAFT)
        if fill > 0.0:
            y = 0.7 - 0.88 * fill
            half = wall(y) - 0.03
            shape([(-half, y), (half, y), (0.47, 0.7), (-0.47, 0.7)], WATER)
            shape([(-half, y), (half, y), (half, y + 0.1), (-half, y + 0.1)], WATER_LIGHT)
        for y in (0.0, 0.5):
            half = wall(y) + 0.08
            shape([(-half, y), (-half + 0.15, y), (-half + 0.15, y + 0.1), (-half, y + 0.1)], STONE)
            shape([(half, y), (half - 0.15, y), (half - 0.15, y + 0.1), (half, y + 0.1)], STONE)

    return sprite(size_px, draw)


def _arc() -> list[float]:
    return [math.pi * k / 10 for k in range(11)]


def lamp(size_px: int, met: bool) -> Surface:
    """The lamp that leads: with rays while the bucket is beside it, without while it is not."""

    def draw(brush: Brush) -> None:
        if met:
            for k in range(8):
                turn = math.tau * k / 8
                c, s = math.cos(turn), math.sin(turn)
                brush.line((0.62 * c, 0.62 * s), (0.92 * c, 0.92 * s), 0.1, GOLD)
        brush.circle(0, 0, 0.55, INK)
        brush.circle(0, 0, 0.47, GOLD if met else blend(GOLD, INK, 0.35))
        brush.circle(0, 0, 0.26, PAPER if met else blend(GOLD, INK, 0.6))

    return sprite(size_px, draw)


def pointer(size_px: int, colour: Colour) -> Surface:
    """A head that points to the right, from the lamp to where the bucket should hang."""
    return sprite(size_px, lambda b: b.polygon([(-0.5, -0.7), (0.7, 0), (-0.5, 0.7)], colour))


def drop(size_px: int) -> Surface:
    """A drop of water."""

    def draw(brush: Brush) -> None:
        brush.polygon([(0, -0.9), (0.5, 0.2), (-0.5, 0.2)], WATER_LIGHT)
        brush.circle(0, 0.3, 0.55, WATER_LIGHT)

    return sprite(size_px, draw, WATER_LIGHT)


def beat_sign(size_px: int, beat: str, colour: Colour) -> Surface:
    """An arrow down or up, two bars to hold, a post to stand, a ring for getting ready."""

    def draw(brush: Brush) -> None:
        if beat in ("down", "up"):
            way = 1.0 if beat == "down" else -1.0
            brush.line((0, -0.75 * way), (0, 0.3 * way), 0.34, colour)
            brush.polygon([(-0.7, 0.1 * way), (0.7, 0.1 * way), (0, 0.9 * way)], colour)
        elif beat == "hold":
            for x in (-0.35, 0.35):
                brush.line((x, -0.6), (x, 0.6), 0.34, colour)
        elif beat == "stand":
            brush.circle(0, -0.62, 0.26, colour)
            brush.line((0, -0.2), (0, 0.3), 0.4, colour)
            brush.line((-0.12, 0.3), (-0.12, 0.85), 0.17, colour)
            brush.line((0.12, 0.3), (0.12, 0.85), 0.17, colour)
        else:
            brush.circle(0, 0, 0.75, colour)
            brush.circle(0, 0, 0.45, INK)

    return sprite(size_px, draw, colour)


def horse(size_px: int, drinking: bool) -> Surface:
    """A vaulting horse with its girth and handles, facing left: it drinks, or it looks up."""

    def draw(brush: Brush) -> None:
        brush.curve([(0.78, -0.2), (0.92, 0.1), (0.88, 0.45)], 0.14, MANE)
        for x in (-0.02, 0.66):
            brush.line((x, 0.1), (x, 0.86), 0.13, COAT_DARK)
        for x in (0.14, 0.52):
            brush.line((x, 0.1), (x, 0.86), 0.14, COAT)
        for x in (-0.02, 0.14, 0.52, 0.66):
            brush.line((x, 0.86), (x, 0.92), 0.15, INK)
        brush.ellipse(0.33, -0.02, 0.5, 0.31, COAT)
        neck_top, nose = (
            ((-0.42, 0.02), (-0.74, 0.5)) if drinking else ((-0.42, -0.58), (-0.84, -0.4))
        )
        brush.curve([(0.02, -0.1), neck_top], 0.36, COAT)
        crest = [
            (0.1, -0.28),
            ((neck_top[0] + 0.1) / 2 + 0.06, neck_top[1] / 2 - 0.3),
            (neck_top[0] + 0.02, neck_top[1] - 0.16),
        ]
        brush.curve(crest, 0.13, MANE)
        brush.curve([neck_top, nose], 0.25, COAT)
        brush.circle(*nose, 0.15, blend(COAT, PAPER, 0.35))
        ear = (neck_top[0] - 0.02, neck_top[1] - 0.14)
        brush.polygon(
            [(ear[0] - 0.09, ear[1]), (ear[0] + 0.02, ear[1] - 0.22), (ear[0] + 0.1, ear[1])],
            COAT_DARK,
        )
        eye = (0.6 * neck_top[0] + 0.4 * nose[0], 0.6 * neck_top[1] + 0.4 * nose[1] - 0.05)
        brush.circle(*eye, 0.05, INK)
        brush.polygon([(0.12, -0.3), (0.36, -0.34), (0.4, 0.26), (0.16, 0.28)], (62, 96, 152))
        brush.line((0.26, -0.33), (0.28, 0.28), 0.1, PAPER)
        brush.curve([(0.16, -0.33), (0.18, -0.5), (0.32, -0.5), (0.34, -0.33)], 0.06, INK)

    return sprite(size_px, draw, COAT)


def _band(surface: Surface, top: int, bottom: int, one: Colour, other: Colour) -> None:
    for y in range(top, bottom):
        share = (y - top) / max(1, bottom - top)
        pygame.draw.line(surface, blend(one, other, share), (0, y), (surface.get_width(), y))


def meadow(size: tuple[int, int], seed: int) -> Surface:
    """The still picture: sky, hills, grass, the earth below it, and the well cut open."""
    width, height = size
    rng = random.Random(f"meadow {seed}")
    surface = Surface(size)

    def px(share: float) -> int:
        return round(share * height)

    ground = px(GROUND_Y)
    _band(surface, 0, ground, SKY_TOP, SKY_LOW)
    for x, y in ((0.29, 0.09), (0.92, 0.14)):
        _cloud(surface, round(x * width), px(y), px(0.035))
    xs = np.linspace(0, width, 60)
    for low, colour in ((0.27, blend(HILL, SKY_LOW, 0.45)), (0.315, HILL)):
        turn = rng.uniform(0, math.tau)
        ys = height * (low + 0.025 * np.sin(xs / width * math.tau * (1.3 + low) + turn))
        points = [(0, ground), *zip(xs.tolist(), ys.tolist(), strict=True), (width, ground)]
        pygame.draw.polygon(surface, colour, points)
    _band(surface, ground, px(END_Y), EARTH, EARTH_DEEP)
    for _ in range(90):
        x, y = rng.uniform(0, width), rng.uniform(GROUND_Y + 0.05, END_Y - 0.01)
        share = (y - GROUND_Y) / (END_Y - GROUND_Y)
        stone = blend(blend(EARTH, EARTH_DEEP, share), rng.choice((STONE, INK)), 0.22)
        r = rng.uniform(0.006, 0.02)
        pygame.draw.ellipse(surface, stone, Rect(round(x), px(y), px(2 * r), px(1.3 * r)))
    pygame.draw.rect(surface, GRASS, Rect(0, ground - px(0.012), width, px(0.035)))
    for _ in range(width // max(1, px(0.012))):
        x = rng.uniform(0, width)
        tip = (x + rng.uniform(-0.006, 0.006) * height, ground - px(rng.uniform(0.018, 0.04)))
        pygame.draw.line(surface, rng.choice((GRASS, GRASS_DARK)), (x, ground), tip, px(0.004) or 1)
    _well(surface, px, rng)
    pygame.draw.rect(surface, INK, Rect(0, px(END_Y), width, height))
    return surface


def _cloud(surface: Surface, x: int, y: int, size: int) -> None:
    white = blend(PAPER, SKY_TOP, 0.15)
    for across, up, radius in (
        (-1.3, 0.0, 0.75),
        (-0.4, 0.45, 1.0),
        (0.7, 0.2, 0.85),
        (1.5, 0, 0.6),
    ):
        at = (round(x + across * size), round(y - up * size))
        pygame.draw.circle(surface, white, at, round(radius * size))
    base = Rect(round(x - 1.9 * size), y, round(3.9 * size), round(0.7 * size))
    pygame.draw.rect(surface, white, base, border_radius=round(0.35 * size))


def _well(surface: Surface, px: Px, rng: random.Random) -> None:
    middle = surface.get_width() // 2
    half, wall = px(SHAFT_HALF), px(0.04)
    top, end = px(GROUND_Y - 0.035), px(SHAFT_END_Y)
    pygame.draw.rect(
        surface, STONE_DARK, Rect(middle - half - wall, top, 2 * (half + wall), end - top + wall)
    )
    row = px(0.042)
    for number, y in enumerate(range(top, end + wall, row)):
        for side in (-1, 1):
            grey = blend(STONE, STONE_DARK, rng.uniform(0.0, 0.55))
            deep = wall + (px(0.008) if number % 2 else 0)
            x = middle - half - deep if side < 0 else middle + half
            area = Rect(x, y + 1, deep, row - 2)
            pygame.draw.rect(surface, grey, area, border_radius=px(0.008))
    pygame.draw.rect(surface, SHAFT, Rect(middle - half, top, 2 * half, end - top))
    for y in range(top, end, row):
        shade = blend(SHAFT, STONE_DARK, 0.12)
        pygame.draw.line(surface, shade, (middle - half, y), (middle + half, y), max(1, px(0.003)))
    water = px(WATER_Y)
    pygame.draw.rect(surface, WATER, Rect(middle - half, water, 2 * half, end - water))
    pygame.draw.rect(surface, WATER_LIGHT, Rect(middle - half, water, 2 * half, max(2, px(0.008))))
    post, roof = px(0.024), px(0.075)
    for side in (-1, 1):
        x = middle + side * (half + wall // 2) - post // 2
        pygame.draw.rect(surface, WOOD_DARK, Rect(x, roof, post, top - roof))
    axle = Rect(middle - half - wall, px(0.135), 2 * (half + wall), px(0.03))
    pygame.draw.rect(surface, WOOD, axle, border_radius=px(0.012))
    pygame.draw.rect(
        surface, ROPE, Rect(middle - px(0.04), axle.y - px(0.006), px(0.08), px(0.042))
    )
    eaves = half + wall + px(0.04)
    points = [(middle - eaves, px(0.1)), (middle, px(0.012)), (middle + eaves, px(0.1))]
    pygame.draw.polygon(surface, ROOF, points)
    pygame.draw.lines(surface, blend(ROOF, INK, 0.4), True, points, max(2, px(0.006)))
