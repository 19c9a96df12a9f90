"""The opening screen as it is drawn: the gym's state in words and signs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.before import coach_note, draw_before
from swaytrainer.games.canvas import MAIN_SHARE, Align, Canvas, fitting, font, wrap
from swaytrainer.games.gym import Action, GymState, Row, places, row_area
from swaytrainer.games.palette import (
    DUSK,
    GOLD,
    INK,
    MIST,
    NIGHT,
    ORANGE,
    PAPER,
    SKY,
    Colour,
    blend,
)
from swaytrainer.games.sprites import bead, guest
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import Name, say, tr

#: A page of what is too long for its place stands so long.
PAGE_S: Final = 4.0


def _arrow(canvas: Canvas, area: Rect, left: bool, live: bool) -> None:
    colour = PAPER if live else DUSK
    pygame.draw.rect(canvas.surface, NIGHT, area, border_radius=canvas.px(0.015))
    reach = canvas.px(0.034)
    sign = -1 if left else 1
    x, y = area.center
    pygame.draw.polygon(
        canvas.surface,
        colour,
        [
            (x + sign * reach, y),
            (x - sign * reach * 0.7, y - reach),
            (x - sign * reach * 0.7, y + reach),
        ],
    )


def _paged(
    canvas: Canvas, texts: Sequence[tuple[str, Colour]], area: Rect, shown_s: float, lines: int,
    align: Align = "centre",
) -> None:  # fmt: skip
    """Texts in turn, each over as many pages as it needs: nothing is ever cut."""
    face = font(math.ceil(canvas.height * MAIN_SHARE))
    tall = math.ceil(1.2 * face.get_height())  # capitals with accents
    pages: list[tuple[list[str], int, Colour]] = []
    for text, colour in texts:
        rows = [
            row
            for row in wrap(tr(text), face, area.width)
            for row in fitting(row, face, area.width)
        ]
        pitch = face.get_height() if "".join(rows).isascii() else tall
        room = max(1, min(lines, area.height // pitch))
        # The last page is as full as the others: nobody makes sense of a word alone.
        begins = range(0, len(rows), room)
        last = max(0, len(rows) - room)
        pages += [(rows[min(n, last) : min(n, last) + room], pitch, colour) for n in begins]
    if not pages:
        return
    rows, pitch, colour = pages[int(shown_s / PAGE_S) % len(pages)]
    for n, row in enumerate(rows):
        line = Rect(area.x, area.y + n * pitch, area.width, pitch)
        canvas.text(row, line, colour=colour, align=align, upright="top", name=True)


def _draw_board_line(canvas: Canvas, state: GymState) -> None:
    area = canvas.area(0.06, 0.108, 0.94, 0.288)
    colour = SKY if state.board_ok else ORANGE
    canvas.panel(area, INK, colour)
    size = canvas.px(0.06)
    x = area.x + canvas.px(0.03)
    top = area.y + canvas.px(0.014)
    if state.board_ok:
        canvas.surface.blit(bead(size, SKY), (x, top + canvas.px(0.002)))
    else:
        pygame.draw.polygon(
            canvas.surface, ORANGE, [(x + size / 2, top), (x + size, top + size), (x, top + size)]
        )
    text_x = x + size + canvas.px(0.025)
    width = area.right - text_x - canvas.px(0.03)
    line = Rect(text_x, area.y + canvas.px(0.01), width, canvas.px(0.06))
    if not _fits(canvas, state.board_line, width):
        # One after the other, each in the whole panel.
        both = ((state.board_line, colour), (state.what_to_do, PAPER))
        whole = Rect(text_x, line.y, width, area.bottom - line.y - canvas.px(0.006))
        _paged(canvas, both, whole, state.shown_s, 3, "left")
        return
    canvas.text(state.board_line, line, size=0.06, colour=colour, align="left", upright="top")
    rest = Rect(text_x, line.bottom, width, area.bottom - line.bottom - canvas.px(0.006))
    _paged(canvas, ((state.what_to_do, PAPER),), rest, state.shown_s, 2, "left")


def _fits(canvas: Canvas, words: str, width: int) -> bool:
    """Whether words at the least legible size fit on one line."""
    return font(math.ceil(canvas.height * MAIN_SHARE)).size(tr(words))[0] <= width


def _draw_spotter(canvas: Canvas, area: Rect, spotter: bool) -> None:
    """Whether somebody stands by: a filled sign or a hollow one, and the key that changes it."""
    canvas.panel(area, INK, ORANGE if spotter else DUSK)
    size = canvas.px(0.05)
    sign = Rect(area.x + canvas.px(0.02), area.centery - size // 2, size, size)
    colour = ORANGE if spotter else MIST
    for part in (
        Rect(sign.centerx - size // 6, sign.y, size // 3, size // 3),
        Rect(sign.x + size // 6, sign.y + size * 2 // 5, size * 2 // 3, size * 3 // 5),
    ):
        pygame.draw.rect(
            canvas.surface, colour, part, 0 if spotter else max(2, canvas.px(0.005)),
            border_radius=size // 6,
        )  # fmt: skip
    words = Rect(sign.right + canvas.px(0.02), area.y, area.right - sign.right - canvas.px(0.03),
                 area.height)  # fmt: skip
    text = "S: spotter here" if spotter else "S: no spotter"
    canvas.text(text, words, size=0.055, colour=colour, align="left")


def draw_gym_screen(canvas: Canvas, state: GymState) -> None:
    """The whole opening screen, or the cautions while they are read."""
    if state.reading and state.level is not None:
        caution = state.vaulter.caution if state.vaulter else ""
        draw_before(canvas, state.level, state.on_board, state.shown_s, caution)
        return
    canvas.begin()
    canvas.surface.fill(NIGHT)
    title = state.title or "swaytrainer"
    if len(state.calls) > 1:
        title = tr(say("then {name}", name=Name(state.calls[1])))
    canvas.text(title, canvas.area(0.06, 0.02, 0.47, 0.1), size=0.075, align="left", name=True)
    spots = places(canvas)
    _draw_spotter(canvas, spots[Action.SPOTTER], state.spotter)
    _draw_board_line(canvas, state)
    for row in (Row.VAULTER, Row.LEVEL):
        area = row_area(canvas, row)
        canvas.panel(area, INK, GOLD if state.row is row else DUSK)
    _arrow(canvas, spots[Action.VAULTER_BEFORE], True, len(state.vaulters) > 1)
    _arrow(canvas, spots[Action.VAULTER_AFTER], False, len(state.vaulters) > 1)
    _arrow(canvas, spots[Action.LEVEL_BEFORE], True, len(state.levels) > 1)
    _arrow(canvas, spots[Action.LEVEL_AFTER], False, len(state.levels) > 1)
    _draw_vaulter(canvas, state, row_area(canvas, Row.VAULTER))
    _draw_level(canvas, state, row_area(canvas, Row.LEVEL).inflate(-canvas.px(0.36), 0))
    go = spots[Action.START]
    fill = GOLD if state.can_go else blend(INK, DUSK, 0.5)
    pygame.draw.rect(canvas.surface, fill, go, border_radius=canvas.px(0.03))
    if state.row is Row.GO:
        around = go.inflate(canvas.px(0.016), canvas.px(0.016))
        pygame.draw.rect(
            canvas.surface, PAPER, around, max(2, canvas.px(0.005)), border_radius=canvas.px(0.036)
        )
    canvas.text(
        "GO", go.inflate(-canvas.px(0.04), 0), size=0.1, colour=INK if state.can_go else MIST
    )
    _draw_guests(canvas, go)
    hint = "or just step on the board"
    if not state.can_go:
        hint = "waiting for the board"
    elif state.called:
        hint = "your turn: step on the board – M: not here"
    elif state.due:
        hint = "first what to beware of, then you step on"
    canvas.text(hint, canvas.area(0.06, 0.92, 0.94, 0.99), size=0.055, colour=MIST)


def _draw_vaulter(canvas: Canvas, state: GymState, area: Rect) -> None:
    """Who trains; below it the coach's note, and how much it was or why to stop."""
    inner = area.inflate(-canvas.px(0.36), -canvas.px(0.012))
    told = state.stop or state.dose
    caution = state.vaulter.caution if state.vaulter else ""
    foot = canvas.px(0.062) if told or caution else 0
    name = Rect(inner.x, inner.y, inner.width, inner.height - foot)
    canvas.text(
        state.vaulter.name if state.vaulter else "No vaulter yet",
        name, size=0.085, lines=2, name=state.vaulter is not None,
    )  # fmt: skip
    rest = Rect(inner.x, inner.bottom - foot, inner.width, foot)
    colour = ORANGE if state.stop else MIST
    parts = [told] if state.stop or _fits(canvas, told, inner.width) else tr(told).split(" · ")
    said: list[tuple[str, Colour]] = [(coach_note(caution), ORANGE)] if caution else []
    said += [(part, colour) for part in parts if part]
    _paged(canvas, said, rest, state.shown_s, 1)


def _draw_level(canvas: Canvas, state: GymState, area: Rect) -> None:
    level = state.level
    title = Rect(area.x, area.y + canvas.px(0.004), area.width, canvas.px(0.076))
    if level is None:
        canvas.text("No level yet", title, size=0.075)
        return
    canvas.text(level.title, title, size=0.075)
    facts = say(
        "{base} · eyes {eyes} · {trials} × {seconds:g} s · spotter"
        if needs_spotter(level)
        else "{base} · eyes {eyes} · {trials} × {seconds:g} s",
        base=level.base,
        eyes=level.eyes,
        trials=level.trials,
        seconds=level.seconds,
    )
    line = Rect(area.x, title.bottom, area.width, canvas.px(0.106))
    colour = ORANGE if needs_spotter(level) else SKY
    canvas.text(facts, line, size=0.052, colour=colour, upright="top", lines=2)
    # Each of these in turn, in the pages it needs; a broken file comes first.
    rest = places(canvas)[Action.SUGGESTED]
    _paged(canvas, _said(state, level), rest, state.shown_s, 2)


def _said(state: GymState, level: Level) -> list[tuple[str, Colour]]:
    """What stands below a level: trouble with files, what comes next, what is asked."""
    said: list[tuple[str, Colour]] = [(note, ORANGE) for note in state.notes]
    said += [(Name(state.title), PAPER)] if state.title else []
    told = state.suggestion
    if told is not None and told.level.id != level.id:
        said.append((say("N: {title}. {why}", title=told.level.title, why=told.reason), GOLD))
    elif told is not None:
        said.append((told.reason, PAPER))
    said.append((level.purpose, MIST))
    return said


def _draw_guests(canvas: Canvas, go: Rect) -> None:
    """Somebody waits on either side of the button."""
    size = canvas.px(0.12)
    step = round(size * 1.15)
    y = go.centery - size // 2
    for k, kind in enumerate(("duckling", "frog")):
        canvas.surface.blit(guest(kind, size), (go.left - (k + 1) * step - canvas.px(0.03), y))
    for k, kind in enumerate(("carp", "turtle")):
        canvas.surface.blit(guest(kind, size), (go.right + k * step + canvas.px(0.05), y))
