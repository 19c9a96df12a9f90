"""Four strides: seen over the horse's ears. Nothing on it moves with the vaulter's sway."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.hall import SAND, neck, plaque, sand, wall
from swaytrainer.games.horse import horseshoe
from swaytrainer.games.palette import DUSK, GOLD, INK, PAPER, SKY
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.canter import BEATS
from swaytrainer.training.tasks.four_strides import STRIDES, FourStridesScene
from swaytrainer.words import say

NECK: Final = 0.56
PLAQUE: Final = 0.19
#: How high the neck nods with the heard canter, and how fast the wall passes, in screen heights.
NOD: Final = 0.022
PACE: Final = 0.30


class FourStrides:
    """Draws the running test: the hall, the heard canter, which stride it is, and the time."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        size = (canvas.width, canvas.height)
        strip, self._period = wall(size, seed)
        self._wall = in_format_of(canvas.surface, strip)
        self._sand = in_format_of(canvas.surface, sand(size, seed))
        self._neck = neck(canvas.px(NECK))
        self._plaques = (plaque(canvas.px(PLAQUE), False), plaque(canvas.px(PLAQUE), True))
        self._shoes = (horseshoe(canvas.px(0.06), False), horseshoe(canvas.px(0.06), True))

    def draw(self, view: View, now_s: float) -> int:
        """One frame; it brings no rewards."""
        scene = view.scene
        self._hall(now_s)
        if not isinstance(scene, FourStridesScene):
            return 0
        self._draw_neck(scene)
        self._draw_strides(scene)
        self._draw_call(scene)
        self._draw_time(view)
        self._draw_best(view, scene)
        return 0

    def draw_still(self) -> None:
        """The hall alone."""
        self._hall(0.0)

    def _hall(self, now_s: float) -> None:
        surface = self.canvas.surface
        shift = int(now_s * PACE * self.canvas.height) % self._period
        surface.blit(self._wall, (0, 0), Rect(shift, 0, self.canvas.width, self._wall.get_height()))
        surface.blit(self._sand, (0, round(SAND * self.canvas.height)))

    def _draw_neck(self, scene: FourStridesScene) -> None:
        nod = NOD * math.sin(math.tau * (scene.phase + 0.1))
        size = self._neck.get_width()
        top = self.canvas.height * (0.50 + nod)
        self.canvas.surface.blit(
            self._neck,
            ((self.canvas.width - size) // 2, round(top)),
            Rect(0, 0, size, max(0, round(0.957 * self.canvas.height - top))),
        )

    def _draw_strides(self, scene: FourStridesScene) -> None:
        """Four horseshoes with their numbers: hollow, framed while it is stood, then golden."""
        size = self._plaques[0].get_width()
        step = round(1.18 * size)
        left = self.canvas.width // 2 - 2 * step
        y = self.canvas.px(0.285)
        back = Rect(left - step // 8, y - size // 14, 4 * step + step // 4, round(1.14 * size))
        self.canvas.panel(back)
        for k in range(STRIDES):
            over = k < scene.over
            cell = Rect(left + k * step, y, step, size)
            current = not scene.leading and k == scene.over
            if current:
                frame = cell.inflate(-size // 14, size // 20)
                pygame.draw.rect(
                    self.canvas.surface, PAPER, frame, max(3, size // 26), border_radius=size // 8
                )
            self.canvas.surface.blit(self._plaques[over], (cell.centerx - size // 2, y))
            digit = Rect(0, 0, size // 2, size // 2)
            digit.center = cell.center
            colour = GOLD if over else PAPER
            self.canvas.text(f"{k + 1}", digit, size=0.085, colour=colour)

    def _draw_call(self, scene: FourStridesScene) -> None:
        """What to do now, and under it the canter's beats for the eye."""
        area = self.canvas.area(0.28, 0.03, 0.72, 0.25)
        self.canvas.panel(area, INK, SKY if scene.leading else GOLD)
        upper = Rect(area.x, area.y, area.width, round(0.62 * area.height))
        upper = upper.inflate(-self.canvas.px(0.04), -self.canvas.px(0.01))
        if scene.done:
            self.canvas.text("Done", upper, size=0.12, colour=GOLD)
        elif scene.leading:
            words = say("Listen: {n}", n=scene.leading)
            self.canvas.text(words, upper, size=0.12, colour=SKY)
        else:
            self.canvas.text("Stand", upper, size=0.12, colour=GOLD)
        shoe = self._shoes[0].get_width()
        for k, beat in enumerate(BEATS):
            lit = 0.0 <= scene.phase - beat < 0.24
            x = area.centerx + round((k - 1) * 1.7 * shoe) - shoe // 2
            self.canvas.surface.blit(self._shoes[lit], (x, area.bottom - round(1.2 * shoe)))

    def _draw_time(self, view: View) -> None:
        px = self.canvas.px
        panel = Rect(px(0.025), px(0.03), px(0.30), px(0.22))
        self.canvas.panel(panel)
        left_s = 0.0 if math.isnan(view.left_s) else max(view.left_s, 0.0)
        digits = Rect(panel.x, panel.y + px(0.01), panel.width, px(0.145))
        self.canvas.text(f"{math.ceil(left_s)}", digits, size=0.145)
        bar = Rect(panel.x + px(0.025), panel.bottom - px(0.045), panel.width - px(0.05), px(0.022))
        pygame.draw.rect(self.canvas.surface, DUSK, bar, border_radius=px(0.011))
        bar.width = round(bar.width * min(left_s / self.level.seconds, 1.0))
        if bar.width:
            pygame.draw.rect(self.canvas.surface, GOLD, bar, border_radius=px(0.011))

    def _draw_best(self, view: View, scene: FourStridesScene) -> None:
        px = self.canvas.px
        panel = Rect(self.canvas.width - px(0.325), px(0.03), px(0.30), px(0.22))
        self.canvas.panel(panel)
        digits = Rect(panel.x, panel.y + px(0.01), panel.width, px(0.13))
        self.canvas.text(f"{scene.over}/{STRIDES}", digits, size=0.13)
        best = Rect(panel.x + px(0.01), panel.y + px(0.145), panel.width - px(0.02), px(0.062))
        draw_to_beat(self.canvas, view, best)
