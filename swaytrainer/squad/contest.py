"""A competition on sway scores: who is next, who stands where, which places can't be told apart.

The contest is a text file of the coach's; its marks are those of the recordings that were made for
it. So a power cut loses nothing, and nothing is counted twice. Rules, where no others are written:

- Each vaulter has ``trials`` trials on one level, one a round. Each name draws its number from the
  seed, so that a late entry leaves the others' order as it is; every second round goes the other
  way, so that nobody is always last.
- The mean of the trials counts. Of equal means the better best mark is first, then the smaller
  spread (best less worst); still equal, the place is shared, and the next place is left out
  (standard competition ranking).
- A trial that did not count (signal lost, weight unlike before) is repeated; one that the judges
  take back, with a reason, too.
- A team's mark is the mean of its best members' means.
- Two means in a class of k can't be told apart if they differ by less than Tukey and Kramer's
  q(k) · s · √((1/m + 1/n) / 2), with q the 95 % point of the studentized range and s the standard
  deviation of single marks within vaulters, pooled over the class (Montgomery, Design and Analysis
  of Experiments, "Tukey's test", from memory). So of a class of equals somebody is parted from
  somebody else in one contest of twenty. With one trial each nothing is known.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from swaytrainer.training.tasks.dice import Dice

#: Of the means' differences.
CONFIDENCE: Final = 0.95
#: Means are compared as they are shown, but for what binary fractions add.
_SAME: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Ruling:
    """What the judges decided.

    Attributes:
        vaulter: about whom.
        kind: "withdrawn": takes no further part; "repeat": a trial is taken back.
        reason: why, in a line.
        recording: of a repeat: the file's name.
        trial: of a repeat: its number in the recording, from 1.
    """

    vaulter: str
    kind: str
    reason: str
    recording: str = ""
    trial: int = 0


@dataclass(frozen=True, slots=True)
class Contest:
    """What the coach's file says.

    Attributes:
        title: of the competition.
        level: id of the level that all do.
        trials: of each vaulter.
        since, until: recordings that began in between belong to it.
        seed: of the draw.
        classes: names of the vaulters by class, in the file's order.
        teams: names of the members by team.
        team_counts: so many best members count.
        rulings: what was decided.
    """

    title: str
    level: str
    trials: int
    since: datetime
    until: datetime
    seed: int
    classes: Mapping[str, tuple[str, ...]]
    teams: Mapping[str, tuple[str, ...]]
    team_counts: int
    rulings: tuple[Ruling, ...] = ()

    def order(self, name: str, number: int) -> tuple[str, ...]:
        """The order of a class in a round, from 1: drawn, every second round reversed."""
        drawn = sorted(
            self.classes[name],
            key=lambda vaulter: (Dice(self.seed + zlib.crc32(vaulter.encode())).uniform(), vaulter),
        )
        return tuple(drawn if number % 2 else drawn[::-1])

    def withdrawn(self, vaulter: str) -> bool:
        """Takes no further part."""
        return any(r.vaulter == vaulter and r.kind == "withdrawn" for r in self.rulings)


@dataclass(frozen=True, slots=True)
class Attempt:
    """One trial of somebody on the contest's level.

    Attributes:
        vaulter: who.
        at: when its sitting began.
        mark: 0-10; None where it did not count.
        recording: the file's name, to play it again before all.
        number: of the trial in it.
    """

    vaulter: str
    at: datetime
    mark: float | None
    recording: str
    number: int


@dataclass(frozen=True, slots=True)
class Standing:
    """A vaulter's line in a class.

    Attributes:
        place: 1 for the first; None for somebody without a whole result.
        vaulter: who.
        marks: those that count, in their order.
        mean: of them; NaN without any.
        best, spread: the best, and best less worst.
        close_to: who can't be told apart from her, by name.
        note: withdrawn, and why; how many trials are missing; empty otherwise.
    """

    place: int | None
    vaulter: str
    marks: tuple[float, ...]
    mean: float
    best: float
    spread: float
    close_to: tuple[str, ...] = ()
    note: str = ""


def counted(contest: Contest, attempts: Iterable[Attempt]) -> dict[str, list[Attempt]]:
    """Of each vaulter the trials that count, in their order, at most as many as there are to do."""
    entered = {name for names in contest.classes.values() for name in names}
    found: dict[str, list[Attempt]] = {name: [] for name in entered}
    tried = list(attempts)
    # A file that was copied counts once, and is taken back under either name.
    back = {
        (a.vaulter, a.at, a.number)
        for a in tried
        for r in contest.rulings
        if r.kind == "repeat"
        and (r.vaulter, r.recording, r.trial) == (a.vaulter, a.recording, a.number)
    }
    seen = set(back)
    for attempt in sorted(tried, key=lambda a: (a.at, a.recording, a.number)):
        key = (attempt.vaulter, attempt.at, attempt.number)
        here = contest.since <= attempt.at <= contest.until
        marked = attempt.mark is not None and math.isfinite(attempt.mark)
        if attempt.vaulter in found and here and marked and key not in seen:
            seen.add(key)
            found[attempt.vaulter].append(attempt)
    return {name: kept[: contest.trials] for name, kept in found.items()}


def next_up(contest: Contest, attempts: Iterable[Attempt]) -> list[tuple[str, str, int]]:
    """Who is to come, in order: (class, vaulter, round).

    Round after round, in each of them class after class.
    """
    done = {name: len(tried) for name, tried in counted(contest, attempts).items()}
    return [
        (name, vaulter, number)
        for number in range(1, contest.trials + 1)
        for name in contest.classes
        for vaulter in contest.order(name, number)
        if done[vaulter] < number and not contest.withdrawn(vaulter)
    ]


def standings(contest: Contest, attempts: Iterable[Attempt]) -> dict[str, tuple[Standing, ...]]:
    """Each class, best first."""
    of_all = counted(contest, attempts)
    return {
        name: _class(contest, {v: of_all[v] for v in vaulters})
        for name, vaulters in contest.classes.items()
    }


def _class(contest: Contest, tried: Mapping[str, Sequence[Attempt]]) -> tuple[Standing, ...]:
    marks = {v: tuple(a.mark for a in each if a.mark is not None) for v, each in tried.items()}
    lines = [_line(contest, vaulter, each) for vaulter, each in marks.items()]
    whole = sorted((s for s in lines if not s.note), key=_rank)
    unfinished = sorted((s for s in lines if s.note), key=lambda s: (-len(s.marks), s.vaulter))
    apart = LeastDifference(list(marks.values()), len(whole))
    placed: list[Standing] = []
    for n, line in enumerate(whole):
        equal = n > 0 and _rank(line)[:3] == _rank(whole[n - 1])[:3]
        place = placed[-1].place if equal else n + 1
        close = tuple(
            other.vaulter
            for other in whole
            if other is not line
            and abs(other.mean - line.mean) < apart.between(len(line.marks), len(other.marks))
        )
        placed.append(
            Standing(place, line.vaulter, line.marks, line.mean, line.best, line.spread, close)
        )
    return (*placed, *unfinished)


def _line(contest: Contest, vaulter: str, marks: tuple[float, ...]) -> Standing:
    note = ""
    missing = contest.trials - len(marks)
    if contest.withdrawn(vaulter):
        why = next(
            r.reason for r in contest.rulings if (r.vaulter, r.kind) == (vaulter, "withdrawn")
        )
        note = f"withdrawn: {why}"
    elif missing > 0:
        note = f"{missing} to come"
    mean = math.fsum(marks) / len(marks) if marks else math.nan
    best = max(marks, default=math.nan)
    return Standing(None, vaulter, marks, mean, best, best - min(marks, default=math.nan), (), note)


def _rank(line: Standing) -> tuple[float, float, float, str]:
    return (-_rounded(line.mean), -_rounded(line.best), _rounded(line.spread), line.vaulter)


def _rounded(value: float) -> float:
    return round(value / _SAME) * _SAME


class LeastDifference:
    """How far two means of a class must differ to be told apart; see the module.

    Args:
        marks: of each vaulter.
        compared: how many means are compared, at least two for there to be a difference.
    """

    def __init__(self, marks: Sequence[Sequence[float]], compared: int) -> None:
        squares, freedom = 0.0, 0
        for each in marks:
            if len(each) > 1:
                mean = math.fsum(each) / len(each)
                squares += math.fsum((mark - mean) ** 2 for mark in each)
                freedom += len(each) - 1
        self._factor = math.nan
        if freedom and compared > 1:
            from scipy.stats import studentized_range

            q = float(studentized_range.ppf(CONFIDENCE, compared, freedom))
            self._factor = q * math.sqrt(0.5 * squares / freedom)

    @property
    def known(self) -> bool:
        """There was something to reckon it from."""
        return not math.isnan(self._factor)

    def between(self, m: int, n: int) -> float:
        """Of two means of m and n marks; NaN where nothing is known."""
        return self._factor * math.sqrt(1.0 / m + 1.0 / n)


def team_marks(
    contest: Contest, attempts: Iterable[Attempt]
) -> list[tuple[int | None, str, float, tuple[str, ...]]]:
    """Teams, best first: place, name, mean of the best members' means, and who they were.

    Equal marks share a place. A team with fewer whole results than count has no place and no mark.
    """
    means = {
        line.vaulter: line.mean
        for lines in standings(contest, attempts).values()
        for line in lines
        if not line.note
    }
    whole: list[tuple[float, str, tuple[str, ...]]] = []
    unfinished: list[tuple[int | None, str, float, tuple[str, ...]]] = []
    for name, members in contest.teams.items():
        there = sorted((m for m in members if m in means), key=lambda m: (-means[m], m))
        best = tuple(there[: contest.team_counts])
        if len(best) == contest.team_counts:
            whole.append((_rounded(math.fsum(means[m] for m in best) / len(best)), name, best))
        else:
            unfinished.append((None, name, math.nan, best))
    whole.sort(key=lambda team: (-team[0], team[1]))
    marks = [mark for mark, _, _ in whole]
    placed = [(1 + marks.index(mark), name, mark, best) for mark, name, best in whole]
    return [*placed, *unfinished]
