"""A window on which a command draws while it waits for a board, and the keys pressed there."""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from typing import TYPE_CHECKING, Final, NamedTuple

if TYPE_CHECKING:
    from pygame import Surface

    from swaytrainer.app.window import Window
    from swaytrainer.games.help_pages import Help

#: What a click counts as.
CLICK: Final = "click"


class Pressed(NamedTuple):
    """What happened since the last frame.

    Attributes:
        keys: names of the keys pressed, as pygame has them, or ``CLICK``.
        left: the window was closed, or Esc pressed.
    """

    keys: tuple[str, ...] = ()
    left: bool = False


class Screen:
    """Draws frame after frame. pygame is loaded when it is made, not before.

    Args:
        window: to draw on; its own from now on.
        help: what F1 lays over it.
    """

    def __init__(self, window: Window, help: Help | None = None) -> None:
        self._window = window
        window.help = help

    @property
    def off_screen(self) -> bool:
        """Nobody sees it, and there are no keys."""
        return self._window.off_screen

    def frame(self, draw: Callable[[Surface], object]) -> Pressed:
        """Draw one frame, show it, and wait for the next one's beat."""
        pressed = self._pressed()
        draw(self._window.surface)
        self._window.show()
        self._window.wait()
        return pressed

    def show(self, draw: Callable[[Surface], object], seconds: float) -> Pressed:
        """Draw until something is pressed or the time is over; off screen, once."""
        end_s = time.monotonic() + seconds
        while True:
            pressed = self.frame(draw)
            if pressed.keys or pressed.left or self.off_screen or time.monotonic() > end_s:
                return pressed

    def close(self) -> None:
        """Close the window."""
        self._window.close()

    def _pressed(self) -> Pressed:
        import pygame

        keys, left = [], False
        for happened in self._window.events():
            if happened.type == pygame.QUIT:
                left = True
            elif happened.type == pygame.VIDEORESIZE:
                self._window.surface = pygame.display.get_surface() or self._window.surface
            elif happened.type == pygame.KEYDOWN:
                keys.append(pygame.key.name(happened.key))
                left = left or happened.key == pygame.K_ESCAPE
            elif happened.type == pygame.MOUSEBUTTONDOWN:
                keys.append(CLICK)
        return Pressed(tuple(keys), left)


def open_screen(options: argparse.Namespace, help: Help) -> Screen | None:
    """The screen that --screen and --no-screen ask for; without either, if there is a display.

    Args:
        options: of the command.
        help: what F1 lays over it.
    """
    if options.screen is False:
        return None
    from swaytrainer.app.window import Window, display_missing

    missing = display_missing()
    if options.screen is None and missing:
        return None
    return Screen(Window(off_screen=missing, full_screen=options.full_screen), help)
