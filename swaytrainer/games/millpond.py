"""Millpond: the pond lies calm while the vaulter does, over the whole sole."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.gathering import Gathering, Guest
from swaytrainer.games.palette import GOLD, INK, NIGHT, ORANGE, PAPER, SKY, Colour
from swaytrainer.games.pond import BOTTOM_SHARE, PondScale, pond_picture, wavelet
from swaytrainer.games.sprites import (
    CreatureSprites,
    bead,
    glow,
    guest,
    lantern,
)
from swaytrainer.sitting.view import View, Where
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level

BEADS = 30
CREATURE_SHARE = 0.1
RIPPLE_EVERY_S = 0.4
RIPPLE_LIFE_S = 1.7
RIPPLE_STEPS = 26
#: Two kinds of ripple: how restless, how wide it grows (share of the height), how bright.
RIPPLES = ((0.0, 0.10, 0.45), (0.45, 0.19, 0.85))
#: Below this restlessness the water shows no ripple at all: quiet is the reward.
GLASSY = 0.12
#: The rough water all over follows slowly; only the lantern must not lag.
ROUGH_FOLLOWS_S = 0.5
LIGHT_FOLLOWS_S = 0.35
GLOW_STEPS = 8
WAVELET_ALPHAS = (0.25, 0.5, 0.75)
ARRIVE_S = 1.8
FLEE_S = 1.1
WORD_HOLDS_S = 0.4

WORDS: dict[str, Colour] = {
    "CALM": PAPER,
    "GENTLY": PAPER,
    "TOES": ORANGE,
    "HEELS": SKY,
}


class Ripple(NamedTuple):
    """A ring on the water."""

    x: int
    y: int
    born_s: float
    strength: int


@dataclass(slots=True)
class Swimmer:
    """A guest on its way to its place, at it, or fleeing."""

    guest: Guest
    home: tuple[float, float]
    start: tuple[float, float]
    born_s: float
    fled_s: float | None = None
    fled_from: tuple[float, float] = (0.0, 0.0)


def _pill(canvas: Canvas, words: str, colour: Colour) -> Surface:
    """A word on its own dark ground, to be laid anywhere on the water."""
    height = canvas.px(0.074)
    probe = Canvas(Surface((canvas.height, canvas.height)))
    width = probe.text(words, Rect(0, 0, canvas.height, height), size=0.06).width
    surface = Surface((width + canvas.px(0.05), height), pygame.SRCALPHA)
    pygame.draw.rect(surface, INK, surface.get_rect(), border_radius=height // 2)
    face = Canvas(Surface((canvas.height, canvas.height), pygame.SRCALPHA))
    drawn = face.text(words, Rect(0, 0, canvas.height, height), size=0.06, colour=colour)
    surface.blit(face.surface.subsurface(drawn), (canvas.px(0.025), (height - drawn.height) // 2))
    return surface


class Millpond:
    """Draws the running game. Keeps pictures for one size, level and pair of feet.

    Two measures are fed back and nothing else moves by itself: the toe share, as the lantern's
    place, shape and word; and the speed, as ripples and rough water. Guests come and go by both.
    """

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        self._seed = seed
        size = (canvas.width, canvas.height)
        self.scale = PondScale.of(size, level, feet)
        self._gathering = Gathering(seed)
        self._swimmers: list[Swimmer] = []
        self._ripples: list[Ripple] = []
        self._ripple_at_s = -math.inf
        self._rough = 0.0
        self._light = 0.0
        self._last_s: float | None = None
        self._word = "CALM"
        self._word_s = -math.inf
        self._trial = 0
        background = pond_picture(size, self.scale, seed)
        clock = self._time_area()
        self._still = in_format_of(canvas.surface, background)
        Canvas(background).panel(self._count_area())
        Canvas(background).panel(clock, edge=NIGHT)
        self._ring_places = _ring(clock.center, round(clock.height * 0.435), BEADS)
        self._bead_px = canvas.px(0.02)
        for x, y in self._ring_places:
            spot = bead(self._bead_px, NIGHT)
            background.blit(spot, (x - self._bead_px // 2, y - self._bead_px // 2))
        self._background = in_format_of(canvas.surface, background)
        self._clock = clock
        self._make_pictures()

    def _make_pictures(self) -> None:
        px = self.canvas.px
        self._creatures = CreatureSprites(px(CREATURE_SHARE))
        self._counter = guest("carp", px(0.12))
        self._lanterns = {
            where: lantern(px(0.125 if where is Where.INSIDE else 0.155), where)
            for where in (Where.INSIDE, Where.TOES, Where.HEELS)
        }
        self._glows = [
            glow(px(0.3), (255, 220, 150), 0.5 * (k + 1) / GLOW_STEPS) for k in range(GLOW_STEPS)
        ]
        self._pills = {word: _pill(self.canvas, word, colour) for word, colour in WORDS.items()}
        self._rings = [
            [_ripple_picture(self.canvas, kind, step) for step in range(RIPPLE_STEPS)]
            for kind in range(len(RIPPLES))
        ]
        self._waves = [wavelet(px(0.07), alpha) for alpha in WAVELET_ALPHAS]
        self._wave_places = self._make_wave_places()
        self._homes = self._make_homes()

    def _make_wave_places(self) -> list[tuple[int, int, float, float]]:
        """Where rough water laps: pixel, from which roughness on, and a phase of its bobbing."""
        rng = random.Random(f"waves {self._seed}")
        width, height = self.canvas.width, BOTTOM_SHARE * self.canvas.height
        margin = self.canvas.px(0.05)
        kept_free = [
            area.inflate(2 * margin, 2 * margin) for area in (self._clock, self._count_area())
        ]
        columns, rows = 12, 5
        places = []
        for k in range(columns * rows):
            x = round(width * (k % columns + rng.random()) / columns)
            y = round(height * (0.17 + 0.66 * (k // columns + rng.random()) / rows))
            # Below a quarter the water is smooth: that is the picture of calm.
            threshold, turn = rng.uniform(0.25, 0.85), rng.uniform(0, math.tau)
            if not any(area.collidepoint(x, y) for area in kept_free):
                places.append((x, y, threshold, turn))
        return places

    def _make_homes(self) -> list[tuple[float, float]]:
        """Places for guests, the lane's sides first, none near the lantern's usual place."""
        width, height = self.canvas.width, self.canvas.height
        rng = random.Random(f"homes {self._seed}")
        lane = self.scale.lane
        cell = 1.12 * CREATURE_SHARE * height
        side_width = 0.33 * width
        columns = max(2, int(side_width / cell))
        rows = max(1, int(lane.height / cell))
        inside, outside = [], []
        for column in range(columns):
            offset = 0.02 * width + (column + 0.5) * (side_width / columns)
            for x in (offset, width - offset):
                inside += [(x, lane.top + lane.height * (row + 0.5) / rows) for row in range(rows)]
                outside += [(x, lane.bottom + 0.145 * height + row * cell) for row in range(2)]
        rng.shuffle(inside)
        rng.shuffle(outside)
        wobble = 0.04 * cell
        return [
            (x + rng.uniform(-wobble, wobble), y + rng.uniform(-wobble, wobble))
            for x, y in inside + outside
            if y < BOTTOM_SHARE * height - cell / 2
        ]

    def _time_area(self) -> Rect:
        px = self.canvas.px
        return Rect(px(0.025), px(0.025), px(0.27), px(0.27))

    def _count_area(self) -> Rect:
        px = self.canvas.px
        return Rect(self.canvas.width - px(0.025) - px(0.3), px(0.025), px(0.3), px(0.27))

    def draw(self, view: View, now_s: float) -> int:
        """One frame of the running game; returns how many guests have just come."""
        if view.trial != self._trial:
            self._begin(view.trial)
        self.canvas.surface.blit(self._background, (0, 0))
        came = self._draw_water(view, now_s)
        self._draw_time(view)
        self._draw_count(view)
        return came

    def draw_still(self) -> None:
        """The empty pond without figures, as the ground of another screen."""
        self.canvas.surface.blit(self._still, (0, 0))

    @property
    def guests(self) -> int:
        """How many have gathered."""
        return len(self._gathering.guests)

    def _begin(self, trial: int) -> None:
        self._trial = trial
        self._swimmers.clear()
        self._ripples.clear()
        self._ripple_at_s = -math.inf
        self._rough = 0.0
        self._light = 0.0
        self._last_s = None

    def _draw_water(self, view: View, now_s: float) -> int:
        came, fled = self._gathering.update(view)
        for arrived in came:
            self._invite(arrived, now_s)
        for gone in fled:
            self._send_off(gone, now_s)
        unrest = 0.0 if math.isnan(view.stillness) else 1 - min(max(view.stillness, 0.0), 1.0)
        self._follow(unrest, 1.0 if view.where is Where.INSIDE else 0.0, now_s)
        self._draw_waves(now_s)
        present = view.where is not Where.NOWHERE and not math.isnan(view.toe_share_percent)
        if present:
            right = view.right_share_percent
            spot = self.scale.place(50.0 if math.isnan(right) else right, view.toe_share_percent)
            self._spread(spot, unrest, now_s)
        self._draw_ripples(now_s)
        self._draw_swimmers(now_s)
        if present:
            self._draw_floats(view)
            self._draw_lantern(view, spot, now_s)
        return len(came)

    def _follow(self, unrest: float, inside: float, now_s: float) -> None:
        passed = 0.0 if self._last_s is None else min(max(now_s - self._last_s, 0.0), 0.25)
        self._rough += (unrest - self._rough) * (1 - math.exp(-passed / ROUGH_FOLLOWS_S))
        self._light += (inside - self._light) * (1 - math.exp(-passed / LIGHT_FOLLOWS_S))
        self._last_s = now_s

    def _draw_waves(self, now_s: float) -> None:
        for x, y, threshold, turn in self._wave_places:
            strength = (self._rough - threshold) * 6
            if strength <= 0:
                continue
            picture = self._waves[min(len(self._waves) - 1, int(strength * len(self._waves)))]
            bob = self.canvas.height * 0.006 * math.sin(now_s * 2.2 + turn)
            sway = self.canvas.height * 0.01 * math.cos(now_s * 1.4 + turn)
            self.canvas.surface.blit(
                picture, (round(x + sway) - picture.get_width() // 2, round(y + bob))
            )

    def _spread(self, spot: tuple[int, int], unrest: float, now_s: float) -> None:
        if unrest >= GLASSY and now_s - self._ripple_at_s >= RIPPLE_EVERY_S:
            strength = max(k for k, (least, _, _) in enumerate(RIPPLES) if unrest >= least)
            self._ripples.append(Ripple(*spot, now_s, strength))
            self._ripple_at_s = now_s

    def _draw_ripples(self, now_s: float) -> None:
        self._ripples = [r for r in self._ripples if 0 <= now_s - r.born_s < RIPPLE_LIFE_S]
        for ripple in self._ripples:
            step = int((now_s - ripple.born_s) / RIPPLE_LIFE_S * RIPPLE_STEPS)
            picture = self._rings[ripple.strength][step]
            half = picture.get_width() // 2
            self.canvas.surface.blit(picture, (ripple.x - half, ripple.y - half))

    def _invite(self, arrived: Guest, now_s: float) -> None:
        home = self._homes[(arrived.number - 1) % len(self._homes)]
        edge = -0.1 * self.canvas.height
        left = home[0] < self.canvas.width / 2
        start = (edge if left else self.canvas.width - edge, home[1])
        self._swimmers.append(Swimmer(arrived, home, start, now_s))

    def _send_off(self, gone: Guest, now_s: float) -> None:
        for swimmer in self._swimmers:
            if swimmer.guest == gone and swimmer.fled_s is None:
                x, y, _ = self._where_is(swimmer, now_s)
                swimmer.fled_s, swimmer.fled_from = now_s, (x, y)

    def _where_is(self, swimmer: Swimmer, now_s: float) -> tuple[float, float, float]:
        """Pixel and heading (turns clockwise from up) of a guest."""
        homeward = 0.25 if swimmer.start[0] < swimmer.home[0] else 0.75
        if swimmer.fled_s is not None:
            share = (now_s - swimmer.fled_s) / FLEE_S
            x, y = swimmer.fled_from
            return x + (swimmer.start[0] - x) * share * share, y, homeward + 0.5
        age_s = now_s - swimmer.born_s
        if age_s < ARRIVE_S:
            share = 1 - (1 - age_s / ARRIVE_S) ** 2
            x = swimmer.start[0] + (swimmer.home[0] - swimmer.start[0]) * share
            return x, swimmer.home[1], homeward
        # At home a guest idles: swimmers look about slowly, a frog sits on its leaf.
        idle_s = age_s - ARRIVE_S
        if swimmer.guest.kind == "frog":
            return *swimmer.home, homeward
        pace = 0.5 + 0.08 * (swimmer.guest.number % 5)
        reach = 0.012 * self.canvas.height
        x = swimmer.home[0] + reach * math.sin(idle_s * pace)
        y = swimmer.home[1] + 0.7 * reach * (1 - math.cos(idle_s * pace))
        return x, y, homeward + 0.11 * math.sin(idle_s * pace)

    def _draw_swimmers(self, now_s: float) -> None:
        self._swimmers = [
            s for s in self._swimmers if s.fled_s is None or now_s - s.fled_s < FLEE_S
        ]
        half = self._creatures.size_px // 2
        for swimmer in self._swimmers:
            x, y, heading = self._where_is(swimmer, now_s)
            pace = 7.0 if swimmer.fled_s is not None else 2.6
            wag = (0, 1, 2, 1)[int((now_s + swimmer.guest.number * 0.37) * pace) % 4]
            picture = self._creatures.get(swimmer.guest.kind, wag, heading)
            self.canvas.surface.blit(picture, (round(x) - half, round(y) - half))

    def _draw_floats(self, view: View) -> None:
        """With a plate a foot: a float under each, the larger the more it bears."""
        for foot in view.feet or ():
            if math.isnan(foot.y_mm):
                continue
            right = 50.0 + 100.0 * foot.x_mm / self.scale.stance_mm
            place = self.scale.place(right, foot.toe_share_percent)
            share = math.sqrt(min(max(foot.force_n / view.force_n, 0.0), 1.0))
            radius = max(4, round(0.034 * share * self.canvas.height))
            rim = max(2, self.canvas.px(0.006))
            pygame.draw.circle(self.canvas.surface, INK, place, radius + rim)
            pygame.draw.circle(self.canvas.surface, PAPER, place, radius)

    def _draw_lantern(self, view: View, spot: tuple[int, int], now_s: float) -> None:
        surface = self.canvas.surface
        # The light swells and sinks slowly: at the band's edge it must not flicker.
        step = round(self._light * GLOW_STEPS)
        if step:
            light = self._glows[step - 1]
            reach = light.get_width() // 2
            surface.blit(light, (spot[0] - reach, spot[1] - reach))
        if view.where is Where.INSIDE:
            word = "CALM" if view.stillness >= 0.5 else "GENTLY"
        else:
            word = "TOES" if view.where is Where.TOES else "HEELS"
        picture = self._lanterns[view.where]
        half = picture.get_width() // 2
        surface.blit(picture, (spot[0] - half, spot[1] - half))
        # Calm and gently may swap at the edge of stillness: a word stays long enough to be read.
        at_once = word in ("TOES", "HEELS") or self._word in ("TOES", "HEELS")
        if word != self._word and (at_once or now_s - self._word_s >= WORD_HOLDS_S):
            self._word, self._word_s = word, now_s
        pill = self._pills[self._word]
        away = half + round(0.01 * self.canvas.height)
        below = self._word != "HEELS"
        top = spot[1] + away if below else spot[1] - away - pill.get_height()
        left = min(max(spot[0] - pill.get_width() // 2, 0), self.canvas.width - pill.get_width())
        surface.blit(pill, (left, top))

    def _draw_time(self, view: View) -> None:
        left_s = 0.0 if math.isnan(view.left_s) else max(0.0, view.left_s)
        share = min(1.0, left_s / self.level.seconds)
        lit = bead(self._bead_px, GOLD)
        for x, y in self._ring_places[: math.ceil(share * BEADS)]:
            self.canvas.surface.blit(lit, (x - self._bead_px // 2, y - self._bead_px // 2))
        side = round(self._clock.height * 0.62)
        inner = Rect(0, 0, side, side)
        inner.center = self._clock.center
        self.canvas.text(f"{math.ceil(left_s)}", inner, size=0.16)

    def _draw_count(self, view: View) -> None:
        area = self._count_area()
        px = self.canvas.px
        icon = self._counter
        self.canvas.surface.blit(icon, (area.x + px(0.03), area.y + px(0.045)))
        digits = Rect(area.x + px(0.14), area.y + px(0.02), area.width - px(0.155), px(0.155))
        self.canvas.text(f"{self.guests}", digits, size=0.15)
        best = Rect(area.x + px(0.015), area.y + px(0.185), area.width - px(0.03), px(0.07))
        draw_to_beat(self.canvas, view, best)


def _ring(centre: tuple[int, int], radius: int, count: int) -> list[tuple[int, int]]:
    """Places on a circle, clockwise from the top."""
    return [
        (
            round(centre[0] + radius * math.sin(math.tau * k / count)),
            round(centre[1] - radius * math.cos(math.tau * k / count)),
        )
        for k in range(count)
    ]


def _ripple_picture(canvas: Canvas, kind: int, step: int) -> Surface:
    """One ring of a ripple's life: it widens from the lantern and fades."""
    _, reach, strength = RIPPLES[kind]
    age = (step + 0.5) / RIPPLE_STEPS
    radius = (0.05 + reach * age) * canvas.height
    half_width = max(1.2, (0.002 + 0.004 * strength) * canvas.height * (1 - 0.4 * age))
    side = 2 * math.ceil(radius + half_width + 1)
    # One quarter is computed and mirrored.
    offsets = (np.arange(side // 2) + 0.5).astype(np.float32)
    away = np.sqrt(offsets[:, None] ** 2 + offsets[None, :] ** 2)
    quarter = np.clip(half_width + 0.5 - np.abs(away - radius), 0, 1)
    quarter = (255 * strength * (1 - age) * quarter).astype(np.uint8)
    half = np.concatenate((quarter[::-1], quarter))
    surface = Surface((side, side), pygame.SRCALPHA)
    surface.fill((*PAPER, 0))
    alpha = pygame.surfarray.pixels_alpha(surface)
    alpha[:] = np.concatenate((half[:, ::-1], half), axis=1)
    del alpha  # it locks the surface
    # Run-length coded: nearly all of the square is empty.
    surface.set_alpha(255, pygame.RLEACCEL)
    return surface
