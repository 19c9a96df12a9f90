"""What several games share: words on a pill, the best to beat, pictures in the screen's format."""

from __future__ import annotations

import pygame
from pygame import Rect, Surface

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.palette import GOLD, INK, Colour
from swaytrainer.games.pond import BOTTOM_SHARE
from swaytrainer.sitting.view import View
from swaytrainer.words import say


def in_format_of(target: Surface, picture: Surface) -> Surface:
    """A copy with the target's pixels, which is fastest to lay on it; needs no open window."""
    copy = Surface(picture.get_size(), 0, target)
    copy.blit(picture, (0, 0))
    return copy


def draw_signal_ground(picture: Surface) -> None:
    """The dark strip under the signal's line."""
    width, height = picture.get_size()
    top = round(BOTTOM_SHARE * height)
    pygame.draw.rect(picture, INK, Rect(0, top, width, height - top))


def draw_pill(
    canvas: Canvas, words: str, centre: tuple[int, int], colour: Colour, wide: float = 0.52
) -> None:
    """Words on a dark ground that is whole on any picture; it is as wide as given, not as they."""
    area = Rect(0, 0, canvas.px(wide), canvas.px(0.082))
    area.center = centre
    area.clamp_ip(canvas.surface.get_rect())
    pygame.draw.rect(canvas.surface, INK, area, border_radius=area.height // 2)
    rim = max(2, canvas.px(0.004))
    pygame.draw.rect(canvas.surface, colour, area, rim, border_radius=area.height // 2)
    canvas.text(words, area.inflate(-canvas.px(0.04), -rim), size=0.064, colour=colour)


def draw_to_beat(canvas: Canvas, view: View, area: Rect) -> None:
    """The best mark at equal terms, or that there is none.

    Beside it many a game counts something else: it must not read as the number to reach.
    """
    if view.best_mark is None:
        canvas.text("First try", area, size=0.058, colour=GOLD)
    else:
        canvas.text(say("Best {mark:.1f}", mark=view.best_mark), area, size=0.062, colour=GOLD)
