"""Picnic's pictures: meadow, blanket, its guests, the apple and the plate."""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from typing import Final, Literal

import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import INK, ORANGE, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, Point, sprite

Mood = Literal["asleep", "stirring", "awake"]

MEADOW: Final[Colour] = (112, 158, 84)
MEADOW_DARK: Final[Colour] = (86, 132, 66)
CLOTH: Final[Colour] = (244, 236, 216)
CHECK: Final[Colour] = (196, 82, 70)
LINING: Final[Colour] = (92, 44, 48)
_FUR: Final[dict[str, Colour]] = {
    "cat": (236, 152, 70),
    "hen": (250, 246, 236),
    "hedgehog": (120, 86, 60),
    "rabbit": (170, 164, 168),
}
#: In the order of the corners: front left, front right, rear left, rear right.
GUESTS: Final = ("cat", "hen", "hedgehog", "rabbit")


def meadow(size: tuple[int, int], seed: int) -> Surface:
    """Grass with flowers, seen from above."""
    width, height = size
    rng = random.Random(f"meadow {seed}")
    surface = Surface(size)
    surface.fill(MEADOW)
    for _ in range(420):
        x, y = rng.uniform(0, width), rng.uniform(0, height)
        long = height * rng.uniform(0.012, 0.028)
        tip = (x + rng.uniform(-0.6, 0.6) * long, y - long)
        pygame.draw.line(surface, MEADOW_DARK, (x, y), tip, max(1, round(0.004 * height)))
    for _ in range(46):
        x, y = rng.uniform(0, width), rng.uniform(0, height)
        petal = height * rng.uniform(0.005, 0.008)
        colour = rng.choice((PAPER, (255, 224, 130), (226, 196, 240)))
        for k in range(5):
            turn = math.tau * k / 5
            at = (x + 1.5 * petal * math.sin(turn), y + 1.5 * petal * math.cos(turn))
            pygame.draw.circle(surface, colour, at, petal)
        pygame.draw.circle(surface, (190, 128, 40), (x, y), petal)
    return surface


def lay_blanket(surface: Surface, cloth: Rect) -> None:
    """A checked cloth with a hem and its shadow."""
    shadow = cloth.move(round(0.012 * cloth.width), round(0.016 * cloth.width))
    pygame.draw.rect(surface, MEADOW_DARK, shadow)
    pygame.draw.rect(surface, CLOTH, cloth)
    side = cloth.width / 12
    light, dark = blend(CLOTH, CHECK, 0.24), blend(CLOTH, CHECK, 0.45)
    for column in range(12):
        for row in range(12):
            both = column % 2 + row % 2
            if both:
                at = (cloth.x + column * side, cloth.y + row * side)
                patch = Rect(round(at[0]), round(at[1]), math.ceil(side), math.ceil(side))
                pygame.draw.rect(surface, light if both == 1 else dark, patch.clip(cloth))
    pygame.draw.rect(surface, CHECK, cloth, max(3, round(0.014 * cloth.width)))


def folded(size_px: int, corner: int, share: float) -> Surface:
    """A corner blown back: grass where it lay, the lining over it, its edge dark.

    ``corner`` is counted as the guests are; ``share`` of the square is turned over.
    """
    surface = Surface((size_px, size_px), pygame.SRCALPHA)
    reach = size_px * share
    right, rear = corner % 2, corner // 2

    def at(x: float, y: float) -> Point:
        return (size_px - x if right else x, size_px - y if rear else y)

    pygame.draw.polygon(surface, MEADOW_DARK, [at(0, 0), at(reach, 0), at(0, reach)])
    flap = [at(reach, 0), at(0, reach), at(0.86 * reach, 0.86 * reach)]
    pygame.draw.polygon(surface, LINING, flap)
    pygame.draw.polygon(surface, INK, flap, max(2, round(0.03 * size_px)))
    return surface


def animal(kind: str, size_px: int, mood: Mood) -> Surface:
    """A guest: curled up with closed eyes; one eye open; or up on its feet, wide awake."""
    return sprite(size_px, lambda brush: _DRAWN[kind](brush, mood))


def _eyes(brush: Brush, y: float, apart: float, mood: Mood, dark: Colour = INK) -> None:
    for side in (-1, 1):
        shut = mood == "asleep" or (mood == "stirring" and side < 0)
        if shut:
            points = [
                (side * apart + 0.1 * math.sin(turn), y + 0.06 * math.cos(turn))
                for turn in (-1.4, -0.7, 0.0, 0.7, 1.4)
            ]
            brush.curve(points, 0.06, dark)
        else:
            wide = 0.15 if mood == "awake" else 0.1
            brush.circle(side * apart, y, wide, PAPER)
            brush.circle(side * apart, y, 0.6 * wide, INK)


def _lying(brush: Brush, colour: Colour, mood: Mood) -> None:
    """The body: a low curl, or upright on feet."""
    edge = blend(colour, INK, 0.65)
    if mood == "awake":
        for side in (-1, 1):
            brush.ellipse(side * 0.28, 0.86, 0.2, 0.1, edge)
        brush.ellipse(0, 0.42, 0.5, 0.5, edge)
        brush.ellipse(0, 0.42, 0.44, 0.44, colour)
    else:
        brush.ellipse(0, 0.42, 0.92, 0.5, edge)
        brush.ellipse(0, 0.42, 0.86, 0.44, colour)


def _head(mood: Mood) -> float:
    return -0.28 if mood == "awake" else 0.24


def _cat(brush: Brush, mood: Mood) -> None:
    fur = _FUR["cat"]
    edge, y = blend(fur, INK, 0.65), _head(mood)
    _lying(brush, fur, mood)
    for side in (-1, 1):
        for grown, ink in ((0.06, edge), (0.0, fur)):
            tip = (side * (0.38 + grown), y - 0.6 - grown)
            brush.polygon([(side * (0.48 + grown), y - 0.08), tip, (side * 0.08, y - 0.3)], ink)
    brush.circle(0, y, 0.48, edge)
    brush.circle(0, y, 0.43, fur)
    for x in (-0.12, 0.0, 0.12):
        brush.line((x, y - 0.4), (x, y - 0.26), 0.05, edge)
    brush.polygon([(-0.07, y + 0.12), (0.07, y + 0.12), (0, y + 0.2)], (180, 70, 80))
    _eyes(brush, y - 0.02, 0.2, mood)


def _hen(brush: Brush, mood: Mood) -> None:
    down = _FUR["hen"]
    edge, y = blend(down, INK, 0.6), _head(mood)
    _lying(brush, down, mood)
    for x, high in ((-0.16, 0.4), (0.0, 0.48), (0.16, 0.4)):
        brush.circle(x, y - high, 0.13, (206, 58, 52))
    brush.circle(0, y, 0.42, edge)
    brush.circle(0, y, 0.37, down)
    beak = [(-0.12, y + 0.08), (0.12, y + 0.08), (0, y + 0.32)]
    brush.polygon(beak, ORANGE)
    brush.circle(0, y + 0.34, 0.08, (206, 58, 52))
    _eyes(brush, y - 0.08, 0.19, mood)


def _hedgehog(brush: Brush, mood: Mood) -> None:
    spines = _FUR["hedgehog"]
    edge, y = blend(spines, INK, 0.5), _head(mood)
    _lying(brush, spines, mood)
    points = []
    for k in range(27):
        turn = math.pi * (0.95 + 1.1 * k / 26)
        reach = 0.72 if k % 2 else 0.54
        points.append((reach * math.cos(turn), y + 0.06 + reach * math.sin(turn)))
    brush.polygon([(x * 1.06, yy - 0.03) for x, yy in points], edge)
    brush.polygon(points, spines)
    face = (232, 204, 164)
    brush.ellipse(0, y + 0.1, 0.38, 0.34, edge)
    brush.ellipse(0, y + 0.1, 0.33, 0.29, face)
    brush.circle(0, y + 0.28, 0.09, INK)
    _eyes(brush, y + 0.04, 0.16, mood)


def _rabbit(brush: Brush, mood: Mood) -> None:
    fur = _FUR["rabbit"]
    edge, y = blend(fur, INK, 0.6), _head(mood)
    _lying(brush, fur, mood)
    for side in (-1, 1):
        for grown, ink in ((0.05, edge), (0.0, fur), (-0.07, (236, 190, 196))):
            high = 0.6 if mood == "awake" else 0.5
            brush.ellipse(side * 0.2, y - high, 0.13 + grown, 0.36 + grown, ink)
    brush.circle(0, y, 0.44, edge)
    brush.circle(0, y, 0.39, fur)
    brush.circle(0, y + 0.14, 0.07, (200, 90, 110))
    _eyes(brush, y - 0.04, 0.19, mood)


_DRAWN: dict[str, Callable[[Brush, Mood], None]] = {
    "cat": _cat,
    "hen": _hen,
    "hedgehog": _hedgehog,
    "rabbit": _rabbit,
}


def apple(size_px: int) -> Surface:
    """The vaulter's weight."""

    def draw(brush: Brush) -> None:
        for grown, ink in ((0.09, INK), (0.0, (214, 44, 48))):
            for side in (-1, 1):
                brush.ellipse(side * 0.3, 0.12, 0.5 + grown, 0.66 + grown, ink)
        brush.ellipse(-0.36, -0.12, 0.14, 0.24, (250, 150, 140))
        brush.line((0, -0.42), (0.1, -0.84), 0.11, INK)
        brush.polygon([(0.1, -0.6), (0.36, -0.92), (0.66, -0.72), (0.4, -0.5)], (58, 120, 52))

    return sprite(size_px, draw)


def plate(size_px: int, full: bool) -> Surface:
    """Where the apple ought to lie: a rim of dashes while it does not, a whole one when it does."""

    def draw(brush: Brush) -> None:
        brush.circle(0, 0, 0.97, INK)
        brush.circle(0, 0, 0.9, PAPER)
        brush.circle(0, 0, 0.66, (206, 216, 226))
        brush.circle(0, 0, 0.6, PAPER)
        for k in range(16):
            if full or k % 2 == 0:
                turns = [math.tau * (k + 0.25 * j) / 16 for j in range(5)]
                arc = [(0.78 * math.cos(a), 0.78 * math.sin(a)) for a in turns]
                brush.curve(arc, 0.12, (40, 96, 168))

    return sprite(size_px, draw)


def streak(size_px: int, right: float, forward: float) -> Surface:
    """A curl of wind that blows from (right, forward) across the screen; forward is up."""
    along, up = -right, forward

    def draw(brush: Brush) -> None:
        points = []
        for k in range(13):
            far = -0.85 + 1.5 * k / 12
            aside = 0.1 * math.sin(4.2 * far)
            points.append((far * along - aside * up, far * up + aside * along))
        brush.curve(points, 0.16, INK)
        brush.curve(points, 0.09, PAPER)
        tip = (0.92 * along, 0.92 * up)
        for side in (-1, 1):
            barb = (0.5 * along - side * 0.34 * up, 0.5 * up + side * 0.34 * along)
            brush.line(tip, barb, 0.16, INK)
        for side in (-1, 1):
            barb = (0.5 * along - side * 0.34 * up, 0.5 * up + side * 0.34 * along)
            brush.line(tip, barb, 0.09, PAPER)

    return sprite(size_px, draw)


def verdict(size_px: int, which: Literal["open", "held", "missed"]) -> Surface:
    """A gust's answer: an empty ring, a tick on a disc, a cross."""

    def draw(brush: Brush) -> None:
        if which == "open":
            brush.circle(0, 0, 0.8, (120, 146, 170))
            brush.circle(0, 0, 0.62, INK)
        elif which == "held":
            brush.circle(0, 0, 0.88, (255, 216, 112))
            brush.curve([(-0.45, 0.02), (-0.12, 0.38), (0.48, -0.36)], 0.22, INK)
        else:
            for side in (-1, 1):
                brush.line((-0.55, -0.55 * side), (0.55, 0.55 * side), 0.22, ORANGE)

    return sprite(size_px, draw)


def word_of_sleep(size_px: int) -> Surface:
    """Two z above a sleeper."""

    def draw(brush: Brush) -> None:
        for x, y, half in ((-0.35, 0.4, 0.34), (0.4, -0.35, 0.46)):
            for width, ink in ((0.32, INK), (0.15, PAPER)):
                brush.curve(
                    [
                        (x - half, y - half),
                        (x + half, y - half),
                        (x - half, y + half),
                        (x + half, y + half),
                    ],
                    width,
                    ink,
                )

    return sprite(size_px, draw)


def alarm(size_px: int) -> Surface:
    """The call above somebody wide awake."""

    def draw(brush: Brush) -> None:
        for grown, ink in ((0.16, INK), (0.0, ORANGE)):
            top = [(-0.26 - grown, -0.8 - grown), (0.26 + grown, -0.8 - grown)]
            brush.polygon([*top, (0.1 + grown, 0.3 + grown), (-0.1 - grown, 0.3 + grown)], ink)
            brush.circle(0, 0.66, 0.18 + grown, ink)

    return sprite(size_px, draw)
