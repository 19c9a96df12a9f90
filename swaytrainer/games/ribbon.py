"""Ribbon: a vaulter on a cantering horse draws a ribbon, level while the canter is swallowed."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.evening import GROUND, evening, meadow
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.horse import (
    BACK_Y,
    BEND_REACH,
    BENDS,
    GROUND_Y,
    HAND_AT,
    PHASES,
    SOLE_Y,
    horses,
    horseshoe,
    sign,
    swallows,
    vaulters,
)
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, ORANGE, PAPER, SKY, Colour
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.canter import BEATS
from swaytrainer.training.tasks.ribbon import MOST_BIRDS, TRAIL_HZ, TRAIL_S, RibbonScene
from swaytrainer.words import say

HORSE: Final = 0.52
VAULTER: Final = 0.30
BIRD: Final = 0.085
#: Where the horse is, in widths.
HORSE_X: Final = 0.55
#: How high the ride is on the screen, as a share of its height.
RIDE: Final = 0.042
#: A stride's word stands at least so long, and a lean's at once.
WORD_HOLDS_S: Final = 0.9
ARRIVE_S: Final = 1.2
#: The meadow passes at so many screen heights a second.
PACE: Final = 0.42
#: A ribbon further from level than this is rough, in heights of the ride.
ROUGH: Final = 0.45

#: x and y in pixels, and the lift.
Point3 = tuple[float, float, float]

WORDS: Final[dict[str, tuple[str, Colour]]] = {
    "smooth": ("SMOOTH", GOLD),
    "fair": ("NEARLY", PAPER),
    "stiff": ("STIFF", ORANGE),
    "rough": ("JERKY", ORANGE),
    "off beat": ("OFF BEAT", SKY),
    "held": ("LET GO", SKY),
    "unmoved": ("NO STRIDE", SKY),
    "off": ("COME BACK", SKY),
    "lost": ("NO SIGNAL", SKY),
    "left": ("TOO FAR LEFT", ORANGE),
    "right": ("TOO FAR RIGHT", ORANGE),
    "toes": ("TOES", ORANGE),
    "heels": ("HEELS", ORANGE),
}


@dataclass(slots=True)
class Bird:
    """A swallow at the ribbon, coming or going."""

    place: int
    born_s: float
    gone_s: float | None = None


class Ribbon:
    """Draws the running game. Only the ribbon and what holds it show the vaulter's own movement."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        px = canvas.px
        self._ground = in_format_of(canvas.surface, evening((canvas.width, canvas.height), seed))
        strip, self._period = meadow((canvas.width, canvas.height), seed)
        self._meadow = in_format_of(canvas.surface, strip)
        self._horses = horses(px(HORSE))
        self._vaulters = vaulters(px(VAULTER))
        self._swallows = swallows(px(BIRD))
        self._counter = swallows(px(0.12))[0]
        self._shoes = (horseshoe(px(0.07), False), horseshoe(px(0.07), True))
        self._signs = {kind: sign(kind, px(0.075)) for kind in WORDS}
        self._heights = [random.Random(f"birds {seed}").uniform(0.6, 1.4) for _ in range(99)]
        self._birds: list[Bird] = []
        self._trial = 0
        self._word = ""
        self._word_s = -math.inf
        self._area = Rect(0, 0, 0, 0)

    @property
    def level_y(self) -> int:
        """The pixel row of a ribbon that is level."""
        return self._hand(0.0)[1]

    def draw(self, view: View, now_s: float) -> int:
        """One frame; how many swallows have just come."""
        scene = view.scene
        self._still(now_s)
        if not isinstance(scene, RibbonScene):
            return 0
        if view.trial != self._trial:
            self._trial, self._word, self._word_s = view.trial, "", -math.inf
            self._birds.clear()
        came = self._follow(scene.birds, now_s)
        self._draw_guide()
        self._draw_ribbon(scene)
        self._draw_birds(scene, now_s)
        self._draw_rider(scene)
        self._draw_beats(scene)
        self._draw_word(scene, now_s)
        self._draw_time(view)
        self._draw_count(view, scene)
        return came

    def draw_still(self) -> None:
        """The evening without horse and vaulter."""
        self._still(0.0)

    def _still(self, now_s: float) -> None:
        surface = self.canvas.surface
        surface.blit(self._ground, (0, 0))
        shift = int(now_s * PACE * self.canvas.height) % self._period
        top = round(GROUND * self.canvas.height)
        surface.blit(
            self._meadow, (0, top), Rect(shift, 0, self.canvas.width, self._meadow.get_height())
        )

    def _back_y(self, ride: float) -> float:
        """The pixel row of the horse's back."""
        size = HORSE * self.canvas.height
        middle = (0.755 - 0.5 * HORSE * GROUND_Y) * self.canvas.height
        return middle + 0.5 * size * BACK_Y - ride * RIDE * self.canvas.height

    def _hand(self, lift: float) -> tuple[int, int]:
        """Where the ribbon begins."""
        half = 0.5 * VAULTER * self.canvas.height
        x = HORSE_X * self.canvas.width + HAND_AT[0] * half
        # Halfway through its reach the body is where a level ribbon wants it.
        y = self._back_y(0.0) - SOLE_Y * half + (HAND_AT[1] + 0.5 * BEND_REACH) * half
        return round(x), round(y - lift * RIDE * self.canvas.height)

    def _draw_guide(self) -> None:
        """Dots on the level, from edge to edge."""
        y, step, radius = self.level_y, self.canvas.px(0.05), max(2, self.canvas.px(0.004))
        for x in range(step // 2, self.canvas.width, step):
            pygame.draw.circle(self.canvas.surface, MIST, (x, y), radius)

    def _points(self, scene: RibbonScene) -> list[Point3]:
        """x, y and lift along the ribbon from the hand on; broken where there was no vaulter."""
        x0, y0 = self._hand(0.0)
        step = (x0 + 0.02 * self.canvas.width) / (TRAIL_HZ * TRAIL_S)
        reach = RIDE * self.canvas.height
        return [
            (x0 - (k + scene.trail_age) * step, y0 - lift * reach, lift)
            for k, lift in enumerate(scene.trail)
        ]

    def _draw_ribbon(self, scene: RibbonScene) -> None:
        points = self._points(scene)
        if not math.isnan(scene.lift):
            points = [(*self._hand(scene.lift), scene.lift), *points]
        thick = 0.021 * self.canvas.height
        edge = 0.005 * self.canvas.height
        for run in _unbroken(points):
            self._band(run, 0, len(run), thick + edge, INK)
            first = 0
            rough = [abs(lift) >= ROUGH for _, _, lift in run]
            for k in range(1, len(run) + 1):
                if k == len(run) or rough[k] != rough[first]:
                    self._band(run, first, k + 1, thick, ORANGE if rough[first] else GOLD)
                    first = k

    def _band(self, run: list[Point3], first: int, end: int, thick: float, colour: Colour) -> None:
        """A piece of the ribbon, thinner towards its end at the screen's edge."""
        piece = run[first:end]
        if len(piece) < 2:
            return
        x0 = self._hand(0.0)[0]
        halves = [thick * (0.45 + 0.55 * min(max(x / x0, 0.0), 1.0)) for x, _, _ in piece]
        upper = [(x, y - half) for (x, y, _), half in zip(piece, halves, strict=True)]
        lower = [(x, y + half) for (x, y, _), half in zip(piece, halves, strict=True)]
        pygame.draw.polygon(self.canvas.surface, colour, upper + lower[::-1])

    def _follow(self, birds: int, now_s: float) -> int:
        """As many swallows as the rules count; how many came."""
        here = [bird for bird in self._birds if bird.gone_s is None]
        came = 0
        for place in range(len(here), birds):
            self._birds.append(Bird(place, now_s))
            came += 1
        for bird in here[birds:]:
            bird.gone_s = now_s
        self._birds = [b for b in self._birds if b.gone_s is None or now_s - b.gone_s < ARRIVE_S]
        return came

    def _draw_birds(self, scene: RibbonScene, now_s: float) -> None:
        points = self._points(scene)
        height = self.canvas.height
        spacing = TRAIL_HZ * TRAIL_S / (MOST_BIRDS + 1)
        for bird in self._birds:
            at = round((bird.place + 1) * spacing)
            level_y = self.level_y
            x = self._hand(0.0)[0] * (1.0 - (bird.place + 1) / (MOST_BIRDS + 1))
            y: float = level_y
            if at < len(points) and not math.isnan(points[at][1]):
                y = points[at][1]
            side = -1 if bird.place % 2 == 0 else 1
            y += side * 0.062 * height * self._heights[bird.place]
            y += 0.008 * height * math.sin(2.3 * now_s + bird.place)
            coming = min((now_s - bird.born_s) / ARRIVE_S, 1.0)
            x -= (1.0 - coming) ** 2 * (x + 0.1 * height)
            if bird.gone_s is not None:
                gone = (now_s - bird.gone_s) / ARRIVE_S
                x += gone * 0.2 * height
                y -= gone * gone * 0.9 * height
            picture = self._swallows[(0, 1, 2, 1)[int(now_s * 6.0 + bird.place * 1.7) % 4]]
            half = picture.get_width() // 2
            self.canvas.surface.blit(picture, (round(x) - half, round(y) - half))

    def _draw_rider(self, scene: RibbonScene) -> None:
        surface, height = self.canvas.surface, self.canvas.height
        x = round(HORSE_X * self.canvas.width)
        horse = self._horses[int(scene.phase * PHASES) % PHASES]
        back = self._back_y(scene.ride)
        half = horse.get_width() // 2
        surface.blit(horse, (x - half, round(back - BACK_Y * half) - half))
        if math.isnan(scene.lift):
            return
        size = self._vaulters[0].get_width()
        reach = 0.5 * BEND_REACH * size
        bend = 0.5 + (scene.ride - scene.lift) * RIDE * height / reach
        which = round(min(max(bend, 0.0), 1.0) * (BENDS - 1))
        # The hand is where the ribbon begins; where legs are too short, feet leave the back.
        hand_y = self._hand(scene.lift)[1]
        top = hand_y - (HAND_AT[1] + which / (BENDS - 1) * BEND_REACH + 1.0) * 0.5 * size
        surface.blit(self._vaulters[which], (x - size // 2, round(top)))

    def _draw_beats(self, scene: RibbonScene) -> None:
        """Three horseshoes, lit one after the other: the canter for the eye."""
        size = self._shoes[0].get_width()
        area = self.canvas.area(0.80, 0.425, 0.985, 0.525)
        self.canvas.panel(area)
        for k, beat in enumerate(BEATS):
            lit = 0.0 <= scene.phase - beat < 0.24
            x = area.x + round(area.width * (k + 0.5) / len(BEATS)) - size // 2
            self.canvas.surface.blit(self._shoes[lit], (x, area.centery - size // 2))

    def _draw_word(self, scene: RibbonScene, now_s: float) -> None:
        area = self.canvas.area(0.705, 0.255, 0.985, 0.405)
        if scene.leading:
            self.canvas.panel(area, INK, SKY)
            listen = say("Listen: {n}", n=scene.leading)
            inner = area.inflate(-self.canvas.px(0.03), -self.canvas.px(0.02))
            self.canvas.text(listen, inner, size=0.075, colour=SKY)
            return
        word = scene.lean or scene.verdict
        if not word:
            return
        if word != self._word and now_s - self._word_s >= WORD_HOLDS_S:
            self._word, self._word_s = word, now_s
        if not self._word:
            return
        words, colour = WORDS[self._word]
        self.canvas.panel(area, INK, colour)
        picture = self._signs[self._word]
        left = area.x + self.canvas.px(0.02)
        self.canvas.surface.blit(picture, (left, area.centery - picture.get_height() // 2))
        inner = area.inflate(-self.canvas.px(0.02), -self.canvas.px(0.02))
        inner.left = left + picture.get_width() + self.canvas.px(0.015)
        inner.width = area.right - inner.left - self.canvas.px(0.015)
        self.canvas.text(words, inner, size=0.06, colour=colour, lines=2)

    def _draw_time(self, view: View) -> None:
        px = self.canvas.px
        panel = Rect(px(0.025), px(0.025), px(0.30), px(0.21))
        self.canvas.panel(panel)
        left_s = 0.0 if math.isnan(view.left_s) else max(view.left_s, 0.0)
        digits = Rect(panel.x, panel.y + px(0.01), panel.width, px(0.14))
        self.canvas.text(f"{math.ceil(left_s)}", digits, size=0.14)
        bar = Rect(panel.x + px(0.025), panel.bottom - px(0.045), panel.width - px(0.05), px(0.022))
        pygame.draw.rect(self.canvas.surface, DUSK, bar, border_radius=px(0.011))
        bar.width = round(bar.width * min(left_s / self.level.seconds, 1.0))
        if bar.width:
            pygame.draw.rect(self.canvas.surface, GOLD, bar, border_radius=px(0.011))

    def _draw_count(self, view: View, scene: RibbonScene) -> None:
        px = self.canvas.px
        panel = Rect(self.canvas.width - px(0.325), px(0.025), px(0.30), px(0.21))
        self.canvas.panel(panel)
        self.canvas.surface.blit(self._counter, (panel.x + px(0.02), panel.y + px(0.02)))
        digits = Rect(panel.x + px(0.14), panel.y + px(0.01), panel.width - px(0.15), px(0.13))
        self.canvas.text(f"{scene.birds}", digits, size=0.13)
        best = Rect(panel.x + px(0.01), panel.y + px(0.14), panel.width - px(0.02), px(0.062))
        draw_to_beat(self.canvas, view, best)


def _unbroken(points: list[Point3]) -> list[list[Point3]]:
    runs: list[list[Point3]] = [[]]
    for point in points:
        if math.isnan(point[2]):
            runs.append([])
        else:
            runs[-1].append(point)
    return runs
