"""How many simulated vaulters would pass a level: a feeling for a number that is being changed.

Ten of the simulated players of the level's game play one trial each. Where the squad has played
the game of late they are of its kind: for each vaulter the player who earns, on the level that was
trained last, the mark that was earned there. Else they stand evenly from a beginner to an expert.

They are no people: how skill looks is our own guess, made so that marks rise with what they should
mark; and not each feels every base.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import accumulate
from statistics import fmean
from typing import Final, NamedTuple

from swaytrainer.players import mark_of
from swaytrainer.training.level import CALM_BASES, STANCES, Level
from swaytrainer.words import Name, number, say, tr, translated

VAULTERS: Final = 10
_SEED: Final = 1
#: A player's mark differs from trial to trial; a skill is told by the mean of so many.
_TRIALS: Final = 3
#: A single trial repeats poorly: whoever has fewer marks is known but roughly.
ENOUGH_MARKS: Final = 3


class Record(NamedTuple):
    """How one of the squad fares: a level trained of late, and the mean of its newest marks.

    ``marks`` says of how many.
    """

    level: Level
    mark: float
    marks: int = ENOUGH_MARKS


class Tried(NamedTuple):
    """How many passed, of how many.

    Attributes:
        passed, of: see above.
        marks: of each, the least skilled first.
        reason: why nobody was asked; empty otherwise.
        remark: what to mind; empty for nothing.
        squad: they are of the squad's kind.
        few: so many of them rest on fewer marks than ``ENOUGH_MARKS``.
    """

    passed: int
    of: int
    marks: tuple[float, ...]
    reason: str = ""
    remark: str = ""
    squad: bool = False
    few: int = 0

    def told(self) -> str:
        """In a sentence or two, in the language in use."""
        if self.reason:
            return tr(self.reason)
        whose = translated(
            "About {passed} of {all} simulated vaulters like those of your squad who played it last"
            " would pass (marks: {marks})."
            if self.squad
            else "About {passed} of {all} simulated vaulters would pass (marks from the beginner's"
            " to the expert's: {marks}).",
            passed=self.passed,
            all=self.of,
            marks=Name("; ".join(number(mark, ".1f") for mark in self.marks)),
        )
        said = [whose]
        if self.few:
            few = translated(
                "Of {few} of these one or two marks are known, no more.",
                few=self.few,
            )
            said.append(few)
        said.append(translated("They are no people."))
        if self.remark:
            said.append(tr(self.remark))
        return " ".join(said)


def skills(many: int = VAULTERS) -> tuple[float, ...]:
    """Evenly from a beginner to an expert.

    >>> [round(skill, 2) for skill in skills(3)]
    [0.05, 0.5, 0.95]
    """
    return tuple(0.05 + 0.9 * n / (many - 1) for n in range(many))


def skill_like(record: Record) -> float:
    """The skill of the player who earns this mark on this level; the nearest there is.

    Between two skills on a straight line; where more skill earns less by chance, as if it earned
    the same.
    """
    curve = _curve(record.level)
    there = skills()
    for n, mark in enumerate(curve):
        if mark >= record.mark:
            if n == 0:
                return there[0]
            below = curve[n - 1]
            share = (record.mark - below) / (mark - below)
            return there[n - 1] + share * (there[n] - there[n - 1])
    return there[-1]


@lru_cache(maxsize=64)
def _curve(level: Level) -> tuple[float, ...]:
    """The mean mark at each of ``skills``, never falling."""
    means = (fmean(mark_of(level, s, _SEED + 100 * k) for k in range(_TRIALS)) for s in skills())
    return tuple(accumulate(means, max))


def try_level(level: Level, squad: Sequence[Record] = ()) -> Tried:
    """Let ten play one trial each.

    Args:
        level: what is asked.
        squad: of its game, whoever played last first; ten at most are taken.
    """
    if level.stance != STANCES[0]:
        return Tried(0, 0, (), say("The simulated vaulters stand on both feet only."))
    like = [record for record in squad if record.level.stance == STANCES[0]][:VAULTERS]
    played = sorted(map(skill_like, like)) if like else skills()
    marks = tuple(mark_of(level, skill, _SEED + n) for n, skill in enumerate(played))
    passed = sum(mark >= level.pass_mark for mark in marks)
    remark = ""
    if level.base not in CALM_BASES:
        remark = say("A tipping base is only roughly theirs: expect it to be harder.")
    few = sum(record.marks < ENOUGH_MARKS for record in like)
    return Tried(passed, len(marks), marks, remark=remark, squad=bool(like), few=few)
