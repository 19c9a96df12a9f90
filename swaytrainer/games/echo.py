"""Echo: a bat meets a moth while there is light, and finds its place again in the dark."""

from __future__ import annotations

import math

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.cave import bat, cave_picture, moon, moth, perch
from swaytrainer.games.furniture import draw_to_beat, in_format_of
from swaytrainer.games.palette import GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, Colour
from swaytrainer.games.sprites import bead, glow, star
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.tasks.echo import HOME_PERCENT, Answer, EchoScene, Part, Place
from swaytrainer.words import say

#: The cave's middle, and how far from it anything may lie, as shares of the height.
MIDDLE_Y = 0.45
REACH_SHARE = 0.245
BAT_SHARE = 0.17
MOTH_SHARE = 0.12
BEADS = 24
WINGS = (0, 1, 0, -1)

#: Why a round has no answer.
WHY: dict[str, str] = {
    "not felt": "The moth flew off",
    "not home": "Not back at the perch",
    "off": "Off the board",
    "held": "Held on to something",
}


def call_of(scene: EchoScene) -> tuple[str, Colour]:
    """What to do now, or how it went, in a few words."""
    if scene.part is Part.START:
        return "Stand easy: home", PAPER
    if scene.part is Part.FEEL:
        return ("Stay and feel it", GOLD) if scene.hold > 0 else ("Lean to the moth", PAPER)
    if scene.part is Part.HOME:
        return ("Wait for the call", GOLD) if scene.hold > 0 else ("Back to the perch", SKY)
    if scene.part is Part.RECALL:
        return ("Hold it there", GOLD) if scene.left_s <= 1.5 else ("Fly there in the dark", PAPER)
    if not scene.answers:
        return "", PAPER
    return verdict(scene.answers[-1])


def verdict(answer: Answer) -> tuple[str, Colour]:
    """How a round went."""
    if answer.why:
        return WHY[answer.why], ORANGE
    if answer.caught:
        return "Caught!", GOLD
    if abs(answer.beyond_percent) < 0.5 * answer.error_percent:
        return "A little beside it", ORANGE
    return ("A little too far" if answer.beyond_percent > 0 else "A little too short"), ORANGE


class Echo:
    """Draws the running game from its scene: the weight is the bat, the middle is home."""

    def __init__(self, canvas: Canvas, level: Level, feet: Feet, seed: int) -> None:
        self.canvas = canvas
        self.level = level
        self.feet = feet
        size = (canvas.width, canvas.height)
        self._lit = in_format_of(canvas.surface, cave_picture(size, seed, lit=True))
        self._dark = in_format_of(canvas.surface, cave_picture(size, seed, lit=False))
        reach = dict(level.task).get("reach_percent", 18.0)
        near = dict(level.task).get("near_percent", 4.0)
        self._px_per_percent = REACH_SHARE * canvas.height / (reach + 0.5 * near)
        self._glow = glow(canvas.px(0.34), (255, 232, 170), 0.75)
        self._centre = (canvas.width // 2, round(MIDDLE_Y * canvas.height))

    def draw_still(self) -> None:
        """The cave in the evening, with the empty perch."""
        self.canvas.surface.blit(self._lit, (0, 0))
        self._put(perch(self._ring_px(), MIST), self._centre)

    def _ring_px(self) -> int:
        return max(8, round(2.5 * HOME_PERCENT * self._px_per_percent))

    def draw(self, view: View, now_s: float) -> int:
        """One frame. Nobody is greeted: what is caught has a sound of its own."""
        scene = view.scene
        if not isinstance(scene, EchoScene):
            self.draw_still()
            return 0
        dark = scene.part is Part.RECALL or (scene.part is Part.HOME and scene.hold > 0)
        self.canvas.surface.blit(self._dark if dark else self._lit, (0, 0))
        self._draw_field(scene, now_s)
        words, colour = call_of(scene)
        self._draw_call(words, colour)
        self._draw_time(view)
        self._draw_rounds(view, scene)
        return 0

    def _at(self, scene: EchoScene, place: Place) -> tuple[int, int]:
        """The pixel of a place, held inside the cave."""
        height = self.canvas.height
        dx = (place.right_percent - scene.home.right_percent) * self._px_per_percent
        dy = (place.toe_percent - scene.home.toe_percent) * self._px_per_percent
        across, up = 0.44 * self.canvas.width, 0.27 * height
        return (
            round(self._centre[0] + min(max(dx, -across), across)),
            round(self._centre[1] - min(max(dy, -up), up)),
        )

    def _put(self, picture: Surface, centre: tuple[int, int]) -> None:
        width, height = picture.get_size()
        self.canvas.surface.blit(picture, (centre[0] - width // 2, centre[1] - height // 2))

    def _draw_field(self, scene: EchoScene, now_s: float) -> None:
        part = scene.part
        homeward = part in (Part.HOME, Part.START)
        self._put(perch(self._ring_px(), SKY if homeward else MIST), self._centre)
        if part is Part.FEEL:
            self._draw_moth(scene, self._at(scene, scene.target))
        if part in (Part.TOLD, Part.OVER) and scene.answers:
            self._draw_answer(scene, scene.answers[-1], now_s)
            return
        if part is Part.RECALL:
            # Nothing of the weight shows; the ring empties until the moment that counts.
            whole_s = dict(self.level.task).get("recall_s", 4.0)
            self._beads(self._centre, scene.left_s / whole_s)
            return
        if not math.isnan(scene.here.right_percent):
            place = self._at(scene, scene.here)
            self._draw_bat(place, now_s)
            if scene.hold > 0:
                self._beads(place, scene.hold)

    def _draw_bat(self, place: tuple[int, int], now_s: float) -> None:
        self._put(bat(self.canvas.px(BAT_SHARE), WINGS[int(now_s * 6.0) % len(WINGS)]), place)

    def _draw_moth(self, scene: EchoScene, place: tuple[int, int]) -> None:
        self._put(self._glow, place)
        radius = max(6, round(scene.near_percent * self._px_per_percent))
        thick = max(2, self.canvas.px(0.007))
        pygame.draw.circle(self.canvas.surface, INK, place, radius + thick, thick)
        pygame.draw.circle(self.canvas.surface, GOLD, place, radius, thick)
        self._put(moth(self.canvas.px(MOTH_SHARE)), place)

    def _draw_answer(self, scene: EchoScene, answer: Answer, now_s: float) -> None:
        felt = answer.felt if not math.isnan(answer.felt.right_percent) else scene.target
        there = self._at(scene, felt)
        self._draw_moth(scene, there)
        if answer.why:
            return
        flown = self._at(scene, answer.recalled)
        if not answer.caught:
            steps = 8
            size = self.canvas.px(0.02)
            for k in range(1, steps):
                x = there[0] + (flown[0] - there[0]) * k // steps
                y = there[1] + (flown[1] - there[1]) * k // steps
                self._put(bead(size, ORANGE), (x, y))
        self._draw_bat(flown, now_s)
        if answer.caught:
            for side in (-1, 1):
                spot = (flown[0] + side * self.canvas.px(0.12), flown[1] - self.canvas.px(0.06))
                self._put(star(self.canvas.px(0.075), GOLD), spot)

    def _beads(self, centre: tuple[int, int], share: float) -> None:
        radius = self.canvas.px(0.115)
        size = self.canvas.px(0.022)
        lit = math.ceil(min(max(share, 0.0), 1.0) * BEADS)
        for k in range(BEADS):
            turn = math.tau * k / BEADS
            spot = (
                round(centre[0] + radius * math.sin(turn)),
                round(centre[1] - radius * math.cos(turn)),
            )
            self._put(bead(size, GOLD if k < lit else NIGHT), spot)

    def _draw_call(self, words: str, colour: Colour) -> None:
        area = self.canvas.area(0.27, 0.02, 0.73, 0.125)
        self.canvas.panel(area)
        inner = area.inflate(-self.canvas.px(0.03), -self.canvas.px(0.01))
        self.canvas.text(words, inner, size=0.085, colour=colour)

    def _draw_time(self, view: View) -> None:
        px = self.canvas.px
        area = self.canvas.area(0.02, 0.02, 0.255, 0.125)
        self.canvas.panel(area)
        icon = moon(px(0.075))
        self.canvas.surface.blit(icon, (area.x + px(0.02), area.centery - icon.get_height() // 2))
        left_s = 0.0 if math.isnan(view.left_s) else max(view.left_s, 0.0)
        rest = Rect(area.x + px(0.105), area.y, area.width - px(0.12), area.height)
        self.canvas.text(say("{left:.0f} s", left=math.ceil(left_s)), rest, size=0.085)

    def _draw_rounds(self, view: View, scene: EchoScene) -> None:
        px = self.canvas.px
        area = self.canvas.area(0.745, 0.02, 0.98, 0.205)
        self.canvas.panel(area)
        slot = (area.width - px(0.02)) / scene.rounds
        size = min(px(0.07), round(0.9 * slot))
        y = area.y + px(0.055)
        for k in range(scene.rounds):
            x = round(area.x + px(0.01) + slot * (k + 0.5))
            answered = k < len(scene.answers)
            caught = answered and scene.answers[k].caught
            self._put(moth(size, hollow=not caught), (x, y))
            if answered and not caught:
                half, thick = size // 2, max(2, px(0.007))
                start, end = (x - half, y + half), (x + half, y - half)
                pygame.draw.line(self.canvas.surface, ORANGE, start, end, thick)
        best = Rect(area.x + px(0.01), area.y + px(0.105), area.width - px(0.02), px(0.07))
        draw_to_beat(self.canvas, view, best)
