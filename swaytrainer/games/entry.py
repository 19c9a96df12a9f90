"""One thing to type in, a name or a number, large enough to read from the board."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas, begin_on
from swaytrainer.games.palette import DUSK, GOLD, INK, MIST, NIGHT, ORANGE, PAPER

#: Longer names are cut on every screen.
_LONGEST: Final = 40


@dataclass(frozen=True, slots=True)
class Entry:
    """What is typed, and what it is for.

    Attributes:
        title: what is wanted.
        hint: how to find it, or what is usual.
        text: as typed so far.
        unit: behind a number; a text has none.
        step: by which the arrow keys change a number; 0 for a text.
        trouble: why it was not taken.
        fresh: nothing was typed yet: the first letter takes the place of what is offered.
    """

    title: str
    hint: str = ""
    text: str = ""
    unit: str = ""
    step: float = 0.0
    trouble: str = ""
    fresh: bool = True

    @property
    def number(self) -> float | None:
        """What was typed as a number, with a point or a comma; None if it is none.

        >>> Entry("Mass", text="12,5").number
        12.5
        """
        try:
            return float(self.text.strip().replace(",", "."))
        except ValueError:
            return None


def typed(entry: Entry, letters: str) -> Entry:
    """The entry with letters behind it; what can't be printed is passed over."""
    kept = "".join(letter for letter in letters if letter.isprintable())
    before = "" if entry.fresh and kept else entry.text
    fresh = entry.fresh and not kept
    return replace(entry, text=(before + kept)[:_LONGEST], trouble="", fresh=fresh)


def erased(entry: Entry) -> Entry:
    """The entry without its last letter."""
    return replace(entry, text=entry.text[:-1], trouble="", fresh=False)


def stepped(entry: Entry, by: int) -> Entry:
    """A number changed by so many steps; a text stays, and so does what is no number.

    >>> stepped(Entry("Mass", text="20", step=0.5), -1).text
    '19.5'
    """
    number = entry.number
    if not entry.step or number is None:
        return entry
    return replace(entry, text=f"{number + by * entry.step:g}", trouble="", fresh=False)


def heed(entry: Entry, happened: pygame.event.Event) -> Entry:
    """The entry after something typed; Enter and Esc are the caller's."""
    if happened.type == pygame.TEXTINPUT:
        return typed(entry, happened.text)
    if happened.type == pygame.KEYDOWN:
        if happened.key == pygame.K_BACKSPACE:
            return erased(entry)
        if happened.key in (pygame.K_UP, pygame.K_DOWN):
            return stepped(entry, 1 if happened.key == pygame.K_UP else -1)
    return entry


def draw_entry(surface: Surface, entry: Entry, blink: bool) -> Canvas:
    """The whole screen.

    Args:
        surface: to draw on.
        entry: what is typed.
        blink: the cursor shows now.

    Returns:
        The canvas, for the tests.
    """
    canvas = begin_on(surface, NIGHT)
    canvas.text(
        entry.title, canvas.area(0.06, 0.04, 0.94, 0.16), size=0.1, colour=GOLD, align="left"
    )
    hint = canvas.area(0.06, 0.17, 0.94, 0.405)
    canvas.text(entry.hint, hint, size=0.055, colour=MIST, align="left", upright="top", lines=4)
    field = canvas.area(0.06, 0.42, 0.94, 0.6)
    canvas.panel(field, INK, DUSK if entry.trouble else GOLD)
    inner = field.inflate(-canvas.px(0.05), -canvas.px(0.02))
    shown = canvas.text(
        entry.text, inner, size=0.11, colour=MIST if entry.fresh else PAPER, align="left", name=True
    )
    if blink:
        left = shown.right + canvas.px(0.012)
        bar = Rect(left, field.y + canvas.px(0.03), canvas.px(0.008), field.height)
        bar.height -= canvas.px(0.06)
        pygame.draw.rect(surface, GOLD, bar.clip(field))
    canvas.text(entry.unit, inner, size=0.07, colour=MIST, align="right")
    canvas.text(
        entry.trouble, canvas.area(0.06, 0.62, 0.94, 0.85), size=0.055, colour=ORANGE, lines=4,
        align="left", upright="top",
    )  # fmt: skip
    canvas.text(
        "Enter takes it · Esc goes back", canvas.area(0.06, 0.88, 0.92, 0.98), size=0.055,
        colour=MIST,
    )  # fmt: skip
    return canvas
