"""How much of the time a share stayed inside its band, and the longest spell inside.

Weighted by the stamps' time, not by samples. Between two samples the share is taken as a straight
line, so it enters and leaves the band at a moment of its own and the answer hardly depends on the
rate. The band's edges belong to it. A gap ends a spell, and its time counts neither way.

Source: ours, as is the lever rule that the share comes from (``feet``). Limits: the share is as
good as the heels' and balls' places; who stays just outside scores nothing however still; and a
spell hangs on single excursions, so it repeats less well than the percentage.
"""

from __future__ import annotations

from math import isnan
from typing import NamedTuple

import numpy as np

from swaytrainer.errors import SwaytrainerError
from swaytrainer.sway.cop import NAN, Array
from swaytrainer.sway.gaps import Flags, bridged


class BandValues(NamedTuple):
    """Percent of the bridged time that was inside, and the longest spell (s). NaN if no time."""

    time_in_band_percent: float
    longest_spell_s: float


def time_in_band(
    time_s: Array,
    share_percent: Array,
    low_percent: float,
    high_percent: float,
    breaks: Flags | None = None,
) -> BandValues:
    """Time in band of a whole trial.

    Args:
        time_s, share_percent: shape (N,); NaN in the share where there is no COP.
        low_percent, high_percent: the band, low below high.
        breaks: shape (N,), see ``gaps.bridged``.

    Raises:
        SwaytrainerError: the band's lower edge is not below its upper one.

    >>> time_in_band(np.array([0.0, 1.0, 2.0]), np.array([30.0, 40.0, 40.0]), 35.0, 50.0)
    BandValues(time_in_band_percent=75.0, longest_spell_s=1.5)
    """
    _check_band(low_percent, high_percent)
    whole = bridged(share_percent, breaks)
    if not whole.any():
        return BandValues(NAN, NAN)
    seconds = np.diff(time_s)
    left, right = share_percent[:-1], share_percent[1:]
    run = right - left
    level = run == 0.0
    slope = np.where(level, 1.0, run)
    with np.errstate(over="ignore"):  # a hair's slope meets a far edge never: inf is right
        at_low, at_high = (low_percent - left) / slope, (high_percent - left) / slope
    enter = np.clip(np.minimum(at_low, at_high), 0.0, 1.0)
    leave = np.clip(np.maximum(at_low, at_high), 0.0, 1.0)
    held = (left >= low_percent) & (left <= high_percent)
    part = np.where(level, held.astype(np.float64), leave - enter)
    inside = np.where(whole, part * seconds, 0.0)
    # A spell goes on into the next interval if the sample between them is inside and both count.
    fresh = np.ones(whole.size, dtype=np.bool_)
    fresh[1:] = ~(held[1:] & whole[:-1])
    spells = np.add.reduceat(inside, np.flatnonzero(fresh))
    return BandValues(
        100.0 * float(inside.sum()) / float(seconds[whole].sum()), float(spells.max())
    )


def _check_band(low_percent: float, high_percent: float) -> None:
    if not low_percent < high_percent:  # nor if one is NaN
        raise SwaytrainerError(
            f"A band from {low_percent:g} to {high_percent:g} % holds nothing.",
            "Give a lower edge below the upper one.",
        )


class TimeInBand:
    """``time_in_band``, sample by sample. Times must increase.

    No sum runs sample by sample: runs and spells are kept by their first and last moment, so
    nothing drifts.

    >>> band = TimeInBand(35.0, 50.0)
    >>> for time_s, share in (0.0, 30.0), (1.0, 40.0), (2.0, 40.0):
    ...     band.update(time_s, share)
    >>> band.get()
    BandValues(time_in_band_percent=75.0, longest_spell_s=1.5)
    """

    __slots__ = (
        "_before_s",
        "_closed_s",
        "_longest_s",
        "_share",
        "_since_s",
        "_start_s",
        "_time_s",
        "high_percent",
        "low_percent",
    )

    def __init__(self, low_percent: float, high_percent: float) -> None:
        _check_band(low_percent, high_percent)
        self.low_percent = low_percent
        self.high_percent = high_percent
        self._before_s = 0.0  # time of the runs before the last gap
        self._closed_s = 0.0  # time of the spells that are over
        self._longest_s = 0.0  # the longest of these
        self._start_s = self._time_s = 0.0  # first and latest time of the present run
        self._since_s = NAN  # when the present spell began; NaN while outside
        self._share = NAN  # NaN: the next sample begins a run

    @property
    def spell_s(self) -> float:
        """How long the share has been inside until now; 0 outside."""
        return self._time_s - self._since_s if not isnan(self._since_s) else 0.0

    @property
    def inside_s(self) -> float:
        """Time inside so far."""
        return self._closed_s + self.spell_s

    def gap(self) -> None:
        """The next interval is not bridged, and the spell ends."""
        self._end_spell(self._time_s)
        self._before_s += self._time_s - self._start_s
        self._start_s = self._time_s
        self._share = NAN

    def update(self, time_s: float, share_percent: float) -> None:
        """Take one sample; NaN (no COP) is a gap."""
        if isnan(share_percent):
            self.gap()
            return
        last = self._share
        low = self.low_percent
        inside = low <= share_percent <= self.high_percent
        if isnan(last):
            self._start_s = time_s
            if inside:
                self._since_s = time_s
        elif inside is isnan(self._since_s) or (
            not inside and (last < low) is not (share_percent < low)
        ):
            self._cross(time_s, last, share_percent)
        self._time_s = time_s
        self._share = share_percent

    def get(self) -> BandValues:
        """Percent and longest spell so far."""
        seconds = self._before_s + (self._time_s - self._start_s)
        if seconds <= 0.0:
            return BandValues(NAN, NAN)
        return BandValues(100.0 * self.inside_s / seconds, max(self._longest_s, self.spell_s))

    def _cross(self, time_s: float, last: float, share: float) -> None:
        """One edge was crossed since the last sample, or both were at one jump."""
        seconds, run = time_s - self._time_s, share - last
        entry, exit_ = self.low_percent, self.high_percent
        if run < 0.0:
            entry, exit_ = exit_, entry
        if isnan(self._since_s):
            self._since_s = self._time_s + (entry - last) / run * seconds
        if not self.low_percent <= share <= self.high_percent:
            self._end_spell(self._time_s + (exit_ - last) / run * seconds)

    def _end_spell(self, time_s: float) -> None:
        if not isnan(self._since_s):
            spell = time_s - self._since_s
            self._closed_s += spell
            self._longest_s = max(self._longest_s, spell)
            self._since_s = NAN
