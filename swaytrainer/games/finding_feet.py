"""Finding heels and balls on a screen: what to do, the soles with the COP, and what was found."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas, begin_on
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, blend
from swaytrainer.games.plate import draw_tick
from swaytrainer.games.soles import Sheet, draw_soles
from swaytrainer.sway.cop import CopSample
from swaytrainer.sway.feet import Feet
from swaytrainer.training.foot_finding import POSES, FootFinder, Pose
from swaytrainer.words import say

#: What somebody must know before they stand on heels or balls.
CAUTIONS: Final = (
    "The board on a mat on firm ground, never on a dome, a disc or foam.",
    "A wall bar or a rail within reach: a hand stays on it all the time.",
    "Juniors: somebody stands by. Clear floor, bare feet or vaulting shoes.",
    "Stop at once on pain or dizziness. What your coach and your club say comes first.",
)

_SHORT: Final = {
    Pose.EVEN: "Even",
    Pose.HEELS: "Heels",
    Pose.BALLS: "Balls",
    Pose.LEFT: "Left",
    Pose.RIGHT: "Right",
}


def draw_finding(
    surface: Surface, finder: FootFinder, instruction: str, cop: CopSample, feet: Feet, name: str
) -> Canvas:
    """One frame.

    Args:
        surface: to draw on.
        finder: how far it is.
        instruction: what to do now.
        cop: the newest force and COP.
        feet: by the ruler, for the picture of the soles.
        name: whose they are.

    Returns:
        The canvas, for the tests.
    """
    canvas = begin_on(surface, NIGHT)
    canvas.text(name, canvas.area(0.03, 0.02, 0.4, 0.1), size=0.07, align="left", name=True)
    words = say("{n} of {all}", n=min(len(finder.holds) + 1, len(POSES)), all=len(POSES))
    canvas.text(words, canvas.area(0.75, 0.02, 0.97, 0.1), size=0.07, align="right", colour=MIST)
    _draw_steps(canvas, finder)
    area = canvas.area(0.3, 0.13, 0.97, 0.74)
    canvas.panel(area)
    sheet = Sheet.around(area.inflate(-canvas.px(0.04), -canvas.px(0.04)), feet)
    _draw_pose(canvas, sheet, feet, finder.pose)
    for hold in finder.holds:
        place = sheet.at(hold.x_mm, hold.y_mm)
        pygame.draw.circle(surface, INK, place, canvas.px(0.017))
        pygame.draw.circle(surface, SKY, place, canvas.px(0.012))
    if not math.isnan(cop.x_mm):
        x, y = sheet.at(cop.x_mm, cop.y_mm)
        place = (
            round(min(max(x, area.left), area.right)),
            round(min(max(y, area.top), area.bottom)),
        )
        ring = Rect(0, 0, canvas.px(0.1), canvas.px(0.1))
        ring.center = place
        end = 0.5 * math.pi
        begin = end - finder.held_share * math.tau
        pygame.draw.arc(surface, GOLD, ring, begin, end, max(3, canvas.px(0.014)))
        pygame.draw.circle(surface, INK, place, canvas.px(0.026))
        pygame.draw.circle(surface, PAPER, place, canvas.px(0.02))
    canvas.text(instruction, canvas.area(0.03, 0.755, 0.97, 0.87), size=0.08, colour=GOLD, lines=2)
    below = finder.hint or "A hand stays on the support."
    colour = ORANGE if finder.hint else MIST
    canvas.text(below, canvas.area(0.03, 0.88, 0.97, 0.985), size=0.06, colour=colour, lines=2)
    return canvas


def _draw_steps(canvas: Canvas, finder: FootFinder) -> None:
    area = canvas.area(0.03, 0.13, 0.27, 0.74)
    canvas.panel(area)
    inner = area.inflate(-canvas.px(0.03), -canvas.px(0.02))
    row = inner.height // len(POSES)
    size = canvas.px(0.04)
    for n, pose in enumerate(POSES):
        line = Rect(inner.x, inner.y + n * row, inner.width, row)
        mark = Rect(line.x, line.centery - size // 2, size, size)
        if n < len(finder.holds):
            draw_tick(canvas, mark, SKY)
            colour = SKY
        elif n == len(finder.holds) and not finder.done:
            points = [mark.topleft, mark.midright, mark.bottomleft]
            pygame.draw.polygon(canvas.surface, GOLD, points)
            colour = GOLD
        else:
            pygame.draw.circle(canvas.surface, DUSK, mark.center, size // 4)
            colour = MIST
        line.x, line.width = line.x + size + canvas.px(0.02), line.width - size - canvas.px(0.02)
        canvas.text(_SHORT[pose], line, size=0.06, align="left", colour=colour)


def _draw_pose(canvas: Canvas, sheet: Sheet, feet: Feet, pose: Pose | None) -> None:
    """The soles; what is to bear the weight now is framed."""
    fill = blend(INK, DUSK, 0.8)
    draw_soles(canvas.surface, sheet, feet, fill, MIST, max(2, canvas.px(0.004)))
    if pose in (None, Pose.EVEN):
        return
    side = 0.26 * (feet.ball_y_mm - feet.heel_y_mm)
    ys = {Pose.HEELS: (feet.heel_y_mm,), Pose.BALLS: (feet.ball_y_mm,)}.get(
        pose, (feet.heel_y_mm, feet.ball_y_mm)
    )
    xs = {Pose.LEFT: (feet.left_x_mm,), Pose.RIGHT: (feet.right_x_mm,)}.get(
        pose, (feet.left_x_mm, feet.right_x_mm)
    )
    for x in xs:
        for y in ys:
            frame = Rect(0, 0, 0, 0)
            frame.size = (round(2 * side * sheet.px_per_mm), round(2 * side * sheet.px_per_mm))
            frame.center = (round(sheet.at(x, y)[0]), round(sheet.at(x, y)[1]))
            pygame.draw.ellipse(canvas.surface, GOLD, frame, max(3, canvas.px(0.009)))


def draw_found(
    surface: Surface, feet: Feet | None, lines: Sequence[str], name: str, kept: bool
) -> Canvas:
    """What came of it.

    Args:
        surface: to draw on.
        feet: as found, None if they were not.
        lines: what to say.
        name: whose they are.
        kept: whether they are kept.
    """
    canvas = begin_on(surface, NIGHT)
    colour = SKY if kept else ORANGE
    canvas.text(name, canvas.area(0.03, 0.02, 0.4, 0.1), size=0.07, align="left", name=True)
    title = "Found" if kept else "Not found: foot length must do"
    canvas.text(title, canvas.area(0.03, 0.12, 0.97, 0.24), size=0.1, colour=colour)
    left = 0.03
    if feet is not None:
        area = canvas.area(0.03, 0.26, 0.45, 0.86)
        canvas.panel(area)
        sheet = Sheet.around(area.inflate(-canvas.px(0.05), -canvas.px(0.05)), feet)
        fill = blend(INK, DUSK, 0.8)
        draw_soles(surface, sheet, feet, fill, MIST, max(2, canvas.px(0.004)))
        for x in (feet.left_x_mm, feet.right_x_mm):
            for y in (feet.heel_y_mm, feet.ball_y_mm):
                place = sheet.at(x, y)
                pygame.draw.circle(surface, GOLD, place, canvas.px(0.016))
        left = 0.48
    area = canvas.area(left, 0.26, 0.97, 0.86)
    row = area.height // max(1, len(lines))
    for n, line in enumerate(lines):
        lane = Rect(area.x, area.y + n * row, area.width, row)
        canvas.text(line, lane, size=0.062, align="left", lines=5)
    canvas.text("Any key closes this.", canvas.area(0.03, 0.88, 0.97, 0.97), colour=MIST)
    return canvas
