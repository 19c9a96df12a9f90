"""Tray: a pudding is carried through a café; it wobbles as the vaulter does, busy or not."""

from __future__ import annotations

import math

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.furniture import draw_to_beat
from swaytrainer.games.galley import ball, cafe_picture, cake, cat, cup, pudding, tray_and_hands
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, Colour
from swaytrainer.games.sprites import bead, chevron, star
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.tray import Order, TrayScene, Turn
from swaytrainer.words import say

PUDDING_SHARE = 0.3
TRAY_SHARE = 0.62
TRAY_TOP = 0.665
#: The pudding is laid down in strips that lean more the higher they are.
STRIPS = 26
WOBBLE_SHARE = 0.08
WOBBLE_HZ = 1.7
FOLLOWS_S = 0.3
WORD_HOLDS_S = 0.5
TURNS = 4

#: From which unrest on: the word, its colour, and whether the cat's eyes are wide.
STATES: tuple[tuple[float, str, Colour], ...] = (
    (0.0, "STILL", GOLD),
    (0.25, "SHAKES", PAPER),
    (0.6, "WOBBLES!", ORANGE),
)


def call_of(scene: TrayScene) -> tuple[str, Colour]:
    """What to do now, in a few words."""
    if scene.turn is Turn.ALONE:
        return "Only keep it still", PAPER
    if scene.turn is Turn.BUSY:
        return ("Throw and catch", SKY) if scene.busy_hands else ("Count cakes and cups", SKY)
    if scene.right is None:
        return "More of which?", GOLD
    return ("Right!", GOLD) if scene.right else ("Not this time", ORANGE)


class Tray:
    """Draws the running game from its scene."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        self._hatch = canvas.area(0.415, 0.165, 0.585, 0.3)
        counter = canvas.px(0.79)
        self._ground = cafe_picture((canvas.width, canvas.height), seed, self._hatch, counter)
        self._room = Surface(self._ground.get_size(), 0, canvas.surface)
        self._room.blit(self._ground, (0, 0))
        self._unrest = 0.0
        self._word = 0
        self._word_s = -math.inf
        self._last_s: float | None = None

    def draw_still(self) -> None:
        """The café with the pudding at rest."""
        self.canvas.surface.blit(self._room, (0, 0))
        self._draw_pudding(0.0, 0.0)

    def draw(self, view: View, now_s: float) -> int:
        """One frame. Nobody is greeted here: the orders have the ear."""
        scene = view.scene
        if not isinstance(scene, TrayScene):
            self.draw_still()
            return 0
        self._follow(scene, now_s)
        self.canvas.surface.blit(self._room, (0, 0))
        self._draw_pudding(self._unrest, now_s)
        if scene.turn is Turn.ASK:
            self._draw_question(scene)
        else:
            self._draw_cat()
            self._draw_called(scene)
            self._draw_word()
        words, colour = call_of(scene)
        self._draw_call(words, colour)
        self._draw_time(view)
        self._draw_turns(view, scene)
        return 0

    def _follow(self, scene: TrayScene, now_s: float) -> None:
        passed = 0.0 if self._last_s is None else min(max(now_s - self._last_s, 0.0), 0.25)
        self._last_s = now_s
        wanted = 0.0 if math.isnan(scene.unrest) else scene.unrest
        self._unrest += (wanted - self._unrest) * (1 - math.exp(-passed / FOLLOWS_S))
        word = max(k for k, (least, _, _) in enumerate(STATES) if self._unrest >= least)
        # A word stays long enough to be read.
        if word != self._word and abs(now_s - self._word_s) >= WORD_HOLDS_S:
            self._word, self._word_s = word, now_s

    def _put(self, picture: Surface, centre: tuple[int, int]) -> None:
        width, height = picture.get_size()
        self.canvas.surface.blit(picture, (centre[0] - width // 2, centre[1] - height // 2))

    def _draw_pudding(self, unrest: float, now_s: float) -> None:
        px = self.canvas.px
        middle, top = self.canvas.width // 2, px(TRAY_TOP)
        self._put(tray_and_hands(px(TRAY_SHARE)), (middle, top))
        picture = pudding(px(PUDDING_SHARE))
        side = picture.get_width()
        reach = WOBBLE_SHARE * self.canvas.height * unrest
        turn = math.tau * WOBBLE_HZ * now_s
        for k in range(STRIPS):
            above, below = side * k // STRIPS, side * (k + 1) // STRIPS
            # The top swings the farthest, and a little behind the middle.
            high = 1.0 - (k + 0.5) / STRIPS
            shift = round(reach * high**1.4 * math.sin(turn - 0.9 * high))
            strip = Rect(0, above, side, below - above)
            self.canvas.surface.blit(
                picture, (middle - side // 2 + shift, top - side + above), strip
            )

    def _draw_cat(self) -> None:
        size = self.canvas.px(0.2)
        place = (round(0.885 * self.canvas.width), self.canvas.px(0.79) - round(0.42 * size))
        self._put(cat(size, self._word > 1), place)

    def _draw_word(self) -> None:
        words, colour = STATES[self._word][1:]
        px = self.canvas.px
        area = Rect(0, 0, px(0.46), px(0.08))
        area.center = (self.canvas.width // 2, px(0.735))
        self.canvas.panel(area, INK, colour)
        if self._word == 0:
            sign = star(px(0.06), GOLD)
        else:
            sign = chevron(px(0.06), False, ORANGE) if self._word > 1 else bead(px(0.03), PAPER)
        self._put(sign, (area.x + px(0.05), area.centery))
        rest = Rect(area.x + px(0.09), area.y, area.width - px(0.105), area.height)
        self.canvas.text(words, rest, size=0.07, colour=colour)

    def _draw_called(self, scene: TrayScene) -> None:
        if scene.called:
            pictures = {"cake": cake, "cup": cup, "throw": ball}
            self._put(pictures[scene.called](self.canvas.px(0.125)), self._hatch.center)

    def _draw_question(self, scene: TrayScene) -> None:
        px = self.canvas.px
        for left, order, picture, words in (
            (0.03, Order.CAKE, cake, "More cakes"),
            (0.72, Order.CUP, cup, "More cups"),
        ):
            area = self.canvas.area(left, 0.3, left + 0.25, 0.68)
            chosen = scene.answer is order
            edge = (GOLD if scene.right else ORANGE) if chosen else MIST
            self.canvas.panel(area, INK, edge)
            if chosen:
                pygame.draw.rect(
                    self.canvas.surface, edge, area, px(0.012), border_radius=px(0.022)
                )
            self._put(picture(px(0.18)), (area.centerx, area.y + px(0.13)))
            if chosen and scene.right:
                self._put(star(px(0.08), GOLD), (area.right - px(0.06), area.y + px(0.06)))
            label = Rect(area.x + px(0.01), area.y + px(0.235), area.width - px(0.02), px(0.075))
            self.canvas.text(words, label, size=0.062, colour=edge if chosen else PAPER)
            side = "Lean left" if order is Order.CAKE else "Lean right"
            rest = Rect(label.x, label.bottom, label.width, px(0.065))
            self.canvas.text(side, rest, size=0.054, colour=MIST)
        self._draw_same(scene)
        bar = self.canvas.area(0.34, 0.705, 0.66, 0.755)
        self.canvas.panel(bar, INK, MIST)
        spot = bar.centerx + round(scene.lean * 0.46 * bar.width)
        self._put(bead(px(0.045), GOLD if scene.answer else PAPER), (spot, bar.centery))

    def _draw_same(self, scene: TrayScene) -> None:
        """The third answer, before the hatch: as many of both, and no lean at all."""
        px = self.canvas.px
        area = Rect(0, 0, px(0.42), px(0.185))
        area.midtop = (self.canvas.width // 2, px(0.155))
        chosen = scene.answer is Order.SAME
        edge = (GOLD if scene.right else ORANGE) if chosen else MIST
        self.canvas.panel(area, INK, edge)
        if chosen:
            pygame.draw.rect(self.canvas.surface, edge, area, px(0.012), border_radius=px(0.022))
        for side, picture in ((-1, cake), (1, cup)):
            spot = (area.centerx + side * px(0.085), area.y + px(0.065))
            self._put(picture(px(0.085)), spot)
        for up in (-1, 1):
            sign = Rect(0, 0, px(0.04), px(0.009))
            sign.center = (area.centerx, area.y + px(0.065) + up * px(0.011))
            pygame.draw.rect(self.canvas.surface, PAPER, sign)
        if chosen and scene.right:
            self._put(star(px(0.06), GOLD), (area.right - px(0.05), area.y + px(0.05)))
        label = Rect(area.x + px(0.01), area.y + px(0.115), area.width - px(0.02), px(0.062))
        self.canvas.text("Same: stay", label, size=0.056, colour=edge if chosen else PAPER)

    def _draw_call(self, words: str, colour: Colour) -> None:
        area = self.canvas.area(0.25, 0.02, 0.75, 0.135)
        self.canvas.panel(area)
        self.canvas.text(words, area.inflate(-self.canvas.px(0.03), 0), size=0.09, colour=colour)

    def _draw_time(self, view: View) -> None:
        px = self.canvas.px
        area = self.canvas.area(0.02, 0.02, 0.235, 0.205)
        self.canvas.panel(area)
        left_s = 0.0 if math.isnan(view.left_s) else max(view.left_s, 0.0)
        digits = Rect(area.x, area.y + px(0.008), area.width, px(0.11))
        self.canvas.text(say("{left:.0f} s", left=math.ceil(left_s)), digits, size=0.1)
        bar = Rect(area.x + px(0.025), area.y + px(0.13), area.width - px(0.05), px(0.03))
        pygame.draw.rect(self.canvas.surface, NIGHT, bar, border_radius=px(0.012))
        share = min(left_s / self.level.seconds, 1.0)
        if share > 0:
            lit = Rect(bar.x, bar.y, max(px(0.02), round(bar.width * share)), bar.height)
            pygame.draw.rect(self.canvas.surface, GOLD, lit, border_radius=px(0.012))

    def _draw_turns(self, view: View, scene: TrayScene) -> None:
        px = self.canvas.px
        area = self.canvas.area(0.765, 0.02, 0.98, 0.205)
        self.canvas.panel(area)
        for k in range(TURNS):
            x = area.x + round(area.width * (k + 0.5) / TURNS)
            done = k < scene.number
            size = px(0.05 if k == scene.number - 1 else 0.034)
            self._put(bead(size, GOLD if done else DUSK), (x, area.y + px(0.05)))
        best = Rect(area.x + px(0.01), area.y + px(0.095), area.width - px(0.02), px(0.08))
        draw_to_beat(self.canvas, view, best)
