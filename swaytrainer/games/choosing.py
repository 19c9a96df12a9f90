"""The screen to choose from: a ring of entries, and what the board is understanding right now."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas, Sizes
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, Colour
from swaytrainer.training.choosing import ChoosingView, Entry, Move
from swaytrainer.training.gesture import Gesture, Readiness
from swaytrainer.words import say

KEYS: Final[dict[int, Move]] = {
    pygame.K_LEFT: Move.BEFORE,
    pygame.K_RIGHT: Move.AFTER,
    pygame.K_UP: Move.BEFORE,
    pygame.K_DOWN: Move.AFTER,
    pygame.K_RETURN: Move.TAKE,
    pygame.K_KP_ENTER: Move.TAKE,
    pygame.K_SPACE: Move.TAKE,
    pygame.K_ESCAPE: Move.BACK,
}

_TROUBLED: Final = (Readiness.MOVING, Readiness.ELSEWHERE)


def places(sizes: Sizes, entries: int) -> dict[int | Move, Rect]:
    """Where a pointer or a finger does what: a move, or how far from the middle an entry is.

    Args:
        sizes: of the screen.
        entries: how many there are; a neighbour is only there if there is one.
    """
    spots: dict[int | Move, Rect] = {
        Move.BEFORE: sizes.area(0.03, 0.31, 0.145, 0.555),
        Move.AFTER: sizes.area(0.855, 0.31, 0.97, 0.555),
        Move.BACK: sizes.area(0.78, 0.025, 0.97, 0.125),
        0: sizes.area(0.17, 0.285, 0.83, 0.58),
    }
    if entries > 1:
        spots[1] = sizes.area(0.17, 0.6, 0.83, 0.69)
    if entries > 2:
        spots[-1] = sizes.area(0.17, 0.175, 0.83, 0.265)
    return spots


def hit(size: tuple[int, int], place: tuple[int, int], view: ChoosingView) -> Move | int | None:
    """What is under a pixel: a move, the index of an entry, or nothing."""
    entries = len(view.question.entries)
    for spot, area in places(Sizes(*size), entries).items():
        if area.collidepoint(place):
            return spot if isinstance(spot, Move) else (view.chosen + spot) % entries
    return None


#: More than so many choices are told as a number.
_DOTS: Final = 7


@lru_cache(maxsize=1)
def _canvas_of(surface: Surface) -> Canvas:
    return Canvas(surface)


def draw_choosing(surface: Surface, view: ChoosingView) -> Canvas:
    """One frame.

    Args:
        surface: to draw on; all sizes follow its height.
        view: of a ``Chooser``.

    Returns:
        The canvas, for the tests.
    """
    canvas = _canvas_of(surface)
    canvas.begin()
    surface.fill(NIGHT)
    spots = places(canvas, len(view.question.entries))
    canvas.text(view.question.words, canvas.area(0.03, 0.025, 0.6, 0.125), size=0.085, align="left")
    _draw_count(canvas, canvas.area(0.6, 0.025, 0.77, 0.125), view)
    _draw_back(canvas, spots[Move.BACK], view)
    for spot in (-1, 1):
        if spot in spots:
            _draw_neighbour(canvas, spots[spot], _entry(view, spot))
    _draw_chosen(canvas, spots[0], view)
    live = len(view.question.entries) > 1
    for move, gesture in ((Move.BEFORE, Gesture.LEFT), (Move.AFTER, Gesture.RIGHT)):
        share = view.progress if view.saying is gesture else 0.0
        _draw_side(canvas, spots[move], move is Move.BEFORE, live, share)
    _draw_knees(canvas, canvas.area(0.03, 0.71, 0.2, 0.97), view)
    _draw_understood(canvas, view)
    return canvas


def _entry(view: ChoosingView, by: int) -> Entry:
    entries = view.question.entries
    return entries[(view.chosen + by) % len(entries)]


def _draw_count(canvas: Canvas, area: Rect, view: ChoosingView) -> None:
    """Which of how many: dots where they fit, for "1 of 3" beside a name reads as her trial."""
    many = len(view.question.entries)
    if many > _DOTS:
        count = say("{n} of {all}", n=view.chosen + 1, all=many)
        canvas.text(count, area, size=0.055, colour=MIST)
        return
    step = area.width / _DOTS
    left = area.centerx - step * (many - 1) / 2
    for n in range(many):
        here = n == view.chosen % many
        radius = canvas.px(0.013 if here else 0.008)
        spot = (round(left + n * step), area.centery)
        pygame.draw.circle(canvas.surface, GOLD if here else MIST, spot, radius)


def _draw_back(canvas: Canvas, area: Rect, view: ChoosingView) -> None:
    leaving = view.saying is Gesture.STEP_OFF
    canvas.panel(area, INK, GOLD if leaving else DUSK)
    ring = Rect(0, 0, canvas.px(0.06), canvas.px(0.06))
    ring.midleft = (area.x + canvas.px(0.02), area.centery)
    _ring(canvas, ring, view.progress if leaving else 0.0)
    word = Rect(ring.right, area.y, area.right - ring.right, area.height)
    canvas.text("Back", word, size=0.06, colour=GOLD if leaving else MIST)


def _draw_neighbour(canvas: Canvas, area: Rect, entry: Entry) -> None:
    canvas.text(entry.title, area, size=0.06, colour=MIST, name=entry.is_name)


def _draw_chosen(canvas: Canvas, area: Rect, view: ChoosingView) -> None:
    entry = view.entry
    canvas.panel(area, INK, GOLD)
    pygame.draw.rect(
        canvas.surface, GOLD, area, max(2, canvas.px(0.007)), border_radius=canvas.px(0.022)
    )
    inner = area.inflate(-canvas.px(0.05), -canvas.px(0.02))
    if not entry.note:
        canvas.text(entry.title, inner, size=0.13, lines=2, name=entry.is_name)
        return
    title = Rect(inner.x, inner.y, inner.width, round(0.7 * inner.height))
    canvas.text(entry.title, title, size=0.1, lines=2, name=entry.is_name)
    note = Rect(inner.x, title.bottom, inner.width, inner.bottom - title.bottom - canvas.px(0.01))
    canvas.text(entry.note, note, size=0.06, colour=SKY)
    if view.still > 0.0:
        # How long it takes yet until standing still is an answer: a bar along the lower edge.
        bar = Rect(area.x, area.bottom - canvas.px(0.022), area.width, canvas.px(0.022))
        pygame.draw.rect(canvas.surface, DUSK, bar)
        bar.width = round(view.still * bar.width)
        pygame.draw.rect(canvas.surface, GOLD, bar)


def _draw_side(canvas: Canvas, area: Rect, left: bool, live: bool, share: float) -> None:
    """An arrow in a ring that fills while somebody leans there."""
    side = min(area.size)
    ring = Rect(0, 0, side, side)
    ring.center = area.center
    pygame.draw.circle(canvas.surface, INK, ring.center, side // 2)
    _ring(canvas, ring, share)
    sign = -1 if left else 1
    x, y = ring.center
    reach = side * 0.26
    colour = DUSK if not live else GOLD if share > 0.0 else PAPER
    points = [
        (x + sign * reach, y),
        (x - sign * reach * 0.7, y - reach),
        (x - sign * reach * 0.7, y + reach),
    ]
    pygame.draw.polygon(canvas.surface, colour, points)


def _ring(canvas: Canvas, ring: Rect, share: float) -> None:
    """A circle of which a share, from the top and clockwise, is gold and thick."""
    centre, radius = ring.center, min(ring.size) // 2
    pygame.draw.circle(canvas.surface, DUSK, centre, radius, max(2, canvas.px(0.005)))
    if share <= 0.0:
        return
    # A polygon, since pygame's thick arcs have holes.
    thick = max(3, radius // 5)
    turns = [math.tau * share * n / 48 - 0.5 * math.pi for n in range(49)]
    outer = [(centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in turns]
    inside = radius - thick
    inner = [(centre[0] + inside * math.cos(a), centre[1] + inside * math.sin(a)) for a in turns]
    pygame.draw.polygon(canvas.surface, GOLD, outer + inner[::-1])


def _draw_knees(canvas: Canvas, area: Rect, view: ChoosingView) -> None:
    """Somebody who bends the knees, twice; what was done of it is gold."""
    under_way = view.saying is Gesture.BENDS
    canvas.panel(area, INK, GOLD if under_way else DUSK)
    word = Rect(area.x, area.y + canvas.px(0.01), area.width, canvas.px(0.06))
    canvas.text("2 ×", word, size=0.055, colour=GOLD if under_way else MIST)
    for n in range(2):
        part = Rect(area.x + n * area.width // 2, word.bottom, area.width // 2, 0)
        part.height = area.bottom - word.bottom
        done = under_way and view.bends > n
        now = under_way and view.bends == n
        _draw_figure(canvas, part, GOLD if done else PAPER if now else MIST, now)


def _draw_figure(canvas: Canvas, area: Rect, colour: Colour, busy: bool) -> None:
    """From the side: head, trunk, bent leg, and an arrow down and up."""
    unit = min(area.width / 7.6, area.height / 12.0)
    x, floor = area.centerx - 1.3 * unit, area.bottom - 1.2 * unit
    thick = max(3, round(0.75 * unit))
    ankle = (x - 0.4 * unit, floor)
    knee = (x + 1.5 * unit, floor - 2.3 * unit)
    hip = (x - 1.3 * unit, floor - 3.9 * unit)
    neck = (x - 0.2 * unit, floor - 7.3 * unit)
    joints = [(x + 1.6 * unit, floor), ankle, knee, hip, neck]
    for one, other in pairwise(joints):
        pygame.draw.line(canvas.surface, colour, one, other, thick)
    for joint in joints:
        pygame.draw.circle(canvas.surface, colour, joint, thick // 2)
    head = (neck[0] + 0.3 * unit, neck[1] - 1.3 * unit)
    pygame.draw.circle(canvas.surface, colour, head, round(1.2 * unit))
    at_x = x + 3.4 * unit
    tall, wing = (2.6 if busy else 2.0) * unit, 0.9 * unit
    middle = floor - 4.6 * unit
    pygame.draw.line(
        canvas.surface, colour, (at_x, middle - tall), (at_x, middle + tall), max(2, thick // 2)
    )
    for sign in (-1, 1):
        tip = middle + sign * (tall + wing)
        base = middle + sign * tall * 0.9
        pygame.draw.polygon(
            canvas.surface, colour, [(at_x, tip), (at_x - wing, base), (at_x + wing, base)]
        )


def _draw_understood(canvas: Canvas, view: ChoosingView) -> None:
    """What was understood last, and what to do."""
    area = canvas.area(0.22, 0.71, 0.97, 0.97)
    troubled = view.state in _TROUBLED
    canvas.panel(area, INK, ORANGE if troubled else DUSK)
    inner = area.inflate(-canvas.px(0.04), -canvas.px(0.012))
    heard = Rect(inner.x, inner.y, inner.width, round(0.44 * inner.height))
    hint = Rect(inner.x, heard.bottom, inner.width, inner.bottom - heard.bottom)
    if view.understood:
        canvas.text(view.understood, heard, size=0.085, colour=GOLD, align="left")
    else:
        hint = inner
    colour = ORANGE if troubled else PAPER
    canvas.text(view.hint, hint, size=0.056, colour=colour, align="left", lines=3)
