"""The left leg against the right: a difference, and whether it is more than chance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.one_leg import ONE_LEG_MEASURES, OneLegResult
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.table import MEASURES

#: Longest over shortest trial that are still compared (ours).
_TIMES: Final = 1.25


class LegDifference(NamedTuple):
    """Left against right, of one measure.

    Attributes:
        key: the measure.
        left, right: means over trials.
        difference: right - left.
        u95: its expanded uncertainty (95 %); NaN if unknown.
        settled: whether the difference is larger than that.
        note: how it came about, or why it is unknown.
    """

    key: str
    left: float
    right: float
    difference: float
    u95: float
    settled: bool
    note: str


def compare_legs(
    left: Sequence[OneLegResult],
    right: Sequence[OneLegResult],
    key: str,
    *,
    sem: float | None = None,
) -> LegDifference:
    """The difference between the legs, with what is known about its uncertainty.

    With two trials or more a leg: Welch's interval (Welch, Biometrika 1947;34:28-35), which holds
    for trials of that day. With fewer: from a given standard error of measurement,
    1.96·SEM·√(1/n_left + 1/n_right); without one it is unknown.

    Args:
        left, right: trials on that leg.
        key: of ``sway.table.MEASURES`` or ``ONE_LEG_MEASURES``.
        sem: standard error of measurement of one trial, in the measure's unit.

    Raises:
        SwaytrainerError: no trials, a wrong leg, unequal terms, or an unknown measure.
    """
    _check_terms(left, right, key, sem)
    a, b = _numbers(left, key), _numbers(right, key)
    if not (np.isfinite(a).all() and np.isfinite(b).all()):
        return LegDifference(
            key, NAN, NAN, NAN, NAN, False, f"{key} couldn't be measured in every trial."
        )
    mean_a, mean_b = float(a.mean()), float(b.mean())
    if min(a.size, b.size) >= 2:
        u95, note = _welch_u95(a, b), f"{a.size} and {b.size} trials, Welch's interval."
    elif sem is not None:
        u95 = 1.96 * sem * math.sqrt(1.0 / a.size + 1.0 / b.size)
        note = "From the given standard error of measurement."
    else:
        u95 = NAN
        note = (
            "One trial a leg: its uncertainty is unknown, so nobody can say whether the legs"
            " differ. Do at least two, better seven, a leg."
        )
    difference = mean_b - mean_a
    settled = not math.isnan(u95) and abs(difference) > u95
    return LegDifference(key, mean_a, mean_b, difference, u95, settled, note)


def _welch_u95(a: Array, b: Array) -> float:
    from scipy.special import stdtrit

    parts = [float(x.var(ddof=1)) / x.size for x in (a, b)]
    total = math.fsum(parts)
    if total == 0.0:
        return 0.0
    freedom = total**2 / math.fsum(p**2 / (x.size - 1) for p, x in zip(parts, (a, b), strict=True))
    return float(stdtrit(freedom, 0.975)) * math.sqrt(total)


def _numbers(trials: Sequence[OneLegResult], key: str) -> Array:
    return np.array([{**trial.values, **trial.sway}.get(key, NAN) for trial in trials])


def _check_terms(
    left: Sequence[OneLegResult], right: Sequence[OneLegResult], key: str, sem: float | None
) -> None:
    if key not in MEASURES and key not in ONE_LEG_MEASURES:
        raise SwaytrainerError(f"There is no measure {key!r}.", "Name one of the tables' keys.")
    if sem is not None and not (math.isfinite(sem) and sem > 0.0):
        raise SwaytrainerError(
            f"A standard error of measurement can't be {sem:g}.", "Give it above zero."
        )
    for trials, leg in (left, "left"), (right, "right"):
        if not trials:
            raise SwaytrainerError(f"There is no trial on the {leg} leg.", "Record one a leg.")
        others = {trial.leg for trial in trials} - {leg}
        if others:
            raise SwaytrainerError(
                f"A trial given as {leg} stood on {others.pop()!r}.", "Sort the trials by leg."
            )
    every = [*left, *right]
    first = every[0]
    for trial in every:
        if trial.terms != first.terms:
            raise SwaytrainerError(
                f"The trials differ in their terms: {first.terms} and {trial.terms}.",
                "Compare trials on one base, with the same eyes and feedback.",
            )
        if trial.filter != first.filter or abs(trial.rate_hz / first.rate_hz - 1.0) > 0.02:
            raise SwaytrainerError(
                "The trials differ in filter or rate, and speed compares only at the same.",
                "Analyse all of them with one filter, from boards of one rate.",
            )
    seconds = [trial.values["one_leg_measured_s"] for trial in every]
    known = [s for s in seconds if not math.isnan(s)]
    if known and max(known) > _TIMES * min(known):
        raise SwaytrainerError(
            f"The trials last from {min(known):.0f} to {max(known):.0f} s: ranges and areas grow"
            " with time.",
            "Compare trials of about the same length.",
        )
