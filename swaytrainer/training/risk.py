"""Which levels can throw somebody: who must stand by, and what to beware of on a base.

Common practice of the trade, no published source. The coach, the club's and the federation's rules
decide; what is asked for here is the least.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Final

from swaytrainer.training.level import CALM_BASES, Level
from swaytrainer.training.tasks.catalogue import KINDS

#: Why a base that can throw somebody does so.
_BASE_WORDS: Final = {
    "dome": "The dome tips to every side.",
    "disc": "The air disc gives way to every side.",
    "still barrel": "The barrel is high and narrow.",
    "moving barrel": "The barrel is high and moves.",
}
_ANY_BASE: Final = "This base can tip or slide."
_EYES: Final = "Without sight the first sway is noticed late."
_LANDS: Final = "A landing can miss the board or slip."


def reasons_of(base: str, eyes: str, lands: bool) -> tuple[str, ...]:
    """Why somebody must stand by, in sentences; empty where nobody must.

    Args:
        base: what the board stands on.
        eyes: "open" or "closed".
        lands: the vaulter hops onto the board.

    >>> reasons_of("firm", "open", False)
    ()
    >>> reasons_of("dome", "closed", False)
    ('The dome tips to every side.', 'Without sight the first sway is noticed late.')
    """
    found = []
    if base not in CALM_BASES:
        found.append(_BASE_WORDS.get(base, _ANY_BASE))
    if eyes == "closed":
        found.append(_EYES)
    if lands:
        found.append(_LANDS)
    return tuple(found)


def reasons(level: Level) -> tuple[str, ...]:
    """``reasons_of`` a level; a level's own ``spotter = true`` is reason enough besides."""
    kind = KINDS.get(level.game)
    return reasons_of(level.base, level.eyes, kind is not None and kind.leaves_board)


def needs_spotter(level: Level) -> bool:
    """Whether a spotter must have been confirmed, even if the level's file forgot to say so."""
    return level.spotter or bool(reasons(level))


def offered(levels: Iterable[Level], spotter: bool) -> tuple[Level, ...]:
    """The levels that may be offered: somebody alone is not shown those that can throw one."""
    return tuple(level for level in levels if spotter or not needs_spotter(level))


@dataclass(frozen=True, slots=True)
class Risk:
    """What cautions are about: they are shown once a day for each of these.

    A base with eyes closed, or with a landing, is another risk than the same one without.
    """

    base: str
    eyes: str
    lands: bool


def risk_of(level: Level) -> Risk:
    """The risk of a level."""
    kind = KINDS.get(level.game)
    return Risk(level.base, level.eyes, kind is not None and kind.leaves_board)


class CautionsSeen:
    """Who has seen which cautions on which day; nothing older than the day asked for is kept.

    >>> from datetime import date
    >>> seen, risk = CautionsSeen(), Risk("foam", "open", False)
    >>> seen.due("Wren", risk, date(2026, 5, 2))
    True
    >>> seen.note("Wren", risk, date(2026, 5, 2))
    >>> seen.due("Wren", risk, date(2026, 5, 2)), seen.due("Wren", risk, date(2026, 5, 3))
    (False, True)
    """

    def __init__(self) -> None:
        self._seen: set[tuple[str, Risk, date]] = set()

    def due(self, vaulter: str, risk: Risk, day: date) -> bool:
        """Whether the cautions must be shown before this vaulter begins."""
        return (vaulter, risk, day) not in self._seen

    def note(self, vaulter: str, risk: Risk, day: date) -> None:
        """They were shown, and somebody went on."""
        self._seen = {s for s in self._seen if s[2] == day}
        self._seen.add((vaulter, risk, day))
