"""A screen's help, laid over it by F1 or the sign in the corner."""

from __future__ import annotations

import math
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import (
    FOOTNOTE_SHARE,
    MAIN_SHARE,
    Canvas,
    Sizes,
    canvas_of,
    font,
    line_pitch,
    wrap,
)
from swaytrainer.games.help_pages import Help
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, PAPER
from swaytrainer.words import say, tr

PAGE_S: Final = 9.0


def badge(sizes: Sizes) -> Rect:
    """Where the sign lies that opens the help: whoever uses it sits at the screen."""
    width, height = sizes.px(0.075), sizes.px(0.038)
    return Rect(sizes.width - width, sizes.height - height, width, height)


def draw_badge(surface: Surface) -> None:
    """The sign in the lower right corner."""
    place = badge(Sizes(*surface.get_size()))
    pygame.draw.rect(surface, NIGHT, place, border_top_left_radius=place.height // 3)
    sign = font(math.ceil(surface.get_height() * FOOTNOTE_SHARE)).render("F1 ?", True, PAPER)
    surface.blit(sign, sign.get_rect(center=place.center))


def draw_help(surface: Surface, shown: Help, now_s: float) -> Canvas:
    """The help over a darkened screen, in as many pages as it needs.

    Args:
        surface: with the screen on it.
        shown: the help.
        now_s: since it was opened; turns the pages.

    Returns:
        The canvas, for the tests.
    """
    canvas = canvas_of(surface)
    veil = Surface(surface.get_size())
    veil.fill(NIGHT)
    veil.set_alpha(235)
    surface.blit(veil, (0, 0))
    panel = canvas.area(0.04, 0.13, 0.96, 0.885)
    canvas.panel(panel, INK, GOLD)
    inner = panel.inflate(-canvas.px(0.06), -canvas.px(0.04))
    pages = _pages(canvas, shown, inner)
    page = int(now_s / PAGE_S) % len(pages)
    title = shown.title
    if len(pages) > 1:
        title = say("{title} {n}/{all}", title=title, n=page + 1, all=len(pages))
    canvas.text(title, canvas.area(0.05, 0.02, 0.95, 0.12), size=0.08, colour=GOLD, align="left")
    y = inner.y
    face = font(math.ceil(canvas.height * MAIN_SHARE))
    for key, rows in pages[page]:
        height = len(rows) * line_pitch("".join(rows), face)
        cap = Rect(inner.x, y, _key_width(canvas), face.get_height() + canvas.px(0.008))
        canvas.panel(cap, NIGHT, DUSK)
        canvas.text(key, cap.inflate(-canvas.px(0.02), 0), colour=GOLD, name=len(key) == 1)
        left = cap.right + canvas.px(0.025)
        words = Rect(left, y + canvas.px(0.004), inner.right - left, height)
        canvas.text(" ".join(rows), words, align="left", upright="top", lines=len(rows), name=True)
        y += max(height, cap.height) + _gap(canvas)
    canvas.text("Any key goes back", canvas.area(0.05, 0.895, 0.95, 0.985), size=0.055, colour=MIST)
    return canvas


def _key_width(canvas: Canvas) -> int:
    return canvas.px(0.38)


def _gap(canvas: Canvas) -> int:
    return canvas.px(0.014)


def _pages(canvas: Canvas, shown: Help, inner: Rect) -> list[list[tuple[str, list[str]]]]:
    """The rows of each page, the sentences broken into lines."""
    face = font(math.ceil(canvas.height * MAIN_SHARE))
    width = inner.width - _key_width(canvas) - canvas.px(0.025)
    pages: list[list[tuple[str, list[str]]]] = [[]]
    used = 0
    for key, sentence in shown.keys:
        rows = wrap(tr(sentence), face, width)
        pitch = line_pitch("".join(rows), face)
        height = max(len(rows) * pitch, face.get_height() + canvas.px(0.008))
        if pages[-1] and used + height > inner.height:
            pages.append([])
            used = 0
        pages[-1].append((key, rows))
        used += height + _gap(canvas)
    return pages
