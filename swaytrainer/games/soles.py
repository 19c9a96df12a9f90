"""The board and the two soles from above, and the way of the weight over them, in mm."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import pygame
from pygame import SRCALPHA, Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import (
    DUSK,
    INK,
    LANE,
    LANE_EDGE,
    MIST,
    NIGHT,
    ORANGE,
    PAPER,
    Colour,
    blend,
)
from swaytrainer.sway.feet import Feet
from swaytrainer.sway.outline import outline_mm, toe_share_y_mm
from swaytrainer.training.vaulter import Vaulter
from swaytrainer.words import say

Path = Sequence[tuple[float, float]]


def on_the_marks(vaulter: Vaulter) -> Feet:
    """Feet with their middles on the board's cross line, where nobody has said otherwise."""
    length = vaulter.foot_length_mm
    return Feet.from_length(length, vaulter.stance_width_mm, heel_line_y_mm=-length / 2)


class Sheet(NamedTuple):
    """From millimetres on the board to pixels of a picture; y forward is up."""

    x_px: float
    y_px: float
    px_per_mm: float

    def at(self, x_mm: float, y_mm: float) -> tuple[float, float]:
        """The pixel of a place on the board."""
        return (self.x_px + x_mm * self.px_per_mm, self.y_px - y_mm * self.px_per_mm)

    @classmethod
    def around(cls, area: Rect, feet: Feet, room: float = 1.12) -> Sheet:
        """The largest scale at which both soles fit into the area."""
        points = outline_mm(feet, -1) + outline_mm(feet, 1)
        xs, ys = [p[0] for p in points], [p[1] for p in points]
        wide, tall = max(xs) - min(xs), max(ys) - min(ys)
        scale = min(area.width / wide, area.height / tall) / room
        return cls(
            area.centerx - (max(xs) + min(xs)) / 2 * scale,
            area.centery + (max(ys) + min(ys)) / 2 * scale,
            scale,
        )


def draw_soles(
    surface: Surface, sheet: Sheet, feet: Feet, fill: Colour, edge: Colour, edge_px: int
) -> None:
    """Both soles, filled and outlined."""
    for side in (-1, 1):
        points = [sheet.at(*point) for point in outline_mm(feet, side)]
        pygame.draw.polygon(surface, fill, points)
        pygame.draw.lines(surface, edge, True, points, edge_px)


def draw_board(surface: Surface, area: Rect, feet: Feet, lit: bool) -> None:
    """The board with its four cells and the places for the feet; lit while somebody stands."""
    fine = 2
    picture = Surface((area.width * fine, area.height * fine), SRCALPHA)
    whole = picture.get_rect()
    pygame.draw.rect(picture, (120, 88, 58), whole, border_radius=whole.height // 14)
    inner = whole.inflate(-whole.height // 28, -whole.height // 28)
    pygame.draw.rect(picture, (164, 124, 84), inner, border_radius=whole.height // 16)
    for k in range(1, 7):
        y = inner.top + inner.height * k // 7
        grain = (154, 114, 76)
        pygame.draw.line(picture, grain, (inner.left + 6, y), (inner.right - 6, y), 3 * fine)
    for across in (0.07, 0.93):
        for down in (0.1, 0.9):
            centre = (whole.width * across, whole.height * down)
            pygame.draw.circle(picture, (96, 68, 44), centre, whole.height * 0.035)
    sheet = Sheet.around(whole, feet, 1.28)
    fill = PAPER if lit else (228, 206, 176)
    draw_soles(picture, sheet, feet, fill, INK, max(2, whole.height // 90))
    surface.blit(pygame.transform.smoothscale(picture, area.size), area.topleft)


def _pieces(path: Path) -> list[list[tuple[float, float]]]:
    """The path cut at its gaps."""
    pieces: list[list[tuple[float, float]]] = [[]]
    for x, y in path:
        if math.isnan(x) or math.isnan(y):
            pieces.append([])
        else:
            pieces[-1].append((x, y))
    return [piece for piece in pieces if len(piece) > 1]


def _steps(reach: float) -> float:
    """A round number of mm that divides a reach into two to six."""
    for step in (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0):
        if reach / step <= 6:
            return step
    return 200.0


def draw_path(
    canvas: Canvas, area: Rect, path: Path, feet: Feet, band: tuple[float, float]
) -> None:
    """The sway path on its own scale, with the band, axes and a scale bar, and a small inset.

    The inset shows the two soles with the piece of the board that the picture enlarges: sway is
    a few millimetres, and would be a dot on a picture of the feet.

    Args:
        canvas: what to draw on.
        area: where, in pixels.
        path: (x, y) in mm on the board; NaN pairs are gaps.
        feet: where the feet stood.
        band: the toe shares between which the vaulter was to stay, per cent.
    """
    surface = canvas.surface
    canvas.panel(area, NIGHT)
    plot = area.inflate(-canvas.px(0.03), -canvas.px(0.03))
    pieces = _pieces(path)
    low, high = toe_share_y_mm(feet, band[0]), toe_share_y_mm(feet, band[1])
    points = [point for piece in pieces for point in piece] or [
        ((feet.left_x_mm + feet.right_x_mm) / 2, (low + high) / 2)
    ]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    # The whole band is always shown, so that pictures of one level look alike.
    y_from, y_to = min(*ys, low) - 3, max(*ys, high) + 3
    x_from, x_to = min(*xs, -8.0), max(*xs, 8.0)
    scale = min(plot.width / (x_to - x_from) / 1.06, plot.height / (y_to - y_from))
    sheet = Sheet(
        plot.centerx - (x_from + x_to) / 2 * scale,
        plot.centery + (y_from + y_to) / 2 * scale,
        scale,
    )
    before = surface.get_clip()
    surface.set_clip(plot)
    top, bottom = sheet.at(0, high)[1], sheet.at(0, low)[1]
    lane = Rect(plot.left, round(top), plot.width, max(2, round(bottom - top)))
    pygame.draw.rect(surface, LANE, lane)
    thin = max(1, canvas.px(0.003))
    for y in (lane.top, lane.bottom):
        pygame.draw.line(surface, LANE_EDGE, (plot.left, y), (plot.right, y), thin)
    step = _steps(max(plot.width, plot.height) / scale)
    _axes(canvas, plot, sheet, step)
    picture_width = max(2, canvas.px(0.0045))
    for piece in pieces:
        pixels = [sheet.at(*point) for point in piece]
        shadow = [(x + thin, y + thin) for x, y in pixels]
        pygame.draw.lines(surface, INK, False, shadow, picture_width)
        pygame.draw.lines(surface, PAPER, False, pixels, picture_width)
    surface.set_clip(before)
    _scale_bar(canvas, plot, step, scale)
    _inset(
        canvas,
        _free_corner(plot, canvas.px(0.13), [sheet.at(*point) for point in points]),
        feet,
        Rect(0, 0, round(plot.width / scale), round(plot.height / scale)),
        (
            (x_from + x_to) / 2,
            (y_from + y_to) / 2,
        ),
    )


def _axes(canvas: Canvas, plot: Rect, sheet: Sheet, step: float) -> None:
    """Ticks every step: along the bottom for x, along the left for y, with a line at zero."""
    tick = canvas.px(0.012)
    thin = max(1, canvas.px(0.002))
    quiet = blend(MIST, NIGHT, 0.35)
    x_mm = math.ceil((plot.left - sheet.x_px) / sheet.px_per_mm / step) * step
    while (x := sheet.at(x_mm, 0)[0]) < plot.right:
        start = plot.top if x_mm == 0 else plot.bottom - tick
        pygame.draw.line(canvas.surface, quiet, (x, start), (x, plot.bottom), thin)
        x_mm += step
    y_mm = math.ceil((sheet.y_px - plot.bottom) / sheet.px_per_mm / step) * step
    while (y := sheet.at(0, y_mm)[1]) > plot.top:
        end = plot.right if y_mm == 0 else plot.left + tick
        pygame.draw.line(canvas.surface, quiet, (plot.left, y), (end, y), thin)
        y_mm += step


def _scale_bar(canvas: Canvas, plot: Rect, step: float, scale: float) -> None:
    length = round(step * scale)
    height = canvas.px(0.053)
    words = Rect(
        plot.left + canvas.px(0.02), plot.bottom - height - canvas.px(0.022), length, height
    )
    words.width = max(words.width, canvas.px(0.16))
    ground = words.inflate(canvas.px(0.012), 0)
    ground.height += canvas.px(0.014)
    pygame.draw.rect(canvas.surface, INK, ground, border_radius=canvas.px(0.01))
    canvas.text(f"{step:g} mm", words, size=0.05, align="left")
    y = words.bottom
    pygame.draw.line(
        canvas.surface, PAPER, (words.left, y), (words.left + length, y), max(2, canvas.px(0.006))
    )


def _free_corner(plot: Rect, side: int, pixels: list[tuple[float, float]]) -> Rect:
    """The corner of the plot where the least of the path would be covered; not the scale bar's."""
    corners = [
        Rect(plot.right - side, plot.top, side, side),
        Rect(plot.left, plot.top, side, side),
        Rect(plot.right - side, plot.bottom - side, side, side),
    ]
    return min(corners, key=lambda corner: sum(corner.collidepoint(p) for p in pixels))


def _inset(
    canvas: Canvas, area: Rect, feet: Feet, seen_mm: Rect, centre_mm: tuple[float, float]
) -> None:
    pygame.draw.rect(canvas.surface, INK, area, border_radius=canvas.px(0.01))
    sheet = Sheet.around(area, feet, 1.2)
    draw_soles(canvas.surface, sheet, feet, blend(DUSK, MIST, 0.2), MIST, max(1, canvas.px(0.002)))
    x, y = sheet.at(*centre_mm)
    window = Rect(0, 0, seen_mm.width * sheet.px_per_mm, seen_mm.height * sheet.px_per_mm)
    window.center = (round(x), round(y))
    pygame.draw.rect(canvas.surface, ORANGE, window.clip(area), max(1, canvas.px(0.003)))


def band_words(low: float, high: float) -> str:
    """The band in words for a caption.

    >>> band_words(35.0, 50.0)
    'toe share 35–50 %'
    """
    return say("toe share {low:g}–{high:g} %", low=low, high=high)
