"""Picnic: a checked blanket in the wind, a sleeping guest on each corner, an apple on a plate.

The apple is the weight, the plate where it ought to lie. A corner that bears less than its due
folds back; its guest stirs, and gets up.
"""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import (
    draw_pill,
    draw_signal_ground,
    draw_to_beat,
    in_format_of,
)
from swaytrainer.games.palette import DUSK, GOLD, ORANGE, PAPER, SKY
from swaytrainer.games.picnic_pictures import (
    GUESTS,
    Mood,
    alarm,
    animal,
    apple,
    folded,
    lay_blanket,
    meadow,
    plate,
    streak,
    verdict,
    word_of_sleep,
)
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.gusts import TOWARDS, Way
from swaytrainer.training.tasks.picnic import FIELDS, PicnicScene

#: From the blanket's middle to its edge: this much of the load moved aside.
EDGE_PERCENT: Final = 36.0
FOLDS: Final = 8
#: A corner with this much of its due missing is folded back as far as it goes.
FOLDED_LACK: Final = 0.45
STREAKS: Final = 7
SLICES: Final = 24
_MOODS: Final[tuple[Mood, ...]] = ("asleep", "stirring", "awake")

_HOLD: Final[dict[Way, str]] = {
    "front": "Hold the front",
    "right": "Hold the right",
    "back": "Hold the back",
    "left": "Hold the left",
    "front right": "Hold front right",
    "back right": "Hold back right",
    "back left": "Hold back left",
    "front left": "Hold front left",
}
_MORE: Final = ("To the cat", "To the hen", "To the hedgehog", "To the rabbit")


class Picnic:
    """Draws the running game from its scene, with pictures kept for one size, level and feet."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        px = canvas.px
        side = min(px(0.72), canvas.width - 2 * px(0.31))
        self.cloth = Rect(0, 0, side, side)
        self.cloth.center = (canvas.width // 2, px(0.405))
        picture = meadow((canvas.width, canvas.height), seed)
        lay_blanket(picture, self.cloth)
        draw_signal_ground(picture)
        self._still = in_format_of(canvas.surface, picture)
        self._clock = Rect(px(0.025), px(0.025), px(0.27), px(0.27))
        self._board = Rect(canvas.width - px(0.295), px(0.025), px(0.27), px(0.27))
        on_it = Canvas(picture)
        on_it.panel(self._clock)
        on_it.panel(self._board)
        self._background = in_format_of(canvas.surface, picture)
        self._guest_px = round(0.235 * side)
        self._guests = {
            (kind, mood): animal(kind, self._guest_px, mood) for kind in GUESTS for mood in _MOODS
        }
        self._fold_px = round(0.34 * side)
        self._folds = [
            [folded(self._fold_px, corner, (k + 1) / FOLDS) for k in range(FOLDS)]
            for corner in range(4)
        ]
        self._apple = apple(px(0.085))
        room = dict(level.task).get("plate_percent", FIELDS["plate_percent"].usual)
        across = max(round(room / EDGE_PERCENT * side), px(0.12))
        self._plates = {full: plate(across, full) for full in (False, True)}
        self._streaks = {way: streak(px(0.11), *TOWARDS[way]) for way in TOWARDS}
        self._verdicts = {which: verdict(px(0.052), which) for which in ("open", "held", "missed")}
        self._sleep = word_of_sleep(px(0.055))
        self._call = alarm(px(0.06))
        self._trial = 0
        self._held = 0

    def place(self, side: float, forward: float) -> tuple[int, int]:
        """The pixel of so much of the load (%) moved to the right and forward, on the blanket."""
        half = 0.5 * self.cloth.width
        x = min(max(side / EDGE_PERCENT, -0.94), 0.94)
        y = min(max(forward / EDGE_PERCENT, -0.94), 0.94)
        return round(self.cloth.centerx + half * x), round(self.cloth.centery - half * y)

    def draw(self, view: View, now_s: float) -> int:
        """One frame; returns how many gusts have just been held."""
        scene = view.scene
        self.canvas.surface.blit(self._background, (0, 0))
        if not isinstance(scene, PicnicScene):
            return 0
        if view.trial != self._trial:
            self._trial, self._held = view.trial, 0
        held = sum(score > 0.0 for score in scene.answers)
        came, self._held = max(held - self._held, 0), held
        self._draw_corners(scene, now_s)
        self._draw_plate(scene)
        if scene.wind is not None:
            self._draw_wind(scene.wind, now_s)
        self._draw_word(scene)
        self._draw_time(view)
        self._draw_answers(view, scene)
        return came

    def draw_still(self) -> None:
        """The empty blanket."""
        self.canvas.surface.blit(self._still, (0, 0))

    def _draw_corners(self, scene: PicnicScene, now_s: float) -> None:
        surface, cloth = self.canvas.surface, self.cloth
        inset = round(0.145 * cloth.width)
        for k, corner in enumerate(scene.corners):
            right, rear = k % 2, k // 2
            step = round(FOLDS * min((1.0 - corner.full) / FOLDED_LACK, 1.0))
            if step > 0:
                at = (
                    cloth.right - self._fold_px if right else cloth.left,
                    cloth.bottom - self._fold_px if rear else cloth.top,
                )
                surface.blit(self._folds[k][step - 1], at)
            x = cloth.right - inset if right else cloth.left + inset
            y = cloth.bottom - inset if rear else cloth.top + inset
            picture = self._guests[GUESTS[k], corner.state]
            half = self._guest_px // 2
            # Breath in sleep, and a hop when awake: both slow.
            if corner.state == "awake":
                y -= round(0.02 * cloth.width * abs(math.sin(4.0 * now_s + k)))
            surface.blit(picture, (x - half, y - half))
            outward = half if right else -half
            if corner.state == "asleep":
                rise = round(0.012 * cloth.width * math.sin(1.4 * now_s + k))
                mark = self._sleep
                place = (x + outward, y - half + rise)
            elif corner.state == "awake":
                mark = self._call
                place = (x + outward, y - half)
            else:
                continue
            surface.blit(mark, mark.get_rect(center=place))

    def _draw_plate(self, scene: PicnicScene) -> None:
        surface = self.canvas.surface
        aim = self.place(scene.aim_side, scene.aim_forward)
        there = not math.isnan(scene.side)
        picture = self._plates[scene.on_plate]
        surface.blit(picture, picture.get_rect(center=aim))
        if there:
            spot = self.place(scene.side, scene.forward)
            surface.blit(self._apple, self._apple.get_rect(center=spot))

    def _draw_wind(self, way: Way, now_s: float) -> None:
        """Curls that cross the meadow and the blanket's edge on the side they come from."""
        right, forward = TOWARDS[way]
        picture = self._streaks[way]
        half, height = 0.5 * self.cloth.width, self.canvas.height
        for k in range(STREAKS):
            run = (0.55 * now_s + 0.37 * k) % 1.0
            far = half * (1.3 - 0.62 * run)
            aside = half * 0.85 * (2.0 * ((0.618 * k) % 1.0) - 1.0)
            x = self.cloth.centerx + far * right + aside * forward
            y = self.cloth.centery - far * forward + aside * right
            y = min(max(y, 0.04 * height), 0.9 * height)
            at = picture.get_rect(center=(round(x), round(y)))
            if not (at.colliderect(self._clock) or at.colliderect(self._board)):
                self.canvas.surface.blit(picture, at)

    def _draw_word(self, scene: PicnicScene) -> None:
        if math.isnan(scene.side):
            return
        centre = (self.canvas.width // 2, self.canvas.px(0.865))
        if scene.stepped:
            words, colour = "Both feet down", ORANGE
        elif scene.wind is not None:
            words = "Held: stay there" if scene.on_plate else _HOLD[scene.wind]
            colour = GOLD if scene.on_plate else SKY
        elif scene.on_plate:
            words, colour = "All asleep", PAPER
        elif scene.returning:
            words, colour = "Back to the middle", SKY
        else:
            poorest = min(range(4), key=lambda k: scene.corners[k].full)
            words, colour = _MORE[poorest], ORANGE
        draw_pill(self.canvas, words, centre, colour)

    def _draw_time(self, view: View) -> None:
        """A round cake, eaten slice by slice, and the seconds in its middle."""
        left_s = 0.0 if math.isnan(view.left_s) else max(0.0, view.left_s)
        share = min(1.0, left_s / self.level.seconds)
        surface, centre = self.canvas.surface, self._clock.center
        outer, inner = 0.455 * self._clock.height, 0.3 * self._clock.height
        lit = math.ceil(share * SLICES)
        for k in range(SLICES):
            a, b = math.tau * (k + 0.08) / SLICES, math.tau * (k + 0.92) / SLICES
            points = [
                (centre[0] + far * math.sin(turn), centre[1] - far * math.cos(turn))
                for far, turn in ((inner, a), (outer, a), (outer, b), (inner, b))
            ]
            pygame.draw.polygon(surface, GOLD if k < lit else DUSK, points)
        area = Rect(0, 0, round(1.3 * inner), round(1.3 * inner))
        area.center = centre
        self.canvas.text(f"{math.ceil(left_s)}", area, size=0.13)

    def _draw_answers(self, view: View, scene: PicnicScene) -> None:
        """A row of marks, two for each gust: held, missed, still to come."""
        px, area = self.canvas.px, self._board
        title = Rect(area.x, area.y + px(0.012), area.width, px(0.06))
        self.canvas.text("Wind", title, size=0.055)
        many = max(scene.planned, 1)
        rows = 1 if many <= 4 else 2
        columns = math.ceil(many / rows)
        size = self._verdicts["open"].get_width()
        pitch = min((area.width - px(0.02)) / columns, 1.15 * size)
        for k in range(scene.planned):
            row, column = divmod(k, columns)
            which = "open"
            if k < len(scene.answers):
                which = "held" if scene.answers[k] > 0.0 else "missed"
            x = area.centerx + (column - 0.5 * (columns - 1)) * pitch
            y = area.y + px(0.128) + (row - 0.5 * (rows - 1)) * 1.06 * size
            picture = self._verdicts[which]
            self.canvas.surface.blit(picture, picture.get_rect(center=(round(x), round(y))))
        best = Rect(area.x + px(0.01), area.y + px(0.19), area.width - px(0.02), px(0.07))
        draw_to_beat(self.canvas, view, best)
