"""Roost: an owl comes to its branch from the called side, softly, level, and is still."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games import roost_sprites as art
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, ORANGE, PAPER, SKY
from swaytrainer.games.sprites import bead
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.roost import Landed, RoostScene
from swaytrainer.words import say

BEADS: Final = 30
#: Centre of the branch, its thickness, how far it tilts at its ends and sags in the middle.
BRANCH_Y: Final = 0.61
THICK: Final = 0.042
TILT: Final = 0.075
SAG: Final = 0.05
#: From this wobble on the owl spreads its wings.
WINGS_FROM: Final = 0.16
#: What the last landing's rows call good, where the level does not mark the measure. Ours.
GOOD_BW: Final = 3.0
GOOD_PERCENT: Final = 20.0
GOOD_S: Final = 2.0
#: Places of the young owls, as shares of the width; the middle is the landing place.
PLACES: Final = (0.07, 0.93, 0.17, 0.83, 0.27, 0.73)
FOLLOWS_S: Final = 0.08

#: While these last the owl is on its branch.
ON_BRANCH: Final = ("hold", "landed", "over")

STEP_WORDS: Final[dict[str, str]] = {
    "off": "STEP OFF",
    "hop": "HOP ON!",
    "kneel": "KNEEL, THEN HOP",
    "hold": "HOLD STILL",
    "landed": "WELL LANDED!",
    "over": "ALL LANDED!",
}
SIDE_WORDS: Final[dict[str, str]] = {
    "behind": "from behind",
    "left": "from the left",
    "right": "from the right",
    "front": "from the front",
    "kneel": "up from the knees",
}
GO_WORDS: Final[dict[str, str]] = {
    "behind": "and go behind it",
    "left": "and go to its left",
    "right": "and go to its right",
    "front": "and go in front",
    "kneel": "up from the knees",
}
FAULT_WORDS: Final[dict[str, str]] = {
    "stepped": "That was a step: hop!",
    "early": "Wait for HOP ON!",
    "one foot": "One foot came first",
    "held on": "Held on: let go",
    "unclear": "Not seen: again",
    "left": "Off too soon: stay",
}


class Roost:
    """Draws the running game. Keeps pictures for one size, level and pair of feet."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        px = canvas.px
        self._clock = Rect(px(0.025), px(0.025), px(0.27), px(0.27))
        self._best = Rect(px(0.025), px(0.305), px(0.27), px(0.085))
        right = px(0.385)
        self._last_area = Rect(canvas.width - px(0.025) - right, px(0.025), right, px(0.365))
        middle = (self._clock.right + self._last_area.left) // 2
        wide = min(px(0.62), self._last_area.left - self._clock.right - px(0.03))
        self._sign_area = Rect(middle - wide // 2, px(0.025), wide, px(0.575))
        still = art.wood((canvas.width, canvas.height), seed)
        self._still = in_format_of(canvas.surface, still)
        for area in (self._clock, self._best, self._last_area):
            Canvas(still).panel(area, INK, DUSK)
        self._background = in_format_of(canvas.surface, still)
        self._bead_px = px(0.02)
        self._beads = bead(self._bead_px, GOLD), bead(self._bead_px, DUSK)
        self._ring = _ring(self._clock.center, 0.435 * self._clock.height)
        self._moon_at = (canvas.width // 2, px(0.2))
        self._moon_ring = _ring(self._moon_at, px(0.155))
        self._moons = art.moon(px(0.25), False), art.moon(px(0.25), True)
        self._owls = art.owl(px(0.28), False), art.owl(px(0.28), True)
        self._owlets = {mood: art.owlet(px(0.125), mood) for mood in ("asleep", "awake", "gone")}
        self._signs = {side: art.side_sign(px(0.295), side) for side in SIDE_WORDS}
        self._verdicts = art.verdict(px(0.05), False), art.verdict(px(0.05), True)
        self._trial = 0
        self._seen = 0
        self._lean = 0.0
        self._last_s: float | None = None

    def draw(self, view: View, now_s: float) -> int:
        """One frame of the running game; returns how many good landings there have just been."""
        self.canvas.surface.blit(self._background, (0, 0))
        scene = view.scene
        if not isinstance(scene, RoostScene):
            return 0
        if view.trial != self._trial or len(scene.done) < self._seen:
            self._trial, self._seen, self._last_s = view.trial, 0, None
        new = scene.done[self._seen :]
        self._seen = len(scene.done)
        passed_s = 0.25 if self._last_s is None else min(max(now_s - self._last_s, 0.0), 0.25)
        self._last_s = now_s
        wanted = scene.lean if scene.step == "hold" and not math.isnan(scene.lean) else 0.0
        self._lean += (wanted - self._lean) * (1.0 - math.exp(-passed_s / FOLLOWS_S))
        there = scene.step in ON_BRANCH
        if there:
            self._draw_moon(scene)
        self._draw_branch(scene)
        if there:
            self._draw_pill(scene)
        else:
            self._draw_sign(scene)
        self._draw_last(scene)
        self._draw_time(view)
        return sum(not landed.fault for landed in new)

    def draw_still(self) -> None:
        """The wood without owls and figures."""
        self.canvas.surface.blit(self._still, (0, 0))

    def _branch_y(self, x: float, wobble: float) -> float:
        """The branch's middle line: tilted to the heavier foot, sagging under the landing."""
        across = 2.0 * x / self.canvas.width - 1.0
        share = BRANCH_Y + TILT * self._lean * across + SAG * wobble * (1.0 - across * across)
        return share * self.canvas.height

    def _draw_branch(self, scene: RoostScene) -> None:
        surface, width, px = self.canvas.surface, self.canvas.width, self.canvas.px
        wobble = scene.wobble if scene.step == "hold" else 0.0
        xs = [width * k / 24 for k in range(25)]
        line = [self._branch_y(x, wobble) for x in xs]
        half = 0.5 * THICK * self.canvas.height
        top = [(x, y - half) for x, y in zip(xs, line, strict=True)]
        bottom = [(x, y + half * 0.8) for x, y in zip(xs, line, strict=True)]
        pygame.draw.polygon(surface, art.BARK, [*top, *reversed(bottom)])
        pygame.draw.lines(surface, art.BARK_LIGHT, False, top, max(2, px(0.008)))
        for landed, place in zip(scene.done, PLACES, strict=False):
            picture = self._owlets[_mood(landed)]
            x = round(place * width)
            y = round(self._branch_y(x, wobble) - half) + px(0.012)
            surface.blit(picture, (x - picture.get_width() // 2, y - picture.get_height()))
        if scene.step in ON_BRANCH:
            picture = self._owls[scene.step == "hold" and scene.wobble >= WINGS_FROM]
            x = width // 2
            y = round(self._branch_y(x, wobble) - half) + px(0.02)
            surface.blit(picture, (x - picture.get_width() // 2, y - picture.get_height()))

    def _draw_moon(self, scene: RoostScene) -> None:
        surface = self.canvas.surface
        full = scene.step != "hold"
        picture = self._moons[full]
        half = picture.get_width() // 2
        surface.blit(picture, (self._moon_at[0] - half, self._moon_at[1] - half))
        if full:
            return
        left = math.ceil(BEADS * min(1.0, max(0.0, 1.0 - scene.held_s / scene.stay_s)))
        for k, (x, y) in enumerate(self._moon_ring):
            if k < left:
                surface.blit(self._beads[0], (x - self._bead_px // 2, y - self._bead_px // 2))

    def _draw_pill(self, scene: RoostScene) -> None:
        px = self.canvas.px
        area = Rect(0, px(0.672), px(0.62), px(0.098))
        area.centerx = self.canvas.width // 2
        self.canvas.panel(area, INK, GOLD)
        colour = PAPER if scene.step == "hold" else GOLD
        words = area.inflate(-px(0.03), -px(0.02))
        self.canvas.text(STEP_WORDS[scene.step], words, size=0.088, colour=colour)

    def _draw_sign(self, scene: RoostScene) -> None:
        px, area = self.canvas.px, self._sign_area
        ready = scene.step != "off"
        self.canvas.panel(area, INK, GOLD if ready else DUSK)
        inner = area.inflate(-px(0.03), 0)
        head = Rect(inner.x, area.y + px(0.01), inner.width, px(0.1))
        colour = GOLD if ready else PAPER
        self.canvas.text(STEP_WORDS[scene.step], head, size=0.1, colour=colour)
        sign = self._signs[scene.side]
        self.canvas.surface.blit(sign, (area.centerx - sign.get_width() // 2, head.bottom))
        top = head.bottom + sign.get_height() + px(0.002)
        side = Rect(inner.x, top, inner.width, px(0.085))
        words = (SIDE_WORDS if ready else GO_WORDS)[scene.side]
        self.canvas.text(words, side, size=0.08)
        last = Rect(inner.x, side.bottom, inner.width, area.bottom - side.bottom - px(0.008))
        if scene.fault:
            self.canvas.text(FAULT_WORDS[scene.fault], last, size=0.062, colour=ORANGE)
        elif scene.done:
            self.canvas.text("Well landed!", last, size=0.062, colour=SKY)
        else:
            self.canvas.text("Both feet at once", last, size=0.062, colour=MIST)

    def _draw_last(self, scene: RoostScene) -> None:
        """The last landing in three rows, each with a tick or a cross."""
        px, area = self.canvas.px, self._last_area
        head = Rect(area.x + px(0.015), area.y + px(0.012), area.width - px(0.03), px(0.075))
        title: str = say("Landing {n} of {all}", n=scene.landing, all=scene.landings)
        rows: tuple[tuple[str, bool], ...] = ()
        if scene.step == "hold":
            rows = _rows(Landed(scene.side, scene.peak_bw, math.nan, math.nan, math.nan))
        elif scene.done:
            title = "Last landing"
            rows = _rows(scene.done[-1])
        self.canvas.text(title, head, size=0.058, colour=MIST)
        for k, (words, good) in enumerate(rows):
            row = Rect(area.x + px(0.085), head.bottom + px(0.008 + 0.085 * k), 0, px(0.08))
            row.width = area.right - px(0.01) - row.x
            picture = self._verdicts[good]
            y = row.centery - picture.get_height() // 2
            self.canvas.surface.blit(picture, (area.x + px(0.02), y))
            self.canvas.text(words, row, size=0.058, align="left")

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


def _mood(landed: Landed) -> str:
    if landed.fault:
        return "gone"
    return "asleep" if landed.peak_bw <= GOOD_BW else "awake"


def _rows(landed: Landed) -> tuple[tuple[str, bool], ...]:
    if landed.fault:
        return (("Missed", False),)
    rows: list[tuple[str, bool]] = []
    if not math.isnan(landed.peak_bw):
        rows.append((say("Soft {n:.1f}×", n=landed.peak_bw), landed.peak_bw <= GOOD_BW))
    if not math.isnan(landed.difference_percent):
        difference = landed.difference_percent
        rows.append((say("Tilt {n:.0f} %", n=difference), difference <= GOOD_PERCENT))
    if not math.isnan(landed.still_s):
        rows.append((say("Still {n:.1f} s", n=landed.still_s), landed.still_s <= GOOD_S))
    return tuple(rows)


def _ring(centre: tuple[int, int], radius: float) -> list[tuple[int, int]]:
    turns = [math.tau * k / BEADS for k in range(BEADS)]
    return [
        (round(centre[0] + radius * math.sin(t)), round(centre[1] - radius * math.cos(t)))
        for t in turns
    ]
