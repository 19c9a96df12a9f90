"""What the gym screen asks of whoever calls the vaulters: an evening's plan, or a competition."""

from __future__ import annotations

from collections.abc import Collection
from typing import NamedTuple, Protocol

from swaytrainer.training.level import Level


class Told(NamedTuple):
    """What stands with somebody who is called.

    Attributes:
        turn: what the turn is, in a line; empty where there is nothing to say.
        again: why a trial is done once more; empty where it is not.
        brief: the turn in a word or two, for the head of every screen; empty where a trial is one
            of the level's.
    """

    turn: str = ""
    again: str = ""
    brief: str = ""


class Line(Protocol):
    """Who is called to this board, and what has happened."""

    @property
    def title(self) -> str:
        """What the whole is called; empty for an evening."""

    @property
    def fixed(self) -> bool:
        """Nothing else may be done here than what the line says."""

    @property
    def notes(self) -> tuple[str, ...]:
        """What is wrong with it, in sentences for the screen."""

    def planned(self, name: str | None, /) -> tuple[str, ...] | None:
        """The ids of the levels that are left for somebody; None for who isn't in the line."""

    def told(self, name: str | None, /) -> Told:
        """What stands with somebody who is chosen."""

    def refresh(self, names: Collection[str], /) -> None:
        """Take over what was changed elsewhere; ``names`` are those of all who are listed."""

    def calls(self) -> tuple[str, ...]:
        """Who is called, in order; empty where nobody is."""

    def called(self) -> tuple[str, ...]:
        """``calls``, the first of them held here."""

    def trains(self, name: str, level: Level, /) -> None:
        """Somebody stands on this board for a set of this level."""

    def has_trained(self, name: str, level: Level, trials: int, /) -> None:
        """A set has ended, after so many trials."""

    def missed(self, name: str, /) -> None:
        """Who is called isn't here."""

    def free(self, name: str | None, /) -> None:
        """Who was called to this board is so no longer."""
