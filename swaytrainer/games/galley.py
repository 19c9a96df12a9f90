"""Tray's pictures: a café, the pudding on its tray, what is ordered, and somebody who watches."""

from __future__ import annotations

import math
import random
from functools import lru_cache

import pygame
from pygame import Rect, Surface

from swaytrainer.games.frame import FOOT_TOP
from swaytrainer.games.palette import GOLD, INK, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, sprite

WALL: Colour = (238, 206, 160)
TILE: Colour = (206, 226, 214)
TILE_EDGE: Colour = (164, 194, 182)
WOOD: Colour = (146, 92, 54)
WOOD_DARK: Colour = (104, 62, 36)
STEEL: Colour = (206, 214, 222)
STEEL_DARK: Colour = (122, 134, 148)
PUDDING: Colour = (232, 116, 108)
SAUCE: Colour = (120, 34, 48)
FROCK: Colour = (64, 92, 132)
SKIN: Colour = (226, 172, 130)


def cafe_picture(size: tuple[int, int], seed: int, hatch: Rect, counter_top: int) -> Surface:
    """The room without anybody in it: tiles, the kitchen's hatch, the counter."""
    width, height = size
    surface = Surface(size)
    surface.fill(WALL)
    rng = random.Random(f"cafe {seed}")
    tile = max(8, round(0.075 * height))
    gap = max(1, round(0.004 * height))
    first = counter_top - 4 * tile
    for row in range(4):
        for column in range(-1, width // tile + 1):
            left = column * tile + (row % 2) * tile // 2
            colour = blend(TILE, TILE_EDGE, rng.choice((0.0, 0.12, 0.25)))
            pygame.draw.rect(
                surface, colour, Rect(left, first + row * tile, tile - gap, tile - gap)
            )
    _bunting(surface, round(0.15 * height), rng)
    frame = hatch.inflate(round(0.03 * height), round(0.03 * height))
    pygame.draw.rect(surface, WOOD_DARK, frame, border_radius=round(0.02 * height))
    pygame.draw.rect(surface, INK, hatch, border_radius=round(0.012 * height))
    pygame.draw.rect(surface, WOOD, Rect(0, counter_top, width, height))
    plank = round(0.055 * height)
    for y in range(counter_top, height, plank):
        pygame.draw.rect(surface, WOOD_DARK, Rect(0, y, width, max(2, gap)))
    # The signal's line stands on it.
    pygame.draw.rect(surface, INK, Rect(0, round(FOOT_TOP * size[1]), size[0], size[1]))
    return surface


def _bunting(surface: Surface, y: int, rng: random.Random) -> None:
    width, height = surface.get_size()
    flag = 0.05 * height
    colours = [PUDDING, FROCK, GOLD, PAPER]
    count = int(width / (1.2 * flag))
    for k in range(count):
        x = width * (k + 0.5) / count
        sag = y + 0.03 * height * math.sin(math.pi * (k % 12) / 11)
        points = [(x - flag / 2, sag), (x + flag / 2, sag), (x, sag + flag)]
        pygame.draw.polygon(surface, colours[(k + rng.randrange(2)) % 4], points)


@lru_cache(maxsize=4)
def pudding(size_px: int) -> Surface:
    """The pudding with its sauce and cherry, standing on the lower edge."""

    def draw(brush: Brush) -> None:
        rim = [(-0.9, 1.0), (-0.6, -0.42), (0.6, -0.42), (0.9, 1.0)]
        brush.polygon([(-0.97, 1.0), (-0.66, -0.48), (0.66, -0.48), (0.97, 1.0)], INK)
        brush.ellipse(0, -0.45, 0.66, 0.2, INK)
        brush.polygon(rim, PUDDING)
        for k in range(-3, 4):
            x = 0.22 * k
            shade = blend(PUDDING, INK, 0.12 if k % 2 else 0.0)
            brush.polygon(
                [(1.3 * x - 0.14, 1.0), (x - 0.09, -0.4), (x + 0.09, -0.4), (1.3 * x + 0.14, 1.0)],
                shade,
            )
        brush.ellipse(0, -0.43, 0.6, 0.16, SAUCE)
        for x, down in ((-0.5, 0.24), (-0.2, 0.46), (0.12, 0.16), (0.44, 0.36)):
            brush.line((x, -0.36), (x * 1.08, -0.36 + down), 0.2, SAUCE)
        for side in (-1, 1):
            brush.circle(side * 0.25, 0.32, 0.11, PAPER)
            brush.circle(side * 0.25, 0.34, 0.06, INK)
        brush.curve([(-0.14, 0.56), (-0.06, 0.62), (0.06, 0.62), (0.14, 0.56)], 0.06, INK)
        brush.curve([(0.02, -0.7), (0.1, -0.88), (0.26, -0.96)], 0.05, INK)
        brush.circle(0, -0.64, 0.2, INK)
        brush.circle(0, -0.64, 0.16, (206, 30, 48))
        brush.circle(-0.05, -0.7, 0.05, PAPER)

    return sprite(size_px, draw)


@lru_cache(maxsize=4)
def tray_and_hands(size_px: int) -> Surface:
    """The tray from the side, with the two hands that carry it; its top is the picture's middle."""

    def draw(brush: Brush) -> None:
        for side in (-1, 1):
            brush.line((side * 0.98, 0.75), (side * 0.78, 0.2), 0.24, INK)
            brush.line((side * 0.98, 0.75), (side * 0.78, 0.2), 0.19, FROCK)
        brush.line((-0.8, 0.05), (0.8, 0.05), 0.13, INK)
        brush.line((-0.8, 0.05), (0.8, 0.05), 0.09, STEEL)
        brush.line((-0.7, 0.075), (0.7, 0.075), 0.03, STEEL_DARK)
        for side in (-1, 1):
            brush.ellipse(side * 0.76, 0.13, 0.14, 0.1, INK)
            brush.ellipse(side * 0.76, 0.13, 0.115, 0.075, SKIN)

    return sprite(size_px, draw)


@lru_cache(maxsize=8)
def cake(size_px: int) -> Surface:
    """A slice of cake: the low sound, the answer on the left."""

    def draw(brush: Brush) -> None:
        brush.polygon([(-0.92, 0.78), (-0.92, -0.2), (0.7, -0.66), (0.92, -0.1), (0.92, 0.78)], INK)
        brush.polygon([(-0.82, 0.68), (-0.82, -0.1), (0.82, -0.1), (0.82, 0.68)], (246, 206, 130))
        brush.polygon([(-0.82, -0.12), (0.64, -0.54), (0.82, -0.1)], PAPER)
        brush.polygon([(-0.82, 0.2), (0.82, 0.2), (0.82, 0.38), (-0.82, 0.38)], PUDDING)
        brush.circle(0.42, -0.56, 0.2, INK)
        brush.circle(0.42, -0.56, 0.15, (206, 30, 48))

    return sprite(size_px, draw)


@lru_cache(maxsize=8)
def cup(size_px: int) -> Surface:
    """A steaming cup: the high sound, the answer on the right."""

    def draw(brush: Brush) -> None:
        brush.circle(0.62, 0.2, 0.34, INK)
        brush.circle(0.62, 0.2, 0.26, PAPER)
        brush.circle(0.62, 0.2, 0.15, INK)
        brush.polygon([(-0.82, -0.26), (0.62, -0.26), (0.42, 0.84), (-0.62, 0.84)], INK)
        brush.polygon([(-0.72, -0.18), (0.52, -0.18), (0.35, 0.75), (-0.55, 0.75)], PAPER)
        brush.ellipse(-0.1, -0.22, 0.62, 0.14, SAUCE)
        for x in (-0.4, 0.15):
            brush.curve([(x, -0.48), (x + 0.12, -0.62), (x, -0.76), (x + 0.1, -0.9)], 0.09, PAPER)

    return sprite(size_px, draw)


@lru_cache(maxsize=8)
def ball(size_px: int) -> Surface:
    """The soft ball that the coach throws."""

    def draw(brush: Brush) -> None:
        brush.circle(0, 0, 0.95, INK)
        brush.circle(0, 0, 0.85, GOLD)
        for x, side in ((-0.85, 1), (0.85, -1)):
            points = [
                (x + side * 0.35 * math.cos(k / 4), 0.8 * math.sin(k / 4)) for k in range(-4, 5)
            ]
            brush.curve(points, 0.1, FROCK)

    return sprite(size_px, draw)


@lru_cache(maxsize=8)
def cat(size_px: int, wide_eyed: bool) -> Surface:
    """The café's cat, that never takes its eyes off the pudding."""

    def draw(brush: Brush) -> None:
        fur = (74, 72, 84)
        brush.ellipse(0, 0.62, 0.5, 0.55, INK)
        brush.ellipse(0, 0.64, 0.44, 0.5, fur)
        for side in (-1, 1):
            brush.polygon([(side * 0.1, -0.5), (side * 0.52, -0.92), (side * 0.6, -0.2)], INK)
            brush.polygon([(side * 0.2, -0.5), (side * 0.48, -0.78), (side * 0.52, -0.3)], fur)
        brush.ellipse(0, -0.12, 0.62, 0.5, INK)
        brush.ellipse(0, -0.12, 0.56, 0.44, fur)
        for side in (-1, 1):
            brush.ellipse(side * 0.24, -0.18, 0.15, 0.19 if wide_eyed else 0.08, GOLD)
            brush.circle(side * 0.24 - 0.05, -0.18, 0.07, INK)
            brush.line((side * 0.2, 0.1), (side * 0.75, 0.04), 0.03, PAPER)
        brush.polygon([(-0.07, 0.02), (0.07, 0.02), (0, 0.1)], PUDDING)

    return sprite(size_px, draw)
