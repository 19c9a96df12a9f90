"""A cantering horse, the vaulter on its back, and swallows, drawn once for a size."""

from __future__ import annotations

import math
from functools import lru_cache, partial
from typing import Final

from pygame import Surface

from swaytrainer.games.palette import GOLD, INK, NIGHT, ORANGE, PAPER, SKY, Colour, blend
from swaytrainer.games.sprites import Brush, Point, sprite

PHASES: Final = 16
#: The body's bend, from stretched (0) to deep (1).
BENDS: Final = 17
#: When each leg lands, in strides: hind, then hind and fore together, then fore. Far legs first.
_LEGS: Final = (
    # (hip x, landing, near)
    (-0.36, 0.0, False),
    (0.27, 0.24, False),
    (-0.30, 0.24, True),
    (0.33, 0.48, True),
)
_STANCE: Final = 0.36
COAT: Final[Colour] = (148, 86, 50)
COAT_DARK: Final[Colour] = (96, 54, 36)
COAT_LIGHT: Final[Colour] = (186, 120, 76)
MANE: Final[Colour] = (54, 32, 28)
#: The horse's back, and its hooves on the ground, in the square from -1 to 1.
BACK_Y: Final = -0.26
GROUND_Y: Final = 0.72
HAND: Final = (-0.52, -0.33)


def _leg(hip: Point, phase: float, landing: float) -> list[Point]:
    """Hip, knee and hoof."""
    q = (phase - landing) % 1.0
    if q < _STANCE:
        angle, fold = 0.5 * (1.0 - 2.0 * q / _STANCE), 0.0
    else:
        r = (q - _STANCE) / (1.0 - _STANCE)
        angle, fold = -0.5 * math.cos(math.pi * r), 1.15 * math.sin(math.pi * r)
    upper, lower = 0.36, 0.36
    knee = (hip[0] + upper * math.sin(angle), hip[1] + upper * math.cos(angle))
    turn = angle - fold
    return [hip, knee, (knee[0] + lower * math.sin(turn), knee[1] + lower * math.cos(turn))]


def _horse(brush: Brush, phase: float) -> None:
    for grown, tone in ((0.03, INK), (0.0, None)):
        for x, landing, near in _LEGS:
            colour = tone or (COAT if near else COAT_DARK)
            hip, knee, hoof = _leg((x, 0.05), phase, landing)
            brush.line(hip, knee, 0.13 + 2 * grown, colour)
            brush.line(knee, hoof, 0.085 + 2 * grown, colour)
            white = tone or (PAPER if near else blend(PAPER, INK, 0.45))
            middle = (0.45 * knee[0] + 0.55 * hoof[0], 0.45 * knee[1] + 0.55 * hoof[1])
            brush.line(middle, hoof, 0.085 + 2 * grown, white)
            brush.circle(*hoof, 0.06 + grown, tone or MANE)
        wave = 0.06 * math.sin(math.tau * phase)
        tail = [(-0.50, -0.14), (-0.66, -0.16 + wave), (-0.80, -0.02 + wave), (-0.92, 0.06 - wave)]
        brush.curve(tail, 0.1 + 2 * grown, tone or MANE)
        coat = tone or COAT
        brush.ellipse(0.0, -0.05, 0.47 + grown, 0.20 + grown, coat)
        brush.circle(-0.33, -0.06, 0.22 + grown, coat)
        brush.circle(0.33, -0.03, 0.20 + grown, coat)
        nod = 0.025 * math.sin(math.tau * (phase + 0.1))
        neck = [(0.25, -0.16), (0.50, 0.02), (0.78, -0.42 + nod), (0.58, -0.56 + nod)]
        brush.curve(
            [(0.40, -0.08), (0.54, -0.28 + nod), (0.66, -0.48 + nod)], 0.25 + 2 * grown, coat
        )
        brush.polygon(neck, coat)
        brush.curve(
            [(0.66, -0.50 + nod), (0.80, -0.40 + nod), (0.90, -0.30 + nod)], 0.15 + 2 * grown, coat
        )
        ear = [(0.58, -0.56 + nod), (0.63, -0.74 - grown + nod), (0.70, -0.56 + nod)]
        brush.polygon(ear, coat)
    brush.ellipse(-0.05, -0.13, 0.34, 0.07, COAT_LIGHT)
    brush.curve([(0.60, -0.62 + nod), (0.48, -0.46 + nod), (0.36, -0.25)], 0.1, MANE)
    brush.circle(0.75, -0.47 + nod, 0.028, INK)
    brush.circle(0.93, -0.29 + nod, 0.02, INK)
    # Pad and girth.
    brush.line((-0.2, -0.235), (0.2, -0.235), 0.075, PAPER)
    brush.line((0.14, -0.22), (0.12, 0.14), 0.06, SKY)


@lru_cache(maxsize=4)
def horses(size_px: int) -> tuple[Surface, ...]:
    """The horse at ``PHASES`` moments of a stride, from the first beat on."""
    return tuple(sprite(size_px, partial(_horse, phase=k / PHASES)) for k in range(PHASES))


def _vaulter(brush: Brush, bend: float) -> None:
    """Stands with the soles at y = 0.95 and looks to the right; the hips sink with the bend."""
    ankle = (-0.02, 0.90)
    hip = (-0.02 - 0.10 * bend, 0.22 + 0.36 * bend)
    half, thigh = math.hypot(ankle[0] - hip[0], ankle[1] - hip[1]) / 2, 0.36
    forward = math.sqrt(max(thigh * thigh - half * half, 0.0))
    knee = ((ankle[0] + hip[0]) / 2 + forward, (ankle[1] + hip[1]) / 2)
    neck = (hip[0] + 0.06 * bend, hip[1] - 0.50)
    head = (neck[0] + 0.03, neck[1] - 0.19)
    behind = (neck[0] - 0.46, neck[1] + 0.03)
    front = (neck[0] + 0.46, neck[1] + 0.02)
    suit, skin = (196, 60, 84), (240, 196, 160)
    for grown, tone in ((0.035, INK), (0.0, None)):
        brush.curve([hip, knee, ankle], 0.15 + 2 * grown, tone or NIGHT)
        brush.line(ankle, (ankle[0] + 0.14, ankle[1] + 0.02), 0.09 + 2 * grown, tone or PAPER)
        brush.line(hip, (neck[0], neck[1] + 0.06), 0.22 + 2 * grown, tone or suit)
        brush.line((neck[0], neck[1] + 0.05), behind, 0.09 + 2 * grown, tone or suit)
        brush.line((neck[0], neck[1] + 0.05), front, 0.09 + 2 * grown, tone or suit)
        brush.circle(*behind, 0.055 + grown, tone or skin)
        brush.circle(*front, 0.055 + grown, tone or skin)
        brush.circle(*head, 0.145 + grown, tone or skin)
    brush.circle(head[0] - 0.04, head[1] - 0.035, 0.135, MANE)
    brush.ellipse(head[0] + 0.055, head[1] + 0.035, 0.09, 0.105, skin)
    brush.curve([(head[0] - 0.13, head[1]), (head[0] - 0.24, head[1] + 0.09)], 0.08, MANE)
    brush.circle(head[0] + 0.09, head[1] + 0.01, 0.02, INK)


#: How far the hips sink from bend 0 to bend 1, in halves of the figure's square.
BEND_REACH: Final = 0.36
#: The hand behind, at bend 0, in the figure's square.
HAND_AT: Final = (-0.48, -0.25)
SOLE_Y: Final = 0.95


@lru_cache(maxsize=4)
def vaulters(size_px: int) -> tuple[Surface, ...]:
    """The vaulter from stretched to deep, ``BENDS`` pictures."""
    return tuple(sprite(size_px, partial(_vaulter, bend=k / (BENDS - 1))) for k in range(BENDS))


def _swallow(brush: Brush, beat: float) -> None:
    """Flies to the right; ``beat`` -1 (wings down) to 1 (up)."""
    back, breast = (36, 52, 110), PAPER
    for grown, tone in ((0.05, INK), (0.0, None)):
        for fork in (-0.14, 0.12):
            brush.line((-0.40, 0.02), (-0.95, fork), 0.08 + 2 * grown, tone or back)
        brush.ellipse(0.02, 0.02, 0.5 + grown, 0.17 + grown, tone or back)
        brush.circle(0.48, -0.04, 0.17 + grown, tone or back)
        brush.polygon(
            [(0.22 + grown, 0.0), (-0.32 - grown, -0.82 * beat - grown * beat), (-0.12, 0.04)],
            tone or back,
        )
    brush.ellipse(0.05, 0.09, 0.36, 0.09, breast)
    brush.circle(0.54, 0.04, 0.09, ORANGE)
    brush.polygon([(0.62, -0.06), (0.8, 0.0), (0.62, 0.04)], GOLD)
    brush.circle(0.52, -0.09, 0.035, PAPER)


@lru_cache(maxsize=8)
def swallows(size_px: int) -> tuple[Surface, ...]:
    """The swallow with wings up, level and down."""
    return tuple(sprite(size_px, partial(_swallow, beat=beat)) for beat in (1.0, 0.35, -0.8))


def _sign(brush: Brush, kind: str) -> None:
    """A shape for a verdict, so that colour alone need not tell it."""
    if kind == "smooth":
        points = [(-0.9 + 1.8 * k / 24, -0.24 * math.sin(math.tau * k / 24)) for k in range(25)]
        brush.curve(points, 0.3, GOLD)
    elif kind == "stiff":
        brush.line((0.0, -0.75), (0.0, 0.75), 0.4, ORANGE)
    elif kind == "rough":
        zigzag = [(-0.8, 0.4), (-0.4, -0.5), (0.0, 0.5), (0.4, -0.5), (0.8, 0.4)]
        brush.curve(zigzag, 0.26, ORANGE)
    elif kind == "off beat":
        for x, y in ((-0.45, -0.4), (0.45, 0.4)):
            brush.circle(x, y, 0.36, SKY)
            brush.circle(x, y, 0.16, INK)
    elif kind in ("left", "right", "toes", "heels"):
        turn = {"right": 0, "heels": 1, "left": 2, "toes": 3}[kind]
        cos, sin = math.cos(turn * math.pi / 2), math.sin(turn * math.pi / 2)
        arrow = [(-0.6, -0.7), (0.85, 0.0), (-0.6, 0.7)]
        brush.polygon([(x * cos - y * sin, x * sin + y * cos) for x, y in arrow], ORANGE)
    else:
        brush.circle(0.0, 0.0, 0.7, SKY)
        brush.circle(0.0, 0.0, 0.42, INK)


@lru_cache(maxsize=64)
def sign(kind: str, size_px: int) -> Surface:
    """The shape of a verdict or a lean."""
    return sprite(size_px, partial(_sign, kind=kind))


def _shoe(brush: Brush, lit: bool) -> None:
    for width, colour in ((0.52, INK), (0.34, GOLD if lit else blend(INK, GOLD, 0.35))):
        arc = [
            (0.6 * math.sin(a), -0.1 - 0.62 * math.cos(a))
            for a in (math.radians(d) for d in range(-140, 141, 10))
        ]
        brush.curve(arc, width, colour)


@lru_cache(maxsize=8)
def horseshoe(size_px: int, lit: bool) -> Surface:
    """A horseshoe, open end down."""
    return sprite(size_px, partial(_shoe, lit=lit))
