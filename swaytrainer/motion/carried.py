"""Weight that something else carries, told from a body that moves up and down.

On a still base the feet's force is F = m·(g + z''), z the height of the body's centre. Weigh
F/(m·g) − 1 over T seconds with a triangle (0 at the ends, most in the middle): integrating twice by
parts, the mean is

    8/(g·T²)·( (z₀ + z_T)/2 − z_{T/2} )

and a centre that stays within a height d cannot make that differ from zero by more than
8·d/(g·T²), whatever the body does: knee bends, arms, breath. (Newton's second law; the form is
ours.) What is missing beyond that, and beyond what the weight itself may be wrong by, a hand, a
wall, a seat or the floor has carried. Short spans see the heavy, long ones the light:

>>> limits = Limits()
>>> [round(100.0 * (limits.missing_share(t) + limits.tolerance(500.0, True)), 1) for t in SPANS_S]
[33.2, 15.1, 8.8, 4.2, 2.6, 1.5, 1.1]
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator
from typing import Final, NamedTuple

import numpy as np

from swaytrainer.motion.incident import Limits

#: The force is averaged over so long first: nothing here is quicker.
BIN_S: Final = 0.04
SPANS_S: Final = (1.0, 1.5, 2.0, 3.0, 4.0, 6.0, 8.0)
_BINS: Final = round(SPANS_S[-1] / BIN_S)
_SMOOTH: Final = 5
#: The spans are looked at once in so many bins: they are long against that.
_LOOK_BINS: Final = 4
_END_BINS: Final = 10
#: What is still missing at its end, of what was missing.
_END_SHARE: Final = 0.35


class Bin(NamedTuple):
    """Means over ``BIN_S``: share of the weight less one, COP (NaN where there is none)."""

    time_s: float
    excess: float
    x_mm: float
    y_mm: float


class Spell(NamedTuple):
    """From when to when how much of the weight was missing (mean share; positive)."""

    start_s: float
    end_s: float
    share: float


def triangle(bins: int) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """Weights of a triangle over so many bins; their sum is 1.

    >>> triangle(4).tolist()
    [0.125, 0.375, 0.375, 0.125]
    """
    weights = 0.5 * bins - np.abs(np.arange(bins) - 0.5 * (bins - 1))
    result: np.ndarray[tuple[int], np.dtype[np.float64]] = weights / weights.sum()
    return result


_SIZES: Final = [round(s / BIN_S) for s in SPANS_S]
#: A row for each span, its triangle over the newest bins.
_TRIANGLES: Final = np.array([np.pad(triangle(n), (_BINS - n, 0)) for n in _SIZES])


class MissingWeight:
    """Watches bins of force, one sign of it.

    Args:
        limits: for the reach of a body.
        tolerance: share by which the weight may be wrong.
        sign: +1 looks for missing weight, −1 for weight in excess.
    """

    def __init__(self, limits: Limits, tolerance: float, sign: float = 1.0) -> None:
        self._sign = sign
        self._tolerance = tolerance
        self._allowed = np.array([tolerance + limits.missing_share(s) for s in SPANS_S])
        # The newest bins lie in one piece before ``_end``; twice as long, so that they seldom move.
        self._ring = np.zeros(2 * _BINS)
        self._ring_times = np.zeros(2 * _BINS)
        self._end = _BINS
        self.restart()

    def restart(self) -> None:
        """What was before does not count: a gap, a landing."""
        self._count = 0
        self._began_s = math.nan
        self._sum = 0.0
        self._held_bins = 0

    @property
    def _missing(self) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        """The newest bins, the last one last; a view."""
        return self._ring[self._end - _BINS : self._end]

    @property
    def _times(self) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
        return self._ring_times[self._end - _BINS : self._end]

    @property
    def since_s(self) -> float:
        """Since when weight is missing, NaN if none is."""
        return self._began_s

    @property
    def share(self) -> float:
        """Mean share that is missing since then."""
        return self._sum / self._held_bins if self._held_bins else math.nan

    def update(self, now: Bin) -> Iterator[Spell]:
        """Take one bin; the spells that are over."""
        if self._end == self._ring.size:
            for ring in (self._ring, self._ring_times):
                ring[:_BINS] = ring[_BINS:]
            self._end = _BINS
        missing = -self._sign * now.excess
        self._ring[self._end], self._ring_times[self._end] = missing, now.time_s
        self._end += 1
        self._count = min(self._count + 1, _BINS)
        if self._held_bins:
            self._sum += missing
            self._held_bins += 1
            if (spell := self._over()) is not None:
                yield spell
            return
        if self._end % _LOOK_BINS:
            return
        while self._unexplained():
            if (spell := self._find()) is None:
                return
            yield spell

    def _unexplained(self) -> bool:
        spans = bisect_right(_SIZES, self._count)
        return bool((_TRIANGLES[:spans] @ self._missing > self._allowed[:spans]).any())

    def _find(self) -> Spell | None:
        """Where the missing weight lies; None if it still lasts."""
        first = _BINS - self._count
        kept = self._missing[first:]
        smooth = np.convolve(kept, np.full(_SMOOTH, 1.0 / _SMOOTH), mode="same")
        peak = int(np.argmax(smooth))
        half = 0.5 * float(smooth[peak])
        low = high = peak
        while low > 0 and smooth[low - 1] > half:
            low -= 1
        while high < smooth.size - 1 and smooth[high + 1] > half:
            high += 1
        held = kept[low : high + 1]
        start_s = float(self._times[first + low])
        if high >= smooth.size - _SMOOTH:
            self._began_s = start_s
            self._sum, self._held_bins = float(kept[low:].sum()), kept.size - low
            return None
        spell = Spell(start_s, float(self._times[first + high]) + BIN_S, float(held.mean()))
        # It is explained now, with its slopes; what else there is must speak for itself.
        kept[max(0, low - _SMOOTH) : high + 1 + _SMOOTH] = 0.0
        return spell

    def _over(self) -> Spell | None:
        level = self.share
        recent = self._missing[-_END_BINS:]
        if float(recent.mean()) > max(self._tolerance, _END_SHARE * level):
            return None
        last = np.flatnonzero(recent > 0.5 * level)
        index = int(last[-1]) if last.size else 0
        end_s = float(self._times[index - _END_BINS]) + BIN_S
        late = float(recent[index + 1 :].sum())
        share = (self._sum - late) / max(self._held_bins - (_END_BINS - 1 - index), 1)
        spell = Spell(self._began_s, end_s, share)
        self._missing[-min(self._held_bins, _BINS) :] = 0.0
        self._began_s, self._sum, self._held_bins = math.nan, 0.0, 0
        return spell


def seen_from_percent(weight_n: float, seconds: float, limits: Limits | None = None) -> float:
    """The lightest even support that shows, as a percentage of the weight, if held for so long.

    A pulse of ``seconds`` in the middle of each span's triangle; the span that sees it best. NaN
    for no weight or no time.

    >>> [round(seen_from_percent(500.0, t), 1) for t in (0.5, 1.0, 2.0, 4.0, 8.0)]
    [9.2, 4.7, 2.5, 1.5, 1.1]
    """
    if not (weight_n > 0.0 and seconds > 0.0):
        return math.nan
    limits = limits or Limits()
    best = math.inf
    for span in SPANS_S:
        allowed = limits.missing_share(span) + limits.tolerance(weight_n, True)
        part = min(seconds / span, 1.0)
        best = min(best, allowed / (part * (2.0 - part)))
    return 100.0 * best
