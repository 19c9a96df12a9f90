"""The hall's scoreboard: who stands where, the last mark, who is next. Read from the last row."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from pygame import Rect, Surface

from swaytrainer.games.canvas import Align, Canvas, begin_on
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER, SKY, Colour
from swaytrainer.words import Name, number, say

#: The least line height, as a share of the screen's: a hall is deeper than a gym.
LEAST: Final = 1 / 14
#: Rows on a page.
ROWS: Final = 6
_TOP, _BOTTOM = 0.215, 0.695


@dataclass(frozen=True, slots=True)
class Row:
    """One line.

    Attributes:
        place: as it is shown; a dash without one.
        name: of a vaulter or a team.
        cells: what stands in the columns behind.
        close: the place can't be told from a neighbour's.
        fresh: it is whose trial was the last.
    """

    place: str
    name: str
    cells: tuple[str, ...]
    close: bool = False
    fresh: bool = False


@dataclass(frozen=True, slots=True)
class Page:
    """A class, or a part of it; or the teams.

    Attributes:
        title: above it; a name.
        heads: above the columns behind the name.
        rows: at most ``ROWS``.
        number, of: of the pages with this title.
    """

    title: str
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    number: int = 1
    of: int = 1


@dataclass(frozen=True, slots=True)
class Last:
    """The last trial: whose, what it was for, and its mark or why there is none."""

    name: str
    turn: str
    mark: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class BoardState:
    """All that the scoreboard shows.

    Attributes:
        title: of the contest; a name.
        pages: of the classes in their order, then of the teams.
        last: the last trial; None before the first.
        coming: who is next, and then, with what for.
        note: what is wrong with the file or the time; empty otherwise.
    """

    title: str
    pages: tuple[Page, ...]
    last: Last | None = None
    coming: tuple[tuple[str, str], ...] = ()
    note: str = ""


def draw_scoreboard(surface: Surface, state: BoardState, at: int) -> Canvas:
    """The whole screen.

    Args:
        surface: to draw on.
        state: what it shows.
        at: the page, from 0; past the last it begins anew.

    Returns:
        The canvas, for the tests.
    """
    canvas = begin_on(surface, NIGHT)
    head = canvas.area(0.02, 0.005, 0.98, 0.1)
    page = state.pages[at % len(state.pages)] if state.pages else None
    if page is not None and page.of > 1:
        parts = Rect(head.right - canvas.px(0.15), head.y, canvas.px(0.15), head.height)
        _say(canvas, f"{page.number}/{page.of}", parts, GOLD, align="right", name=True)
        head.width -= parts.width
    if state.note:
        _say(canvas, state.note, head, ORANGE)
    elif page is not None:
        _say(canvas, page.title, head, GOLD, name=True)
    if page is not None:
        _draw_page(canvas, page, state.title)
    _draw_last(canvas, state)
    _draw_coming(canvas, state)
    return canvas


def _say(
    canvas: Canvas, words: str, area: Rect, colour: Colour, size: float = LEAST,
    align: Align = "left", name: bool = False, lines: int = 1,
) -> None:  # fmt: skip
    canvas.text(
        words, area, size=size, colour=colour, align=align, name=name, lines=lines, least=LEAST
    )


def _columns(canvas: Canvas, area: Rect, count: int) -> tuple[Rect, Rect, list[Rect]]:
    """Where place, name and the cells behind stand in a row."""
    place = Rect(area.x, area.y, canvas.px(0.15), area.height)
    width = canvas.px(0.28)
    cells = [
        Rect(area.right - (count - n) * width, area.y, width, area.height) for n in range(count)
    ]
    left = place.right + canvas.px(0.015)
    end = (cells[0].x if cells else area.right) - canvas.px(0.01)
    return place, Rect(left, area.y, end - left, area.height), cells


def _draw_page(canvas: Canvas, page: Page, contest: str) -> None:
    head = canvas.area(0.02, 0.105, 0.98, 0.2)
    _, _, cells = _columns(canvas, head, len(page.heads))
    room = Rect(head.x, head.y, (cells[0].x if cells else head.right) - head.x, head.height)
    _say(canvas, contest, room, MIST, name=True)
    for words, cell in zip(page.heads, cells, strict=True):
        _say(canvas, words, cell, MIST, align="right")
    height = round((_BOTTOM - _TOP) * canvas.height / ROWS)
    for n, row in enumerate(page.rows):
        top = round(_TOP * canvas.height) + n * height
        line = Rect(head.x, top, head.width, height - canvas.px(0.004))
        if row.fresh:
            # A frame, not a colour alone, says whose mark is new.
            canvas.panel(line.inflate(canvas.px(0.012), 0), INK, GOLD)
        # An accent on a capital needs room above, or the name stands lower than its marks.
        place, name, cells = _columns(canvas, line.inflate(0, canvas.px(0.02)), len(row.cells))
        _say(canvas, f"{row.place}{'~' if row.close else ''}", place, GOLD, align="right",
             name=True)  # fmt: skip
        _say(canvas, row.name, name, PAPER, name=True)
        for n_cell, (words, cell) in enumerate(zip(row.cells, cells, strict=True)):
            _say(canvas, words, cell, PAPER if n_cell == 0 else SKY, align="right", name=True)
    if any(row.close for row in page.rows) and len(page.rows) < ROWS:
        top = round(_TOP * canvas.height) + len(page.rows) * height
        legend = Rect(head.x, top, head.width, height)
        _say(canvas, "~ too close to tell apart", legend, MIST)


def _draw_last(canvas: Canvas, state: BoardState) -> None:
    area = canvas.area(0.02, 0.71, 0.495, 0.985)
    canvas.panel(area, INK, DUSK)
    inner = area.inflate(-canvas.px(0.03), -canvas.px(0.016))
    last = state.last
    if last is None:
        _say(canvas, "No trial yet", inner, MIST, lines=2)
        return
    top = Rect(inner.x, inner.y, inner.width, canvas.px(0.08))
    _say(canvas, last.name, top, PAPER, name=True)
    rest = Rect(inner.x, top.bottom, inner.width, inner.bottom - top.bottom)
    if last.mark is None:
        # Its reason stands on the gym's screen, which is read from near.
        _say(canvas, "No mark: once more", rest, ORANGE, lines=2)
        return
    mark = Rect(rest.x, rest.y, canvas.px(0.235), rest.height)
    canvas.text(number(last.mark, ".1f"), mark, size=0.13, colour=GOLD, least=LEAST, name=True)
    turn = Rect(mark.right + canvas.px(0.01), rest.y, rest.right - mark.right, rest.height)
    _say(canvas, last.turn, turn.inflate(-canvas.px(0.01), 0), MIST, lines=2)


def _draw_coming(canvas: Canvas, state: BoardState) -> None:
    area = canvas.area(0.505, 0.71, 0.98, 0.985)
    canvas.panel(area, INK, DUSK)
    inner = area.inflate(-canvas.px(0.03), -canvas.px(0.016))
    row = inner.height // 3
    if not state.coming:
        # Nobody is called outside of its time either: the note says so.
        nobody = "" if state.note else "All have done their trials"
        _say(canvas, nobody, inner, SKY, lines=3)
        return
    (first, turn), *others = state.coming
    lines: list[tuple[str, Colour]] = [
        (say("Now: {name}", name=Name(first)), GOLD), (turn, MIST),
    ]  # fmt: skip
    if others:
        lines.append((say("then {name}", name=Name(others[0][0])), PAPER))
    for n, (words, colour) in enumerate(lines):
        _say(canvas, words, Rect(inner.x, inner.y + n * row, inner.width, row), colour)
