"""Echo's pictures: a cave at dusk and at night, a bat, moths, and the perch between them."""

from __future__ import annotations

import math
import random
from functools import lru_cache, partial

import numpy as np
import pygame
from pygame import Rect, Surface

from swaytrainer.games.frame import FOOT_TOP
from swaytrainer.games.palette import GOLD, INK, MIST, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, sprite

#: Rock, nearest first, and the air behind it: lit by the evening, and in the dark.
ROCK: tuple[Colour, ...] = ((34, 24, 52), (58, 40, 78), (86, 60, 98))
DUSK_TOP: Colour = (250, 190, 150)
DUSK_FOOT: Colour = (140, 92, 140)
DARK_ROCK: tuple[Colour, ...] = ((8, 7, 16), (13, 11, 24), (18, 15, 32))
DARK_TOP: Colour = (24, 20, 44)
DARK_FOOT: Colour = (14, 12, 28)
FUR: Colour = (42, 30, 58)
WING: Colour = (98, 66, 120)
MOTH: Colour = (255, 236, 178)


def _sky(size: tuple[int, int], top: Colour, foot: Colour) -> Surface:
    """Evening air that darkens downwards."""
    height = max(8, size[1] // 4)
    share = np.linspace(0.0, 1.0, height)[None, :, None]
    rows = np.array(top) * (1.0 - share) + np.array(foot) * share
    picture = pygame.surfarray.make_surface(np.repeat(rows, 8, axis=0).astype(np.uint8))
    return pygame.transform.smoothscale(picture, size)


def _wall(surface: Surface, rng: random.Random, colour: Colour, reach: float, sides: float) -> None:
    """Rock that hangs from the roof and stands on the floor and at both sides."""
    width, height = surface.get_size()
    teeth = 13
    for roof in (True, False):
        edge = 0 if roof else height
        points: list[tuple[float, float]] = [(0, edge)]
        for k in range(2 * teeth + 1):
            x = width * k / (2 * teeth)
            off_middle = abs(k / teeth - 1.0)
            long = rng.uniform(0.35, 1.0) if k % 2 else rng.uniform(0.1, 0.25)
            deep = height * reach * (long * (0.45 + 0.9 * off_middle**2))
            points.append((x, deep if roof else height - 0.8 * deep - 0.03 * height))
        points.append((width, edge))
        pygame.draw.polygon(surface, colour, points)
    for right in (False, True):
        steps = 9
        points = [(width if right else 0, 0)]
        for k in range(steps + 1):
            deep = width * sides * rng.uniform(0.4, 1.0)
            points.append((width - deep if right else deep, height * k / steps))
        points.append((width if right else 0, height))
        pygame.draw.polygon(surface, colour, points)


def _eyes(surface: Surface, rng: random.Random) -> None:
    """Somebody always watches from the dark corners."""
    width, height = surface.get_size()
    radius = max(2, round(0.006 * height))
    for k in range(6):
        x = width * (rng.uniform(0.03, 0.11) if k % 2 else rng.uniform(0.89, 0.97))
        y = height * rng.uniform(0.33, 0.74)
        for side in (-1, 1):
            pygame.draw.circle(surface, (196, 176, 92), (x + side * 1.7 * radius, y), radius)
            pygame.draw.circle(surface, INK, (x + side * 1.7 * radius, y), max(1, radius // 2))


def cave_picture(size: tuple[int, int], seed: int, lit: bool) -> Surface:
    """The cave without anybody in it; the same rock with light and without."""
    rng = random.Random(f"cave {seed}")
    rocks = ROCK if lit else DARK_ROCK
    surface = _sky(size, DUSK_TOP if lit else DARK_TOP, DUSK_FOOT if lit else DARK_FOOT)
    if lit:
        height = size[1]
        pygame.draw.circle(
            surface,
            blend(DUSK_TOP, PAPER, 0.6),
            (round(0.24 * size[0]), round(0.33 * height)),
            0.1 * height,
        )
    for colour, reach, sides in zip(
        rocks[::-1], (0.34, 0.26, 0.17), (0.15, 0.1, 0.06), strict=True
    ):
        _wall(surface, rng, colour, reach, sides)
    if not lit:
        _eyes(surface, rng)
    # The signal's line stands on it.
    pygame.draw.rect(surface, INK, Rect(0, round(FOOT_TOP * size[1]), size[0], size[1]))
    return surface


def _bat(brush: Brush, wing: float) -> None:
    for side in (-1, 1):
        tip = -0.42 - 0.3 * wing
        brush.polygon(
            [
                (side * 0.1, -0.12),
                (side * 0.42, tip),
                (side * 0.96, tip + 0.28),
                (side * 0.8, 0.3 - 0.1 * wing),
                (side * 0.58, 0.12),
                (side * 0.4, 0.34),
                (side * 0.22, 0.16),
            ],
            INK,
        )
        brush.polygon(
            [
                (side * 0.12, -0.08),
                (side * 0.44, tip + 0.07),
                (side * 0.87, tip + 0.3),
                (side * 0.77, 0.19 - 0.1 * wing),
                (side * 0.58, 0.03),
                (side * 0.4, 0.23),
                (side * 0.22, 0.06),
            ],
            WING,
        )
        brush.polygon([(side * 0.06, -0.3), (side * 0.24, -0.64), (side * 0.28, -0.2)], INK)
    brush.ellipse(0, 0.08, 0.27, 0.4, INK)
    brush.ellipse(0, 0.08, 0.22, 0.35, FUR)
    brush.circle(0, -0.2, 0.26, INK)
    brush.circle(0, -0.2, 0.22, FUR)
    for side in (-1, 1):
        brush.circle(side * 0.1, -0.23, 0.085, PAPER)
        brush.circle(side * 0.09, -0.22, 0.045, INK)
    brush.polygon([(-0.05, -0.06), (0.05, -0.06), (0, 0.03)], PAPER)


@lru_cache(maxsize=16)
def bat(size_px: int, wing: int) -> Surface:
    """The player's bat, wings up (1), level (0) or down (-1)."""
    return sprite(size_px, partial(_bat, wing=wing))


@lru_cache(maxsize=16)
def moth(size_px: int, hollow: bool = False) -> Surface:
    """A pale moth; hollow where it is still to be found, for the row of rounds."""

    def draw(brush: Brush) -> None:
        body = blend(MOTH, INK, 0.55)
        for grown, wings in ((0.08, INK), (0.0, INK if hollow else MOTH)):
            for side in (-1, 1):
                brush.ellipse(side * 0.44, -0.24, 0.42 + grown, 0.34 + grown, wings)
                brush.ellipse(side * 0.34, 0.32, 0.3 + grown, 0.3 + grown, wings)
        if hollow:
            for side in (-1, 1):
                for x, y, rx, ry in ((0.44, -0.24, 0.42, 0.34), (0.34, 0.32, 0.3, 0.3)):
                    brush.ellipse(side * x, y, rx, ry, MIST)
                    brush.ellipse(side * x, y, rx - 0.1, ry - 0.1, INK)
            body = MIST
        else:
            for side in (-1, 1):
                brush.circle(side * 0.52, -0.26, 0.14, (214, 130, 70))
                brush.circle(side * 0.52, -0.26, 0.07, INK)
        brush.ellipse(0, 0.04, 0.12, 0.5, body)
        for side in (-1, 1):
            brush.curve([(0, -0.42), (side * 0.14, -0.7), (side * 0.3, -0.8)], 0.05, body)

    return sprite(size_px, draw)


@lru_cache(maxsize=16)
def perch(size_px: int, colour: Colour) -> Surface:
    """The ring in the middle of the cave from which the bat hangs: home."""

    def draw(brush: Brush) -> None:
        for width, ink in ((0.2, INK), (0.11, colour)):
            steps = 40
            points = [
                (0.8 * math.sin(math.tau * k / steps), 0.8 * math.cos(math.tau * k / steps))
                for k in range(steps + 1)
            ]
            brush.curve(points, width, ink)
        brush.line((-0.34, 0.0), (0.34, 0.0), 0.16, INK)
        brush.line((-0.32, 0.0), (0.32, 0.0), 0.09, colour)

    return sprite(size_px, draw)


@lru_cache(maxsize=16)
def moon(size_px: int) -> Surface:
    """A crescent beside the time that is left."""

    def draw(brush: Brush) -> None:
        brush.circle(0, 0, 0.9, GOLD)
        brush.circle(0.38, -0.18, 0.76, INK)

    return sprite(size_px, draw)
