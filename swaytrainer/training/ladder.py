"""The ladder: which level comes next for a vaulter, and why.

Up when the pass mark was reached in ``K`` of the newest ``N`` counted trials on two different days.
A single trial repeats poorly: over 36 measures of standing sway the mean single-trial ICC was 0.46
(Santos et al., Gait & Posture 2008;27:408-418), and a mean over days was needed. Whoever passes
every second trial by chance would be let up by one trial in 50 % of cases, by 4 of 5 in 19 %;
whoever passes nine of ten is let up by 4 of 5 in 92 % (binomial; trials taken as independent, which
those of one day are not quite: hence the two days). ``K`` and ``N`` are our choice from that.

Down is only offered, after ``MISSES`` clear misses in a row. A step that is due, up or down, stays
due until it is taken, or answered by newer trials of the level itself or of a higher one, or left
behind by ``MISSES`` counted trials on easier levels: one easy trial, to warm up or by mistake,
answers nothing. The coach's word goes before all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import Enum
from typing import Final

from swaytrainer.training.feedback import FADED, NONE
from swaytrainer.training.history import Tried, equal_terms, in_order, same_task
from swaytrainer.training.level import Level
from swaytrainer.training.risk import needs_spotter
from swaytrainer.words import Name, say

#: Passed trials, of so many counted ones, on so many days.
K: Final = 4
N: Final = 5
DAYS: Final = 2
#: So many clear misses in a row offer the level below.
MISSES: Final = 3
#: A miss is clear if it is at least so many points (of 10) below the mark to pass: our choice.
CLEAR_POINTS: Final = 1.0


class Step(Enum):
    """What is suggested."""

    BEGIN = "begin"
    UP = "up"
    STAY = "stay"
    DOWN = "down"
    COACH = "coach"


@dataclass(frozen=True, slots=True)
class CoachWord:
    """A coach's override: this level for this vaulter from now on.

    Attributes:
        vaulter: whose.
        level_id: which level.
        made: when, with its time zone.
        note: why, in the coach's words.
    """

    vaulter: str
    level_id: str
    made: datetime
    note: str


@dataclass(frozen=True, slots=True)
class Suggestion:
    """What comes next.

    Attributes:
        step: up, stay, down (offered only), begin, or the coach's word.
        level: the suggested level.
        reason: why, in words.
        current: where the vaulter is now; None before the first trial.
        note: the coach's note, if there is one in force.
    """

    step: Step
    level: Level
    reason: str
    current: Level | None = None
    note: str = ""


def path_of(levels: Sequence[Level], game: str) -> tuple[Level, ...]:
    """The rungs of a game's ladder, from the lowest: its levels in the order they are listed."""
    return tuple(level for level in levels if level.game == game)


def counted(tried: Sequence[Tried], level: Level) -> list[Tried]:
    """The trials that tell of a level, oldest first: counted, and on equal terms with the newest.

    Of a faded level those without a picture tell what was learned (guidance hypothesis: Salmoni,
    Schmidt & Walter 1984, from memory); those with one are another measurement.
    """
    feedback = NONE if level.feedback == FADED else level.feedback
    told = [
        t
        for t in in_order(tried)
        if t.mark is not None and t.feedback == feedback and same_task(t.level, level)
    ]
    return [t for t in told if equal_terms(t, told[-1])]


def passed(tried: Sequence[Tried], level: Level) -> bool:
    """Whether these trials of a level, as ``counted`` gives them, lead up."""
    good = [t for t in tried[-N:] if t.mark is not None and t.mark >= level.pass_mark]
    return len(good) >= K and len({t.day for t in good}) >= DAYS


def clearly_missed(tried: Sequence[Tried], level: Level) -> bool:
    """Whether the newest trials of a level, whatever their feedback, were all clear misses."""
    marks = [t.mark for t in in_order(tried) if t.mark is not None and same_task(t.level, level)][
        -MISSES:
    ]
    return len(marks) == MISSES and all(m <= level.pass_mark - CLEAR_POINTS for m in marks)


def suggest(
    path: Sequence[Level],
    tried: Sequence[Tried],
    words: Sequence[CoachWord] = (),
    spotter: bool = False,
) -> Suggestion | None:
    """The next level of one vaulter on one ladder.

    Args:
        path: the ladder's levels from the lowest; ``path_of`` gives them.
        tried: the vaulter's trials, in any order; those of other ladders are passed over.
        words: the vaulter's coach's words; the newest on this ladder is in force, and only trials
            made after it count.
        spotter: whether one stands by. Without, no level that needs one is suggested.

    Returns:
        The suggestion; None if there is no level that may be offered.
    """
    open_now = [level for level in path if spotter or not needs_spotter(level)]
    if not open_now:
        return None
    by_id = {level.id: level for level in path}
    word = max((w for w in words if w.level_id in by_id), key=lambda w: w.made, default=None)
    mine = [t for t in in_order(tried) if t.level.id in by_id]
    if word is not None:
        mine = [t for t in mine if t.made > word.made]
    current = _current(path, mine, by_id, word)
    note = word.note if word is not None else ""
    if current is None:
        return Suggestion(Step.BEGIN, open_now[0], say("Everybody begins here."))
    if current not in open_now:
        below = [level for level in open_now if path.index(level) < path.index(current)]
        return Suggestion(
            Step.STAY,
            below[-1] if below else open_now[0],
            say("Your own level needs a spotter: until one is here, this one."),
            current,
            note,
        )
    return _step(path, current, mine, spotter, word)


def each_ladder(
    levels: Sequence[Level],
    tried: Sequence[Tried],
    words: Sequence[CoachWord] = (),
    spotter: bool = True,
) -> list[Suggestion]:
    """What comes next on each ladder that a vaulter is on; whoever is on none begins the first.

    Args:
        levels: all, in the order they are listed.
        tried: the vaulter's trials, in any order.
        words: the vaulter's coach's words.
        spotter: whether one stands by; a coach who plans can see to it.
    """
    by_id = {level.id: level for level in levels}
    games = dict.fromkeys(t.level.game for t in in_order(tried))
    games |= dict.fromkeys(by_id[w.level_id].game for w in words if w.level_id in by_id)
    if not games and levels:
        games = dict.fromkeys([levels[0].game])
    told = (suggest(path_of(levels, game), tried, words, spotter) for game in games)
    return [each for each in told if each is not None]


def _current(
    path: Sequence[Level],
    mine: Sequence[Tried],
    by_id: dict[str, Level],
    word: CoachWord | None,
) -> Level | None:
    """Where the vaulter is: the newest trial's level, or the coach's until it is passed.

    A step that is due holds the vaulter where it is due.
    """
    newest = by_id[mine[-1].level.id] if mine else None
    newest = _due_still(path, mine) or newest
    if word is None:
        return newest
    told = by_id[word.level_id]
    if newest is None or not passed(_telling(path, told, mine), told):
        return told
    return newest


def _due_still(path: Sequence[Level], mine: Sequence[Tried]) -> Level | None:
    """The level from which a step is due still, though easier ones were tried since."""
    rungs = {level.id: n for n, level in enumerate(path)}
    easier: list[int] = []
    counted_since = 0
    for t in reversed(mine):
        rung = rungs[t.level.id]
        if easier and rung > max(easier):
            if clearly_missed(mine, path[rung]):
                # Without a spotter the levels between could not be offered.
                taken = any(all(map(needs_spotter, path[r + 1 : rung])) for r in easier)
                return None if taken else path[rung]
            if passed(_telling(path, path[rung], mine), path[rung]):
                return path[rung]
        easier.append(rung)
        counted_since += t.mark is not None
        if counted_since == MISSES:
            return None
    return None


def _telling(path: Sequence[Level], level: Level, mine: Sequence[Tried]) -> list[Tried]:
    """The counted trials of a level, since the one above it was last clearly missed.

    What was passed before would lead straight up again.
    """
    at = path.index(level)
    since = None
    if at + 1 < len(path):
        above = path[at + 1]
        if clearly_missed(mine, above):
            since = max(t.made for t in mine if t.mark is not None and same_task(t.level, above))
    return [t for t in counted(mine, level) if since is None or t.made > since]


def _step(
    path: Sequence[Level],
    current: Level,
    mine: Sequence[Tried],
    spotter: bool,
    word: CoachWord | None,
) -> Suggestion:
    note = word.note if word is not None else ""
    telling = _telling(path, current, mine)
    at = path.index(current)
    if passed(telling, current):
        above = next((x for x in path[at + 1 :] if spotter or not needs_spotter(x)), None)
        done = say("Passed in {k} of the last {n}, on two days", k=_passes(telling, current),
                   n=min(N, len(telling)))  # fmt: skip
        if above is not None:
            return Suggestion(Step.UP, above, say("{done}: one up.", done=done), current, note)
        if at + 1 < len(path):
            reason = say("{done}. The next one needs a spotter: ask your coach.", done=done)
        else:
            reason = say("{done}. This is the top: keep it, or take another game.", done=done)
        return Suggestion(Step.STAY, current, reason, current, note)
    if clearly_missed(mine, current):
        below = next((x for x in reversed(path[:at]) if spotter or not needs_spotter(x)), None)
        if below is not None:
            reason = say("{n} clear misses in a row: an easier one is offered.", n=MISSES)
            return Suggestion(Step.DOWN, below, reason, current, note)
    if word is not None and current.id == word.level_id:
        reason = say(
            "Your coach on {day}: {note}", day=word.made.date().isoformat(), note=Name(note)
        )
        return Suggestion(Step.COACH, current, reason, current, note)
    return Suggestion(Step.STAY, current, _what_is_missing(telling, current), current, note)


def _passes(telling: Sequence[Tried], level: Level) -> int:
    return sum(t.mark is not None and t.mark >= level.pass_mark for t in telling[-N:])


def _what_is_missing(telling: Sequence[Tried], level: Level) -> str:
    passes = _passes(telling, level)
    if passes >= K:
        return say("{k} passed, all on one day: pass on another day too.", k=passes)
    unseen = level.feedback == FADED
    if not telling:
        return say(
            "None without the picture yet; it takes {need} of {of}, on two days, to move up.",
            need=K,
            of=N,
        )
    return say(
        "Passed {k} of the last {n} without the picture; it takes {need} of {of}, on two days, to"
        " move up."
        if unseen
        else "Passed {k} of the last {n}; it takes {need} of {of}, on two days, to move up.",
        k=passes,
        n=min(N, len(telling)),
        need=K,
        of=N,
    )
