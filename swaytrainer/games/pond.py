"""The pond's still picture, and where a centre of pressure lies on it."""

from __future__ import annotations

import itertools
import math
import random
from typing import NamedTuple

import numpy as np
import pygame
from numpy.typing import NDArray
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import (
    HEEL_END,
    INK,
    LANE,
    LANE_EDGE,
    MIST,
    ORANGE,
    SKY,
    TOE_END,
    WATER,
    Colour,
    blend,
)
from swaytrainer.games.sprites import chevron, lily_pad, reed_tuft
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level

#: The lane takes this share of the pond's height, within limits for odd bands.
LANE_SHARE = 0.28
#: The pond ends above the footnote line.
BOTTOM_SHARE = 0.955
#: The lantern stays whole on the screen however far the weight goes.
MARGIN_SHARE = 0.075


class PondScale(NamedTuple):
    """How toe share and side shift become pixels; a millimetre is as long up as across."""

    width: int
    height: int
    middle_percent: float
    px_per_percent: float
    px_per_mm: float
    stance_mm: float
    lane: Rect

    @classmethod
    def of(cls, size: tuple[int, int], level: Level, feet: Feet) -> PondScale:
        """The scale for a screen, a band and a pair of feet."""
        width, height = size
        low, high = level.band_low_percent, level.band_high_percent
        shown = min(max((high - low) / LANE_SHARE, 40.0), 130.0)
        px_per_percent = height * BOTTOM_SHARE / shown
        mm_per_percent = (feet.ball_y_mm - feet.heel_y_mm) / 100
        middle = height * BOTTOM_SHARE / 2
        half = (high - low) / 2 * px_per_percent
        lane = Rect(0, round(middle - half), width, round(2 * half))
        return cls(
            width,
            height,
            (low + high) / 2,
            px_per_percent,
            px_per_percent / mm_per_percent,
            feet.right_x_mm - feet.left_x_mm,
            lane,
        )

    def place(self, right_share_percent: float, toe_share_percent: float) -> tuple[int, int]:
        """The pixel of a COP, held inside the pond."""
        x_mm = (right_share_percent - 50) / 100 * self.stance_mm
        x = self.width / 2 + x_mm * self.px_per_mm
        middle = self.height * BOTTOM_SHARE / 2
        y = middle - (toe_share_percent - self.middle_percent) * self.px_per_percent
        margin = MARGIN_SHARE * self.height
        return (
            round(min(max(x, margin), self.width - margin)),
            round(min(max(y, margin), self.height * BOTTOM_SHARE - margin)),
        )


Picture = NDArray[np.float64]


def _noise(rng: np.random.Generator, shape: tuple[int, int]) -> Picture:
    """Soft unevenness about zero, longer across than up: coarse grids, smoothly enlarged."""
    width, height = shape
    total = np.zeros(shape)
    for across, up, strength in ((5, 9, 1.0), (11, 22, 0.6), (24, 60, 0.35)):
        grid = rng.normal(0, strength, (across + 1, up + 1))
        xs, ys = np.linspace(0, across, width), np.linspace(0, up, height)
        i = np.minimum(xs.astype(int), across - 1)
        j = np.minimum(ys.astype(int), up - 1)
        u = (xs - i)[:, None]
        v = (ys - j)[None, :]
        u, v = u * u * (3 - 2 * u), v * v * (3 - 2 * v)
        left = grid[i][:, j] * (1 - v) + grid[i][:, j + 1] * v
        right = grid[i + 1][:, j] * (1 - v) + grid[i + 1][:, j + 1] * v
        total += left * (1 - u) + right * u
    return total


def _water(size: tuple[int, int], stops: list[tuple[float, Colour]], seed: int) -> Surface:
    """Water whose colour runs through the stops (share of the height, colour) downwards.

    Made at a quarter of the size: it has no edge that would show the enlargement.
    """
    small = (max(8, size[0] // 4), max(8, size[1] // 4))
    y = np.linspace(0, 1, small[1])
    places = [place for place, _ in stops]
    noise = _noise(np.random.default_rng(seed), small)
    channels = [
        np.interp(y, places, [colour[k] for _, colour in stops])[None, :] * (1 + 0.05 * noise)
        for k in range(3)
    ]
    picture = np.clip(np.stack(channels, axis=2), 0, 255).astype(np.uint8)
    surface = pygame.surfarray.make_surface(picture)
    return pygame.transform.smoothscale(surface, size)


def _reed_row(surface: Surface, foot: int, rng: random.Random) -> None:
    """Tufts across the pond with their feet on a line, drawn from the back to the front."""
    width, height = surface.get_size()
    x = -0.02 * height
    while x < width + 0.02 * height:
        size = round(height * rng.uniform(0.05, 0.075))
        leans = [rng.uniform(-0.8, 0.8) for _ in range(rng.randint(3, 5))]
        tuft = reed_tuft(size, leans, rng.random() < 0.3)
        surface.blit(tuft, (round(x - size / 2), foot - size))
        x += height * rng.uniform(0.035, 0.06)


def _pads(surface: Surface, places: list[tuple[float, float]], rng: random.Random) -> None:
    height = surface.get_height()
    for x, y in places:
        size = round(height * rng.uniform(0.04, 0.075))
        pad = lily_pad(size, rng.uniform(0, 4), rng.random() < 0.4)
        surface.blit(pad, (round(x - size / 2), round(y - size / 2)))


def _end_sign(canvas: Canvas, words: str, up: bool, colour: Colour) -> None:
    """The word at an end of the pond, between arrowheads that point there."""
    top = 0.03 if up else BOTTOM_SHARE - 0.13
    area = canvas.area(0.39, top, 0.61, top + 0.1)
    set_area = canvas.text(words, area, size=0.085, colour=colour)
    size = canvas.px(0.07)
    picture = chevron(size, up, colour)
    for side in (-1, 1):
        for step in range(2):
            away = set_area.width // 2 + canvas.px(0.03) + round(size * (0.5 + 1.0 * step))
            x = area.centerx + side * away - size // 2
            canvas.surface.blit(picture, (x, area.centery - size // 2))


def pond_picture(size: tuple[int, int], scale: PondScale, seed: int) -> Surface:
    """The whole pond without lantern, guests or figures."""
    width, height = size
    rng = random.Random(f"pond {seed}")
    top, bottom = scale.lane.top / height, scale.lane.bottom / height
    stops: list[tuple[float, Colour]] = [
        (0.0, TOE_END),
        (top * 0.45, TOE_END),
        (top * 0.85, WATER),
        (bottom + (1 - bottom) * 0.15, WATER),
        (bottom + (1 - bottom) * 0.55, HEEL_END),
        (1.0, HEEL_END),
    ]
    surface = _water(size, stops, seed)
    middle = blend(LANE, LANE_EDGE, 0.12)
    lane_stops: list[tuple[float, Colour]] = [(0.0, LANE), (0.5, middle), (1.0, LANE)]
    surface.blit(_water(scale.lane.size, lane_stops, seed + 1), scale.lane.topleft)
    edge = max(2, round(0.005 * height))
    for y in (scale.lane.top, scale.lane.bottom - edge):
        pygame.draw.rect(surface, LANE_EDGE, Rect(0, y, width, edge))
    # Both rows grow up the picture; the lower one stands in front of the lane, not in it.
    _reed_row(surface, scale.lane.top + edge, rng)
    _reed_row(surface, scale.lane.bottom + round(0.068 * height), rng)
    places = []
    for k in range(9):
        x = width * (k + rng.random()) / 9
        off = rng.uniform(0.1, 0.125) * height
        places.append((x, scale.lane.top - off if k % 2 else scale.lane.bottom + off))
    _pads(surface, places, rng)
    canvas = Canvas(surface)
    _end_sign(canvas, "TOES", True, ORANGE)
    _end_sign(canvas, "HEELS", False, SKY)
    pygame.draw.rect(surface, INK, Rect(0, round(BOTTOM_SHARE * height), width, height))
    return surface


def wavelet(width_px: int, alpha: float) -> Surface:
    """A short lapping wave, as rough water shows all over."""
    fine = 4
    w, h = width_px * fine, width_px * fine // 3
    picture = Surface((w, h), pygame.SRCALPHA)
    picture.fill((*MIST, 0))
    points = [
        (w * (0.06 + 0.88 * k / 24), h * (0.5 + 0.28 * math.sin(math.tau * 1.5 * k / 24)))
        for k in range(25)
    ]
    for x, y in points:
        pygame.draw.circle(picture, (*MIST, round(255 * alpha)), (x, y), h * 0.12)
    for start, end in itertools.pairwise(points):
        pygame.draw.line(picture, (*MIST, round(255 * alpha)), start, end, round(h * 0.24))
    return pygame.transform.smoothscale(picture, (width_px, width_px // 3))
