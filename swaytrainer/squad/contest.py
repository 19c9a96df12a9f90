"""A competition on sway scores: whose trials count, and who is next.

The contest is a text file of the coach's; its marks are those of the recordings that were made for
it. So a power cut loses nothing, and nothing is counted twice. Rules, where no others are written:

- Each vaulter has ``trials`` trials on one level, one a round. Each name draws its number from the
  seed, so that a late entry leaves the others' order as it is; every second round goes the other
  way, so that nobody is always last.
- The first ``warm_up`` trials with a mark are for warming up: they never count, and none of them is
  taken back.
- A trial that did not count (signal lost, weight unlike before, broken off by hand) is repeated at
  once; one that the judges take back, with a reason, when its turn comes again.
- Who is called and isn't there is called again after the others of that round; missed once more,
  after those of the next round, so that nobody keeps the hall waiting.
- A stand-off is one more trial of each of its vaulters, after those that count. What it decides
  stands in ``contest_places``.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Final

from swaytrainer.training.tasks.dice import Dice
from swaytrainer.words import Name, say, short

#: Letters of a name where many stand in a sentence.
_WIDEST: Final = 24


@dataclass(frozen=True, slots=True)
class Ruling:
    """What the judges decided.

    Attributes:
        vaulter: about whom.
        kind: "withdrawn": takes no further part; "repeat": a trial is taken back.
        reason: why, in a line.
        recording: of a repeat: the file's name, with its day's folder before it where two share it.
        trial: of a repeat: its number in the recording, from 1.
    """

    vaulter: str
    kind: str
    reason: str
    recording: str = ""
    trial: int = 0


@dataclass(frozen=True, slots=True)
class StandOff:
    """One more trial of each, to decide the order among them.

    Attributes:
        vaulters: at least two, of one class.
        since: trials that began earlier are none of it; None for those of the whole contest.
    """

    vaulters: tuple[str, ...]
    since: datetime | None = None


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
        warm_up: so many trials of each come before those that count.
        stand_offs: in their order.
        outside: who is there and in no class, where classes go by height or year.
        unmeasured: who is there and can be put into none, for want of height or year of birth.
        gone: so many of those whom the file names are erased for good; it is read without them.
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
    warm_up: int = 0
    stand_offs: tuple[StandOff, ...] = ()
    outside: tuple[str, ...] = ()
    unmeasured: tuple[str, ...] = ()
    gone: int = 0

    @property
    def vaulters(self) -> tuple[str, ...]:
        """All who are entered, class by class."""
        return tuple(name for names in self.classes.values() for name in names)

    def class_of(self, vaulter: str) -> str:
        """The class of somebody who is entered."""
        return next(name for name, names in self.classes.items() if vaulter in names)

    def order(self, name: str, number: int) -> tuple[str, ...]:
        """The order of a class in a round, from 1: drawn, every second round reversed."""
        drawn = sorted(
            self.classes[name],
            key=lambda vaulter: (Dice(self.seed + zlib.crc32(vaulter.encode())).uniform(), vaulter),
        )
        return tuple(drawn if number % 2 else drawn[::-1])

    def is_on(self, now: datetime) -> bool:
        """Whether what is done now belongs to it."""
        return self.since <= now <= self.until

    def left_out(self, guests: bool = True) -> tuple[str, ...]:
        """Who is in no class, and why: a sentence each.

        Args:
            guests: also those whose height or year belongs to no class, with whom nothing is wrong.
        """
        found = []
        if guests and self.outside:
            found.append(say("In no class: {names}", names=_names(self.outside)))
        if self.unmeasured:
            found.append(
                say(
                    "In no class, for want of height or year of birth: {names}. Told to the list"
                    " of vaulters, it puts them into theirs.",
                    names=_names(self.unmeasured),
                )
            )
        if self.gone:
            found.append(
                say(
                    "Entered, and erased for good since: {n}. The places are those of the others.",
                    n=self.gone,
                )
            )
        return tuple(found)

    def withdrawn(self, vaulter: str) -> bool:
        """Takes no further part."""
        return any(r.vaulter == vaulter and r.kind == "withdrawn" for r in self.rulings)


def _names(names: Sequence[str]) -> Name:
    return Name(", ".join(short(name, _WIDEST) for name in names))


@dataclass(frozen=True, slots=True)
class Attempt:
    """One trial of somebody on the contest's level.

    Attributes:
        vaulter: who.
        at: when its sitting began.
        mark: 0-10; None where it did not count.
        recording: the file's name, to play it again before all.
        number: of the trial in it.
        reason: why this mark, or why none, as it was shown.
        folder: of the recording: its day's.
    """

    vaulter: str
    at: datetime
    mark: float | None
    recording: str
    number: int
    reason: str = ""
    folder: str = ""

    @property
    def whole_name(self) -> str:
        """The recording's name with its folder: no two share it.

        >>> Attempt("Wren", datetime(2026, 11, 28), 7.5, "1.sway", 1, "", "2026-11-28").whole_name
        '2026-11-28/1.sway'
        """
        return f"{self.folder}/{self.recording}" if self.folder else self.recording


def takes_back(ruling: Ruling, attempt: Attempt) -> bool:
    """Whether this is the trial that a ruling takes back."""
    return (
        ruling.kind == "repeat"
        and ruling.recording in (attempt.recording, attempt.whole_name)
        and (ruling.vaulter, ruling.trial) == (attempt.vaulter, attempt.number)
    )


class Stage(StrEnum):
    """What a trial is for."""

    WARM_UP = "warm-up"
    ROUND = "round"
    STAND_OFF = "stand-off"


@dataclass(frozen=True, slots=True)
class Call:
    """A trial that is due.

    Attributes:
        group: the class's name.
        vaulter: who.
        stage: what it is for.
        number: the warm-up, round or stand-off, from 1.
    """

    group: str
    vaulter: str
    stage: Stage
    number: int


@dataclass(frozen=True, slots=True)
class Sorted:
    """A vaulter's trials with a mark, by what they were for, each in its order.

    Attributes:
        warm_ups: at most as many as there are to do.
        counted: likewise.
        stand_offs: by the index of the stand-off.
    """

    warm_ups: tuple[Attempt, ...] = ()
    counted: tuple[Attempt, ...] = ()
    stand_offs: Mapping[int, Attempt] = field(default_factory=dict)

    def was_for(self, attempt: Attempt) -> tuple[Stage, int] | None:
        """What a trial was, and which one, from 1; None for what does not count."""
        if attempt in self.warm_ups:
            return Stage.WARM_UP, 1 + self.warm_ups.index(attempt)
        if attempt in self.counted:
            return Stage.ROUND, 1 + self.counted.index(attempt)
        decided = (n for n, other in self.stand_offs.items() if other == attempt)
        return next(((Stage.STAND_OFF, 1 + n) for n in decided), None)


def sort_out(contest: Contest, attempts: Iterable[Attempt]) -> dict[str, Sorted]:
    """Of each vaulter who is entered, what each trial was for; a file that was copied counts once.

    Trials beyond those that are to be done are none of the contest's.
    """
    tried = list(attempts)
    # A file that was copied is taken back under either name.
    back = {(a.vaulter, a.at, a.number) for a in tried for r in contest.rulings if takes_back(r, a)}
    marked: dict[str, list[Attempt]] = {vaulter: [] for vaulter in contest.vaulters}
    seen = set()
    for attempt in sorted(tried, key=lambda a: (a.at, a.recording, a.number)):
        key = (attempt.vaulter, attempt.at, attempt.number)
        here = contest.since <= attempt.at <= contest.until
        good = attempt.mark is not None and math.isfinite(attempt.mark)
        if attempt.vaulter in marked and here and good and key not in seen:
            seen.add(key)
            marked[attempt.vaulter].append(attempt)
    return {vaulter: _sorted(contest, vaulter, each, back) for vaulter, each in marked.items()}


def _sorted(
    contest: Contest,
    vaulter: str,
    marked: Sequence[Attempt],
    back: Collection[tuple[str, datetime, int]],
) -> Sorted:
    # Of the marked ones, so that no ruling makes a warm-up of a trial that counts.
    warm_ups = marked[: contest.warm_up]
    good = [a for a in marked[contest.warm_up :] if (a.vaulter, a.at, a.number) not in back]
    more = good[contest.trials :]
    stand_offs: dict[int, Attempt] = {}
    for n, stand_off in enumerate(contest.stand_offs):
        if vaulter in stand_off.vaulters:
            since = stand_off.since or contest.since
            first = next((k for k, a in enumerate(more) if a.at >= since), None)
            if first is not None:
                stand_offs[n] = more[first]
                more = more[first + 1 :]
    return Sorted(tuple(warm_ups), tuple(good[: contest.trials]), stand_offs)


def counted(contest: Contest, attempts: Iterable[Attempt]) -> dict[str, list[Attempt]]:
    """Of each vaulter the trials that count, in their order, at most as many as there are to do."""
    return {name: list(found.counted) for name, found in sort_out(contest, attempts).items()}


def next_up(
    contest: Contest, attempts: Iterable[Attempt], missed: Sequence[Call] = ()
) -> list[Call]:
    """Who is to come, in order: round after round, in each of them class after class.

    Args:
        contest: with its rulings.
        attempts: all that was tried so far.
        missed: the calls that nobody answered, in their order.
    """
    done = sort_out(contest, attempts)
    due = [call for call in _all_calls(contest) if _is_due(call, done[call.vaulter])]
    stages = list(dict.fromkeys((call.stage, call.number) for call in _all_calls(contest)))

    places: dict[int, tuple[int, bool, int, int]] = {}
    before: dict[str, tuple[int, bool, int, int]] = {}
    for at, call in enumerate(due):
        times = missed.count(call)
        last = max((n for n, other in enumerate(missed) if other == call), default=0)
        stage = stages.index((call.stage, call.number)) + max(0, times - 1)
        place = (stage, times > 0, last, at)
        # Nobody's second turn comes before her first, wherever that was put.
        if call.vaulter in before and place < before[call.vaulter]:
            place = (*before[call.vaulter][:3], at)
        places[at] = before[call.vaulter] = place
    return [due[at] for at in sorted(places, key=places.__getitem__)]


def _all_calls(contest: Contest) -> list[Call]:
    """Every trial of the contest; of the warm-ups the last one goes as the first round will."""
    plan = [(Stage.WARM_UP, n, contest.warm_up - n + 1) for n in range(1, contest.warm_up + 1)] + [
        (Stage.ROUND, n, n) for n in range(1, contest.trials + 1)
    ]
    calls = [
        Call(name, vaulter, stage, n)
        for stage, n, drawn_as in plan
        for name in contest.classes
        for vaulter in contest.order(name, drawn_as)
    ]
    for n, stand_off in enumerate(contest.stand_offs, start=1):
        name = contest.class_of(stand_off.vaulters[0])
        calls += [
            Call(name, vaulter, Stage.STAND_OFF, n)
            for vaulter in contest.order(name, contest.trials + n)
            if vaulter in stand_off.vaulters
        ]
    return [call for call in calls if not contest.withdrawn(call.vaulter)]


def _is_due(call: Call, done: Sorted) -> bool:
    if call.stage is Stage.WARM_UP:
        return len(done.warm_ups) < call.number
    if call.stage is Stage.ROUND:
        return len(done.counted) < call.number
    return call.number - 1 not in done.stand_offs


def why_again(contest: Contest, attempts: Iterable[Attempt], vaulter: str) -> str:
    """Why the trial is due again that a vaulter did last: it has no mark, or was taken back.

    Empty where it is not.
    """
    tried = [a for a in attempts if a.vaulter == vaulter and contest.since <= a.at <= contest.until]
    last = max(tried, key=lambda a: (a.at, a.number), default=None)
    if last is None:
        return ""
    if last.mark is None:
        return last.reason
    return next((r.reason for r in contest.rulings if takes_back(r, last)), "")
