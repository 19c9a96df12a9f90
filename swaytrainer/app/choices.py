"""Who and what the gym screen begins with: the squad, the levels, and what the options chose."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from swaytrainer.app.roster import Roster
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.nearest import instead
from swaytrainer.training.risk import offered
from swaytrainer.training.vaulter import GUEST, Vaulter, called
from swaytrainer.words import Name, listed, say


class Shelf(Protocol):
    """Levels that may change while the program runs, and what is wrong or odd about their files."""

    @property
    def levels(self) -> tuple[Level, ...]:
        """In the order in which they are offered."""

    @property
    def troubles(self) -> tuple[str, ...]:
        """A sentence for each file that is wrong."""

    @property
    def notes(self) -> tuple[str, ...]:
        """A sentence for what is odd."""

    def refresh(self) -> bool:
        """Read again what has changed; whether anything had."""


@dataclass(frozen=True, slots=True)
class Choices:
    """Who and what there is to choose from, and what the options chose."""

    roster: Roster
    levels: tuple[Level, ...]
    vaulter: int
    level: int
    shelf: Shelf
    spotter: bool = False
    level_given: bool = False

    @property
    def vaulters(self) -> tuple[Vaulter, ...]:
        """Who may train, as it stands."""
        return self.roster.vaulters


def choices(home: Home, options: argparse.Namespace) -> Choices:
    """Read vaulters and levels.

    Raises:
        SwaytrainerError: there is no such vaulter or level, or the vaulters' file is wrong.
    """
    roster = Roster(home, otherwise=(GUEST,))
    shelf = home.level_shelf()
    levels, troubles = shelf.levels, shelf.troubles
    there = offered(levels, options.spotter)
    names = [v.name for v in roster.vaulters]
    ids = [level.id for level in there]
    wanted = None if options.vaulter is None else called(options.vaulter, names)
    if wanted is None and options.vaulter is not None:
        wanted = home.vaulter_called(options.vaulter).name
    if options.level is not None and options.level not in ids:
        needs = any(level.id == options.level for level in levels)
        if troubles and not needs:
            # Most likely it is in one of the files that can't be read.
            raise SwaytrainerError(
                say("Level {id!r} is not there.", id=Name(options.level)), listed(troubles, " ")
            )
        if needs:
            raise SwaytrainerError(
                say("Level {id!r} needs a spotter.", id=Name(options.level)),
                say("Ask a coach to stand by and start with --spotter."),
            )
        raise no_level(options.level, ids)
    return Choices(
        roster,
        there,
        names.index(wanted) if wanted else 0,
        ids.index(options.level) if options.level else 0,
        shelf,
        options.spotter,
        options.level is not None,
    )


def no_level(wanted: str, ids: Sequence[str]) -> SwaytrainerError:
    """What is said of a level that isn't there, and where all are to be found."""
    return SwaytrainerError(
        say(
            "There is no level {id!r}; {instead}.",
            id=Name(wanted),
            instead=instead(wanted, ids),
        ),
        say("'swaytrainer list --levels' names all."),
    )
