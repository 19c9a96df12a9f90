"""Well: the bucket goes down and up with the vaulter, and spills off the heels."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games import well_sprites as art
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, ORANGE, PAPER, SKY
from swaytrainer.games.sprites import bead
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.well import WellScene
from swaytrainer.words import say

BEADS: Final = 30
#: Beside the lamp: this much of the depth apart.
MET: Final = 0.22
#: Per cent of toe share beyond the band that tilt the bucket all the way.
FULL_TILT_PERCENT: Final = 14.0
#: The band takes this share of the spirit level's length.
BAND_SHARE: Final = 0.4
#: How long the horse drinks after a bucket, and from which fill a bucket is a reward.
DRINKS_S: Final = 2.5
REWARD: Final = 0.6
DROPS: Final = 4
DROP_S: Final = 0.7
#: The bucket seems to hang a little over the edge rather than jump: what the eye needs, s.
FOLLOWS_S: Final = 0.05

BEAT_WORDS: Final[dict[str, str]] = {
    "ready": "READY",
    "down": "DOWN",
    "hold": "HOLD",
    "up": "UP",
    "stand": "STAND",
}


class Well:
    """Draws the running game. Keeps pictures for one size, level and pair of feet."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        px = canvas.px
        size = (canvas.width, canvas.height)
        self._middle = canvas.width // 2
        self._clock = Rect(px(0.025), px(0.025), px(0.27), px(0.27))
        self._best = Rect(px(0.025), px(0.305), px(0.27), px(0.085))
        side = self._middle - px(0.255)
        self._level_area = Rect(px(0.025), px(0.465), side - px(0.025), px(0.295))
        self._beat_area = Rect(canvas.width - side, px(0.465), side - px(0.025), px(0.295))
        self._trough = Rect(canvas.width - side, px(0.31), px(0.2), px(0.078))
        still = art.meadow(size, seed)
        self._still = in_format_of(canvas.surface, still)
        painter = Canvas(still)
        for area in (self._clock, self._best, self._level_area, self._beat_area):
            painter.panel(area, INK, DUSK)
        self._draw_gauge(painter)
        self._background = in_format_of(canvas.surface, still)
        self._bead_px = px(0.02)
        self._beads = bead(self._bead_px, GOLD), bead(self._bead_px, DUSK)
        radius, (x, y) = 0.435 * self._clock.height, self._clock.center
        turns = [math.tau * k / BEADS for k in range(BEADS)]
        self._ring = [
            (round(x + radius * math.sin(t)), round(y - radius * math.cos(t))) for t in turns
        ]
        self._make_pictures()
        self._trial = 0
        self._seen = 0
        self._poured_s = -math.inf
        self._shown = 0.0
        self._last_s: float | None = None

    def _make_pictures(self) -> None:
        px = self.canvas.px
        self._bucket_px = px(0.2)
        self._buckets = {
            (tilt, fill): art.bucket(self._bucket_px, tilt, fill / art.FILLS)
            for tilt in art.TILTS
            for fill in range(art.FILLS + 1)
        }
        self._icons = [art.bucket(px(0.066), 0, fill / art.FILLS) for fill in range(art.FILLS + 1)]
        self._lamps = art.lamp(px(0.12), False), art.lamp(px(0.12), True)
        self._pointers = art.pointer(px(0.05), MIST), art.pointer(px(0.05), GOLD)
        self._drop = art.drop(px(0.022))
        self._horses = art.horse(px(0.36), False), art.horse(px(0.36), True)
        self._signs = {b: art.beat_sign(px(0.11), b, PAPER) for b in BEAT_WORDS}
        self._bubbles = {c: art.lamp(px(0.06), c == PAPER) for c in (PAPER, ORANGE)}

    def _gauge(self) -> Rect:
        area = self._level_area
        tube = Rect(0, 0, area.width - self.canvas.px(0.05), self.canvas.px(0.075))
        tube.center = (area.centerx, area.y + self.canvas.px(0.19))
        return tube

    def _draw_gauge(self, painter: Canvas) -> None:
        """A spirit level that lies from heel to toe: the bubble belongs between the two marks."""
        px, tube = painter.px, self._gauge()
        pygame.draw.rect(painter.surface, DUSK, tube, border_radius=tube.height // 2)
        inner = tube.inflate(-px(0.012), -px(0.012))
        pygame.draw.rect(painter.surface, (34, 64, 60), inner, border_radius=inner.height // 2)
        for sign in (-1, 1):
            x = tube.centerx + sign * round(0.5 * BAND_SHARE * tube.width)
            pygame.draw.line(painter.surface, PAPER, (x, tube.y), (x, tube.bottom), px(0.007))
        area = self._level_area.inflate(-px(0.024), 0)
        top, height, half = tube.bottom + px(0.006), px(0.055), area.width // 2
        heels, toes = Rect(area.x, top, half, height), Rect(area.centerx, top, half, height)
        painter.text("Heels", heels, size=0.052, colour=SKY, align="left")
        painter.text("Toes", toes, size=0.052, colour=ORANGE, align="right")

    def draw(self, view: View, now_s: float) -> int:
        """One frame of the running game; returns how many good buckets have just been poured."""
        self.canvas.surface.blit(self._background, (0, 0))
        scene = view.scene
        if not isinstance(scene, WellScene):
            return 0
        if view.trial != self._trial or len(scene.buckets) < self._seen:
            self._trial, self._seen, self._poured_s = view.trial, 0, -math.inf
            self._last_s = None
        new = scene.buckets[self._seen :]
        self._seen = len(scene.buckets)
        if any(water > 0.0 for water in new):
            self._poured_s = now_s
        self._draw_trough(scene, now_s)
        self._draw_shaft(scene, now_s)
        self._draw_level(scene, view.toe_share_percent)
        self._draw_beat(scene)
        self._draw_time(view)
        return sum(water >= REWARD for water in new)

    def draw_still(self) -> None:
        """The meadow and the well without bucket and figures."""
        self.canvas.surface.blit(self._still, (0, 0))

    def _draw_trough(self, scene: WellScene, now_s: float) -> None:
        px, trough, surface = self.canvas.px, self._trough, self.canvas.surface
        drinking = now_s - self._poured_s < DRINKS_S
        horse = self._horses[drinking]
        surface.blit(horse, (trough.x + px(0.045), trough.bottom - horse.get_height() - px(0.004)))
        pygame.draw.rect(surface, art.WOOD_DARK, trough, border_radius=px(0.01))
        inside = trough.inflate(-px(0.02), -px(0.02))
        pygame.draw.rect(surface, art.SHAFT, inside)
        share = min(1.0, math.fsum(scene.buckets) / scene.repetitions)
        water = Rect(inside.x, 0, inside.width, round(share * inside.height))
        water.bottom = inside.bottom
        if water.height:
            pygame.draw.rect(surface, art.WATER, water)
            pygame.draw.line(surface, art.WATER_LIGHT, water.topleft, water.topright, px(0.006))
        step = min(px(0.074), self._beat_area.width // scene.repetitions)
        for k in range(scene.repetitions):
            full = scene.buckets[k] if k < len(scene.buckets) else 0.0
            icon = self._icons[round(full * art.FILLS)]
            x = self._beat_area.x + k * step
            if k < len(scene.buckets):
                surface.blit(icon, (x, px(0.392)))
            else:
                pygame.draw.circle(surface, art.WOOD, (x + px(0.033), px(0.427)), px(0.01))

    def _draw_shaft(self, scene: WellScene, now_s: float) -> None:
        px, surface = self.canvas.px, self.canvas.surface
        reach = art.BOTTOM_Y - art.TOP_Y
        known = not math.isnan(scene.depth)
        wanted = min(max(scene.depth, 0.0), 1.18) if known else 0.0
        passed_s = 0.25 if self._last_s is None else min(max(now_s - self._last_s, 0.0), 0.25)
        self._shown += (wanted - self._shown) * (1.0 - math.exp(-passed_s / FOLLOWS_S))
        self._last_s = now_s
        y = px(art.TOP_Y + reach * self._shown)
        lamp_y = px(art.TOP_Y + reach * scene.target)
        met = known and abs(scene.depth - scene.target) <= MET
        lamp = self._lamps[met]
        lamp_x = self._middle - px(0.125)
        pygame.draw.line(surface, art.ROPE, (lamp_x, px(0.15)), (lamp_x, lamp_y), max(1, px(0.004)))
        surface.blit(lamp, (lamp_x - lamp.get_width() // 2, lamp_y - lamp.get_height() // 2))
        pointer = self._pointers[met]
        surface.blit(pointer, (lamp_x + px(0.06), lamp_y - pointer.get_height() // 2))
        tilt = 0.0
        if not math.isnan(scene.lean):
            tilt = 32.0 * min(max(scene.lean / FULL_TILT_PERCENT, -1.0), 1.0)
        step = min(art.TILTS, key=lambda t: abs(t - tilt))
        if scene.lean and not math.isnan(scene.lean) and step == 0:
            step = 8 if scene.lean > 0 else -8
        picture = self._buckets[step, round(scene.water * art.FILLS)]
        x = self._middle + px(0.065)
        pygame.draw.line(surface, art.ROPE, (x, px(0.15)), (x, y - px(0.065)), max(2, px(0.007)))
        surface.blit(picture, (x - self._bucket_px // 2, y - self._bucket_px // 2))
        if scene.spilling:
            self._draw_drops(x + (px(0.07) if scene.lean > 0 else -px(0.09)), y, now_s)
        if self._shown > 0.9:
            top, half = px(art.WATER_Y), px(art.SHAFT_HALF)
            rim = Rect(self._middle - half, top + px(0.03), 2 * half, px(0.05))
            pygame.draw.rect(surface, art.WATER, rim)
            pygame.draw.line(surface, art.WATER_LIGHT, rim.topleft, rim.topright, px(0.005))

    def _draw_drops(self, x: int, y: int, now_s: float) -> None:
        px = self.canvas.px
        for k in range(DROPS):
            age = (now_s / DROP_S + k / DROPS) % 1.0
            at = (
                x + round(px(0.03) * math.sin(2.4 * k)),
                y - px(0.02) + round(px(0.16) * age * age),
            )
            self.canvas.surface.blit(self._drop, at)

    def _draw_level(self, scene: WellScene, toe_share_percent: float) -> None:
        px, tube, area = self.canvas.px, self._gauge(), self._level_area
        word, colour = "LEVEL", PAPER
        share = 0.0
        if math.isnan(scene.lean):
            word, colour = "STEP ON", MIST
        elif scene.lean > 0:
            word, colour = ("SPILLING: TOES" if scene.spilling else "TOES"), ORANGE
        elif scene.lean < 0:
            word, colour = ("SPILLING: HEELS" if scene.spilling else "HEELS"), SKY
        if not math.isnan(toe_share_percent):
            low, high = self.level.band_low_percent, self.level.band_high_percent
            share = BAND_SHARE * (toe_share_percent - 0.5 * (low + high)) / (high - low)
            share = min(max(share, -0.44), 0.44)
        head = Rect(area.x + px(0.015), area.y + px(0.012), area.width - px(0.03), px(0.125))
        self.canvas.text(word, head, size=0.085, colour=colour, lines=2)
        bubble = self._bubbles[PAPER if not scene.lean else ORANGE]
        x = tube.centerx + round(share * tube.width) - bubble.get_width() // 2
        self.canvas.surface.blit(bubble, (x, tube.centery - bubble.get_height() // 2))

    def _draw_beat(self, scene: WellScene) -> None:
        px, area = self.canvas.px, self._beat_area
        waits = math.isnan(scene.depth)
        beat = "ready" if waits else scene.beat
        sign = self._signs[beat]
        self.canvas.surface.blit(sign, (area.x + px(0.02), area.y + px(0.045)))
        words = Rect(area.x + px(0.135), area.y + px(0.03), area.width - px(0.15), px(0.14))
        self.canvas.text(
            "STAND STILL" if waits else BEAT_WORDS[beat], words, size=0.12, lines=2, align="left",
            colour=GOLD if waits else PAPER,
        )  # fmt: skip
        line = Rect(area.x + px(0.008), area.y + px(0.19), area.width - px(0.016), px(0.09))
        if scene.repetition == 0:
            self.canvas.text("With the lamp", line, size=0.058, colour=GOLD, lines=1)
        else:
            self.canvas.text(
                say("Bucket {n} of {all}", n=scene.repetition, all=scene.repetitions),
                line,
                size=0.058,
                colour=MIST,
            )

    def _draw_time(self, view: View) -> None:
        left_s = 0.0 if math.isnan(view.left_s) else max(0.0, view.left_s)
        lit = math.ceil(min(1.0, left_s / self.level.seconds) * BEADS)
        for k, (x, y) in enumerate(self._ring):
            picture = self._beads[0] if k < lit else self._beads[1]
            self.canvas.surface.blit(picture, (x - self._bead_px // 2, y - self._bead_px // 2))
        side = round(self._clock.height * 0.62)
        inner = Rect(0, 0, side, side)
        inner.center = self._clock.center
        self.canvas.text(f"{math.ceil(left_s)}", inner, size=0.16)
        best = self._best.inflate(-self.canvas.px(0.02), -self.canvas.px(0.01))
        draw_to_beat(self.canvas, view, best)
