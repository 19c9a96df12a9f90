"""The window, or the same pictures off screen where there is no display."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Iterable
from typing import Final

import pygame

from swaytrainer.errors import SwaytrainerError
from swaytrainer.games.canvas import Sizes
from swaytrainer.games.gamepad import Gamepads
from swaytrainer.games.help import badge, draw_badge, draw_help
from swaytrainer.games.help_pages import Help
from swaytrainer.training.choosing import Move

FRAMES_A_SECOND: Final = 60
SIZE: Final = (1280, 720)
#: A timer wakes late; the last moment before a frame is waited out awake.
_AWAKE_S: Final = 0.001


def display_missing() -> bool:
    """There is surely no display here. (Where it can't be told, opening one will tell.)"""
    if os.environ.get("SDL_VIDEODRIVER"):
        return os.environ["SDL_VIDEODRIVER"] in ("dummy", "offscreen")
    if sys.platform.startswith("linux"):
        return not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))
    return False


class Window:
    """A surface to draw on, keys and pointer to hear, and the beat of the frames.

    Args:
        off_screen: draw into memory only.
        full_screen: fill the display.
        now: the wall's seconds, monotone.

    Attributes:
        help: of the screen that is shown; F1 or the sign in the corner lays it over it, and any key
            takes it away again. None: there is none now, as in a running trial.
    """

    def __init__(
        self,
        off_screen: bool,
        full_screen: bool = False,
        now: Callable[[], float] = time.monotonic,
    ) -> None:
        self.off_screen = off_screen
        self._pads = Gamepads()
        self._now = now
        self._due_s = now()
        self.help: Help | None = None
        self._help_since_s: float | None = None
        if off_screen:
            os.environ["SDL_VIDEODRIVER"] = "dummy"
        try:
            pygame.display.init()
            flags = pygame.FULLSCREEN if full_screen else pygame.RESIZABLE
            size = (0, 0) if full_screen else SIZE
            self.surface = pygame.display.set_mode(size, 0 if off_screen else flags)
        except pygame.error as error:
            raise SwaytrainerError(
                f"Can't open a window: {error}.",
                "Start it on a desktop, or set SDL_VIDEODRIVER=dummy to draw off screen.",
            ) from None
        pygame.font.init()
        self._pads.open()
        pygame.display.set_caption("swaytrainer")
        if full_screen:
            pygame.mouse.set_visible(False)

    def events(self) -> list[pygame.event.Event]:
        """What keys and pointer did since the last call, but for the help's."""
        return [each for each in pygame.event.get() if not self.helped(each)]

    def helped(self, happened: pygame.event.Event) -> bool:
        """Whether something that happened opened or closed the help: nobody else heeds it then."""
        key = happened.type == pygame.KEYDOWN
        button = happened.type in (pygame.MOUSEBUTTONDOWN, pygame.JOYBUTTONDOWN)
        if self._help_since_s is not None and (key or button):
            self._help_since_s = None
            return True
        if self.help is None:
            return False
        asked = key and happened.key == pygame.K_F1
        if happened.type == pygame.MOUSEBUTTONDOWN and happened.button == 1:
            asked = badge(Sizes(*self.surface.get_size())).collidepoint(happened.pos)
        if asked:
            self._help_since_s = self._now()
        return asked

    @property
    def helping(self) -> bool:
        """The help lies over the screen."""
        return self._help_since_s is not None

    def close_help(self) -> None:
        """Take the help away: somebody who can't press a key wants the screen."""
        self._help_since_s = None

    def moves(self, happened: Iterable[pygame.event.Event]) -> list[Move]:
        """What gamepads asked for with these events, or by a stick that is held."""
        now_s = self._now()
        asked = [self._pads.heed(event, now_s) for event in happened]
        asked.append(self._pads.tick(now_s))
        return [move for move in asked if move is not None]

    def wait(self) -> None:
        """Wait for the next frame's beat."""
        self._due_s = max(self._due_s + 1.0 / FRAMES_A_SECOND, self._now() - 0.1)
        while (left_s := self._due_s - self._now()) > 0.0:
            if left_s > _AWAKE_S:
                time.sleep(left_s - _AWAKE_S)

    def show(self) -> None:
        """Put what was drawn on the screen, and the help over it if it was asked for."""
        if self.help is None:
            self._help_since_s = None
        elif self._help_since_s is None:
            draw_badge(self.surface)
        else:
            draw_help(self.surface, self.help, self._now() - self._help_since_s)
        pygame.display.flip()

    def save(self, path: str) -> None:
        """Keep the surface as a picture."""
        pygame.image.save(self.surface, path)

    def close(self) -> None:
        """Close it."""
        self._pads.close()
        pygame.display.quit()
