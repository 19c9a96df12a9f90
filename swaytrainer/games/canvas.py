"""A surface with words on it that always fit: sizes are shares of the screen's height."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache
from typing import Literal, NamedTuple

import pygame
from pygame import Rect, Surface

from swaytrainer.games.palette import DUSK, INK, PAPER, Colour
from swaytrainer.words import tr

Align = Literal["left", "centre", "right"]
Upright = Literal["top", "middle", "bottom"]

#: The least line height of text that must be read at three metres, and of a footnote.
MAIN_SHARE = 1 / 20
FOOTNOTE_SHARE = 1 / 36

#: Laid-out texts kept; a whole sitting needs a few dozen, running numbers add to them.
KEPT_TEXTS = 300


class TextBox(NamedTuple):
    """A text as it was drawn, for the tests: where, how large, and whether it was cut."""

    words: str
    rect: Rect
    area: Rect
    line_px: int
    main: bool
    cut: bool
    colour: Colour


class _Block(NamedTuple):
    """Rendered lines with their offsets inside the area they were fitted to."""

    lines: tuple[tuple[Surface, tuple[int, int]], ...]
    bounds: Rect
    line_px: int
    cut: bool


@lru_cache(maxsize=128)
def font(line_px: int) -> pygame.font.Font:
    """The default font at the smallest size whose line is at least ``line_px`` high."""
    if not pygame.font.get_init():
        pygame.font.init()
    # The built-in font's nominal size is not its line height: guess by proportion, then climb.
    # Each try reads the font file, so few tries are made.
    size = max(1, int(line_px * 100 / _height(100)) - 1)
    while _height(size) < line_px:
        size += 1
    return pygame.font.Font(None, size)


@lru_cache(maxsize=256)
def _height(size: int) -> int:
    return pygame.font.Font(None, size).get_height()


def line_pitch(words: str, face: pygame.font.Font) -> int:
    """The height of a line; capitals with accents rise above the font's nominal height."""
    tall = any(ord(letter) > 127 and letter.isupper() for letter in words)
    return math.ceil((1.2 if tall else 1.0) * face.get_height())


def wrap(words: str, face: pygame.font.Font, width: int) -> list[str]:
    """Break at spaces so that no line is wider than ``width`` unless one word alone is."""
    lines: list[str] = []
    for paragraph in words.split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if line and face.size(longer)[0] > width:
                lines.append(line)
                line = word
            else:
                line = longer
        lines.append(line)
    return lines


def fitting(line: str, face: pygame.font.Font, width: int) -> Iterator[str]:
    """A line as it is, or broken within its only word where that is wider than ``width``."""
    while line and face.size(line)[0] > width:
        n = len(line)
        while n > 1 and face.size(line[:n])[0] > width:
            n -= 1
        yield line[:n]
        line = line[n:]
    yield line


def _cut(line: str, face: pygame.font.Font, width: int) -> str:
    """The line with an ellipsis, shortened until it fits."""
    while line and face.size(line.rstrip() + "…")[0] > width:
        line = line[:-1]
    return line.rstrip() + "…"


class Sizes:
    """Turns shares of a screen into pixels."""

    def __init__(self, width: int, height: int) -> None:
        self.width, self.height = width, height

    def px(self, share: float) -> int:
        """A share of the height in whole pixels, at least one."""
        return max(1, round(share * self.height))

    def area(self, left: float, top: float, right: float, bottom: float) -> Rect:
        """A rectangle from shares of the width (left, right) and of the height (top, bottom)."""
        x, y = round(left * self.width), round(top * self.height)
        return Rect(x, y, round(right * self.width) - x, round(bottom * self.height) - y)


class Canvas(Sizes):
    """Draws words, panels and beads on one surface.

    Lengths given as shares are of the surface's height, so that a picture made for 1024×768
    scales to any larger screen. Laid-out text is kept and drawn again from the store.
    """

    def __init__(self, surface: Surface) -> None:
        super().__init__(*surface.get_size())
        self.surface = surface
        self.boxes: list[TextBox] = []
        self._blocks: dict[tuple[object, ...], _Block] = {}

    def begin(self) -> None:
        """Start a frame: forget which boxes were drawn."""
        self.boxes.clear()

    def text(
        self,
        words: str,
        area: Rect,
        *,
        size: float = MAIN_SHARE,
        colour: Colour = PAPER,
        align: Align = "centre",
        upright: Upright = "middle",
        lines: int = 1,
        main: bool = True,
        name: bool = False,
        least: float = MAIN_SHARE,
    ) -> Rect:
        """Set words into an area, never beyond it, and return the rectangle they cover.

        The words shrink from ``size`` (line height as a share of the screen's) and wrap into at
        most ``lines``. Below the least legible size they are cut with an ellipsis instead: a
        sentence that nobody can read helps less than its beginning. They are put into the
        language in use, unless they are somebody's ``name``. ``least`` is the least legible size,
        larger for a hall than for a gym.
        """
        if not words:
            return Rect(area.x, area.y, 0, 0)
        words = words if name else tr(words)
        share = least if main else FOOTNOTE_SHARE
        key = (words, area.size, size, colour, align, upright, lines, share)
        block = self._blocks.get(key)
        if block is None:
            block = self._lay_out(words, area, size, colour, align, upright, lines, share)
            if len(self._blocks) >= KEPT_TEXTS:
                del self._blocks[next(iter(self._blocks))]
            self._blocks[key] = block
        for image, (dx, dy) in block.lines:
            self.surface.blit(image, (area.x + dx, area.y + dy))
        drawn = block.bounds.move(area.topleft)
        self.boxes.append(
            TextBox(words, drawn, area.copy(), block.line_px, main, block.cut, colour)
        )
        return drawn

    def _lay_out(
        self,
        words: str,
        area: Rect,
        size: float,
        colour: Colour,
        align: Align,
        upright: Upright,
        lines: int,
        share: float,
    ) -> _Block:
        # Rounded up: a line a fraction of a pixel short of 1/20 would be below it.
        least = math.ceil(self.height * share - 1e-6)
        line_px = max(least, self.px(size))
        cut = False
        while True:
            face = font(line_px)
            pitch = line_pitch(words, face)
            rows = wrap(words, face, area.width)
            fits = (
                len(rows) <= lines
                and len(rows) * pitch <= area.height
                and all(face.size(row)[0] <= area.width for row in rows)
            )
            if fits:
                break
            if line_px <= least:
                room = max(1, min(lines, area.height // pitch))
                if len(rows) > room:
                    rows = [*rows[: room - 1], _cut(" ".join(rows[room - 1 :]), face, area.width)]
                    cut = True
                if any(face.size(row)[0] > area.width for row in rows):
                    rows = [
                        row if face.size(row)[0] <= area.width else _cut(row, face, area.width)
                        for row in rows
                    ]
                    cut = True
                break
            line_px = max(least, int(line_px * 0.94))
        height = len(rows) * pitch
        top = {"top": 0, "middle": (area.height - height) // 2, "bottom": area.height - height}
        images: list[tuple[Surface, tuple[int, int]]] = []
        bounds = Rect(0, 0, 0, 0)
        for index, row in enumerate(rows):
            if face.size(row)[0] == 0:
                continue  # nothing but marks without a width, which not every SDL_ttf renders
            image = face.render(row, True, colour)
            # A rendered line has leading below, which may reach out of the area, and a little
            # air above; where no accent needs the air, the descenders get it.
            air = 0 if pitch > face.get_height() else pitch // 36
            image = image.subsurface(
                Rect(0, air, image.get_width(), min(image.get_height() - air, pitch))
            )
            spare = area.width - image.get_width()
            x = {"left": 0, "centre": spare // 2, "right": spare}[align]
            y = max(0, top[upright]) + index * pitch
            if len(rows) == 1 and upright == "middle" and not air:
                y = _on_base_line(row, face, area.height, image.get_height())
            images.append((image, (x, y)))
            box = Rect((x, y), image.get_size())
            bounds = bounds.union(box) if len(images) > 1 else box
        return _Block(tuple(images), bounds, face.get_height(), cut)

    def panel(self, area: Rect, colour: Colour = INK, edge: Colour | None = DUSK) -> None:
        """A rounded rectangle with a thin edge."""
        radius = self.px(0.022)
        pygame.draw.rect(self.surface, colour, area, border_radius=radius)
        if edge is not None:
            pygame.draw.rect(
                self.surface, edge, area, max(1, self.px(0.0035)), border_radius=radius
            )


def _on_base_line(row: str, face: pygame.font.Font, height: int, image_px: int) -> int:
    """Where a line begins in an area so high, its letters on one line with those beside it.

    A capital's accent that rises above the font's ascent is drawn all the same, and all letters
    of the line as much lower; and it needs the air that other lines are drawn without.
    """
    highest = max((metric[3] for metric in face.metrics(row) if metric), default=0)
    rise = max(0, highest - face.get_ascent())
    y = (height - face.get_height()) // 2 - face.get_height() // 36 - rise
    return max(0, min(y, height - image_px))


@lru_cache(maxsize=1)
def canvas_of(surface: Surface) -> Canvas:
    """The canvas of a window, kept from frame to frame for its laid-out texts."""
    return Canvas(surface)


def begin_on(surface: Surface, ground: Colour) -> Canvas:
    """The window's canvas for a new frame on a plain ground."""
    canvas = canvas_of(surface)
    canvas.begin()
    surface.fill(ground)
    return canvas
