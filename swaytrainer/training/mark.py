"""The mark of a trial: 0-10, in parts, with its reason.

Monotone by construction: each part is a clipped straight line in its measure, parts are only
added, and stepping off only takes away: a point each time, and for each tenth of the trial off the
board all that stillness earned (a measure of stillness sees the time on the board alone). So it is
dear to step off where one could have caught oneself on the board.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from swaytrainer.sway.gaps import GAP_LIMIT_S, LOST_LIMIT_PERCENT
from swaytrainer.training.level import Level, MarkPart
from swaytrainer.training.outcome import Outcome, PartEarned, Terms
from swaytrainer.training.tasks.catalogue import KINDS
from swaytrainer.words import say

#: Points for each time the vaulter leaves the board during a trial.
STEP_OFF_POINTS: Final = 1.0
#: Off the board for this share of the trial, nothing is left of what stillness earned.
OFF_SHARE_LIMIT: Final = 0.1


@dataclass(frozen=True, slots=True)
class Tally:
    """How the seconds of one trial were spent. They add up to ``planned_s``.

    Attributes:
        planned_s: the level's duration.
        inside_s, toes_s, heels_s: on the board, by the toe share against the band.
        off_board_s: off the board, the time after an early end included.
        lost_s: without signal: as long as the missing samples would have taken.
        longest_gap_s: the longest interval between two samples that is not bridged.
        step_offs: how often the vaulter left the board.
        faults: sentences of the board about itself that spoil the trial.
    """

    planned_s: float
    inside_s: float
    toes_s: float
    heels_s: float
    off_board_s: float
    lost_s: float
    longest_gap_s: float
    step_offs: int
    faults: tuple[str, ...] = ()

    @property
    def seen_s(self) -> float:
        """Seconds of the trial with a signal."""
        return max(self.planned_s - self.lost_s, 0.0)


def part_earned(part: MarkPart, value: float, share: float = 1.0) -> PartEarned:
    """What one part earns.

    >>> part_earned(MarkPart("mean_speed_mm_s", 30.0, 10.0, 0.5), 15.0)
    PartEarned(measure='mean_speed_mm_s', value=15.0, earned=3.75, possible=5.0)
    """
    possible = 10.0 * part.weight
    if math.isnan(value):
        return PartEarned(part.measure, value, 0.0, possible)
    reached = (value - part.nothing_at) / (part.all_at - part.nothing_at)
    return PartEarned(part.measure, value, possible * share * min(max(reached, 0.0), 1.0), possible)


def outcome_of(
    level: Level,
    number: int,
    ended: str,
    tally: Tally,
    measures: dict[str, float],
    terms: Terms,
    earlier: Sequence[float | None] = (),
    body_n: float = math.nan,
) -> Outcome:
    """Mark one trial.

    Args:
        level: what was asked.
        number: of the trial in its sitting, from 1.
        ended: "complete", "stepped off", "aborted" or "signal lost".
        tally: how the time was spent.
        measures: the live measures; ``time_in_band_percent`` is replaced by the trial's own,
            which counts time off the board as time outside the band.
        terms: what the result may be compared with.
        earlier: the marks of the sitting so far, for the advice.
        body_n: the weight in the countdown.
    """
    measures = dict(measures)
    measures["time_in_band_percent"] = (
        100.0 * tally.inside_s / tally.seen_s if tally.seen_s > 0 else math.nan
    )
    off = tally.off_board_s / tally.seen_s if tally.seen_s > 0 else 1.0
    share = min(max(1.0 - off / OFF_SHARE_LIMIT, 0.0), 1.0)
    if KINDS[level.game].leaves_board:
        share = 1.0
    # Time off the board is time outside the band already; any other measure knows nothing of it.
    parts = tuple(
        part_earned(
            part,
            measures.get(part.measure, math.nan),
            1.0 if part.measure == "time_in_band_percent" else share,
        )
        for part in level.parts
    )
    deduction = min(STEP_OFF_POINTS * tally.step_offs, sum(p.earned for p in parts))
    refusal = _refusal(ended, tally)
    mark: float | None = sum(p.earned for p in parts) - deduction
    if ended in ("aborted", "signal lost"):
        mark = None
    reason = refusal or _reason(level, parts, measures, tally)
    return Outcome(
        number=number,
        ended=ended,
        counts=refusal is None,
        mark=mark,
        parts=parts,
        deduction=deduction,
        reason=reason,
        advice=_advice(level, mark, refusal, parts, measures, tally, earlier),
        step_offs=tally.step_offs,
        off_board_s=tally.off_board_s,
        lost_s=tally.lost_s,
        measures=measures,
        terms=terms,
        body_n=body_n,
    )


def _refusal(ended: str, tally: Tally) -> str | None:
    """Why the trial does not count, or None if it does."""
    if ended == "aborted":
        return "Broken off by hand: no mark."
    if ended == "signal lost":
        return "The board's signal was lost: no mark."
    if tally.faults:
        return say("{fault} This trial does not count.", fault=tally.faults[0])
    if tally.longest_gap_s > GAP_LIMIT_S + 1e-6:  # stamps are whole microseconds
        return say(
            "The signal was gone for {gap:.1f} s: this trial does not count.",
            gap=tally.longest_gap_s,
        )
    if tally.lost_s > LOST_LIMIT_PERCENT / 100.0 * tally.planned_s:
        percent = 100.0 * tally.lost_s / tally.planned_s
        return say(
            "{percent:.0f} % of the signal was lost: this trial does not count.", percent=percent
        )
    return None


def _worst(parts: tuple[PartEarned, ...]) -> PartEarned:
    return max(parts, key=lambda p: p.possible - p.earned)


def _reason(
    level: Level, parts: tuple[PartEarned, ...], measures: Mapping[str, float], tally: Tally
) -> str:
    """One line: what cost the most."""
    kind = KINDS[level.game]
    worst = _worst(parts)
    cost = worst.possible - worst.earned
    if tally.step_offs and tally.step_offs * STEP_OFF_POINTS + tally.off_board_s > cost:
        return say(
            "Stepped off once, {off:.0f} s away from the board."
            if tally.step_offs == 1
            else "Stepped off {times} times, {off:.0f} s away from the board.",
            times=tally.step_offs,
            off=tally.off_board_s,
        )
    if cost < 0.3:
        return kind.praise
    return kind.explain(level, worst, measures, tally)


def _advice(
    level: Level,
    mark: float | None,
    refusal: str | None,
    parts: tuple[PartEarned, ...],
    measures: Mapping[str, float],
    tally: Tally,
    earlier: Sequence[float | None],
) -> str:
    """One line: what to try next. It points at the game, not at the body (external focus)."""
    if refusal is not None or mark is None:
        if tally.lost_s > 0:
            return "Check the board and its cable, then try again."
        return "Step on again whenever you are ready."
    run = [m for m in (*earlier[-2:], mark) if m is not None]
    if len(run) == 3 and run[0] - run[1] > 0.5 and run[1] - run[2] > 0.5:
        return "Two marks in a row went down: enough for today, or a long rest."
    if tally.step_offs:
        return "Try again, and let the hand-hold be near."
    if mark >= level.pass_mark + 2.0:
        return "That is safely passed: ask your coach about the next level."
    return KINDS[level.game].advise(level, _worst(parts), measures, tally)
