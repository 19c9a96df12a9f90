"""A contest's trials in words, for a terminal and for a list to pick from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from swaytrainer.squad.contest import Attempt, Contest, Stage, sort_out, takes_back
from swaytrainer.words import Name, number, say, tr, translated

STAGES: Final = {
    Stage.WARM_UP: say("warm-up"),
    Stage.ROUND: say("round"),
    Stage.STAND_OFF: say("stand-off"),
}


def stage_words(told: Contest, stage: Stage, n: int) -> str:
    """What a trial is for, as the hall and the gym show it."""
    if stage is Stage.WARM_UP:
        return say("Warm-up")
    if stage is Stage.STAND_OFF:
        return say("Stand-off")
    return say("Round {n} of {all}", n=n, all=told.trials)


def newest_first(attempts: Iterable[Attempt]) -> list[Attempt]:
    """Trials as they are looked for: the newest stand first."""
    return sorted(attempts, key=lambda a: (a.at, a.number, a.whole_name), reverse=True)


def trial_words(told: Contest, attempts: Sequence[Attempt], attempt: Attempt) -> str:
    """A trial in a line: whose, its mark, when, what it was for, and which recording it is in."""
    done = sort_out(told, attempts).get(attempt.vaulter)
    was = None if done is None else done.was_for(attempt)
    back = next((r for r in told.rulings if takes_back(r, attempt)), None)
    if was is not None:
        turn = f"{tr(STAGES[was[0]])} {was[1]}"
    elif back is not None:
        turn = translated("taken back: {why}", why=Name(back.reason))
    elif attempt.mark is None:
        turn = tr(attempt.reason)
    else:
        turn = translated("does not count")
    mark = translated("no mark") if attempt.mark is None else number(attempt.mark, ".1f")
    at = f"{attempt.at.astimezone():%Y-%m-%d %H:%M}"
    where = translated("trial {n}", n=attempt.number)
    return f"{attempt.vaulter}: {mark} · {at} · {turn} · {attempt.whole_name}, {where}"
