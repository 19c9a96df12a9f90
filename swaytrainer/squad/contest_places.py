"""Who stands where in a contest, which places can't be told apart, and what a stand-off decides.

- Marks count as they are shown, with one decimal: what stands on the scoreboard adds up.
- The mean of the trials counts. Of equal means the better best mark is first, then the smaller
  spread (best less worst); still equal, the place is shared, and the next place is left out
  (standard competition ranking).
- A team's mark is the mean of its best members' means.
- Two means in a class of k can't be told apart if they differ by less than Tukey and Kramer's
  q(k) · s · √((1/m + 1/n) / 2), with q the 95 % point of the studentized range and s the standard
  deviation of single marks within vaulters, pooled over the class (Montgomery, Design and Analysis
  of Experiments, "Tukey's test", from memory). So of a class of equals somebody is parted from
  somebody else in one contest of twenty. With one trial each nothing is known.
- A stand-off decides the order of neighbours who share a place or can't be told apart, each from
  each of the others, by one more trial; means and teams stay as they are. It is in force once all
  of its vaulters have done it, and moves nobody past anybody who isn't in it: where somebody
  stands between, or a place is shared with somebody who isn't in it, it decides nothing there.
  Equal marks leave their order as it was; of several stand-offs the later one decides.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from swaytrainer.squad.contest import Attempt, Contest, Sorted, sort_out
from swaytrainer.words import Name, say

#: How the note of somebody who has withdrawn begins.
WITHDRAWN: Final = "withdrawn"
#: Of the means' differences.
CONFIDENCE: Final = 0.95
#: Means are compared as they are shown, but for what binary fractions add.
_SAME: Final = 1e-9


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
        note: withdrawn, and why; how many trials are done; empty where all are.
        stood_off: the mark of the last stand-off that decided this place; NaN where none did.
    """

    place: int | None
    vaulter: str
    marks: tuple[float, ...]
    mean: float
    best: float
    spread: float
    close_to: tuple[str, ...] = ()
    note: str = ""
    stood_off: float = math.nan


def standings(contest: Contest, attempts: Iterable[Attempt]) -> dict[str, tuple[Standing, ...]]:
    """Each class, best first."""
    of_all = sort_out(contest, attempts)
    return {
        name: _class(contest, {v: of_all[v] for v in vaulters})
        for name, vaulters in contest.classes.items()
    }


def _class(contest: Contest, tried: Mapping[str, Sorted]) -> tuple[Standing, ...]:
    marks = {
        v: tuple(as_shown(a.mark) for a in each.counted if a.mark is not None)
        for v, each in tried.items()
    }
    lines = [_line(contest, vaulter, each) for vaulter, each in marks.items()]
    whole = sorted((s for s in lines if not s.note), key=_rank)
    unfinished = sorted((s for s in lines if s.note), key=_so_far)
    apart = LeastDifference(list(marks.values()), len(whole))
    placed: list[Standing] = []
    for n, line in enumerate(whole):
        equal = n > 0 and _rank(line)[:3] == _rank(whole[n - 1])[:3]
        close = tuple(
            other.vaulter
            for other in whole
            if other is not line
            and abs(other.mean - line.mean) < apart.between(len(line.marks), len(other.marks))
        )
        place = placed[-1].place if equal else n + 1
        placed.append(replace(line, place=place, close_to=close))
    for number, stand_off in enumerate(contest.stand_offs):
        trials = {v: tried[v].stand_offs.get(number) for v in stand_off.vaulters if v in tried}
        there = {v for v in trials if not contest.withdrawn(v)}
        won = {
            v: as_shown(a.mark) for v, a in trials.items() if a is not None and a.mark is not None
        }
        if there and there <= set(won):
            placed = _stood_off(placed, {v: won[v] for v in there})
    return (*placed, *unfinished)


def open_places(lines: Sequence[Standing]) -> list[tuple[str, ...]]:
    """The neighbours of a class who may stand off: shared places, and those not told apart."""
    placed = [line for line in lines if line.place is not None]
    runs = _runs(placed, {line.vaulter for line in placed})
    return [
        tuple(placed[n].vaulter for n in run)
        for run in runs
        if not _decided([placed[n] for n in run])
    ]


def may_stand_off(lines: Sequence[Standing], names: Collection[str]) -> bool:
    """Whether one more trial each of these, of one class, can decide their order."""
    placed = [line for line in lines if line.place is not None]
    runs = [[placed[n] for n in run] for run in _runs(placed, names)]
    wanted = next((run for run in runs if {line.vaulter for line in run} == set(names)), [])
    places = {line.place for line in wanted}
    shared = any(line.place in places for line in placed if line not in wanted)
    return bool(wanted) and not shared and not _decided(wanted)


def _decided(lines: Sequence[Standing]) -> bool:
    """A stand-off has put each of these behind another."""
    won = [line.stood_off for line in lines]
    return not any(map(math.isnan, won)) and len(set(won)) == len(won)


def _open(one: Standing, other: Standing) -> bool:
    return one.place == other.place or other.vaulter in one.close_to


def _runs(lines: Sequence[Standing], among: Collection[str]) -> list[range]:
    """Neighbours among these names of whom each may stand off with each, from the top."""
    found: list[range] = []
    at = 0
    while at < len(lines):
        end = at
        while (
            end < len(lines)
            and lines[end].vaulter in among
            and all(_open(lines[k], lines[end]) for k in range(at, end))
        ):
            end += 1
        if end - at > 1:
            found.append(range(at, end))
        at = max(end, at + 1)
    return found


def _stood_off(lines: list[Standing], won: Mapping[str, float]) -> list[Standing]:
    """The lines after a stand-off, for those of its vaulters whose order it may decide."""
    after = list(lines)
    for run in _runs(lines, set(won)):
        mine = [lines[n] for n in run]
        places = {line.place for line in mine}
        if any(line.place in places for line in lines if line not in mine):
            continue  # a place is shared with somebody who isn't in it
        ordered = sorted(
            mine, key=lambda line: (-_rounded(won[line.vaulter]), line.place, line.vaulter)
        )
        for n, line in zip(run, ordered, strict=True):
            before = after[n - 1] if n > run.start else None
            shared = (
                before is not None
                and _rounded(won[before.vaulter]) == _rounded(won[line.vaulter])
                and line.place == next(o.place for o in mine if o.vaulter == before.vaulter)
            )
            place = before.place if shared and before is not None else n + 1
            after[n] = replace(line, place=place, stood_off=won[line.vaulter])
    return after


def _line(contest: Contest, vaulter: str, marks: tuple[float, ...]) -> Standing:
    note: str = ""
    missing = contest.trials - len(marks)
    if contest.withdrawn(vaulter):
        why = next(
            r.reason for r in contest.rulings if (r.vaulter, r.kind) == (vaulter, "withdrawn")
        )
        note = say("withdrawn: {why}", why=Name(why))
    elif missing > 0:
        # Not "to come": after the contest's end none will.
        note = say("{n} of {all} done", n=len(marks), all=contest.trials)
    mean = math.fsum(marks) / len(marks) if marks else math.nan
    best = max(marks, default=math.nan)
    spread = best - min(marks, default=math.nan)
    return Standing(None, vaulter, marks, mean, best, spread, note=note)


def _rank(line: Standing) -> tuple[float, float, float, str]:
    return (-_rounded(line.mean), -_rounded(line.best), _rounded(line.spread), line.vaulter)


def _so_far(line: Standing) -> tuple[int, float, str]:
    """Before the end: who has done more trials first, then the better mean."""
    return (-len(line.marks), -line.mean if line.marks else 0.0, line.vaulter)


def as_shown(mark: float) -> float:
    """A mark as everybody sees it, with one decimal.

    >>> as_shown(7.58), f"{7.58:.1f}"
    (7.6, '7.6')
    """
    return float(f"{mark:.1f}")


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
