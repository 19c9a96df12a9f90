"""The games there are, and what the stage asks of one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Protocol

from swaytrainer.games.canvas import Canvas
from swaytrainer.games.echo import Echo
from swaytrainer.games.four_strides import FourStrides
from swaytrainer.games.grooming import Grooming
from swaytrainer.games.millpond import Millpond
from swaytrainer.games.picnic import Picnic
from swaytrainer.games.ribbon import Ribbon
from swaytrainer.games.roost import Roost
from swaytrainer.games.tray import Tray
from swaytrainer.games.well import Well
from swaytrainer.sitting.view import View
from swaytrainer.sway.feet import Feet
from swaytrainer.training.level import Level


class Game(Protocol):
    """Draws a running trial. All the rest (waiting, countdown, mark, rest) is the stage's.

    Attributes:
        level, feet: what it was made for; the stage makes another when they change.
    """

    level: Level
    feet: Feet

    def draw(self, view: View, now_s: float) -> int:
        """Draw a whole frame; how many rewards came with it, so that a speaker can greet them."""

    def draw_still(self) -> None:
        """Draw the scene without the vaulter, as a ground for a message."""


MakeGame = Callable[[Canvas, Level, Feet, int], Game]

#: By the name that a level's ``game`` field gives. The last argument of each is the seed.
GAMES: Final[Mapping[str, MakeGame]] = {
    "millpond": Millpond,
    "picnic": Picnic,
    "grooming": Grooming,
    "well": Well,
    "roost": Roost,
    "echo": Echo,
    "tray": Tray,
    "ribbon": Ribbon,
    "four-strides": FourStrides,
}

#: Games whose picture shows nothing of the sway: it may be seen where a level gives no feedback.
SHOW_NO_SWAY: Final = frozenset({"four-strides"})
