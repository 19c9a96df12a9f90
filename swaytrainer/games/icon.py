"""The program's icon: two soles on the board, and the weight between them."""

from __future__ import annotations

import pygame
from pygame import SRCALPHA, Rect, Surface

from swaytrainer.games.palette import GOLD, INK, NIGHT
from swaytrainer.games.soles import draw_board, on_the_marks
from swaytrainer.training.vaulter import GUEST

_FINE = 4


def icon(side_px: int) -> Surface:
    """A square picture with round corners.

    >>> icon(64).get_size()
    (64, 64)
    """
    side = side_px * _FINE
    picture = Surface((side, side), SRCALPHA, 32)
    pygame.draw.rect(picture, NIGHT, Rect(0, 0, side, side), border_radius=side // 6)
    board = Rect(side // 12, side // 6, side - side // 6, side - side // 3)
    draw_board(picture, board, on_the_marks(GUEST), lit=False)
    pygame.draw.circle(picture, INK, picture.get_rect().center, side // 11)
    pygame.draw.circle(picture, GOLD, picture.get_rect().center, side // 13)
    return pygame.transform.smoothscale(picture, (side_px, side_px))
