"""Quiet standing, and when it is reached again after a landing.

There are many definitions of a time to stabilise, and they differ: over 18 of them the result hung
most of all on how long the trial was (Fransz et al. 2015, Gait & Posture; García-Massó et al.
2019, PLoS ONE 14(2):e0212124, for children). Ours does not look at what comes later than a second,
so it needs no end of the trial and works live. Its name here is **time to still**:

    from contact to the first t for which, from t to t + 1 s,
    - every sample of the force is within ±5 % of body weight, and
    - the COP's mean speed is within the vaulter's own quiet range.

The force is taken as it comes. The COP is filtered first, as everywhere live: causal Butterworth of
10 Hz on force and moments, begun at the contact.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.motion.landing_find import FLIGHT_BELOW_N
from swaytrainer.sway.butterworth import CausalLowpass
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags

FORCE_BAND: Final = 0.05
STILL_S: Final = 1.0
COP_CUTOFF_HZ: Final = 10.0
#: Quiet standing's speed over single seconds lies below this times its mean for 95 % of the time:
#: measured on 24 open trials of 60 s (Santos & Duarte 2016, PeerJ 4:e2648), each trial's 95th
#: percentile between 1.45 and 2.00 times its mean, 1.70 on average.
QUIET_FACTOR: Final = 1.7
#: A second is quiet if the force's SD is below this share of its mean; the open trials have 0.1 %
#: on a firm floor, at most 1.2 % on foam.
_QUIET_SD: Final = 0.02
#: So long after a contact what sways is standing, no longer the landing; and so much of it is
#: needed for a range. Ours.
_AFTER_S: Final = 3.0
_LEAST_QUIET_S: Final = 2.0
#: 13 kg: no child that vaults is as light, so it would be kilograms.
LEAST_WEIGHT_N: Final = 130.0
#: Stamps are floats: a second may come out this much too short.
_DUST_S: Final = 1e-9


@dataclass(frozen=True, slots=True)
class QuietStance:
    """A vaulter's own quiet standing.

    Attributes:
        weight_n: the body's weight.
        speed_mm_s: mean COP speed, through the live filter; NaN if unknown.

    Raises:
        SwaytrainerError: a weight that no vaulter has, or a speed that isn't above zero.
    """

    weight_n: float
    speed_mm_s: float = NAN

    def __post_init__(self) -> None:
        if not LEAST_WEIGHT_N <= self.weight_n < math.inf:
            raise SwaytrainerError(
                f"A body's weight of {self.weight_n:g} N is none: is it in kilograms?",
                "Give the weight in newtons, kilograms times 9.81.",
            )
        if not (math.isnan(self.speed_mm_s) or 0.0 < self.speed_mm_s < math.inf):
            raise SwaytrainerError(
                f"A quiet speed of {self.speed_mm_s:g} mm/s is none.",
                "Measure it in a standing trial, or leave it out.",
            )

    @property
    def speed_limit_mm_s(self) -> float:
        """The quiet range's upper end, for one second."""
        return QUIET_FACTOR * self.speed_mm_s


def quiet_samples(time_s: Array, force_n: Array) -> Flags:
    """Which samples lie in a second of quiet standing: somebody there, SD of F below 2 %.

    Args:
        time_s, force_n: shape (N,), one piece without gaps.
    """
    quiet = np.zeros(time_s.size, dtype=np.bool_)
    ends = np.searchsorted(time_s, time_s + STILL_S - _DUST_S)
    whole = np.flatnonzero(ends < time_s.size)
    if whole.size == 0:
        return quiet
    middle = float(force_n.mean())  # sums of squares about it keep their digits
    sums = np.concatenate([[0.0], np.cumsum(force_n - middle)])
    squares = np.concatenate([[0.0], np.cumsum((force_n - middle) ** 2)])
    stop = ends[whole] + 1
    count = stop - whole
    mean = (sums[stop] - sums[whole]) / count
    variance = np.maximum((squares[stop] - squares[whole]) / count - mean**2, 0.0)
    still = (mean + middle > FLIGHT_BELOW_N) & (np.sqrt(variance) < _QUIET_SD * (mean + middle))
    steps = np.zeros(time_s.size + 1, dtype=np.int64)
    np.add.at(steps, whole[still], 1)
    np.add.at(steps, stop[still], -1)
    quiet[:] = np.cumsum(steps[:-1]) > 0
    return quiet


def long_standing(time_s: Array, quiet: Flags, contacts_s: list[float]) -> Flags:
    """The quiet samples that are no landing's: before the first, or 3 s after the latest."""
    kept = quiet.copy()
    for contact_s in contacts_s:
        kept[(time_s >= contact_s) & (time_s < contact_s + _AFTER_S)] = False
    return kept


class LiveSpeed:
    """The path of the COP through the live filter: a running sum, begun anew after a gap."""

    def __init__(self, rate_hz: float) -> None:
        self._filters = [CausalLowpass(COP_CUTOFF_HZ, rate_hz) for _ in range(3)]
        self._x = self._y = NAN
        self.path_mm = 0.0

    def restart(self) -> None:
        """The next sample begins a path of its own."""
        self._x = NAN
        for low in self._filters:
            low.restart()

    def update(self, force_n: float, x_mm: float, y_mm: float) -> float:
        """The step to this sample, mm; NaN for the first one, or if there is no COP."""
        if math.isnan(x_mm) or math.isnan(y_mm) or not force_n >= FLIGHT_BELOW_N:
            self.restart()
            return NAN
        force, moment_x, moment_y = (
            low.update(value)
            for low, value in zip(
                self._filters, (force_n, force_n * x_mm, force_n * y_mm), strict=True
            )
        )
        if not force >= FLIGHT_BELOW_N:  # the filter's undershoot after a hard landing
            self.restart()
            return NAN
        x, y = moment_x / force, moment_y / force
        step = math.hypot(x - self._x, y - self._y)
        self._x, self._y = x, y
        if not math.isnan(step):
            self.path_mm += step
        return step


def quiet_speed(
    stands: Sequence[tuple[Array, Array, Array, Array, Flags]], rate_hz: float
) -> float:
    """Mean COP speed of quiet standing through the live filter, mm/s; NaN below two seconds of it.

    Args:
        stands: for each piece without gaps time, force, x and y, shape (N,), and which samples
            count.
        rate_hz: samples a second.
    """
    steps_mm: list[float] = []
    seconds = 0.0
    for time_s, force_n, x_mm, y_mm, counts in stands:
        live = LiveSpeed(rate_hz)
        rows = zip(force_n.tolist(), x_mm.tolist(), y_mm.tolist(), strict=True)
        for i, row in enumerate(rows):
            step = live.update(*row)
            if i and counts[i] and counts[i - 1] and not math.isnan(step):
                steps_mm.append(step)
                seconds += float(time_s[i] - time_s[i - 1])
    if seconds < _LEAST_QUIET_S - _DUST_S:
        return NAN
    speed = math.fsum(steps_mm) / seconds
    return speed if speed > 0.0 else NAN


class Settling:
    """Finds the first second that is still, sample by sample from the contact on.

    Attributes:
        force_from_s: from when the force was within its band for a second; NaN until known.
        still_from_s: from when force and COP were; NaN until known.

    Args:
        stance: weight and speed. With an unknown speed ``still_from_s`` stays NaN.
        rate_hz: samples a second, for the COP's filter.
    """

    def __init__(self, stance: QuietStance, rate_hz: float) -> None:
        self._band_n = FORCE_BAND * stance.weight_n
        self._weight_n = stance.weight_n
        self._limit_mm_s = stance.speed_limit_mm_s
        self._speed = LiveSpeed(rate_hz)
        # Time and path so far of every sample since the force came into its band; the path is
        # NaN while there is no COP.
        self._run: deque[tuple[float, float]] = deque()
        self.force_from_s = self.still_from_s = NAN

    def gap(self) -> None:
        """Samples are missing: the second begins again."""
        self._run.clear()
        self._speed.restart()

    def update(self, time_s: float, force_n: float, x_mm: float, y_mm: float) -> None:
        """Take one sample."""
        step = self._speed.update(force_n, x_mm, y_mm)
        if not abs(force_n - self._weight_n) <= self._band_n:
            self._run.clear()
            return
        # No way leads from the sample before to this one: nor from any before that.
        if math.isnan(step) and self._run and not math.isnan(self._run[-1][1]):
            self._run = deque((then_s, NAN) for then_s, _ in self._run)
        self._run.append((time_s, NAN if math.isnan(x_mm) else self._speed.path_mm))
        while len(self._run) > 1 and time_s - self._run[1][0] >= STILL_S - _DUST_S:
            self._run.popleft()
        from_s, path_mm = self._run[0]
        if time_s - from_s < STILL_S - _DUST_S:
            return
        if math.isnan(self.force_from_s):
            self.force_from_s = from_s
        moved = (self._speed.path_mm - path_mm) / (time_s - from_s)
        if math.isnan(self.still_from_s) and moved <= self._limit_mm_s:
            self.still_from_s = from_s
