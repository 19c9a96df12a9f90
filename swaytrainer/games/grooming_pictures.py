"""Grooming's pictures: stable floor, the pony from above, its dust, the brush."""

from __future__ import annotations

import math
import random
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import DUSK, GOLD, INK, ORANGE, PAPER, Colour, blend
from swaytrainer.games.sprites import Brush, Point, sprite

STRAW: Final[Colour] = (206, 170, 96)
STRAW_DARK: Final[Colour] = (170, 134, 66)
COAT: Final[Colour] = (150, 78, 40)
COAT_EDGE: Final[Colour] = (70, 34, 20)
SHINE: Final[Colour] = (204, 130, 78)
MANE: Final[Colour] = (44, 28, 26)
DUST: Final[Colour] = (214, 206, 190)
DUST_DARK: Final[Colour] = (158, 148, 132)
_POWER: Final = 2.5


def floor(size: tuple[int, int], seed: int) -> Surface:
    """Straw."""
    width, height = size
    rng = random.Random(f"straw {seed}")
    surface = Surface(size)
    surface.fill(STRAW)
    for _ in range(700):
        x, y = rng.uniform(0, width), rng.uniform(0, height)
        turn, long = rng.uniform(0, math.pi), height * rng.uniform(0.015, 0.05)
        to = (x + long * math.cos(turn), y + long * math.sin(turn))
        tone = blend(STRAW, STRAW_DARK, rng.uniform(0.25, 1.0))
        pygame.draw.line(surface, tone, (x, y), to, max(1, round(0.003 * height)))
    return surface


def _round(box: Rect, grown: float) -> list[Point]:
    """The coat's outline (Lamé's curve) as a polygon, ``grown`` times as large."""
    points = []
    for k in range(96):
        turn = math.tau * k / 96
        c, s = math.cos(turn), math.sin(turn)
        x = math.copysign(abs(c) ** (2 / _POWER), c)
        y = math.copysign(abs(s) ** (2 / _POWER), s)
        points.append(
            (box.centerx + 0.5 * grown * box.width * x, box.centery - 0.5 * grown * box.height * y)
        )
    return points


def draw_pony(surface: Surface, box: Rect) -> None:
    """Its round back from above, neck and tail; the head is laid on later. ``box`` is the coat."""
    x, unit = box.centerx, box.height
    edge = max(3, round(0.016 * unit))
    # Hooves stand out on both sides of shoulders and hips.
    for side in (-1, 1):
        for y in (box.top + 0.17 * unit, box.bottom - 0.12 * unit):
            hoof = Rect(0, 0, round(0.17 * unit), round(0.2 * unit))
            hoof.center = (round(x + side * 0.545 * box.width), round(y - 0.03 * unit))
            pygame.draw.ellipse(surface, COAT_EDGE, hoof.inflate(edge, edge))
            pygame.draw.ellipse(surface, (232, 222, 204), hoof)
    for k in range(9):
        sway = 0.06 * unit * math.sin(0.55 * k)
        strand = round((0.085 - 0.006 * k) * unit)
        pygame.draw.circle(
            surface, MANE, (x + sway, box.bottom + (0.03 + 0.032 * k) * unit), strand
        )
    neck = [
        (x - 0.34 * unit, box.top + 0.14 * unit),
        (x - 0.16 * unit, box.top - 0.2 * unit),
        (x + 0.16 * unit, box.top - 0.2 * unit),
        (x + 0.34 * unit, box.top + 0.14 * unit),
    ]
    pygame.draw.polygon(surface, COAT, neck)
    pygame.draw.lines(surface, COAT_EDGE, False, neck, 2 * edge)
    pygame.draw.polygon(surface, COAT_EDGE, _round(box, 1.14))
    pygame.draw.polygon(surface, COAT, _round(box, 1.11))
    pygame.draw.polygon(surface, blend(COAT, SHINE, 0.3), _round(box, 0.86))
    pygame.draw.polygon(surface, blend(COAT, SHINE, 0.55), _round(box, 0.6))
    # What shines: long strokes along the hair.
    for side in (-1, 1):
        for out, far in ((0.34, 0.5), (0.2, 0.7)):
            stroke = Rect(0, 0, round(0.05 * unit), round(far * unit))
            stroke.center = (round(x + side * out * box.width), box.centery)
            pygame.draw.ellipse(surface, blend(SHINE, PAPER, 0.35), stroke)
    spine = Rect(0, 0, max(3, round(0.018 * unit)), round(0.96 * unit))
    spine.center = box.center
    pygame.draw.rect(surface, MANE, spine, border_radius=spine.width)
    for k in range(9):
        y = box.top - 0.22 * unit + k * 0.045 * unit
        aside = 0.03 * unit * (1 if k % 2 else -1)
        pygame.draw.circle(surface, MANE, (x + aside, y), 0.055 * unit)


def head(size_px: int, content: bool) -> Surface:
    """The head from above: ears forward and eyes half closed, or ears laid back, wide awake."""

    def draw(brush: Brush) -> None:
        for side in (-1, 1):
            if content:
                outer = [(side * 0.2, 0.42), (side * 0.62, -0.22), (side * 0.56, 0.5)]
            else:
                outer = [(side * 0.26, 0.22), (side * 0.92, 0.62), (side * 0.4, 0.6)]
            brush.polygon([(1.12 * px, 1.06 * py) for px, py in outer], COAT_EDGE)
            brush.polygon(outer, SHINE if content else COAT)
        brush.polygon([(-0.42, 0.6), (-0.27, -0.7), (0.27, -0.7), (0.42, 0.6)], COAT_EDGE)
        brush.ellipse(0, -0.66, 0.31, 0.28, COAT_EDGE)
        brush.polygon([(-0.36, 0.62), (-0.21, -0.66), (0.21, -0.66), (0.36, 0.62)], COAT)
        brush.ellipse(0, -0.65, 0.25, 0.22, (112, 62, 44))
        brush.polygon([(0, -0.42), (0.1, 0.0), (0, 0.26), (-0.1, 0.0)], PAPER)
        for side in (-1, 1):
            brush.circle(side * 0.11, -0.72, 0.05, INK)
            if content:
                brush.line((side * 0.22, 0.06), (side * 0.34, 0.14), 0.08, INK)
            else:
                brush.circle(side * 0.28, 0.08, 0.13, PAPER)
                brush.circle(side * 0.28, 0.06, 0.07, INK)
        for x in (-0.16, 0.0, 0.16):
            brush.line((0.5 * x, 0.72), (x, 0.3), 0.12, MANE)

    return sprite(size_px, draw)


def dust(size_px: int, variant: int, thick: bool) -> Surface:
    """The dust of one cell: a soft patch full of crumbs, or what half a brushing leaves of it."""
    rng = random.Random(f"dust {variant}")

    def draw(brush: Brush) -> None:
        if thick:
            for _ in range(9):
                turn, far = rng.uniform(0, math.tau), rng.uniform(0.2, 0.55)
                brush.circle(far * math.cos(turn), far * math.sin(turn), 0.36, DUST)
        for _ in range(11 if thick else 6):
            turn, far = rng.uniform(0, math.tau), 0.78 * math.sqrt(rng.random())
            at = (far * math.cos(turn), far * math.sin(turn))
            brush.circle(*at, rng.uniform(0.06, 0.13), DUST_DARK if thick else DUST)

    surface = sprite(size_px, draw, DUST)
    surface.set_alpha(235, pygame.RLEACCEL)
    return surface


def brush_picture(width_px: int, height_px: int, rough: bool) -> Surface:
    """The brush with its strap; rough, it stands aslant in a cloud."""
    side = 2 * max(width_px, height_px)

    def draw(brush: Brush) -> None:
        across, along = width_px / side, height_px / side
        if rough:
            for k in range(8):
                turn = math.tau * k / 8
                at = (1.25 * across * math.cos(turn) * 1.2, 1.25 * along * math.sin(turn) * 1.2)
                brush.circle(*at, 0.2, DUST_DARK)
                brush.circle(*at, 0.15, DUST)
        for k in range(28):
            turn = math.tau * k / 28
            tip = (1.12 * across * math.cos(turn), 1.12 * along * math.sin(turn))
            brush.line((0.8 * tip[0], 0.8 * tip[1]), tip, 0.035, INK)
        brush.ellipse(0, 0, across, along, INK)
        brush.ellipse(0, 0, across - 0.04, along - 0.04, ORANGE if rough else (242, 226, 190))
        strap = 0.3 * along
        brush.polygon(
            [(-across, -strap), (across, -strap), (across, strap), (-across, strap)],
            (36, 92, 160),
        )
        brush.line((-across, -strap), (across, -strap), 0.03, INK)
        brush.line((-across, strap), (across, strap), 0.03, INK)

    picture = sprite(side, draw, DUST)
    return pygame.transform.rotate(picture, 20) if rough else picture


def horseshoe(size_px: int, lit: int, nails: int) -> Surface:
    """Time: a shoe whose nails are counted down, open below."""

    def draw(brush: Brush) -> None:
        points = []
        for k in range(41):
            turn = math.radians(-145 + 290 * k / 40)
            points.append((0.76 * math.sin(turn), -0.76 * math.cos(turn)))
        brush.curve(points, 0.38, INK)
        brush.curve(points, 0.3, DUSK)
        for k in range(nails):
            turn = math.radians(-138 + 276 * k / (nails - 1))
            at = (0.76 * math.sin(turn), -0.76 * math.cos(turn))
            brush.circle(*at, 0.07, GOLD if k < lit else INK)

    return sprite(size_px, draw)
