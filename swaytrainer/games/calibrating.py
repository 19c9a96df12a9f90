"""The board from above while it learns its newtons: where the mass goes next."""

from __future__ import annotations

import pygame
from pygame import Rect, Surface

from swaytrainer.board.guided import Guide
from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, PAPER, SKY


def draw_calibrating(surface: Surface, guide: Guide, half_size_mm: tuple[float, float]) -> None:
    """Draw one frame.

    Args:
        surface: to draw on.
        guide: for what is done and what comes next.
        half_size_mm: the cells stand at (±, ±) these.
    """
    canvas = Canvas(surface)
    surface.fill(NIGHT)
    canvas.text("Calibration", canvas.area(0.06, 0.03, 0.94, 0.13), size=0.08, align="left")
    canvas.text(guide.instruction, canvas.area(0.06, 0.85, 0.94, 0.97), size=0.09, colour=GOLD)
    half_width, half_depth = half_size_mm
    scale = 0.6 * canvas.height / (2.0 * half_depth + 60.0)
    centre = (canvas.width // 2, round(0.49 * canvas.height))
    plate = Rect(0, 0, round((2 * half_width + 60) * scale), round((2 * half_depth + 60) * scale))
    plate.center = centre
    canvas.panel(plate, INK, DUSK)

    def at(x_mm: float, y_mm: float) -> tuple[int, int]:
        return (round(centre[0] + x_mm * scale), round(centre[1] - y_mm * scale))

    for x in (-half_width, half_width):
        for y in (-half_depth, half_depth):
            pygame.draw.circle(surface, DUSK, at(x, y), canvas.px(0.02))
    radius = canvas.px(0.045)
    for index, spot in enumerate(guide.spots):
        place = at(spot.x_mm, spot.y_mm)
        if index < len(guide.placed):
            # Done: a full disc with a tick, so that the shape tells it too.
            pygame.draw.circle(surface, SKY, place, radius)
            x, y = place
            r = radius // 2
            tick = [(x - r, y), (x - r // 4, y + r), (x + r, y - r)]
            pygame.draw.lines(surface, INK, False, tick, max(2, canvas.px(0.009)))
        elif index == len(guide.placed) and guide.empty is not None:
            side = Rect(0, 0, 2 * radius, 2 * radius)
            side.center = place
            pygame.draw.rect(surface, GOLD, side, border_radius=radius // 3)
            canvas.text(f"{guide.mass_kg:g}", side, size=0.05, colour=INK)
        else:
            pygame.draw.circle(surface, MIST, place, radius, max(2, canvas.px(0.006)))
    front = Rect(plate.x, plate.y - canvas.px(0.075), plate.width, canvas.px(0.06))
    canvas.text("front", front, size=0.052, colour=PAPER)
