"""The screens around the game: step on, stand still, three-two-one, come back, rest, the end."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect

from swaytrainer.games.canvas import MAIN_SHARE, Canvas, fitting, font, wrap
from swaytrainer.games.frame import (
    draw_beads,
    draw_best,
    draw_ground,
    draw_head,
    mark_words,
    seconds_words,
    share_done,
)
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, ORANGE, PAPER, SKY, blend
from swaytrainer.games.soles import draw_board
from swaytrainer.games.sprites import chevron, star
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter, reasons
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.words import say, tr

PAGE_S = 7.0


def _board_area(canvas: Canvas, left: float, right: float) -> Rect:
    area = canvas.area(left, 0.14, right, 0.93)
    height = min(area.height, round(area.width * 0.78))
    return Rect(area.x, area.centery - height // 2, area.width, height)


def _paragraphs(canvas: Canvas, texts: tuple[str, ...], area: Rect) -> list[list[list[str]]]:
    """Pages of texts, each broken into lines, at the least legible size."""
    face = font(math.ceil(canvas.height * MAIN_SHARE))
    gap = canvas.px(0.016)
    pages: list[list[list[str]]] = [[]]
    used = 0
    for text in texts:
        rows = [
            row for line in wrap(tr(text), face, area.width)
            for row in fitting(line, face, area.width)
        ]  # fmt: skip
        room = max(1, area.height // face.get_height())
        # What is longer than a page, a coach's note in a narrow panel, goes on upon the next.
        for part in (rows[n : n + room] for n in range(0, len(rows), room)):
            height = len(part) * face.get_height()
            if pages[-1] and used + height > area.height:
                pages.append([])
                used = 0
            pages[-1].append(part)
            used += height + gap
    return pages


def draw_caution_panel(
    canvas: Canvas, title: str, texts: tuple[str, ...], area: Rect, now_s: float
) -> None:
    """What to beware of, on a panel, a page at a time where it is much.

    Args:
        canvas: to draw on.
        title: above the texts.
        texts: a sentence or two each.
        area: of the panel.
        now_s: since it was first shown; each page stands for ``PAGE_S``.
    """
    canvas.panel(area)
    inner = area.inflate(-canvas.px(0.06), -canvas.px(0.03))
    head = Rect(inner.x, inner.y, inner.width, canvas.px(0.066))
    body = Rect(
        inner.x + canvas.px(0.045),
        head.bottom + canvas.px(0.014),
        inner.width - canvas.px(0.045),
        inner.bottom - head.bottom - canvas.px(0.014),
    )
    pages = _paragraphs(canvas, texts, body)
    page = int(now_s / PAGE_S) % len(pages)
    if len(pages) > 1:
        title = say("{title} {n}/{all}", title=title, n=page + 1, all=len(pages))
    canvas.text(title, head, size=0.06, colour=ORANGE, align="left")
    line_px = font(math.ceil(canvas.height * MAIN_SHARE)).get_height()
    y = body.y
    for rows in pages[page]:
        mark = Rect(inner.x, y + line_px // 2 - canvas.px(0.01), canvas.px(0.02), canvas.px(0.02))
        pygame.draw.rect(canvas.surface, ORANGE, mark, border_radius=canvas.px(0.005))
        block = Rect(body.x, y, body.width, min(len(rows) * line_px, body.bottom - y))
        canvas.text(
            " ".join(rows), block, size=MAIN_SHARE, align="left", upright="top", lines=len(rows),
            name=True,
        )  # fmt: skip
        y += len(rows) * line_px + canvas.px(0.016)


def caution_texts(level: Level) -> tuple[str, ...]:
    """What to beware of on a level: who must stand by and why, then what its file says."""
    if not needs_spotter(level):
        return level.cautions
    return ("A spotter stands beside you.", *reasons(level), *level.cautions)


def draw_waiting(canvas: Canvas, view: View, feet: Feet, now_s: float) -> None:
    """Step on: where the feet go, and before the first trial what to beware of."""
    draw_ground(canvas)
    draw_head(canvas, view)
    first = view.trial <= 1 and (bool(view.level.cautions) or view.level.spotter)
    # On a narrow screen the words need the room more than the picture does.
    wide = canvas.width > 1.5 * canvas.height
    edge = (0.41 if wide else 0.34) if first else 0.5
    board = _board_area(canvas, 0.025, edge)
    draw_board(canvas.surface, board, feet, lit=False)
    # The arrowhead sinks towards the board slowly: an invitation, not an alarm.
    size = canvas.px(0.13)
    drop = round(canvas.px(0.018) * math.sin(now_s * 2.0))
    canvas.surface.blit(
        chevron(size, False, GOLD), (board.centerx - size // 2, board.centery - size // 2 + drop)
    )
    left = edge + 0.025
    if first:
        canvas.text("Step on", canvas.area(left, 0.105, 0.98, 0.255), size=0.15)
        hint = canvas.area(left, 0.25, 0.98, 0.315)
        canvas.text("Both feet on the marks", hint, size=0.06, colour=MIST)
        area = canvas.area(left, 0.325, 0.98, 0.945)
        draw_caution_panel(canvas, "Before you step on", caution_texts(view.level), area, now_s)
        return
    canvas.text("Step on", canvas.area(left, 0.11, 0.975, 0.29), size=0.17)
    hint = canvas.area(left, 0.31, 0.975, 0.45)
    canvas.text("Both feet on the marks", hint, size=0.07, colour=MIST, lines=2)
    purpose = canvas.area(left, 0.48, 0.975, 0.74)
    canvas.text(view.level.purpose, purpose, size=0.065, lines=4)
    if view.best_mark is not None:
        draw_best(
            canvas,
            say("Your best: {mark:.1f}", mark=view.best_mark),
            canvas.area(left, 0.78, 0.975, 0.9),
        )


def _listening(view: View) -> bool:
    return view.level.eyes == "closed"


def draw_settling(canvas: Canvas, view: View, feet: Feet) -> None:
    """Stand still: a ring of lights fills around the feet."""
    draw_ground(canvas)
    draw_head(canvas, view)
    centre_area = canvas.area(0.03, 0.12, 0.5, 0.94)
    board = Rect(0, 0, canvas.px(0.44), canvas.px(0.35))
    board.center = centre_area.center
    draw_board(canvas.surface, board, feet, lit=True)
    radius = min(0.36, 0.235 * canvas.width / canvas.height - 0.02)
    draw_beads(canvas, centre_area.center, radius, share_done(view.phase_s, view.left_s))
    canvas.text("Stand still", canvas.area(0.52, 0.22, 0.975, 0.44), size=0.17, lines=2)
    ahead = "Close your eyes and listen" if _listening(view) else "Look far ahead"
    canvas.text(ahead, canvas.area(0.52, 0.47, 0.975, 0.62), size=0.085, colour=GOLD, lines=2)
    canvas.text(
        view.level.purpose, canvas.area(0.52, 0.65, 0.975, 0.92), size=0.06, colour=MIST, lines=4
    )


def draw_countdown(canvas: Canvas, view: View) -> None:
    """Three, two, one, as large as the screen allows; and whether it is only tried."""
    draw_ground(canvas)
    draw_head(canvas, view, "Just try: no mark yet" if view.tries else "")
    centre = (canvas.width // 2, canvas.px(0.46))
    draw_beads(canvas, centre, 0.31, share_done(view.phase_s, view.left_s))
    digit = Rect(0, 0, canvas.px(0.46), canvas.px(0.46))
    digit.center = centre
    canvas.text(seconds_words(view.left_s), digit, size=0.44)
    words = "Eyes closed: follow the quiet" if _listening(view) else KINDS[view.level.game].ready
    canvas.text(words, canvas.area(0.04, 0.82, 0.96, 0.94), size=0.09, colour=GOLD)


def draw_off(canvas: Canvas, view: View) -> None:
    """Over the game: come back, and how long there is."""
    area = canvas.area(0.14, 0.145, 0.86, 0.815)
    canvas.panel(area, INK, ORANGE)
    width = canvas.width
    title = Rect(0, canvas.px(0.155), round(0.66 * width), canvas.px(0.17))
    title.centerx = area.centerx
    canvas.text("Step back on", title, size=0.16, colour=ORANGE)
    centre = (area.centerx, canvas.px(0.53))
    left = 1 - share_done(view.phase_s, view.left_s)
    draw_beads(canvas, centre, 0.185, left, ORANGE, 24)
    digit = Rect(0, 0, canvas.px(0.26), canvas.px(0.26))
    digit.center = centre
    canvas.text(seconds_words(view.left_s), digit, size=0.24)
    rest = canvas.area(0.17, 0.735, 0.83, 0.805)
    canvas.text("Back in time, and the trial goes on", rest, size=0.06, colour=MIST)


def draw_lesson(canvas: Canvas, view: View) -> None:
    """Over the running game: that it is only tried, and what to try now."""
    panel = canvas.area(0.2, 0.775, 0.8, 0.945)
    canvas.panel(panel, INK, GOLD)
    # What is left under the head holds two lines of the least legible size.
    inner = panel.inflate(-canvas.px(0.04), -canvas.px(0.01))
    head = Rect(inner.x, inner.y, inner.width, canvas.px(0.052))
    canvas.text("Just try: no mark yet", head, size=0.052, colour=GOLD)
    rest = Rect(inner.x, head.bottom, inner.width, inner.bottom - head.bottom)
    canvas.text(view.lesson, rest, size=0.062, lines=2)


def draw_unseen(canvas: Canvas, view: View) -> None:
    """A trial without a picture: the time, and what there is to hear."""
    draw_ground(canvas)
    draw_head(canvas, view)
    centre = (canvas.width // 2, canvas.px(0.46))
    draw_beads(canvas, centre, 0.24, 1.0 - min(1.0, view.left_s / view.level.seconds))
    digit = Rect(0, 0, canvas.px(0.3), canvas.px(0.26))
    digit.center = centre
    canvas.text(seconds_words(view.left_s), digit, size=0.24)
    closed = view.level.eyes == "closed"
    words = "Eyes closed" if closed else "No picture this time: feel your feet"
    canvas.text(words, canvas.area(0.06, 0.765, 0.94, 0.85), size=0.075)
    hint = "Listen: silence means well" if view.feedback.sound else "The mark comes at the end"
    canvas.text(hint, canvas.area(0.06, 0.86, 0.94, 0.93), size=0.058, colour=MIST)


def draw_time_left(canvas: Canvas, view: View) -> None:
    """A scene at rest inside the band: that all is well, and the time."""
    panel = canvas.area(0.33, 0.3, 0.67, 0.62)
    canvas.panel(panel, INK, SKY)
    inner = panel.inflate(-canvas.px(0.05), -canvas.px(0.04))
    top = Rect(inner.x, inner.y, inner.width, round(inner.height * 0.62))
    canvas.text(seconds_words(view.left_s), top, size=0.17)
    rest = Rect(inner.x, top.bottom, inner.width, inner.bottom - top.bottom)
    canvas.text("In the lane", rest, size=0.065, colour=SKY)


def draw_resting(canvas: Canvas, view: View) -> None:
    """Rest: how long still, what the last trial earned, and what comes."""
    draw_ground(canvas)
    draw_head(canvas, view)
    centre = (round(0.27 * canvas.width), canvas.px(0.52))
    radius = min(0.33, 0.23 * canvas.width / canvas.height - 0.02)
    draw_beads(canvas, centre, radius, 1 - share_done(view.phase_s, view.left_s), SKY)
    digit = Rect(0, 0, canvas.px(radius * 1.4), canvas.px(0.3))
    digit.center = centre
    canvas.text(seconds_words(view.left_s), digit, size=0.28)
    canvas.text("Rest", canvas.area(0.53, 0.13, 0.975, 0.33), size=0.17)
    canvas.text(
        "Shake out your legs and breathe",
        canvas.area(0.53, 0.34, 0.975, 0.48),
        size=0.068,
        colour=MIST,
        lines=2,
    )
    if view.marks:
        panel = canvas.area(0.53, 0.5, 0.975, 0.73)
        canvas.panel(panel)
        half = Rect(panel.x, panel.y, panel.width // 2, panel.height).inflate(-canvas.px(0.04), 0)
        canvas.text("Last mark", half, size=0.062, colour=MIST, lines=2)
        half.x += panel.width // 2
        canvas.text(mark_words(view.marks[-1]), half, size=0.18)
    canvas.text(
        say("Next: trial {n} of {all}", n=view.trial, all=view.trials),
        canvas.area(0.53, 0.76, 0.975, 0.86),
        size=0.065,
    )
    if view.best_mark is not None:
        draw_best(
            canvas,
            say("Your best: {mark:.1f}", mark=view.best_mark),
            canvas.area(0.53, 0.86, 0.975, 0.94),
        )


#: What stands above the marks of a sitting where nobody else waits.
ANOTHER_GO: Final = "Well done – step on for another go"


def draw_finished(canvas: Canvas, view: View, farewell: str = ANOTHER_GO) -> None:
    """The marks of the sitting side by side, and above them what comes now."""
    draw_ground(canvas)
    draw_head(canvas, view)
    canvas.text(farewell, canvas.area(0.03, 0.11, 0.97, 0.25), size=0.1)
    area = canvas.area(0.05, 0.28, 0.95, 0.83)
    canvas.panel(area)
    marks = view.marks[-12:]
    known = [mark for mark in marks if mark is not None]
    # One alone is the best of nothing; it may be the best ever.
    ever = max(known, default=None) if view.best_mark is None else view.best_mark
    best = max(known, default=None) if len(marks) > 1 else ever
    inner = area.inflate(-canvas.px(0.05), -canvas.px(0.04))
    if marks:
        _mark_columns(canvas, marks, best, inner)
    else:
        canvas.text("No mark this time", inner, size=0.08, colour=MIST)
    foot = canvas.area(0.05, 0.85, 0.95, 0.94)
    if known and ever is not None:
        words = say("Your best: {mark:.1f}", mark=ever)
        if len(known) > 1:
            words = say("Best of these: {mark:.1f} · best ever: {ever:.1f}", mark=best, ever=ever)
        draw_best(canvas, words, foot)
    else:
        canvas.text("Step off, and come again another day", foot, size=0.065, colour=MIST)


def _mark_columns(
    canvas: Canvas, marks: tuple[float | None, ...], best: float | None, area: Rect
) -> None:
    slot = min(area.width // len(marks), canvas.px(0.42))
    left = area.centerx - slot * len(marks) // 2
    foot = canvas.px(0.06)
    head = canvas.px(0.085)
    full = area.height - foot - head
    thick = min(round(slot * 0.62), canvas.px(0.2))
    for index, mark in enumerate(marks):
        centre = left + slot * index + slot // 2
        number = Rect(centre - slot // 2, area.bottom - foot, slot, foot)
        canvas.text(f"{index + 1}", number, size=0.055, colour=MIST)
        height = round(full * (0.0 if mark is None else mark) / 10)
        top = area.bottom - foot - height
        column = Rect(centre - thick // 2, top, thick, height)
        hollow = Rect(column.x, area.bottom - foot - full, thick, full)
        radius = canvas.px(0.012)
        pygame.draw.rect(canvas.surface, blend(INK, DUSK, 0.45), hollow, border_radius=radius)
        is_best = mark is not None and mark == best
        colour = GOLD if is_best else SKY
        if height:
            pygame.draw.rect(canvas.surface, colour, column, border_radius=radius)
        # All in one line, where they are held against each other and the column's end is clear.
        words = Rect(centre - slot // 2, hollow.top - head, slot, head)
        canvas.text(mark_words(mark), words, size=0.08, colour=GOLD if is_best else PAPER)
        if is_best and height > thick:
            size = round(thick * 0.6)
            canvas.surface.blit(star(size, PAPER), (centre - size // 2, top + size // 4))
