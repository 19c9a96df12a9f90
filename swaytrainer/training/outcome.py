"""How a trial ended, and the mark it earned, part by part."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Terms:
    """What two results must share before they may be compared."""

    rate_hz: float
    filter: str
    seconds: float
    base: str
    stance: str
    eyes: str
    feedback: str


@dataclass(frozen=True, slots=True)
class PartEarned:
    """One part of a mark: the measure, its value, what it earned and what it could have."""

    measure: str
    value: float
    earned: float
    possible: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """A trial's end.

    Attributes:
        number: 1 for the first trial of a sitting.
        ended: "complete", "stepped off", "aborted" or "signal lost".
        counts: False where the mark must not be kept as one: see ``reason``.
        mark: 0-10, or None where no mark can be given.
        parts: the mark's parts; they add up to the mark before ``deduction``.
        deduction: points lost for stepping off.
        reason: one line, why this mark.
        advice: one line, what to try next.
        step_offs: how often the vaulter left the board during the trial.
        off_board_s: for how long in all.
        lost_s: seconds of signal that never arrived.
        measures: every live measure of the trial under its key.
        terms: what the result may be compared with.
        body_n: the weight in the countdown, NaN where it was not kept.
    """

    number: int
    ended: str
    counts: bool
    mark: float | None
    parts: tuple[PartEarned, ...]
    deduction: float
    reason: str
    advice: str
    step_offs: int
    off_board_s: float
    lost_s: float
    measures: dict[str, float]
    terms: Terms
    body_n: float = math.nan
