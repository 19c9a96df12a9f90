"""Who and what the gym screen begins with: the squad, the levels, and what the options chose."""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from typing import Protocol

from swaytrainer.app.roster import Roster
from swaytrainer.errors import SwaytrainerError
from swaytrainer.store.home import Home
from swaytrainer.training.level import Level
from swaytrainer.training.risk import offered
from swaytrainer.training.vaulter import GUEST, Vaulter


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
    if options.vaulter is not None and options.vaulter not in names:
        raise SwaytrainerError(
            f"There is no vaulter {options.vaulter!r}; there are {', '.join(names)}.",
            f"Add one: swaytrainer vaulter {options.vaulter!r} --foot-length MM",
        )
    if options.level is not None and options.level not in ids:
        needs = any(level.id == options.level for level in levels)
        if troubles and not needs:
            # Most likely it is in one of the files that can't be read.
            raise SwaytrainerError(f"Level {options.level!r} is not there.", " ".join(troubles))
        raise SwaytrainerError(
            f"Level {options.level!r} "
            + ("needs a spotter." if needs else f"is not there; there are {', '.join(ids)}."),
            "Ask a coach to stand by and start with --spotter."
            if needs
            else "Choose one of these, or look for a mistake in the file's name.",
        )
    return Choices(
        roster,
        there,
        names.index(options.vaulter) if options.vaulter else 0,
        ids.index(options.level) if options.level else 0,
        shelf,
        options.spotter,
        options.level is not None,
    )
