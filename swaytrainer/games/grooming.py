"""Grooming: a dusty round pony seen from above, and a brush that the weight leads over it."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import (
    draw_pill,
    draw_signal_ground,
    draw_to_beat,
    in_format_of,
)
from swaytrainer.games.grooming_pictures import (
    brush_picture,
    draw_pony,
    dust,
    floor,
    head,
    horseshoe,
)
from swaytrainer.games.palette import GOLD, ORANGE, PAPER, SKY, Colour
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.coat import COLUMNS, ROWS
from swaytrainer.training.tasks.grooming import FIELDS, GroomingScene, Touch
from swaytrainer.words import say

#: The coat on the screen, in heights; its width follows the feet within these.
_HALF_HEIGHT: Final = 0.245
_HALF_WIDTHS: Final = (0.19, 0.235)
#: A cell looks half clean from here on.
_THIN: Final = 0.45
_VARIANTS: Final = 4
_NAILS: Final = 15
#: The brush stays on the screen this far beyond the coat.
_FARTHEST: Final = 1.5
#: A word stays long enough to be read.
_WORD_HOLDS_S: Final = 0.5

_WORDS: Final[dict[Touch, tuple[str, Colour]]] = {
    "gentle": ("Gentle", PAPER),
    "fast": ("Slower", ORANGE),
    "lifted": ("Soles down", ORANGE),
    "beyond": ("Back to the coat", SKY),
    "held": ("Hands free", ORANGE),
}
_CLEAN_HERE: Final = ("Clean here: go on", GOLD)


class Grooming:
    """Draws the running game from its scene, with pictures kept for one size, level and feet."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        px = canvas.px
        given = dict(level.task)
        number = {name: given.get(name, field.usual) for name, field in FIELDS.items()}
        foot_mm = feet.ball_y_mm - feet.heel_y_mm
        wide_mm = number["side_percent"] * (feet.right_x_mm - feet.left_x_mm)
        long_mm = 0.5 * (number["front_percent"] + number["back_percent"]) * foot_mm
        low, high = _HALF_WIDTHS
        half_width = min(max(_HALF_HEIGHT * wide_mm / long_mm, low), high)
        self.coat = Rect(0, 0, 2 * px(half_width), 2 * px(_HALF_HEIGHT))
        self.coat.center = (canvas.width // 2, px(0.505))
        picture = floor((canvas.width, canvas.height), seed)
        draw_pony(picture, self.coat)
        draw_signal_ground(picture)
        self._heads = {content: head(px(0.3), content) for content in (True, False)}
        self._head_place = (self.coat.centerx, self.coat.top - px(0.108))
        still = picture.copy()
        calm = self._heads[True]
        still.blit(calm, calm.get_rect(center=self._head_place))
        self._still = in_format_of(canvas.surface, still)
        self._clock = Rect(px(0.025), px(0.025), px(0.27), px(0.27))
        self._board = Rect(canvas.width - px(0.295), px(0.025), px(0.27), px(0.27))
        on_it = Canvas(picture)
        on_it.panel(self._clock)
        on_it.panel(self._board)
        self._clean = in_format_of(canvas.surface, picture)
        self._shoes = [horseshoe(px(0.26), lit, _NAILS) for lit in range(_NAILS + 1)]
        cell = max(self.coat.width / COLUMNS, self.coat.height / ROWS)
        self._dusts = [
            [dust(round(1.7 * cell), variant, thick) for variant in range(_VARIANTS)]
            for thick in (True, False)
        ]
        self._brushes: dict[bool, Surface] = {}
        self._layer = self._clean.copy()
        self._drawn: tuple[int, ...] | None = None
        self._tenths = 0
        self._word = _WORDS["gentle"]
        self._word_s = -math.inf
        self._trial = 0

    def place(self, u: float, v: float) -> tuple[int, int]:
        """The pixel of a place on the coat, held near it."""
        u = min(max(u, -_FARTHEST), _FARTHEST)
        v = min(max(v, -_FARTHEST), _FARTHEST)
        x = self.coat.centerx + 0.5 * self.coat.width * u
        return round(x), round(self.coat.centery - 0.5 * self.coat.height * v)

    def draw(self, view: View, now_s: float) -> int:
        """One frame; returns how many tenths of the coat have just come clean."""
        scene = view.scene
        if not isinstance(scene, GroomingScene):
            self.canvas.surface.blit(self._clean, (0, 0))
            return 0
        if view.trial != self._trial:
            self._trial, self._tenths, self._word_s = view.trial, 0, -math.inf
        self._lay_dust(scene)
        self.canvas.surface.blit(self._layer, (0, 0))
        rough = scene.touch in ("fast", "lifted", "held")
        picture = self._heads[not rough]
        nod = round(0.004 * self.canvas.height * math.sin(1.3 * now_s))
        x, y = self._head_place
        self.canvas.surface.blit(picture, picture.get_rect(center=(x, y + nod)))
        self._draw_brush(scene, rough)
        self._draw_word(scene, now_s)
        self._draw_time(view)
        self._draw_share(view, scene)
        tenths = int(scene.clean_percent / 10.0)
        came, self._tenths = max(tenths - self._tenths, 0), tenths
        return came

    def draw_still(self) -> None:
        """The clean pony, alone."""
        self.canvas.surface.blit(self._still, (0, 0))

    def _lay_dust(self, scene: GroomingScene) -> None:
        """The dust is laid anew only when some of it has gone: that is a few times a second."""
        state = tuple(0 if r < _THIN else 1 if r < 1.0 else 2 for r in scene.rubbed)
        if state == self._drawn:
            return
        before, self._drawn = self._drawn, state
        if before is None or len(before) != len(state):
            dirty = self.coat.inflate(self.coat.width // 3, self.coat.height // 3)
        else:
            half = self._dusts[0][0].get_width() // 2 + 1
            spots = [
                self.place(*cell)
                for cell, old, new in zip(scene.cells, before, state, strict=True)
                if old != new
            ]
            dirty = Rect(*spots[0], 0, 0).inflate(2 * half, 2 * half)
            dirty.unionall_ip([Rect(*s, 0, 0).inflate(2 * half, 2 * half) for s in spots[1:]])
        self._layer.set_clip(dirty)
        self._layer.blit(self._clean, dirty, dirty)
        for k, (cell, how) in enumerate(zip(scene.cells, state, strict=True)):
            if how < 2:
                picture = self._dusts[how][(7 * k) % _VARIANTS]
                at = picture.get_rect(center=self.place(*cell))
                if at.colliderect(dirty):
                    self._layer.blit(picture, at)
        self._layer.set_clip(None)

    def _draw_brush(self, scene: GroomingScene, rough: bool) -> None:
        if math.isnan(scene.u):
            return
        if not self._brushes:
            width = round(scene.brush_u * self.coat.width)
            height = round(scene.brush_v * self.coat.height)
            self._brushes = {r: brush_picture(width, height, r) for r in (False, True)}
        picture = self._brushes[rough]
        at = picture.get_rect(center=self.place(scene.u, scene.v))
        self.canvas.surface.blit(picture, at)

    def _draw_word(self, scene: GroomingScene, now_s: float) -> None:
        if scene.touch == "nobody":
            return
        word = _WORDS[scene.touch]
        if scene.touch == "gentle" and self._clean_here(scene):
            word = _CLEAN_HERE
        if word != self._word and now_s - self._word_s >= _WORD_HOLDS_S:
            self._word, self._word_s = word, now_s
        draw_pill(
            self.canvas,
            self._word[0],
            (self.canvas.width // 2, self.canvas.px(0.865)),
            self._word[1],
        )

    @staticmethod
    def _clean_here(scene: GroomingScene) -> bool:
        under = [
            rub
            for (u, v), rub in zip(scene.cells, scene.rubbed, strict=True)
            if ((u - scene.u) / scene.brush_u) ** 2 + ((v - scene.v) / scene.brush_v) ** 2 < 1.0
        ]
        return bool(under) and min(under) >= 1.0

    def _draw_time(self, view: View) -> None:
        left_s = 0.0 if math.isnan(view.left_s) else max(0.0, view.left_s)
        share = min(1.0, left_s / self.level.seconds)
        picture = self._shoes[math.ceil(share * _NAILS)]
        self.canvas.surface.blit(picture, picture.get_rect(center=self._clock.center))
        area = Rect(0, 0, self.canvas.px(0.13), self.canvas.px(0.13))
        area.center = self._clock.center
        self.canvas.text(f"{math.ceil(left_s)}", area, size=0.12)

    def _draw_share(self, view: View, scene: GroomingScene) -> None:
        px, area = self.canvas.px, self._board
        title = Rect(area.x, area.y + px(0.012), area.width, px(0.06))
        self.canvas.text("Clean", title, size=0.055)
        figure = Rect(area.x + px(0.01), title.bottom, area.width - px(0.02), px(0.1))
        share = say("{percent:.0f} %", percent=math.floor(scene.clean_percent))
        self.canvas.text(share, figure, size=0.1)
        bar = Rect(area.x + px(0.02), figure.bottom, area.width - px(0.04), px(0.014))
        pygame.draw.rect(self.canvas.surface, (44, 74, 104), bar)
        bar.width = round(bar.width * 0.01 * scene.clean_percent)
        pygame.draw.rect(self.canvas.surface, GOLD, bar)
        best = Rect(area.x + px(0.01), area.y + px(0.195), area.width - px(0.02), px(0.066))
        draw_to_beat(self.canvas, view, best)
